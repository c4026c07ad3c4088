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
    from anchorsim.explorer import explore
    from anchorsim.explorer.survey import inspect_tackle
    from anchorsim.forecast import read_forecast
    from anchorsim.gales import Storms, storms
    from anchorsim.geojson import read_dangers, write_geojson
    from anchorsim.recommend import Recommendation, recommendations
    from anchorsim.report import write_report
    from anchorsim.scenario import Scenario, ScenarioError
    from anchorsim.sweeps import load_sweep, save_sweep, sweep
    from anchorsim.swing import Run, simulate
    from anchorsim.variants import Comparison, compare

__version__ = "0.1.0"
__all__ = [
    "Advice",
    "Appraisal",
    "Assessment",
    "Comparison",
    "Recommendation",
    "Run",
    "Scenario",
    "ScenarioError",
    "Storms",
    "advise",
    "appraise",
    "assess",
    "compare",
    "explore",
    "inspect_tackle",
    "line",
    "load_sweep",
    "read_dangers",
    "read_forecast",
    "recommendations",
    "save_sweep",
    "simulate",
    "storms",
    "sweep",
    "write_geojson",
    "write_report",
]

_HOME = {
    "advice": ("Advice", "advise"),
    "assessment": ("Assessment", "assess"),
    "explorer": ("explore",),
    "explorer.survey": ("inspect_tackle",),
    "forecast": ("read_forecast",),
    "gales": ("Storms", "storms"),
    "geojson": ("read_dangers", "write_geojson"),
    "recommend": ("Recommendation", "recommendations"),
    "report": ("write_report",),
    "appraisal": ("Appraisal", "appraise"),
    "scenario": ("Scenario", "ScenarioError"),
    "sweeps": ("load_sweep", "save_sweep", "sweep"),
    "swing": ("Run", "simulate"),
    "variants": ("Comparison", "compare"),
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
