"""One finding as a card: found or not, how bad, what was measured, a note, photographs.

A card records nothing until all that its kind asks for is there: nobody's measurement is made up.  What was
entered stays on the card while a finding is taken back, so that a slip of the finger loses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets as widgets
import traitlets
from pydantic import ValidationError

from anchorsim.core.units import Measure, Quantity, System, quantity, si, sign, unit_in
from anchorsim.explorer.amount import Amount
from anchorsim.explorer.survey.words import about_finding, effect_text
from anchorsim.explorer.words import paragraph
from anchorsim.scenario.findings import Finding, grades_of, measure_of, rows_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import Effect
from anchorsim.wording.amounts import upper
from anchorsim.wording.findings import title

_CIRCLED = " ①②③④⑤⑥⑦⑧⑨"
_STEPS = {"mm": 0.1, "in": 0.005, "percent": 0.5, "micrometer": 5.0}
# what a part measures as new, where its own size says so.
_SOUND: dict[str, Callable[[Scenario, str], Quantity]] = {
    "section": lambda scenario, part: quantity(
        _fitting(scenario, part).row(float(scenario.tackle.chain.row()["diameter"]))["diameter"], "m"
    ),
    "link wear": lambda scenario, part: quantity(float(scenario.tackle.chain.row()["diameter"]), "m"),
    "rope wear": lambda scenario, part: (
        scenario.tackle.rope.diameter if part == "rope" else scenario.tackle.snubber.diameter
    ),
}


class Photos(anywidget.AnyWidget):
    """Photographs of a finding; the browser sends ``{"name"}`` with the content, or ``{"drop": name}``."""

    _esm = Path(__file__).with_name("photos.js")

    # {"name", "content"} each, the content empty where the file is missing
    photographs: Any = traitlets.List([]).tag(sync=True)


@dataclass(frozen=True)
class Wishes:
    """What a card asks of the screen that it is on."""

    over: Callable[[Callable[[], None]], None]
    opened: Callable[[FindingCard], None]
    changed: Callable[[FindingCard], None]
    another: Callable[[FindingCard], None]
    looked: Callable[[str, bool], None]
    say: Callable[[str], None]
    keep_photograph: Callable[[bytes, str, str], str | None]
    photograph: Callable[[str], bytes | None]


class Entry(widgets.Box):
    """What a finding is recorded with: grade, measure, note and photographs, and what it means."""

    def __init__(self, kind: str) -> None:
        grades = [grade for grade in grades_of(kind) if grade]
        self.grade = widgets.ToggleButtons(options=grades, value=None) if grades else None
        self.amount = Amount() if measure_of(kind) else None
        self.record = widgets.Button(description="Record fault")
        self.another = widgets.Button(
            description="Add another place", tooltip="for the same fault elsewhere on this part"
        )
        self.missing, self.effect = widgets.HTML(), widgets.HTML()
        self.note = widgets.Textarea(placeholder="Note", rows=2, layout={"width": "auto"})
        self.photos = Photos()
        self._shown: tuple[widgets.Widget, ...] = ()
        super().__init__([])
        self.add_class("anchorsim-entry")
        self.record.add_class("anchorsim-primary")

    def assemble(self, recorded: bool) -> None:
        """Show what is there to be filled in."""
        shown = [widget for widget in (self.grade, self.amount) if widget is not None]
        shown += [self.effect, self.note, self.photos, self.another] if recorded else [self.missing]
        if self.amount is not None and not recorded:
            shown.append(self.record)
        if tuple(shown) != self._shown:
            self._shown = self.children = tuple(shown)
        self.missing.value = "" if recorded else paragraph(f"Not recorded. {self._wanted()}.")

    def _wanted(self) -> str:
        grade = ["choose a grade"] if self.grade is not None and self.grade.value is None else []
        measure = ["enter the measurement, then tap Record fault"] if self.amount is not None else []
        return upper(", ".join([*grade, *measure]))


class FindingCard(widgets.Box):
    """A kind of finding on a part.  ``finding`` is what is recorded of it, None where nothing is.

    ``turn`` counts from 0 the places in which the same kind is found on the part, each on a card of its own.
    ``entry`` is made once the card is tapped: most never are, and a page must come at once.
    """

    def __init__(self, part: str, kind: str, turn: int, place: int | None, wishes: Wishes) -> None:
        self.part, self.kind, self.turn = part, kind, turn
        self.finding: Finding | None = None
        self.entry: Entry | None = None
        self._place, self._wishes, self._showing = place, wishes, False
        self._draft: dict[str, Any] = {"grade": "", "measured": None, "note": "", "photographs": ()}
        self._measure: Measure | None = measure_of(kind)
        self._unit = ""
        self.found, self._about = widgets.ToggleButton(), widgets.HTML()
        self._head, self._open = (self.found, *([] if turn else [self._about])), False
        self._name("metric")
        super().__init__(self._head)
        self.add_class("anchorsim-card")
        self.found.observe(lambda _: wishes.over(self._toggled), "value")

    @property
    def label(self) -> str:
        """What it is called."""
        return title(self.kind)

    def _name(self, system: System) -> None:
        number = f"{_CIRCLED[self._place]} " if self._place else ""
        again = f", place {self.turn + 1}" if self.turn else ""
        self.found.description = f"{number}{title(self.kind, system)}{again}"
        self._about.value = about_finding(self.kind, system)

    def show(
        self, finding: Finding | None, effect: Effect | None, scenario: Scenario, system: System
    ) -> None:
        """Put what is recorded, and what it means, on the card; without it an unfinished entry stays."""
        self._showing = True
        try:
            self._name(system)
            if finding is not None:
                self._draft = {name: getattr(finding, name) for name in self._draft}
                self.found.value = True
            elif self.finding is not None:
                self.found.value = False
            self.finding = finding
            if self.found.value:
                entry = self._opened()
                self._show_entry(entry, scenario, system)
                entry.effect.value = effect_text(effect, system) if effect else ""
            self._lay_out()
        finally:
            self._showing = False

    def another(self) -> FindingCard:
        """A card for the same kind in a further place on the part."""
        return FindingCard(self.part, self.kind, self.turn + 1, self._place, self._wishes)

    def _opened(self) -> Entry:
        if self.entry is not None:
            return self.entry
        entry, over = Entry(self.kind), self._wishes.over
        if entry.grade is not None:
            entry.grade.observe(lambda _: over(self._graded), "value")
        if entry.amount is not None:
            entry.amount.observe(lambda _: over(self._moved), "value")
        entry.record.on_click(lambda _: over(self._record))
        entry.another.on_click(lambda _: over(lambda: self._wishes.another(self)))
        entry.note.observe(lambda _: over(self._noted), "value")
        entry.photos.on_msg(lambda _, content, buffers: over(lambda: self._pictured(content, buffers)))
        self.entry = entry
        return entry

    def _show_entry(self, entry: Entry, scenario: Scenario, system: System) -> None:
        if entry.grade is not None:
            entry.grade.value = self._draft["grade"] or None
        if entry.note.value != self._draft["note"]:
            entry.note.value = self._draft["note"]
        if entry.amount is not None and self._measure is not None:
            self._show_amount(entry.amount, self._measure, scenario, system)
        names = [shown["name"] for shown in entry.photos.photographs]
        if names != list(self._draft["photographs"]):
            entry.photos.photographs = [
                {"name": name, "content": self._wishes.photograph(name) or b""}
                for name in self._draft["photographs"]
            ]

    def _show_amount(self, amount: Amount, measure: Measure, scenario: Scenario, system: System) -> None:
        unit = unit_in(measure.unit, system) if measure.unit else ""
        held = self._draft["measured"]
        if held is None and amount.label and unit == self._unit:
            return  # an entry that is not recorded yet
        shown = held if held is not None else self._sound(measure, scenario)
        with amount.hold_sync():
            amount.label, self._unit = measure.label, unit
            amount.unit, amount.step = sign(unit), _STEPS.get(unit, 1.0)
            amount.low, amount.high = (_in(bound, measure.unit, unit) for bound in _ends(measure, shown))
            amount.value = float(shown.m_as(unit)) if unit else float(shown)

    def _sound(self, measure: Measure, scenario: Scenario) -> Any:
        law = str(rows_of(self.kind)[0].get("law", ""))
        if law in _SOUND:
            return _SOUND[law](scenario, self.part)
        return quantity(0.0, measure.unit) if measure.unit else 0.0

    def _lay_out(self) -> None:
        (self.add_class if self.finding else self.remove_class)("anchorsim-found")
        shown = self.entry is not None and self.found.value
        if shown != self._open:
            self._open = shown
            self.children = (*self._head, self.entry) if shown else self._head
        if self.entry is not None:
            self.entry.assemble(self.finding is not None)

    def _toggled(self) -> None:
        if self._showing:
            return
        if self.found.value:
            self._wishes.opened(self)
            self._commit()
        else:
            self.finding = None
            self._wishes.changed(self)
        self._lay_out()

    def _graded(self) -> None:
        if not self._showing and self.entry is not None and self.entry.grade is not None:
            self._draft["grade"] = self.entry.grade.value or ""
            self._commit()
            self._lay_out()

    def _moved(self) -> None:
        if not self._showing and self.finding is not None:
            self._draft["measured"] = self._entered()
            self._commit()

    def _record(self) -> None:
        if self._ungraded:
            self._wishes.say(f"{self.label}: no grade. Choose one of {', '.join(grades_of(self.kind))}.")
            return
        self._draft["measured"] = self._entered()
        self._commit()
        self._lay_out()

    def _noted(self) -> None:
        if not self._showing and self.finding is not None and self.entry is not None:
            self._draft["note"] = self.entry.note.value
            self._commit()

    def _pictured(self, content: Any, buffers: Sequence[Any]) -> None:
        held: tuple[str, ...] = self._draft["photographs"]
        if not isinstance(content, dict) or self.finding is None:
            return
        if "drop" in content:
            self._draft["photographs"] = tuple(name for name in held if name != content["drop"])
        elif buffers:
            name = self._wishes.keep_photograph(bytes(buffers[0]), str(content.get("name", "")), self.part)
            if name is None:
                return
            self._draft["photographs"] = (*held, name)
        self._commit()

    @property
    def _ungraded(self) -> bool:
        return grades_of(self.kind) != [""] and not self._draft["grade"]

    def _entered(self) -> Any:
        if self.entry is None or self.entry.amount is None:
            return None
        value = self.entry.amount.value
        return quantity(value, self._unit) if self._unit else value

    def _commit(self) -> None:
        """Record the entry, where all that its kind asks for is there."""
        if self._ungraded or (self._measure is not None and self._draft["measured"] is None):
            return
        try:
            found = Finding.model_validate({"kind": self.kind, "part": self.part, **self._draft})
        except ValidationError as error:
            self._wishes.say(f"{self.label}: {_sentence(error)}")
            return
        self.finding = found
        self._wishes.changed(self)


def _fitting(scenario: Scenario, part: str) -> Any:
    fittings = scenario.tackle.fittings
    return fittings.swivel if part == "swivel" else fittings.anchor_shackle


def _in(value: float, unit: str, other: str) -> float:
    return value if unit == other else float(quantity(value, unit).m_as(other))


def _ends(measure: Measure, shown: Any) -> tuple[float, float]:
    """Where the slider runs: what is allowed, but no farther than twice a size that a new part has."""
    if measure.unit == "mm":
        return measure.low, min(measure.high, 1.5 * si(shown) * 1000)
    return measure.low, measure.high


def _sentence(error: ValidationError) -> str:
    first = error.errors()[0]
    context = first.get("ctx", {})
    return str(context.get("sentence") or context.get("error") or first["msg"])
