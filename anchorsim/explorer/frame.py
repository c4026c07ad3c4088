"""The frame of the explorer: head, strip, entries, pages.  It holds the widgets and lays them out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from anchorsim.core.units import quantity, si, unit_in
from anchorsim.explorer.around import RoundHer
from anchorsim.explorer.boxes import box
from anchorsim.explorer.controls import Control, groups
from anchorsim.explorer.files import Files
from anchorsim.explorer.kept import LETTERS, State
from anchorsim.explorer.odds import BAD, FIRST, MEDIAN
from anchorsim.explorer.parts.amount import Amount
from anchorsim.explorer.parts.fold import Fold
from anchorsim.explorer.parts.head import Head
from anchorsim.explorer.parts.strip import Strip
from anchorsim.explorer.player import Player
from anchorsim.explorer.start import Start
from anchorsim.explorer.words import plain, standing_cautions, style
from anchorsim.figures import VIEWS
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.amounts import counted
from anchorsim.wording.glance import STRETCHES, lasting
from anchorsim.wording.pages import PAGES, STARTING

SPELLS = [("first", FIRST), ("median", MEDIAN), ("1 in 20 is worse", BAD)]
PRESENTED = 1.5  # times larger while presenting: 18 px and 3 px at the least, as the style sheet's --k
CHOSEN = 3  # entries in sight while presenting
_UNITS = {"metric": "kn · m · kN", "US": "kn · ft · lbf"}
_SHEETS = (
    "look.css", "explorer.css", "parts/around.css", "parts/cards.css", "start.css", "lessons/lessons.css",
)  # fmt: skip


class Frame:
    """All widgets of the explorer; ``children`` is what the screen holds."""

    def __init__(
        self,
        odds: widgets.Box,
        night: widgets.Box,
        compare: widgets.Box,
        survey: widgets.Box,
        lessons: widgets.Box,
        files: Files,
        around: RoundHer,
    ) -> None:
        self.head, self.strip, self.player = Head(page="swing"), Strip(), Player()
        self.groups, self.views = groups(), {name: box(name) for name in VIEWS}
        self.stretch = widgets.Dropdown(
            description="Blows for",
            options=[(lasting(one), one) for one in STRETCHES],
            tooltip="How long this weather lasts: the chance is for so long",
            layout={"width": "auto"},
            style={"description_width": "104px"},
        )
        self.room = Amount(
            label="Clear radius",
            unit="m",
            low=1.0,
            high=200.0,
            step=5.0,
            value=None,
            blank="unlimited",
            help="From the anchor to the nearest danger; blank = unlimited",
        )
        self.spell = widgets.Dropdown(
            description="Spell",
            options=SPELLS,
            value=FIRST,
            tooltip="Which of the spells the picture plays",
            layout={"width": "auto"},
            style={"description_width": "initial"},
        )
        self.played = widgets.HTML()
        self.folds = {name: Fold(title=name) for name in (*self.groups, "Round her")}
        more: dict[str, list[widgets.Widget]] = {
            "Wind": [self.stretch],
            "Round her": [self.room, *around.widgets],
        }
        self._boxes = {
            name: box(
                "anchorsim-group",
                [fold, *(one.widget for one in self.groups.get(name, ())), *more.get(name, ())],
            )
            for name, fold in self.folds.items()
        }
        labels = [(f"{name}: {one.label}", one.path) for name, held in self.groups.items() for one in held]
        self.choices = [
            widgets.Dropdown(
                options=labels, description="Entry", tooltip="The entry that is in sight while presenting"
            )
            for _ in range(CHOSEN)
        ]
        self._slots = [box("anchorsim-slot", [choice]) for choice in self.choices]
        self.drawer = box("anchorsim-drawer", files.widgets)
        self._drawn(False)
        self.index = Start()
        pages = {"odds": odds, "night": night, "compare": compare, "survey": survey, "lessons": lessons}
        self.children = self._laid_out(pages)

    def _laid_out(self, others: dict[str, widgets.Box]) -> list[widgets.Widget]:
        above, side, load, parts = self.views.values()
        bar = box("anchorsim-playbar", [self.player, self.spell, self.played])
        time = box("anchorsim-time", [bar, load])
        waits = _named(widgets.HTML(plain(" ".join((f"{STARTING[0]}.", STARTING[1])))), "anchorsim-preparing")
        swing = box("anchorsim-stage", [above, side, parts, time, waits])
        pages = {"swing": swing, **others}
        for name, page in pages.items():
            page.add_class("anchorsim-sheet").add_class(f"anchorsim-on-{name}")
        sheets = style(*(Path(__file__).parent / name for name in _SHEETS))
        return [
            widgets.HTML(sheets, layout={"display": "none"}),
            _named(self.head, "anchorsim-head"),
            _named(self.strip, "anchorsim-strip"),
            box("anchorsim-chosen", self._slots),
            box("anchorsim-inputs", [*self._boxes.values(), widgets.HTML(standing_cautions())]),
            _named(self.index, "anchorsim-index-place"),
            *pages.values(),
            self.drawer,
        ]

    @property
    def scale(self) -> float:
        """How much larger than at a desk everything is drawn."""
        return PRESENTED if self.head.presenting else 1.0

    @property
    def controls(self) -> list[Control]:
        """All controls of all groups."""
        return [control for held in self.groups.values() for control in held]

    def show(self, state: State) -> None:
        """Put what a person made of the screen into the head and the groups."""
        history, kept = state.history, len(state.kept)
        notes = [f"{counted(kept, 'set-up', 'set-ups')} kept" if kept else ""]
        notes.insert(0, f"saved as {state.file}" if state.file else "")
        with self.head.hold_sync():
            self.head.title, self.head.note = history.now.title, " · ".join(filter(None, notes))
            self.head.pages = [list(page) for page in PAGES]
            self.head.page = state.page if state.page in {page[0] for page in PAGES} else "swing"
            own = state.page == "survey"  # which undoes what is deleted by itself
            self.head.actions = [
                ["files", "Open…", "Open or save a scenario, bring a wind record", True],
                ["keep", "Keep this one", "Keep this set-up to compare others with", kept < len(LETTERS)],
                ["undo", "Undo", "Undo the last change (Ctrl+Z)", bool(history.past) and not own],
                ["redo", "Redo", "Redo what was undone (Ctrl+Shift+Z)", bool(history.future) and not own],
                ["units", _UNITS[state.system], "Switch between metric and US units", True],
                ["present", "Present", "Large, for a projector", True],
            ]
        self.index.show(state)
        if self.stretch.value != state.stretch:
            self.stretch.value = state.stretch
        for name, fold in self.folds.items():
            if fold.unfolded != (name in state.open):
                fold.unfolded = name in state.open
        for choice, path in zip(self.choices, state.chosen, strict=False):
            if choice.value != path and path in {known for _, known in choice.options}:
                choice.value = path
        self._fill_slots()

    def show_scenario(self, scenario: Scenario, state: State, but: frozenset[str]) -> None:
        """Put a scenario into the controls, ``but`` for some paths, and show those that have an effect."""
        for control in self.controls:
            if control.path not in but:
                control.show(scenario, state.system)
            serves = control.serves(scenario)
            if (control.widget.layout.display == "none") == serves:
                control.widget.layout.display = None if serves else "none"
        self._show_room(state)

    def _show_room(self, state: State) -> None:
        unit = unit_in("m", state.system)
        per = float(quantity(1.0, "m").m_as(unit))
        with self.room.hold_sync():
            self.room.unit, self.room.step = unit, 5.0 if unit == "m" else 20.0
            self.room.low, self.room.high = per * 1.0, per * 200.0
            self.room.value = None if state.clear_radius is None else per * state.clear_radius

    def clear_radius(self) -> float | None:
        """Free water about the anchor as entered, m; None where it was left blank."""
        return None if self.room.value is None else si(quantity(self.room.value, self.room.unit))

    def open_groups(self) -> tuple[str, ...]:
        """The groups that are not folded."""
        return tuple(name for name, fold in self.folds.items() if fold.unfolded)

    def chosen(self) -> tuple[str, ...]:
        """The paths of the entries in sight while presenting."""
        return tuple(choice.value for choice in self.choices)

    def toggle_drawer(self) -> None:
        """Open or close what files are opened and saved with."""
        self._drawn(self.drawer.layout.display == "none")

    def _drawn(self, open_: bool) -> None:
        self.drawer.layout.display = None if open_ else "none"

    def _fill_slots(self) -> None:
        known = {control.path: control.widget for control in self.controls}
        for slot, choice in zip(self._slots, self.choices, strict=True):
            if slot.children[1:] != (known[choice.value],):
                slot.children = (choice, known[choice.value])


def _named(widget: Any, name: str) -> Any:
    widget.add_class(name)
    return widget
