"""The page of comparison: the set-ups that are kept and the one on screen, with their figures as bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from anchorsim.core.units import System
from anchorsim.explorer.kept import LETTERS
from anchorsim.explorer.planning.outlook import Outlook, Row, Told
from anchorsim.explorer.planning.parts import SetUpLanes
from anchorsim.explorer.planning.together import Together, forecasts
from anchorsim.figures import drawn_as, units_of
from anchorsim.figures.style import Units
from anchorsim.planning.choice import Option
from anchorsim.planning.night import Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT
from anchorsim.wording import glance, set_ups
from anchorsim.wording.amounts import NONE, upper

_LEAST = (0.2, 0.0, 0.0, 1.0)  # what the axes reach to in any case: chance, load, radius, share of WLL
_WIDEST = 2.0  # times the highest figure that an axis reaches to for the sake of a range
_LIMITS = (LIMIT, None, None, 1.0)


class ComparePage(Together):
    """A lane for each set-up; each can be shown, renamed and removed, and the one on screen kept."""

    def __init__(self, outlook: Outlook) -> None:
        self.through = widgets.Dropdown(
            description="Through",
            options=forecasts(""),
            tooltip="What all set-ups are simulated in: the weather on screen, or a forecast hour by hour",
            style={"description_width": "initial"},
        )
        self.lanes = SetUpLanes()
        self._showing = False
        super().__init__(outlook, [self.through], [self.lanes, widgets.HTML(set_ups.FAILING)])
        over = outlook.pace.hand_over
        self.through.observe(lambda change: over(lambda: self._choose(change["new"])), "value")
        self.lanes.on_msg(lambda _, content, __: over(lambda: self._do(content)))

    def list(self) -> None:
        """What a person made of the screen has changed."""
        self.changed()

    def tell(self) -> None:
        """Tell what was found, in the units and colours of the screen."""
        self._show_choice()
        rows, told, system = self.outlook.rows(), self.outlook.told, self.screen.state.system
        options = {} if told is None else self.options(told)
        bars = {row.letter: self._bars(row, told, options) for row in rows}
        tops = [_top(place, [each[place] for each in bars.values() if each]) for place in range(len(_LEAST))]
        gists = set_ups.gists([row.scenario for row in rows], system)
        lanes = [
            self._lane(row, gist, told, options)
            | {"bars": [_drawn(bar, top) for bar, top in zip(bars[row.letter], tops, strict=False)]}
            for row, gist in zip(rows, gists, strict=True)
        ]
        super().tell()
        with self.lanes.hold_sync():
            self.lanes.axes = _axes(tops, units_of(system))
            self.lanes.set_ups = lanes

    def _show_choice(self) -> None:
        stretch = glance.lasting(self.screen.state.stretch)
        options, chosen = forecasts(f"the weather on screen, {stretch}"), self.screen.state.forecast
        self._showing = True
        try:
            if list(self.through.options) != options:
                self.through.options = options
            self.through.value = chosen if chosen in {name for _, name in options} else ""
        finally:
            self._showing = False

    def _choose(self, name: str | None) -> None:
        if not self._showing and name is not None:
            self.screen.remember(forecast=name)

    def _do(self, content: dict[str, Any]) -> None:
        letter, screen = str(content.get("letter", "")), self.screen
        kept = {one.letter: one for one in screen.kept}
        action = content.get("do")
        if action == "keep":
            screen.keep()
        elif letter in kept:
            if action == "show":
                one = kept[letter]
                screen.remember(clear_radius=one.clear_radius)
                screen.show(one.scenario)
            elif action == "remove":
                screen.let_go(letter)
            elif action == "rename":
                screen.rename(letter, str(content.get("name", "")))

    def _bars(self, row: Row, told: Told | None, options: dict[str, Option]) -> tuple[set_ups.Bar, ...]:
        system: System = self.screen.state.system
        result = None if told is None else told.found.get(row.letter)
        if isinstance(result, Night):
            return set_ups.night_bars(options[row.letter], result, system)
        if isinstance(result, Assessment):
            return set_ups.bars(options[row.letter], result, system)
        return ()

    def _lane(
        self, row: Row, gist: tuple[str, str], told: Told | None, options: dict[str, Option]
    ) -> dict[str, Any]:
        result = None if told is None else told.found.get(row.letter)
        word, tone, said = "", "none", []
        if isinstance(result, Night):
            word, tone = set_ups.night_word(options[row.letter], result)
            said.append(set_ups.deadline(result))
        elif isinstance(result, Assessment):
            word, tone = glance.word_of(result, options[row.letter].fails)
        colour, dash = drawn_as(row.letter, self.screen.look)
        facts = [each for each in gist if upper(each) != row.name]
        return {
            "letter": row.letter,
            "name": row.name,
            "gist": ". ".join(filter(None, [*said, "On screen" if row.here else "", *map(upper, facts)])),
            "colour": colour,
            "dash": dash,
            "word": word,
            "tone": tone,
            "problem": row.problem or (str(result) if isinstance(result, Exception) else ""),
            "kept": row.kept,
            "here": row.here,
            "free": len(self.screen.kept) < len(LETTERS),
        }


def _axes(tops: Sequence[float], units: Units) -> list[dict[str, Any]]:
    return [
        {"title": title, "top": _end(place, top, units), "limit": _share(limit, top)}
        for place, (title, top, limit) in enumerate(zip(set_ups.TITLES, tops, _LIMITS, strict=True))
    ]


def _drawn(bar: set_ups.Bar, top: float) -> dict[str, Any]:
    low, likely, high = (_share(end, top) for end in bar.shown)
    words = {"value": bar.value, "note": bar.note, "tone": bar.tone}
    return {**words, "low": low, "likely": likely, "high": high}


def _top(place: int, bars: list[set_ups.Bar]) -> float:
    """Where an axis ends: beyond all figures and their ranges, save a range that would dwarf the figures."""
    likely = [bar.shown.likely for bar in bars if math.isfinite(bar.shown.likely)]
    highs = [bar.shown.high for bar in bars if math.isfinite(bar.shown.high)]
    most = max([min(max([*highs, 0.0]), _WIDEST * max([*likely, 0.0])), *likely, _LEAST[place]])
    return min(most, 1.0) if place == 0 else 1.05 * most


def _end(place: int, top: float, units: Units) -> str:
    if top <= 0.0:
        return NONE
    if place in (0, 3):
        return f"{100.0 * top:.0f}" + ("" if place == 0 else " %")
    return f"{(units.force if place == 1 else units.length).text(top)}"


def _share(value: float | None, top: float) -> float | None:
    if value is None or top <= 0.0:
        return None
    return min(max(value / top, 0.0), 1.0) if math.isfinite(value) else 1.0
