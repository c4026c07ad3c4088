"""The page of odds: chances and limits, what helps and what matters, as cards.

It begins by itself while it is the page on screen and leaves off when that is left or the scenario changes.
Its answers stay.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import CancelledError
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.units import Quantity, System, si
from anchorsim.explorer.kept import State
from anchorsim.explorer.odds import COUNTS
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.parts.cards import Cards
from anchorsim.numerics.interval import Interval
from anchorsim.planning.advice import Advice, advise
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.risk.limits import Limit, limit_wind
from anchorsim.risk.monte_carlo import Cancel, Progress
from anchorsim.risk.outcome import What
from anchorsim.risk.sensitivity import COUNT as SAMPLES
from anchorsim.risk.sensitivity import Sensitivity, sensitivity
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import advice as advised
from anchorsim.wording import odds_cards as cards

COUNT = 100  # spells for the limits and for each change that is tried
SHOWN = 6  # changes that are shown
_CHANCES = (0.01, 0.05, 0.5)


class Asked(Protocol):
    """The explorer, as far as this page needs it."""

    state: State
    assessment: Assessment | None

    @property
    def system(self) -> System: ...
    @property
    def wanted(self) -> Scenario: ...
    @property
    def clear_radius(self) -> Quantity | None: ...
    def turn_to(self, scenario: Scenario) -> None: ...
    def undo(self) -> None: ...


@dataclass(frozen=True)
class Found:
    """What is known so far of one scenario; None where it is not calculated yet.

    ``shares``, ``before`` and ``after``: chances over ``stretch``, of the ways to fail now, and of failing
    without and with each change in the same spells.
    """

    now: Assessment
    stretch: str
    shares: Mapping[What, Interval] = field(default_factory=dict)
    winds: tuple[Limit, ...] | None = None
    helps: tuple[Advice, ...] | None = None
    before: Interval | None = None
    after: Mapping[int, Interval] = field(default_factory=dict)
    matters: Sensitivity | None = None

    def of(self, scenario: Scenario, clear_radius: Quantity | None) -> bool:
        """Whether it is of that scenario and free water."""
        return self.now.scenario == scenario and self.now.clear_radius == clear_radius


Step = Callable[[Found, Progress, Cancel], Found]


class OddsPage(widgets.Box):
    """``count``: spells for limits and changes; ``samples``: base samples, as in :func:`sensitivity`.

    ``after``: how many spells of what is on screen it waits for.
    """

    def __init__(
        self,
        screen: Asked,
        pace: Pace,
        count: int = COUNT,
        samples: int = SAMPLES,
        after: int = COUNTS[0],
    ) -> None:
        self.screen, self._pace = screen, pace
        self._count, self._samples, self._after = count, samples, after
        self.found: Found | None = None
        self._tried: Scenario | None = None
        self._stop: threading.Event | None = None  # of the step under way
        self._left: list[tuple[str, Step]] = []  # steps that are still to be done
        self.cards = Cards(words=cards.WORDS)
        super().__init__([self.cards])
        self.add_class("anchorsim-plan")
        self.cards.on_msg(lambda _, content, __: pace.hand_over(lambda: self._do(content)))

    def follow(self) -> None:
        """Begin, go on or leave off, as the screen is now."""
        found, wanted, radius = self.screen.assessment, self.screen.wanted, self.screen.clear_radius
        mine = self.found is not None and self.found.of(wanted, radius)
        trying = self._tried is not None and wanted == self._tried
        if mine:
            self._tried = None
            self.cards.tried = ""
        elif not trying:
            self._end()
        if self.screen.state.page != "odds":
            self._end()
        elif found is not None and found.scenario == wanted and len(found) >= self._after and not trying:
            self._begin(found, mine)
        self.tell()

    def changed(self) -> None:
        """The scenario on screen is another."""
        self.follow()

    def tell(self) -> None:
        """Tell what is known, in the units of the screen."""
        found = self.found
        if found is None:
            self.cards.age = cards.BEGINS.format(self._after)
            return
        with self.cards.hold_sync():
            self.cards.sections = sections(found, self.screen.system, self._samples)
            old = not found.of(self.screen.wanted, self.screen.clear_radius)
            self.cards.age = (cards.TRYING if self._tried else cards.STALE) if old else ""

    def _begin(self, now: Assessment, mine: bool) -> None:
        stretch = self.screen.state.stretch
        if not mine or self.found is None:
            self._tried = None
            self.cards.tried = ""
            self.found = Found(now, stretch)
            self._left = [(cards.LIMITS, self._limits), (cards.HELPS, self._advice)]
        if len(now) > len(self.found.now) or stretch != self.found.stretch or not self.found.shares:
            failed = now.share("failed", stretch)  # as the strip has it, at once; the rest comes aside
            self.found = replace(self.found, now=now, stretch=stretch, shares={"failed": failed})
            if (cards.CHANCES, _chances) not in self._left:
                self._left.insert(0, (cards.CHANCES, _chances))
        if self._stop is None:
            self._next()

    def _next(self) -> None:
        if not self._left or self.found is None:
            self._stop = None
            self.cards.busy = ""
            return
        (said, step), known = self._left[0], self.found
        self._stop = stop = threading.Event()
        self.cards.busy, self.cards.done = said, 0.0

        def far(done: int, of: int) -> None:
            self._pace.hand_over(lambda: self._far(stop, done / max(of, 1)))

        def work() -> Found | str | None:
            try:
                return step(known, far, stop.is_set)
            except CancelledError:
                return None
            except (ValueError, RuntimeError, OSError) as error:
                return str(error)

        self._pace.aside(work, lambda done: self._then(step, stop, known, done))

    def _then(self, step: Step, stop: threading.Event, known: Found, done: Found | str | None) -> None:
        if stop is not self._stop or self.found is None:
            return
        self._left = [one for one in self._left if one[1] != step]
        if isinstance(done, Found):
            newer, self.found = self.found, done
            if newer.now is not known.now or newer.stretch != known.stretch:  # more spells came meanwhile
                self.found = replace(done, now=newer.now, stretch=newer.stretch, shares=newer.shares)
                if step == _chances:
                    self._left.insert(0, (cards.CHANCES, _chances))
        self.tell()
        if isinstance(done, str):
            self.cards.age = done
        self._next()

    def _far(self, stop: threading.Event, share: float) -> None:
        if stop is self._stop:
            self.cards.done = share

    def _end(self) -> None:
        if self._stop is not None:
            self._stop.set()
        self._stop = None
        self.cards.busy = ""

    def _limits(self, known: Found, progress: Progress, cancel: Cancel) -> Found:
        scenario = known.now.scenario
        if scenario.weather.record is not None or si(scenario.weather.mean_wind) <= 0:
            return replace(known, winds=())  # a calm or a recorded wind has no limit to seek
        found = limit_wind(
            scenario,
            _CHANCES,
            self._count,
            of="failing",
            clear_radius=known.now.clear_radius,
            progress=progress,
            cancel=cancel,
        )
        return replace(known, winds=found)

    def _advice(self, known: Found, progress: Progress, cancel: Cancel) -> Found:
        radius = known.now.clear_radius
        now = assess(known.now.scenario, self._count, clear_radius=radius, known=known.now, cancel=cancel)
        found = advise(now.scenario, known=now, clear_radius=radius, progress=progress, cancel=cancel)
        return _compared(replace(known, helps=tuple(found[:SHOWN])), cancel)

    def _matters(self, known: Found, progress: Progress, cancel: Cancel) -> Found:
        found = sensitivity(known.now.scenario, self._samples, progress=progress, cancel=cancel)
        return replace(known, matters=found)

    def _do(self, content: Mapping[str, Any]) -> None:
        act, key = content.get("do"), str(content.get("key", ""))
        if act == "ask" and self.found is not None:
            if self.found.matters is None and (cards.RANKING, self._matters) not in self._left:
                self._left.append((cards.RANKING, self._matters))
            if self._stop is None:
                self._next()
        elif act == "try" and self.found is not None and self.found.helps:
            self._try(key)
        elif act == "undo" and self._tried is not None:
            self.screen.undo()
            self.follow()

    def _try(self, key: str) -> None:
        assert self.found is not None and self.found.helps
        piece = self.found.helps[int(key.rsplit(maxsplit=1)[-1])]
        if piece.change is None:
            return
        if self._tried is not None:  # one change after the other, not one upon the other
            self.screen.undo()
        self._end()
        self._tried = piece.change.apply(self.found.now.scenario)
        self.cards.tried = key
        self.screen.turn_to(self._tried)
        self.tell()


def _chances(known: Found, _: Progress, cancel: Cancel) -> Found:
    """The chances over the stretch of what happens in some spell, and of each change."""
    shares = {}
    for what, _label in cards.WAYS:
        if what == "failed" or known.now.count(what):
            _go_on(cancel)
            shares[what] = known.now.share(what, known.stretch)
    return _compared(replace(known, shares=shares), cancel)


def _compared(known: Found, cancel: Cancel) -> Found:
    """With the chances of failing over the stretch without and with each change."""
    pieces, found = known.helps or (), {}
    if not pieces:
        return known
    for place, piece in enumerate(pieces):
        if piece.change is not None:
            _go_on(cancel)
            found[place] = piece.after.share("failed", known.stretch)
    return replace(known, before=pieces[0].before.share("failed", known.stretch), after=found)


def _go_on(cancel: Cancel) -> None:
    if cancel():
        raise CancelledError


def sections(found: Found, system: System, samples: int) -> list[dict[str, Any]]:
    """What is known, as the cards take it."""
    limits = [cards.chances(found.now, found.shares, found.stretch)] if found.shares else []
    if found.winds:
        limits.append(cards.winds(found.now, found.winds, system))
    limits += [cards.parts(found.now, system), *filter(None, [cards.room(found.now, system)])]
    pieces = found.helps or ()
    changes: Sequence[cards.Card] = ()
    if found.before is not None:
        changes = cards.helps(pieces, found.before, found.after, found.stretch, system)
    aboard = {f"help {place}" for place, piece in enumerate(pieces) if piece.aboard}
    leave = [cards.leaving(piece, system) for piece in pieces if piece.change is None]
    note = cards.WAITING if found.helps is None else advised.nothing(found.now)
    if pieces:
        note = cards.compared(pieces[0].before)
    asks = [] if found.matters else [[cards.MATTERS, cards.ASK, cards.ask_help(samples)]]
    return [
        _section(cards.ODDS, cards.counted(found.now), limits),
        _section(cards.ABOARD, note, [*leave, *(one for one in changes if one.key in aboard)]),
        _section(cards.ASHORE, "", [one for one in changes if one.key not in aboard]),
        _section(cards.MATTERS, "", [cards.matters(found.matters)] if found.matters else [], asks),
    ]


def _section(
    title: str, note: str, held: Sequence[cards.Card], asks: Sequence[list[str]] = ()
) -> dict[str, Any]:
    return {"title": title, "note": note, "cards": [asdict(one) for one in held], "asks": list(asks)}
