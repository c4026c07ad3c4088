"""A boat lying to one anchor in gusts: how she swings, what the tackle carries, whether it holds.

What is public is imported when it is first asked for: the server that opens the explorer needs none of it,
and the whole takes two seconds.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from anchorsim import line
    from anchorsim.advice import Advice, advise
    from anchorsim.appraisal import Appraisal, appraise
    from anchorsim.assessment import Assessment, assess
    from anchorsim.bow import Waves, waves
    from anchorsim.condition import as_found
    from anchorsim.explorer import explore
    from anchorsim.explorer.survey import inspect_tackle
    from anchorsim.forecast import Forecast, make_forecast, read_forecast
    from anchorsim.gales import Storms, storms
    from anchorsim.geojson import read_dangers, write_geojson
    from anchorsim.limits import least_snubber, limit_wind, scope_limits
    from anchorsim.night import Night, overnight
    from anchorsim.outlook import Outlook, look
    from anchorsim.recommend import Recommendation, recommendations
    from anchorsim.report import write_report
    from anchorsim.room import Room, room_needed
    from anchorsim.scenario import Scenario, ScenarioError
    from anchorsim.sensitivity import Sensitivity, weigh_doubts
    from anchorsim.sweeps import load_sweep, save_sweep, sweep
    from anchorsim.swing import Run, simulate
    from anchorsim.tide import Tide, read_tide, tide_curve
    from anchorsim.upkeep import Due, calendar
    from anchorsim.variants import Comparison, compare
    from anchorsim.verdict import Verdict, judge

__version__ = "0.1.0"
__all__ = [
    "Advice",
    "Appraisal",
    "Assessment",
    "Comparison",
    "Due",
    "Forecast",
    "Night",
    "Outlook",
    "Recommendation",
    "Room",
    "Run",
    "Scenario",
    "ScenarioError",
    "Sensitivity",
    "Storms",
    "Tide",
    "Verdict",
    "Waves",
    "advise",
    "appraise",
    "as_found",
    "assess",
    "calendar",
    "compare",
    "explore",
    "inspect_tackle",
    "judge",
    "least_snubber",
    "limit_wind",
    "line",
    "load_sweep",
    "look",
    "make_forecast",
    "overnight",
    "read_dangers",
    "read_forecast",
    "read_tide",
    "recommendations",
    "room_needed",
    "save_sweep",
    "scope_limits",
    "simulate",
    "storms",
    "sweep",
    "tide_curve",
    "waves",
    "weigh_doubts",
    "write_geojson",
    "write_report",
]

_HOME = {
    "advice": ("Advice", "advise"),
    "appraisal": ("Appraisal", "appraise"),
    "assessment": ("Assessment", "assess"),
    "bow": ("Waves", "waves"),
    "condition": ("as_found",),
    "explorer": ("explore",),
    "explorer.survey": ("inspect_tackle",),
    "forecast": ("Forecast", "make_forecast", "read_forecast"),
    "gales": ("Storms", "storms"),
    "geojson": ("read_dangers", "write_geojson"),
    "limits": ("least_snubber", "limit_wind", "scope_limits"),
    "night": ("Night", "overnight"),
    "outlook": ("Outlook", "look"),
    "recommend": ("Recommendation", "recommendations"),
    "report": ("write_report",),
    "room": ("Room", "room_needed"),
    "scenario": ("Scenario", "ScenarioError"),
    "sensitivity": ("Sensitivity", "weigh_doubts"),
    "sweeps": ("load_sweep", "save_sweep", "sweep"),
    "swing": ("Run", "simulate"),
    "tide": ("Tide", "read_tide", "tide_curve"),
    "upkeep": ("Due", "calendar"),
    "variants": ("Comparison", "compare"),
    "verdict": ("Verdict", "judge"),
}


def __getattr__(name: str) -> Any:
    if name == "line":
        return import_module("anchorsim.line")
    for module, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"anchorsim.{module}"), name)
    raise AttributeError(f"module 'anchorsim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
