"""A boat lying to one anchor in gusts: how she swings, what the tackle carries, whether it holds.

What is public is imported when it is first asked for: the server that opens the explorer needs none of it,
and the whole takes two seconds.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from anchorsim import line
    from anchorsim.assessment import Assessment, assess
    from anchorsim.explorer import explore
    from anchorsim.explorer.survey import inspect_tackle
    from anchorsim.gales import Storms, storms
    from anchorsim.recommend import Recommendation, recommendations
    from anchorsim.report import write_report
    from anchorsim.residual import Appraisal, appraise
    from anchorsim.scenario import Scenario, ScenarioError
    from anchorsim.swing import Run, simulate

__version__ = "0.1.0"
__all__ = [
    "Appraisal",
    "Assessment",
    "Recommendation",
    "Run",
    "Scenario",
    "ScenarioError",
    "Storms",
    "appraise",
    "assess",
    "explore",
    "inspect_tackle",
    "line",
    "recommendations",
    "simulate",
    "storms",
    "write_report",
]

_HOME = {
    "assessment": ("Assessment", "assess"),
    "explorer": ("explore",),
    "explorer.survey": ("inspect_tackle",),
    "gales": ("Storms", "storms"),
    "recommend": ("Recommendation", "recommendations"),
    "report": ("write_report",),
    "residual": ("Appraisal", "appraise"),
    "scenario": ("Scenario", "ScenarioError"),
    "swing": ("Run", "simulate"),
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
