"""A boat lying to one anchor in gusts: how she swings, what the tackle carries, whether it holds."""

from anchorsim import line
from anchorsim.scenario import Scenario, ScenarioError
from anchorsim.swing import Run, simulate

__version__ = "0.1.0"
__all__ = ["Run", "Scenario", "ScenarioError", "line", "simulate"]
