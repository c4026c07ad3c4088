"""Planning beneath the views: odds and limits, what helps, what matters, and set-ups side by side.

Each of them takes seconds.  It runs on a thread, says how far it is, can be stopped, and what it says stays
marked as being for the scenario that it was asked of.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from concurrent.futures import CancelledError
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.units import System, quantity, si, unit_in
from anchorsim.explorer.amount import Amount
from anchorsim.explorer.boxes import box
from anchorsim.explorer.live_figure import LiveFigure
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.planning.answer import Answer, Answering, Work, button, words
from anchorsim.explorer.planning.night import COUNT as IN_AN_HOUR
from anchorsim.explorer.planning.night import Nights
from anchorsim.explorer.planning.words import advised, compared, listed, outcome_and_limits, stale, title
from anchorsim.explorer.words import paragraph, problem
from anchorsim.figures import Theme, side_by_side, units_of, what_matters
from anchorsim.planning.advice import Advice, advise
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.risk.comparison import MOST, compare
from anchorsim.risk.limits import Limit, limit_wind
from anchorsim.risk.monte_carlo import Cancel, Progress
from anchorsim.risk.sensitivity import COUNT as SAMPLES
from anchorsim.risk.sensitivity import sensitivity
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import advice
from anchorsim.wording import sensitivity as uncertainty

COUNT = 200  # spells for the odds and limits
_FEWER = 100  # for each change that is tried, and for each set-up that is compared
_SHOWN = 6  # pieces of advice
_CHANCES = (0.01, 0.05, 0.5)


class Planned(Protocol):
    """The explorer, as far as planning needs it."""

    system: System

    @property
    def wanted(self) -> Scenario: ...

    @property
    def look(self) -> Theme: ...
    def turn_to(self, scenario: Scenario) -> None: ...
    def show_pair(self, first: Scenario, second: Scenario) -> None: ...
    def range_from(self, found: Assessment) -> None: ...


class Planning(widgets.Box):
    """The section; ``variants`` are the set-ups put up for comparison, by name.

    ``count``: spells for the odds; ``samples``: base samples for what matters, as in :func:`sensitivity`;
    ``hourly``: spells in each hour of a night.
    """

    def __init__(
        self,
        screen: Planned,
        pace: Pace,
        count: int = COUNT,
        samples: int = SAMPLES,
        hourly: int = IN_AN_HOUR,
    ) -> None:
        self._screen, self._pace, self._count, self._samples = screen, pace, count, samples
        self._stop = threading.Event()
        self._answering: Answering | None = None
        self._of: Scenario | None = None
        self.variants: dict[str, Scenario] = {}
        self.odds = button("Odds and limits", f"Simulate {count} spells of this weather")
        self.helps = button("What helps?", "Run changes through the same spells and rank them")
        self.matters = button("What matters most?", "Rank the unknowns by their effect")
        self.name = widgets.Text(placeholder="name of this set-up", continuous_update=False)
        self.add = button("Add to comparison", f"Keep this set-up; up to {MOST}")
        self.compare = button("Compare", "Run all set-ups through the same spells")
        self.clear = button("Clear comparison", "Remove all set-ups from the list")
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
        self.nights = Nights(screen, self._begin, self._try, pace.hand_over, hourly)
        self.back = button("Back to my set-up", "Stop showing this hour or change")
        self._own: Scenario | None = None
        self.stop = button("Stop", "Stop the calculation")
        self.progress = widgets.IntProgress(layout={"width": "auto"})
        self.listed, self.age = widgets.HTML(), widgets.HTML()
        self.said, self.beneath = box("anchorsim-plan-said", []), box("anchorsim-plan-said", [])
        self.drawn = box("anchorsim-plan-figure", [])
        super().__init__(self._rows())
        self.add_class("anchorsim-plan")
        self._bind()
        self._busy(False)
        self.back.disabled = True
        self._list()

    def changed(self) -> None:
        """Say so where what stands there is for another scenario than the one on screen."""
        of_another = self._of is not None and self._of != self._screen.wanted
        self.age.value = stale() if of_another else ""

    def tell(self) -> None:
        """Tell the last answer anew: the units or the colours have changed."""
        self._in_units()
        if self._answering is not None:
            answer = self._answering(self._screen.system, self._screen.look)
            self.said.children, self.beneath.children = tuple(answer.rows), tuple(answer.beneath)
            self._draw(answer.figure)
            self._of = self._of if answer.of_screen else None
        self.changed()

    def _in_units(self) -> None:
        unit = unit_in("m", self._screen.system)
        if unit != self.room.unit:
            room = self.room
            per = float(quantity(1.0, room.unit).m_as(unit))
            with room.hold_sync():
                room.unit, room.step = unit, 5.0 if unit == "m" else 20.0
                room.low, room.high = per * room.low, per * room.high
                room.value = None if room.value is None else per * room.value

    def _clear_radius(self) -> float | None:
        """Free water about the anchor, m; None where it was not given."""
        room = self.room
        return None if room.value is None else si(quantity(room.value, room.unit))

    def _draw(self, figure: Any) -> None:
        """Put a figure into its box, which takes over its height: else it would keep its width too."""
        height = 0
        if figure is not None:
            height, figure.layout.height = figure.layout.height, None
        self.drawn.layout.height = f"{height}px"
        self.drawn.children = (LiveFigure(figure),) if figure is not None else ()

    def _rows(self) -> list[widgets.Widget]:
        asks = box("anchorsim-tools", [self.odds, self.helps, self.matters, self.room])
        lists = box("anchorsim-tools", [self.name, self.add, self.compare, self.clear])
        nights = box("anchorsim-tools", self.nights.widgets)
        runs = box("anchorsim-tools", [self.stop, self.back, self.progress])
        answer = [self.age, self.said, self.drawn, self.beneath]
        return [widgets.HTML(title()), asks, lists, self.listed, nights, runs, *answer]

    def _bind(self) -> None:
        over = self._pace.hand_over
        for asked, act in (
            (self.odds, lambda: self._begin(self._odds())),
            (self.helps, lambda: self._begin(self._advice())),
            (self.matters, lambda: self._begin(self._matters())),
            (self.compare, lambda: self._begin(self._comparison())),
            (self.add, self._add),
            (self.clear, self._clear),
            (self.back, self._back),
        ):
            asked.on_click(lambda _, act=act: over(act))
        self.stop.on_click(lambda _: self._stop.set())

    def _begin(self, work: Work) -> None:
        self._stop, asked = threading.Event(), self._screen.wanted
        cancel = self._stop.is_set
        self._busy(True)

        def told_how_far(done: int, of: int) -> None:
            self._pace.hand_over(lambda: self._far(done, of))

        def run() -> Answering:
            try:
                return work(told_how_far, cancel)
            except CancelledError:
                return words(paragraph("Stopped."))
            except (ValueError, RuntimeError, OSError) as error:
                return words(problem(error))

        self._pace.aside(run, lambda answering: self._end(answering, asked))

    def _end(self, answering: Answering, asked: Scenario) -> None:
        self._answering, self._of = answering, asked
        self._busy(False)
        self.tell()

    def _far(self, done: int, of: int) -> None:
        self.progress.max, self.progress.value = of, done

    def _busy(self, busy: bool) -> None:
        for ask in (self.odds, self.helps, self.matters, self.compare, self.nights.ask):
            ask.disabled = busy
        self.stop.disabled = not busy
        self.progress.value = 0
        self.progress.layout.visibility = "visible" if busy else "hidden"

    def _odds(self) -> Work:
        scenario, count, radius = self._screen.wanted, self._count, self._clear_radius()

        def work(progress: Progress, cancel: Cancel) -> Answering:
            found = assess(scenario, count, clear_radius=radius, progress=progress, cancel=cancel)
            winds: tuple[Limit, ...] = ()  # a calm or a recorded wind has none to seek
            if scenario.weather.record is None and si(scenario.weather.mean_wind) > 0:
                winds = limit_wind(scenario, _CHANCES, count, progress=progress, cancel=cancel)
            self._pace.hand_over(lambda: self._screen.range_from(found))
            return lambda system, _: Answer([widgets.HTML(outcome_and_limits(found, winds, system))])

        return work

    def _advice(self) -> Work:
        scenario, radius = self._screen.wanted, self._clear_radius()

        def work(progress: Progress, cancel: Cancel) -> Answering:
            now = assess(scenario, min(self._count, _FEWER), clear_radius=radius, cancel=cancel)
            found = advise(scenario, known=now, clear_radius=radius, progress=progress, cancel=cancel)
            return lambda system, _: Answer(self._pieces(now, found[:_SHOWN], system))

        return work

    def _pieces(self, now: Assessment, found: Sequence[Advice], system: System) -> Sequence[widgets.Widget]:
        if not found:
            return [widgets.HTML(paragraph(advice.nothing(now)))]
        rows = []
        for piece in found:
            row: list[widgets.Widget] = [widgets.HTML(advised(piece, system))]
            if piece.change is not None:
                row.append(self._trial(piece.change.apply(now.scenario)))
            rows.append(box("anchorsim-advice", row))
        return rows

    def _trial(self, scenario: Scenario) -> widgets.Button:
        trial = button("Try it", "Show this change in the views")
        trial.on_click(lambda _: self._pace.hand_over(lambda: self._try(scenario)))
        return trial

    def _try(self, scenario: Scenario) -> None:
        """Show a change or an hour in the views, and keep what was there to go back to."""
        self._own = self._own or self._screen.wanted
        self.back.disabled = False
        self._screen.turn_to(scenario)

    def _back(self) -> None:
        if self._own is not None:
            self._screen.turn_to(self._own)
        self._own, self.back.disabled = None, True

    def _matters(self) -> Work:
        scenario = self._screen.wanted

        def work(progress: Progress, cancel: Cancel) -> Answering:
            found = sensitivity(scenario, self._samples, progress=progress, cancel=cancel)
            text = paragraph(uncertainty.sentence(found))
            return lambda _, look: Answer([widgets.HTML(text)], what_matters(found, look=look))

        return work

    def _comparison(self) -> Work:
        variants = dict(self.variants)

        def work(progress: Progress, cancel: Cancel) -> Answering:
            found = compare(variants, min(self._count, _FEWER), progress=progress, cancel=cancel)
            pair = [self._pair(variants)] if len(variants) > 1 else []
            return lambda system, look: Answer(
                [widgets.HTML(compared(found, system))],
                side_by_side(found, units=units_of(system), look=look),
                pair,
                of_screen=False,
            )

        return work

    def _pair(self, variants: dict[str, Scenario]) -> widgets.Widget:
        names = list(variants)
        first = widgets.Dropdown(description="Before", options=names, value=names[0])
        second = widgets.Dropdown(description="Now", options=names, value=names[1])
        pair = button("Show both", "In the views, one as “before” and one as now")
        pair.on_click(
            lambda _: self._pace.hand_over(
                lambda: self._screen.show_pair(variants[first.value], variants[second.value])
            )
        )
        return box("anchorsim-tools", [first, second, pair])

    def _add(self) -> None:
        name = self.name.value.strip() or self._screen.wanted.title
        if name in self.variants:
            name = next(f"{name} ({n})" for n in range(2, MOST + 2) if f"{name} ({n})" not in self.variants)
        if len(self.variants) < MOST:
            self.variants[name] = self._screen.wanted
            self.name.value = ""
        self._list()

    def _clear(self) -> None:
        self.variants.clear()
        self._list()

    def _list(self) -> None:
        self.add.disabled = len(self.variants) >= MOST
        self.listed.value = listed(list(self.variants), MOST)
