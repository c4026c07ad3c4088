"""What to change: each change tried on the same spells, and only what the room and the strength allow.

``advise(scenario)`` gives the changes that help, the best first, or says to leave where none makes her safe.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass

import numpy as np

from anchorsim.core.units import System, quantity, show
from anchorsim.numerics.interval import Interval
from anchorsim.planning.measures import Candidate, Source, candidates, together
from anchorsim.risk.assessment import odds
from anchorsim.risk.monte_carlo import Cancel, Ints, Progress, Spells, numbers_from, spells_each
from anchorsim.risk.outlook import SAFE, Bools, Outlook, certain, change, look, touching
from anchorsim.risk.swinging_room import surrounded
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

_CHANCES = 3  # of the measures that rank a change: a change that betters none of them is not told
_SETS = 2  # of changes made together that are tried where no single one is enough


@dataclass(frozen=True)
class Advice:
    """A change that helps, or leaving: ``change`` is None where the advice is to leave.

    ``before`` and ``after`` are what the same spells come to without and with it.  Where the advice is to
    leave, ``after`` is with the best that was found, ``best``, if anything helps at all; ``best`` may make
    her safe, but then it is not to be had aboard.
    """

    change: Candidate | None
    before: Outlook
    after: Outlook
    best: Candidate | None = None

    @property
    def leave(self) -> bool:
        """Whether the advice is to leave."""
        return self.change is None

    @property
    def aboard(self) -> bool:
        """Whether it can be done with what is aboard; the rest must be bought or done ashore."""
        return self.change is None or self.change.source == "aboard"

    @property
    def safe(self) -> bool:
        """Whether she is safe with it: failing is seldom enough and no part is condemned."""
        return self.change is not None and self.after.safe

    @property
    def dragging(self) -> Interval:
        """By how much the chance of dragging changes, with the band of the paired difference."""
        return change(self.before.dragged, self.after.dragged)

    @property
    def failing(self) -> Interval:
        """By how much the chance changes that she drags, a part breaks or she leaves her room."""
        return change(self.before.fails, self.after.fails)

    @property
    def strained(self) -> Interval:
        """By how much the chance changes that a part carries more than its working load."""
        return change(self.before.strains, self.after.strains)

    @property
    def certain(self) -> bool:
        """Whether what it buys is more than the chance of so many spells: of failing, or of straining."""
        mends = set(self.after.condemned) < set(self.before.condemned)
        return mends or any(each.high < 0.0 for each in (self.failing, self.dragging, self.strained))

    def action(self, system: System = "metric") -> str:
        """What to do."""
        return self.change.action(system) if self.change else "Leave while it can be done"

    @property
    def where(self) -> str:
        """Whether it can be done at once."""
        return "aboard now" if self.aboard else "to buy or have done ashore"

    @property
    def claims(self) -> tuple[str, ...]:
        """What it buys, each chance with its 95 % band."""
        was, then = self.before, self.after
        told = [
            _claim("the anchor drags", was.dragging, then.dragging, self.dragging),
            _claim("some part passes its working load", was.strained, then.strained, self.strained),
        ]
        if was.parted.likely or then.parted.likely:
            told.append(_claim("a part may break", was.parted, then.parted, change(was.breaks, then.breaks)))
        if then.bounded:
            told.append(_claim(then.leaves, was.outside, then.outside, change(was.out, then.out)))
        return tuple(told)

    def why(self, system: System = "metric") -> str:
        """Why it helps; nothing where that cannot be told."""
        return " and ".join(_reasons(self.before, self.after, system))

    @property
    def doubts(self) -> tuple[str, ...]:
        """What to know before it is done: that it may be chance, and what must not be lain to even so."""
        count = len(self.after.spells)
        doubt = (
            f"What it buys lies within the chance of {count} storms: do not count on it before more of them "
            "have been run."
        )
        return (*([] if self.certain else [doubt]), *self._barred())

    def sentence(self, system: System = "metric") -> str:
        """What to do, what it buys and why."""
        if self.change is None:
            return self._farewell(system)
        why = self.why(system)
        reasons = f", for {why}" if why else ""
        told = f"{self.action(system)} ({self.where}): {'; '.join(self.claims)}{reasons}."
        return " ".join([told, *self.doubts])

    def _barred(self) -> tuple[str, ...]:
        return (f"Even so: {_inside(self.after.barred)}",) if self.after.condemned else ()

    def _farewell(self, system: System) -> str:
        ill = f"As she lies, {_inside(self.before.odds_sentence())}"
        now = f"{self._not_to(self.before)}{ill}"
        if self.best is None:
            return f"Nothing within your means makes this safe: leave. {now} Nothing that was tried helps."
        best = _inside(self.best.action(system))
        if self.after.safe:
            return (
                f"Nothing aboard makes this safe: leave. {now} It takes this from ashore: {best}; "
                f"then she fails in {odds(self.after.failing)}."
            )
        told = (
            f"Nothing within your means makes this safe: leave. {now} With the best that was found ({best}) "
            f"she still fails in {odds(self.after.failing)}."
        )
        return " ".join([told, *self._barred()])

    @staticmethod
    def _not_to(found: Outlook) -> str:
        return f"{found.barred} " if found.condemned else ""


def advise(
    scenario: Scenario,
    count: int = 100,
    *,
    spells: Spells | None = None,
    room: float | None = None,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> list[Advice]:
    """Changes that help, the best first: by the chance of failing, then of straining a part, then by its use.

    Each is tried on the same spells: those of ``spells`` (of this scenario, not run again), else ``count``
    from ``first``.  Her room is ``room`` m from where the anchor was let go, and ends at what lies round her.
    Left out is what would swing her beyond it or make a part likelier to break, each beyond one spell in
    twenty.  Where no single change makes her safe, the best of each kind are tried together, what is aboard
    by itself.  Where nothing aboard makes her safe, the first advice is to leave; where she is safe as she
    lies, only what surely helps is told, if anything.

    Raises ValueError where a number makes no sense or the spells are another scenario's, CancelledError where
    it was stopped, and what ``spells`` raises.
    """
    if room is not None and not room > 0:
        raise ValueError(
            f"room: {room!r} m is no room; needed more than 0 m, or None for no end of it; give it"
        )
    numbers = numbers_from(first, count) if spells is None else _numbers_of(spells, scenario)
    tries = candidates(scenario, room is not None or surrounded(scenario))
    times = 2 if surrounded(scenario) else 1
    total = times * (len(tries) + 1 + _SETS) * len(numbers)
    trial = _Trial(scenario, numbers, room, executor, progress, cancel, total)
    before, *after = trial.run([None, *tries], spells)
    found = list(zip(tries, after, strict=True))
    good = _ranked(found, before)
    if not any(one.safe for one in (before, *(one for _, one in good))):
        sets = _sets(found, before)
    elif not before.safe and not any(_enough(one, "aboard") for one in good):
        sets = [chosen for chosen in _sets(found, before) if chosen.source == "aboard"]
    else:
        sets = []
    if sets:
        good = _ranked([*good, *zip(sets, trial.run(sets), strict=True)], before)
    trial.finished()
    advice = [Advice(candidate, before, found) for candidate, found in good]
    if before.safe:
        return [one for one in advice if one.certain]
    if any(_enough(one, "aboard") for one in good):
        return advice
    best, most = good[0] if good else (None, before)
    return [Advice(None, before, most, best), *advice]


Tried = tuple[Candidate, Outlook]


def _numbers_of(spells: Spells, scenario: Scenario) -> Ints:
    if spells.scenario not in (scenario, as_found(scenario)):
        raise ValueError(
            "storms: these are storms of another scenario; needed some of this one; leave them out"
        )
    if not len(spells):
        raise ValueError(
            "storms: there is none among them; needed one at the least; leave them out to run some"
        )
    return spells.number


def _enough(tried: Tried, source: Source) -> bool:
    return tried[1].safe and tried[0].source == source


def _allowed(found: Outlook, before: Outlook) -> bool:
    """Whether the room holds her while the anchor does, and no part is likelier to break, both but seldom."""
    swings = found.swung_out <= max(SAFE, before.swung_out)
    return swings and found.parted.likely <= max(SAFE, before.parted.likely)


def _badness(found: Outlook) -> tuple[float, ...]:
    """What is to be small, the gravest first; how far she drags tells where she drags in every spell."""
    chances = len(found.condemned), found.failing.likely, found.strained.likely
    return *chances, float(np.median(found.spells.drag)), found.weakest.used.likely


def _helps(found: Outlook, before: Outlook) -> bool:
    return _badness(found)[:_CHANCES] < _badness(before)[:_CHANCES]


def _ranked(found: Sequence[Tried], before: Outlook) -> list[Tried]:
    """What helps and is allowed, the best first; of equals, what can be done aboard."""
    kept = [one for one in found if _allowed(one[1], before) and _helps(one[1], before)]
    return _sorted(kept)


def _sorted(found: Sequence[Tried]) -> list[Tried]:
    return sorted(found, key=lambda one: (*_badness(one[1]), one[0].source))


def _sets(found: Sequence[Tried], before: Outlook) -> list[Candidate]:
    """The best of each group together: of what is aboard, and of all, with all that the survey asks for.

    What helps by itself too little to change a chance may do so together with others.
    """
    better = [one for one in found if _allowed(one[1], before) and _badness(one[1]) < _badness(before)]
    mends = [one for one, _ in found if one.mends]
    sets: list[Candidate] = []
    sources: tuple[tuple[Source, ...], ...] = (("aboard",), ("aboard", "ashore"))
    for allowed in sources:
        best: dict[str, Candidate] = {}
        for candidate in [*(one for one, _ in _sorted(better)), *mends]:
            if candidate.source in allowed:
                best.setdefault(candidate.group, candidate)
        new = {part for one in best.values() for part in one.renews}
        chosen = [one for one in best.values() if not any(entry.part in new for entry in one.mends)]
        if len(chosen) > 1 and (whole := together(chosen)) not in sets:
            sets.append(whole)
    return sets


@dataclass
class _Trial:
    """Runs the same spells for all variants at once, and tells how far it is."""

    scenario: Scenario
    numbers: Ints
    room: float | None
    executor: Executor | None
    progress: Progress | None
    cancel: Cancel | None
    total: int
    done: int = 0

    def run(self, tries: Sequence[Candidate | None], known: Spells | None = None) -> list[Outlook]:
        """What the spells come to with each change.  Raises CancelledError where they were stopped."""
        variants = [one.apply(self.scenario) if one else self.scenario for one in tries]
        behaves, before = [as_found(variant) for variant in variants], self.done
        found = spells_each(
            behaves,
            self.numbers,
            known=[known if known is not None and known.scenario == each else None for each in behaves],
            executor=self.executor,
            progress=self._on(len(tries)),
            cancel=self.cancel,
        )
        if not all(spells.complete for spells in found):
            raise CancelledError("the search for advice was stopped; begin it again")
        self.done = before + len(tries) * len(self.numbers)
        return [
            look(variant, each, self.room, self._touched(variant))
            for variant, each in zip(variants, found, strict=True)
        ]

    def _touched(self, variant: Scenario) -> Bools | None:
        return touching(
            variant,
            self.numbers,
            executor=self.executor,
            progress=self._on(1),
            cancel=self.cancel,
        )

    def _on(self, variants: int) -> Progress:
        """Counts the spells of some variants on from here."""
        before = self.done

        def told(done: int, _: int) -> None:
            self.done = before + done
            if self.progress:
                self.progress(self.done, self.total)

        return told

    def finished(self) -> None:
        """Tells that all is done, though fewer were run than might have been."""
        if self.progress:
            self.progress(self.total, self.total)


def _claim(what: str, before: Interval, after: Interval, difference: Interval) -> str:
    """One figure before and after, and whether so many spells can tell them apart."""
    if difference.likely == 0.0:
        return f"{what} in {odds(after)} as before"
    doubt = "" if certain(difference) else ", which may be chance"
    return f"{what} in {odds(after)} instead of {odds(before)}{doubt}"


def _reasons(before: Outlook, after: Outlook, system: System) -> list[str]:
    """Why it helps, from the middling spell of each."""
    uplift = [math.degrees(float(np.median(each.spells.uplift))) for each in (before, after)]
    peak = [float(np.median(each.spells.peak_load)) for each in (before, after)]
    holding = [float(np.median(each.spells.holding)) for each in (before, after)]
    reasons = []
    if holding[1] > 1.02 * holding[0] > 0:
        reasons.append(f"the anchor holds {holding[1] / holding[0]:.1f} times as much")
    if round(uplift[1]) < round(uplift[0]):
        reasons.append(f"the anchor is pulled {uplift[1]:.0f}° upwards instead of {uplift[0]:.0f}°")
    if peak[1] < 0.97 * peak[0]:
        loads = [show(quantity(load, "N"), "kN", system, 2) for load in peak]
        reasons.append(f"the hardest pull on the bow is {loads[1]} instead of {loads[0]}")
    if after.weakest.wll > 1.02 * before.weakest.wll:
        name = _inside(after.weakest.name)
        loads = [show(quantity(each.weakest.wll, "N"), "kN", system, 2) for each in (after, before)]
        reasons.append(f"the part used hardest, now the {name}, is good for {loads[0]} instead of {loads[1]}")
    return reasons


def _inside(text: str) -> str:
    """A sentence's words within another."""
    return f"{text[:1].lower()}{text[1:]}"


__all__ = ["Advice", "advise"]
