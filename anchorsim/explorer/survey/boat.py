"""The boat herself, as far as a surveyor knows her: the rest follows from the nearest of the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ipywidgets as widgets
from pydantic import ValidationError

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.tables import catalogue, table
from anchorsim.core.units import System
from anchorsim.explorer.controls import Control, choice, slider
from anchorsim.explorer.survey.drafts import first_problem
from anchorsim.explorer.survey.facts import line
from anchorsim.scenario.own_boat import own_boat
from anchorsim.scenario.scenario import Scenario, ScenarioError

_OF = "boat."
_QUESTIONS = {"rig": "Rig", "cover": "Shelter over the cockpit", "dinghy": "Dinghy"}
_KINDS = ("sailing yacht", "ketch", "motor cruiser", "catamaran")
_LIFTS = (
    ("not said", ""),
    ("windlass", "windlass"),
    ("one person by hand", "one person"),
    ("two people by hand", "two people"),
)


def boat() -> dict[str, list[Control]]:
    """The entries for the boat, in groups."""
    return {
        "Boat": [
            _name(),
            line("boat.type", "Type"),
            line("boat.hull_number", "Hull number"),
            line("boat.builder", "Builder"),
            line("boat.year", "Year"),
        ],
        "Measures": [
            choice("boat.kind", "Kind", [(kind, kind) for kind in _KINDS]),
            slider("boat.length", "Length overall", 4, 30),
            slider("boat.waterline", "Waterline length", 3, 28),
            slider("boat.beam", "Beam overall", 1, 15),
            slider("boat.displacement", "Displacement", 300, 80000),
            slider("boat.draught", "Draught", 0.3, 4),
            slider("boat.bow_height", "Freeboard at the bow", 0.3, 4),
        ],
        "On deck, for the wind": [_question(name, label) for name, label in _QUESTIONS.items()],
        "Anchoring": [
            choice("tackle.fittings.windlass.kind", "Windlass"),
            choice("survey.lifted_by", "Anchor lifted by", list(_LIFTS)),
            slider("survey.crew_lift", "Heaviest lift by the crew", 0, 100),
        ],
    }


def varied(scenario: Scenario, changes: Mapping[str, Any]) -> Scenario:
    """A scenario with paths changed; what is said of the boat takes with it all that follows.

    Raises ScenarioError where it does not fit.
    """
    said = {path.removeprefix(_OF): value for path, value in changes.items() if path.startswith(_OF)}
    others = {path: value for path, value in changes.items() if not path.startswith(_OF)}
    if not said:
        return scenario.vary(others)
    try:
        return scenario.vary({**others, "boat": own_boat(scenario.boat, said)})
    except ValidationError as error:
        path, wrong = first_problem(error)
        raise ScenarioError([(f"{_OF}{path}", wrong)]) from None
    except AnchorsimError as error:
        if isinstance(error, ScenarioError):
            raise
        raise ScenarioError([("boat", str(error))]) from None


def _name() -> Control:
    """Her name; blank while she has that of her model."""
    control = line("boat.name", "Name")

    def show(scenario: Scenario, system: System) -> None:
        assert isinstance(control.widget, widgets.Text)
        stock = str(catalogue()[scenario.boat.model]["name"])
        control.widget.value = "" if scenario.boat.name in (stock, "Boat") else scenario.boat.name

    return Control(control.path, control.widget, lambda: {"boat.name": control.widget.value or None}, show)


def _question(name: str, label: str) -> Control:
    rows = [(str(row["label"]), str(row["answer"])) for row in table("deck_gear") if row["question"] == name]
    return choice(f"boat.{name}", label, [("not said", ""), *rows])
