"""A boat lying to one anchor in gusts: how she swings, what the tackle carries, whether it holds."""

from typing import TYPE_CHECKING, Any

from anchorsim import line
from anchorsim.gales import Storms, storms
from anchorsim.scenario import Scenario, ScenarioError
from anchorsim.swing import Run, simulate

if TYPE_CHECKING:
    from anchorsim.explorer import explore

__version__ = "0.1.0"
__all__ = ["Run", "Scenario", "ScenarioError", "Storms", "explore", "line", "simulate", "storms"]


def __getattr__(name: str) -> Any:
    if name == "explore":  # a second of imports that only a notebook needs
        from anchorsim.explorer import explore  # noqa: PLC0415

        return explore
    raise AttributeError(f"module 'anchorsim' has no attribute {name!r}")
