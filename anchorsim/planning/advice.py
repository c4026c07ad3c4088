"""What to change: each change tried on the same spells, and only what the room and the strength allow.

``advise(scenario)`` gives the changes that help, the best first, or says to leave where none brings
her within the limit, with the mean wind at which to have left.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Quantity, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.numerics.estimates import change
from anchorsim.numerics.interval import Interval
from anchorsim.planning.measures import Candidate, Source, candidates, together
from anchorsim.risk.assessment import Assessment, assess_each
from anchorsim.risk.clearances import surrounded
from anchorsim.risk.limits import FEWEST_SPELLS, SEARCHES, Limit, limit_wind
from anchorsim.risk.monte_carlo import Cancel, Ints, Progress, numbers_from
from anchorsim.risk.outcome import LIMIT, What
from anchorsim.scenario.scenario import Scenario

_CHANCES = 3  # of the measures that rank a change: a change that betters none of them is not told
_SETS = 2  # of changes made together that are tried where no single one is enough


@dataclass(frozen=True)
class Advice(Said, Drawn):
    """A change that helps, or leaving.

    Attributes
    ----------
    change : Candidate or None
        What is changed, with its ``kind`` and its paths and values; None where the advice is to leave.
    before, after : Assessment
        What the same spells come to without and with it; where the advice is to leave, ``after`` is with the
        best that was found.
    best : Candidate or None
        Where the advice is to leave: what helps most, if anything.  It may bring her within the limit, but
        then it is not to be had aboard.
    wind : Limit or None
        Where the advice is to leave: mean wind at which she fails as often as the limit allows; None where
        it was not sought, for a part is not fit for use, the wind is a record or calm, or there are too few
        spells.
    leave, aboard : bool
        Whether the advice is to leave; whether it can be done with what is aboard.
    within_limit : bool
        Whether she fails in no more than 5 in 100 spells with it, and every part is fit for use.
    clear : bool
        Whether what it gains is more than the chance of so many spells.

    Examples
    --------
    >>> hour = Scenario().vary({"weather.mean_wind": "40 knot", "tackle.snubber.length": "0 m"})
    >>> advise(hour, count=4)[0]
    <Advice: do leave, fails in 0 of 4 spells, before 3>
    """

    change: Candidate | None
    before: Assessment
    after: Assessment
    best: Candidate | None = None
    wind: Limit | None = None

    def __repr__(self) -> str:
        what = self.change.kind if self.change else "leave"
        fails = f"in {self.after.count('failed')} of {len(self.after)} spells"
        return line("Advice", [("do", what), ("fails", fails), ("before", str(self.before.count("failed")))])

    @property
    def leave(self) -> bool:
        """Whether the advice is to leave."""
        return self.change is None

    @property
    def aboard(self) -> bool:
        """Whether it can be done with what is aboard; the rest must be bought or done ashore."""
        return self.change is None or self.change.source == "aboard"

    @property
    def within_limit(self) -> bool:
        """Whether she fails within the limit with it, and every part is fit for use."""
        return self.change is not None and self.after.within_limit

    def change_in(self, what: What) -> Interval:
        """By how much the chance of a word of the outcome (``what``) changes, with the 95 % band of that."""
        return change(self.before.happened(what), self.after.happened(what))

    @property
    def clear(self) -> bool:
        """Whether what it gains is more than the chance of so many spells."""
        renewed = set(_unfit(self.after)) < set(_unfit(self.before))
        return renewed or any(self.change_in(what).high < 0.0 for what in ("failed", "dragged", "overloaded"))


def advise(
    scenario: Scenario,
    count: int = 100,
    *,
    known: Assessment | None = None,
    clear_radius: float | str | Quantity | None = None,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> list[Advice]:
    """Advise what to change: each change is tried in the same spells.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    count : int
        How many spells.
    known : Assessment, optional
        Of this scenario: its spells are taken, and not run again.
    clear_radius : float, str or quantity, optional
        Free water about where the anchor is set (m, or with its unit); it ends at what lies round her too.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    list of Advice
        The best first: by the chance of failing, then of overload, then by the load on its WLL.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    ScenarioError, WindRecordError
        Where the scenario's surroundings or wind record do not fit.
    CancelledError
        Where it was stopped.
    SpellsStoppedError
        Where workers stop; it holds the spells that were finished.

    Notes
    -----
    Left out is what would swing her out of her room or make a part likelier to break, each beyond one spell
    in twenty.  Where no single change brings her within the limit, the best of each kind are tried together,
    what is aboard by itself.  Where nothing aboard does, the first advice is to leave; where she is within it
    as she lies, only what makes a clear difference is told, if anything.

    Examples
    --------
    >>> gale = Scenario().vary({"weather.mean_wind": "40 knot", "tackle.snubber.length": "0 m"})
    >>> first = advise(gale, count=4)[0]
    >>> first.leave, first.before.count("failed"), first.after.count("failed")
    (True, 3, 0)
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    if known is not None:
        arguments.instance("known", known, Assessment, "give what assess gave for this scenario")
    room = arguments.room("clear_radius", clear_radius)
    numbers = numbers_from(first, count) if known is None else _numbers_of(known, scenario)
    tries = candidates(scenario, room is not None or surrounded(scenario))
    searches = SEARCHES if len(numbers) >= FEWEST_SPELLS else 0
    total = (len(tries) + 1 + _SETS + searches) * len(numbers)
    trial = _Trial(scenario, numbers, room, executor, progress, cancel, total)
    before, *after = trial.run([None, *tries], known)
    found = list(zip(tries, after, strict=True))
    good = _ranked(found, before)
    if not any(one.within_limit for one in (before, *(one for _, one in good))):
        sets = _sets(found, before)
    elif not before.within_limit and not any(_enough(one, "aboard") for one in good):
        sets = [chosen for chosen in _sets(found, before) if chosen.source == "aboard"]
    else:
        sets = []
    if sets:
        good = _ranked([*good, *zip(sets, trial.run(sets), strict=True)], before)
    advice = [Advice(candidate, before, found) for candidate, found in good]
    if before.within_limit:
        advice = [one for one in advice if one.clear]
    elif not any(_enough(one, "aboard") for one in good):
        best, most = good[0] if good else (None, before)
        advice = [Advice(None, before, most, best, trial.wind(before)), *advice]
    trial.finished()
    return advice


Tried = tuple[Candidate, Assessment]


def _numbers_of(known: Assessment, scenario: Scenario) -> Ints:
    if known.scenario != scenario:
        raise arguments.refused(
            "known", "from another scenario", "this scenario's", "omit it to run new spells"
        )
    return known.spells.number


def _enough(tried: Tried, source: Source) -> bool:
    return tried[1].within_limit and tried[0].source == source


def _allowed(found: Assessment, before: Assessment) -> bool:
    """Whether she has room while the anchor holds, and no part is likelier to break, both but seldom."""
    room = _swings_out(found) <= max(LIMIT, _swings_out(before))
    return room and _may_break(found) <= max(LIMIT, _may_break(before))


def _swings_out(found: Assessment) -> float:
    """Share of spells in which she is out of room though the anchor does not drag."""
    return float(np.mean(found.happened("out of room") & (found.spells.drag < DRAGS_FROM)))


def _may_break(found: Assessment) -> float:
    return float(np.mean(found.happened("may have broken") | found.happened("broke")))


def _unfit(found: Assessment) -> tuple[str, ...]:
    return tuple(part.name for part in found.unfit)


def _badness(found: Assessment) -> tuple[float, ...]:
    """What is to be small, the gravest first; how far she drags tells where she drags in every spell."""
    chances = len(found.unfit), found.chance("failed").likely, found.chance("overloaded").likely
    return *chances, float(np.median(found.spells.drag)), found.most_loaded.use.likely


def _helps(found: Assessment, before: Assessment) -> bool:
    return _badness(found)[:_CHANCES] < _badness(before)[:_CHANCES]


def _ranked(found: Sequence[Tried], before: Assessment) -> list[Tried]:
    """What helps and is allowed, the best first; of equals, what can be done aboard."""
    kept = [one for one in found if _allowed(one[1], before) and _helps(one[1], before)]
    return _sorted(kept)


def _sorted(found: Sequence[Tried]) -> list[Tried]:
    return sorted(found, key=lambda one: (*_badness(one[1]), one[0].source))


def _sets(found: Sequence[Tried], before: Assessment) -> list[Candidate]:
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
    clear_radius: float | None
    executor: Executor | None
    progress: Progress | None
    cancel: Cancel | None
    total: int
    done: int = 0

    def run(self, tries: Sequence[Candidate | None], known: Assessment | None = None) -> list[Assessment]:
        """What the spells come to with each change.  Raises CancelledError where they were stopped."""
        variants = [one.apply(self.scenario) if one else self.scenario for one in tries]
        before = self.done
        found = assess_each(
            variants,
            self.numbers,
            clear_radii=[self.clear_radius] * len(tries),
            known=[known.spells if known and variant == known.scenario else None for variant in variants],
            executor=self.executor,
            progress=self._on(),
            cancel=self.cancel,
        )
        self.done = before + len(tries) * len(self.numbers)
        return found

    def wind(self, before: Assessment) -> Limit | None:
        """The mean wind at which failing passes the limit; None where none is to be sought."""
        weather, count = self.scenario.weather, len(self.numbers)
        raised = weather.record is None and si(weather.mean_wind) > 0.0
        if before.within_limit or before.unfit or not raised or count < FEWEST_SPELLS:
            return None
        (found,) = limit_wind(
            self.scenario,
            LIMIT,
            count,
            of="failing",
            clear_radius=self.clear_radius,
            first=int(self.numbers[0]),
            executor=self.executor,
            progress=self._on(),
            cancel=self.cancel,
        )
        return found

    def _on(self) -> Progress:
        """Counts spells on from here."""
        before = self.done

        def report(done: int, _: int) -> None:
            self.done = before + done
            if self.progress:
                self.progress(self.done, self.total)

        return report

    def finished(self) -> None:
        """Tells that all is done, though fewer were run than might have been."""
        if self.progress:
            self.progress(self.total, self.total)


__all__ = ["Advice", "advise"]
