"""The pages of the guided survey: whose it is, the boat, and one that turns from part to part."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

import ipywidgets as widgets

from anchorsim.core.tables import table
from anchorsim.core.units import System
from anchorsim.explorer.boxes import box
from anchorsim.explorer.controls import Control
from anchorsim.explorer.parts.fold import Fold
from anchorsim.explorer.survey import words
from anchorsim.explorer.survey.facts import facts, in_short
from anchorsim.explorer.survey.found import Found
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import Misfit
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording.cautions import on_part
from anchorsim.wording.findings import part as label

PARTS = tuple(str(row["part"]) for row in table("parts"))


class Group:
    """Entries that fold away under a headline which tells them."""

    def __init__(self, title: str, controls: Sequence[Control] = (), *, unfolded: bool = True) -> None:
        self.controls = list(controls)
        self.fold = Fold(title=title, unfolded=unfolded)
        self.widget = box("anchorsim-group")
        self.hold(controls)

    def hold(self, controls: Sequence[Control]) -> None:
        """Other entries in place of these."""
        self.controls = list(controls)
        self.widget.children = (self.fold, *(control.widget for control in controls))

    def show(self, scenario: Scenario, system: System, but: Collection[str]) -> None:
        """Put the scenario into the entries, ``but`` for the paths whose change waits to be possible."""
        for control in self.controls:
            if control.path not in but:
                control.show(scenario, system)
        self.fold.headline = in_short(self.controls)


class Page:
    """A page of groups of entries, with what is said over them."""

    def __init__(
        self, say: Callable[[Scenario], str], groups: Mapping[str, Sequence[Control]], picture: str = ""
    ) -> None:
        self._say, self._said = say, widgets.HTML()
        self.groups = [Group(title, controls) for title, controls in groups.items()]
        look = [self._said, *([widgets.HTML(words.plain_figure(picture))] if picture else [])]
        self.entries = box("anchorsim-facts", [group.widget for group in self.groups])
        self.widget = box("anchorsim-part", [box("anchorsim-look", look), self.entries])

    @property
    def controls(self) -> list[Control]:
        """All of its entries."""
        return [control for group in self.groups for control in group.controls]

    def show(self, scenario: Scenario, system: System, but: Collection[str]) -> None:
        """Put the scenario on the page."""
        self._said.value = self._say(scenario)
        for group in self.groups:
            group.show(scenario, system, but)


class PartPage:
    """The page of the part that is open: its drawing, its details, its findings."""

    def __init__(self, found: Found) -> None:
        self.part = ""
        self.head, self.mind = widgets.HTML(), widgets.HTML()
        self.picture, self.now = widgets.HTML(), widgets.HTML()
        self.details = Group("Details", unfolded=False)
        self._known: dict[str, list[Control]] = {}
        look = box("anchorsim-look", [self.picture, self.details.widget])
        column = box("anchorsim-found-column", [self.mind, found])
        self.widget = box("anchorsim-part", [self.head, column, look, self.now])
        self.head.add_class("anchorsim-title")

    def turn(self, part: str) -> list[Control]:
        """Turn to a part; gives the entries that are new."""
        self.part, new = part, part not in self._known
        controls = self._known.setdefault(part, facts(part) if new else [])
        self.details.hold(controls)
        return controls if new else []

    def show(self, scenario: Scenario, places: Collection[int], system: System, but: Collection[str]) -> None:
        """Put the scenario on the page; ``places`` of the drawing are those with a fault."""
        self.details.show(scenario, system, but)
        fold = self.details.fold
        fold.headline = words.details(fold.headline, self.part in scenario.survey.seen)
        number = PARTS.index(self.part) + 1
        self.head.value = words.title(number, label(self.part, system))
        self.mind.value = words.cautions(on_part(self.part, system))
        self.picture.value = words.figure(self.part, places)

    def tell(self, found: Appraisal, wrong: Sequence[Misfit], system: System) -> None:
        """Say what the part carries under both loads, its strength left, and what does not match."""
        mine = [entry for entry in wrong if entry.part == self.part]
        self.now.value = words.in_line(self.part, found, system) + words.mismatches(mine, system)
