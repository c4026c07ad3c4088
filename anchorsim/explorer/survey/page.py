"""The pages of the guided survey: the one that says whose it is, and one for each part."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

import ipywidgets as widgets

from anchorsim.core.tables import table
from anchorsim.core.units import System
from anchorsim.explorer.boxes import box
from anchorsim.explorer.controls import Control
from anchorsim.explorer.survey.cards import FindingCard, Wishes
from anchorsim.explorer.survey.facts import about, facts
from anchorsim.explorer.survey.part_drawings import place_of
from anchorsim.explorer.survey.words import (
    about_survey,
    cautions,
    figure,
    in_line,
    mismatches,
    plain_figure,
    title,
)
from anchorsim.explorer.words import title as heading
from anchorsim.scenario.findings import kinds_on
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.compatibility import Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.wording.cautions import on_part
from anchorsim.wording.findings import part as label


@dataclass
class Page:
    """A page: its controls for the facts, its cards for the findings."""

    part: str
    widget: widgets.Box
    controls: list[Control]
    cards: list[FindingCard] = field(default_factory=list)
    column: widgets.Box = field(default_factory=widgets.Box)
    seen: widgets.ToggleButton | None = None
    picture: widgets.HTML = field(default_factory=widgets.HTML)
    now: widgets.HTML = field(default_factory=widgets.HTML)
    head: widgets.HTML = field(default_factory=widgets.HTML)
    mind: widgets.HTML = field(default_factory=widgets.HTML)

    def show(
        self, scenario: Scenario, effects: Sequence[Effect], system: System, but: Collection[str]
    ) -> None:
        """Put the scenario on the page, ``but`` for the paths whose change waits to be possible."""
        for control in self.controls:
            if control.path not in but:
                control.show(scenario, system)
        if self.part:
            order = [str(row["part"]) for row in table("parts")]
            self.head.value = title(order.index(self.part) + 1, len(order), label(self.part, system))
            self.mind.value = cautions(on_part(self.part, system))
        if not self.cards:
            return
        if self.seen is not None:
            self.seen.value = self.part in scenario.survey.seen
            self.seen.disabled = any(entry.finding.part == self.part for entry in effects)
        mine: dict[str, list[Effect]] = {}
        for found in effects:
            if found.finding.part == self.part:
                mine.setdefault(found.finding.kind, []).append(found)
        for kind, entries in mine.items():
            while sum(card.kind == kind for card in self.cards) < len(entries):
                self.add(kind)
        for card in self.cards:
            mine_here = mine.get(card.kind, [])[card.turn : card.turn + 1]
            entry = mine_here[0] if mine_here else None
            card.show(entry.finding if entry else None, entry, scenario, system)
        self._lay_out([card for card in self.cards if card.turn == 0 or card.found.value])
        places = {number for kind in mine if (number := place_of(self.part, kind))}
        self.picture.value = figure(self.part, places)

    def add(self, kind: str) -> FindingCard:
        """A further card for a kind of finding, after those that it has."""
        last = max(i for i, card in enumerate(self.cards) if card.kind == kind)
        more = self.cards[last].another()
        self._lay_out([*self.cards[: last + 1], more, *self.cards[last + 1 :]])
        return more

    def _lay_out(self, cards: list[FindingCard]) -> None:
        self.cards = cards
        if self.column.children != tuple(cards):
            self.column.children = tuple(cards)

    def tell(self, part: PartState | None, wrong: Sequence[Misfit], system: System) -> None:
        """Say what the part carries, its strength left, and what about it does not match."""
        if self.cards:
            self.now.value = in_line(self.part, part, system) + mismatches(wrong, system)


def about_page() -> Page:
    """Whose survey it is, and what the loads are calculated for."""
    controls = about()
    picture = widgets.HTML(plain_figure("about"))
    inputs = box("anchorsim-facts", [control.widget for control in controls])
    what = box("anchorsim-look", [widgets.HTML(about_survey()), picture])
    return Page("", box("anchorsim-part", [what, inputs]), controls)


def part_page(part: str, wishes: Wishes) -> Page:
    """A part: drawing, facts, and a card for each kind of finding, in the order of the places to look."""
    kinds = sorted(kinds_on(part), key=lambda kind: place_of(part, kind) or 99)
    cards = [FindingCard(part, kind, 0, place_of(part, kind), wishes) for kind in kinds]
    controls = facts(part)
    page = Page(part, widgets.Box([]), controls, cards, box("anchorsim-cards", cards))
    page.head.add_class("anchorsim-title")
    what = box("anchorsim-facts", [widgets.HTML(heading("Details")), *(c.widget for c in controls)])
    look = box("anchorsim-look", [page.picture, page.now, what])
    page.seen = widgets.ToggleButton(description="Inspected", tooltip="with the faults recorded below")
    page.seen.observe(lambda change: wishes.over(lambda: wishes.looked(part, change["new"])), "value")
    seen = box("anchorsim-card", [page.seen])
    mind = [page.mind] if on_part(part) else []
    faults = widgets.HTML(heading("Faults: tap what you find"))
    found = box("anchorsim-cards", [*mind, faults, seen, page.column])
    page.widget = box("anchorsim-part", [page.head, look, found])
    return page
