"""A boat lying to one anchor in gusts: how she swings, what the tackle carries, whether it holds."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from anchorsim import line
from anchorsim.gales import Storms, storms
from anchorsim.recommend import Recommendation, recommendations
from anchorsim.residual import Appraisal, appraise
from anchorsim.scenario import Scenario, ScenarioError
from anchorsim.swing import Run, simulate

if TYPE_CHECKING:
    from anchorsim.assessment import Assessment, assess
    from anchorsim.explorer import explore
    from anchorsim.explorer.survey import inspect_tackle
    from anchorsim.report import write_report

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


# Half a second or more of imports that not everybody needs.
_LATER = {
    "Assessment": "assessment",
    "assess": "assessment",
    "explore": "explorer",
    "write_report": "report",
    "inspect_tackle": "explorer.survey",
}


def __getattr__(name: str) -> Any:
    if name in _LATER:
        return getattr(import_module(f"anchorsim.{_LATER[name]}"), name)
    raise AttributeError(f"module 'anchorsim' has no attribute {name!r}")
