"""How a boat behaves at anchor in gusts: how she swings, what the gear carries, whether the anchor holds.

What is public is imported when it is first asked for: the server that opens the explorer needs none of it,
and the whole takes two seconds.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from anchorsim.classroom import class_page
    from anchorsim.core.errors import AnchorsimError, ArgumentError, TableError
    from anchorsim.dynamics.run import Run
    from anchorsim.dynamics.simulation import simulate
    from anchorsim.dynamics.wave_motion import Waves, waves
    from anchorsim.environment.tide import Tide, TideError, read_tide, tide_curve
    from anchorsim.environment.wind_record import WindRecordError
    from anchorsim.explorer import explore
    from anchorsim.explorer.lessons.screen import teach
    from anchorsim.explorer.survey.screen import inspect_tackle
    from anchorsim.lessons.lesson import Lesson, lesson
    from anchorsim.mooring import statics as line
    from anchorsim.numerics.interval import Interval
    from anchorsim.planning.advice import Advice, advise
    from anchorsim.planning.night import Night, overnight
    from anchorsim.report import ReportError, write_report
    from anchorsim.report.handout import write_handout
    from anchorsim.risk.assessment import Assessment, assess
    from anchorsim.risk.comparison import Comparison, compare
    from anchorsim.risk.geojson import GeoJsonError, read_dangers, write_geojson
    from anchorsim.risk.limit_search import Limit
    from anchorsim.risk.limits import ScopeLimits, least_snubber, limit_wind, scope_limits
    from anchorsim.risk.monte_carlo import SpellsStoppedError
    from anchorsim.risk.outcome import Outcome
    from anchorsim.risk.sensitivity import Sensitivity, sensitivity
    from anchorsim.risk.sweep_files import SweepFileError, load_sweep, save_sweep
    from anchorsim.risk.sweeps import SweepStoppedError, sweep
    from anchorsim.risk.swinging_room import SwingingRoom, room_needed
    from anchorsim.scenario.forecast import Forecast, ForecastError, make_forecast, read_forecast
    from anchorsim.scenario.scenario import Scenario, ScenarioError
    from anchorsim.strength.degradation import as_found
    from anchorsim.survey.maintenance import Due, calendar
    from anchorsim.survey.recommendations import Recommendation, recommendations
    from anchorsim.survey.weakest_link import Appraisal, appraise

__version__ = "0.1.0"
__all__ = [
    "Advice",
    "AnchorsimError",
    "Appraisal",
    "ArgumentError",
    "Assessment",
    "Comparison",
    "Due",
    "Forecast",
    "ForecastError",
    "GeoJsonError",
    "Interval",
    "Lesson",
    "Limit",
    "Night",
    "Outcome",
    "Recommendation",
    "ReportError",
    "Run",
    "Scenario",
    "ScenarioError",
    "ScopeLimits",
    "Sensitivity",
    "SpellsStoppedError",
    "SweepFileError",
    "SweepStoppedError",
    "SwingingRoom",
    "TableError",
    "Tide",
    "TideError",
    "Waves",
    "WindRecordError",
    "advise",
    "appraise",
    "as_found",
    "assess",
    "calendar",
    "class_page",
    "compare",
    "explore",
    "inspect_tackle",
    "least_snubber",
    "lesson",
    "limit_wind",
    "line",
    "load_sweep",
    "make_forecast",
    "overnight",
    "read_dangers",
    "read_forecast",
    "read_tide",
    "recommendations",
    "room_needed",
    "save_sweep",
    "scope_limits",
    "sensitivity",
    "simulate",
    "sweep",
    "teach",
    "tide_curve",
    "waves",
    "write_geojson",
    "write_handout",
    "write_report",
]

_HOME = {
    "classroom": ("class_page",),
    "core.errors": ("AnchorsimError", "ArgumentError", "TableError"),
    "dynamics.run": ("Run",),
    "dynamics.simulation": ("simulate",),
    "dynamics.wave_motion": ("Waves", "waves"),
    "environment.tide": ("Tide", "TideError", "read_tide", "tide_curve"),
    "environment.wind_record": ("WindRecordError",),
    "explorer": ("explore",),
    "explorer.lessons.screen": ("teach",),
    "explorer.survey.screen": ("inspect_tackle",),
    "lessons.lesson": ("Lesson", "lesson"),
    "numerics.interval": ("Interval",),
    "planning.advice": ("Advice", "advise"),
    "planning.night": ("Night", "overnight"),
    "report": ("ReportError", "write_report"),
    "report.handout": ("write_handout",),
    "risk.assessment": ("Assessment", "assess"),
    "risk.comparison": ("Comparison", "compare"),
    "risk.geojson": ("GeoJsonError", "read_dangers", "write_geojson"),
    "risk.limit_search": ("Limit",),
    "risk.limits": ("ScopeLimits", "least_snubber", "limit_wind", "scope_limits"),
    "risk.monte_carlo": ("SpellsStoppedError",),
    "risk.outcome": ("Outcome",),
    "risk.sensitivity": ("Sensitivity", "sensitivity"),
    "risk.sweep_files": ("SweepFileError", "load_sweep", "save_sweep"),
    "risk.sweeps": ("SweepStoppedError", "sweep"),
    "risk.swinging_room": ("SwingingRoom", "room_needed"),
    "scenario.forecast": ("Forecast", "ForecastError", "make_forecast", "read_forecast"),
    "scenario.scenario": ("Scenario", "ScenarioError"),
    "strength.degradation": ("as_found",),
    "survey.maintenance": ("Due", "calendar"),
    "survey.recommendations": ("Recommendation", "recommendations"),
    "survey.weakest_link": ("Appraisal", "appraise"),
}


def __getattr__(name: str) -> Any:
    if name == "line":
        return import_module("anchorsim.mooring.statics")
    for module, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"anchorsim.{module}"), name)
    raise AttributeError(f"module 'anchorsim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
