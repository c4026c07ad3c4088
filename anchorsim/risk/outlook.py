"""What spells come to for a scenario with its tackle as found, and whether two outlooks differ for sure.

Stands on ``monte_carlo`` and ``capacity``: all parts in line count, with the strength
that the survey's findings leave them, and the spells are of the boat as the findings make her behave.
"""

from __future__ import annotations

import functools
import math
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass

import numpy as np
import scipy  # whose parts are imported as they are needed: the statistics alone take a second
from numpy.typing import ArrayLike, NDArray

from anchorsim.numerics.estimates import CONFIDENCE, chance, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import SELDOM, odds
from anchorsim.risk.monte_carlo import Cancel, Floats, Ints, Progress, Spells
from anchorsim.risk.swinging_room import room_needed, surrounded
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState, carried, in_line
from anchorsim.strength.degradation import as_found

SAFE = 0.05  # the chance of failing that counts as safe (judgement)
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class PartOutlook:
    """A part in line: how hard it is used.

    ``wll`` (N) is what is likely left of its working load.  ``used`` is its greatest load over that,
    which a share of 0.95 of spells stays under; ``strained`` the chance that the load passes it; ``parted``
    that it passes the least that the part may break at.  ``condemned``: not to be lain to as it is.
    """

    key: str
    name: str
    wll: float
    used: Interval
    strained: Interval
    parted: Interval
    condemned: bool


@dataclass(frozen=True, eq=False)
class Outlook:
    """What spells come to, chances from 0 to 1 with their 95 % bands, loads in N and lengths in m.

    ``dragging``, ``parted``, ``outside`` (farther than ``limit`` m, None for no end, or touching what lies
    round her) and ``failing``, any of these; ``strained``: some part carries more than its working load.
    ``peak`` and ``room`` are what a share of 0.95 of spells stays under.  ``dragged``, ``breaks``, ``out``,
    ``fails``, ``strains`` and ``use`` (of the part used hardest) hold a value for each spell.  ``parts`` run
    from the anchor aft.  ``bounded``: her room has an end at all.
    """

    spells: Spells
    limit: float | None
    bounded: bool
    dragging: Interval
    parted: Interval
    outside: Interval
    failing: Interval
    strained: Interval
    peak: Interval
    room: Interval
    parts: tuple[PartOutlook, ...]
    breaks: Bools
    out: Bools
    fails: Bools
    strains: Bools
    use: Floats

    @property
    def dragged(self) -> Bools:
        """In which spells the anchor dragged."""
        return self.spells.dragged

    @property
    def swung_out(self) -> float:
        """Share of spells in which she left the room though the anchor held."""
        return float(np.mean(self.out & ~self.dragged))

    @property
    def weakest(self) -> PartOutlook:
        """The part that comes nearest to its working load, or goes farthest beyond it."""
        return max(self.parts, key=lambda part: part.used.likely)

    @property
    def condemned(self) -> tuple[str, ...]:
        """Names of the parts that must not be lain to."""
        return tuple(part.name for part in self.parts if part.condemned)

    @property
    def safe(self) -> bool:
        """Whether failing is seldom enough and no part is condemned."""
        return self.failing.likely <= SAFE and not self.condemned

    @property
    def barred(self) -> str:
        """What must not be lain to, in words; empty where that is nothing."""
        if not self.condemned:
            return ""
        names = " and ".join(f"the {name[:1].lower()}{name[1:]}" for name in self.condemned)
        return f"Do not lie to {names} before that is put right."

    @property
    def leaves(self) -> str:
        """What being outside means here, in words."""
        return "she comes upon what lies round her" if self.limit is None else "she leaves her room"

    def odds_sentence(self) -> str:
        """The odds of failing in plain words."""
        what = f"the anchor drags, a part breaks or {self.leaves}"
        if not self.bounded:
            what = "the anchor drags or a part breaks"
        return f"In {odds(self.failing)} of such storms {what}."


def touching(
    scenario: Scenario,
    numbers: Ints,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Bools | None:
    """In which spells she touches any danger, shoal or neighbour, or a shelving bottom; None without any.

    ``numbers``: of the spells, each one more than the one before.  Raises ValueError where they are not,
    CancelledError where it was stopped, and what ``room_needed`` raises.
    """
    behaves = as_found(scenario)
    if not surrounded(behaves):
        return None
    if np.any(np.diff(numbers) != 1):
        raise ValueError("storms: some between the first and the last are missing; needed all; run the rest")
    found = room_needed(
        behaves,
        len(numbers),
        first=int(numbers[0]),
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    if not found.complete:
        raise CancelledError("the search for what she touches was stopped; begin it again")
    return found.touched


def look(
    scenario: Scenario, spells: Spells, limit: float | None = None, touched: Bools | None = None
) -> Outlook:
    """What spells of ``as_found`` come to, with ``limit`` m of room about the anchor.

    ``touched``: in which spells she touches something, from :func:`touching`.  Raises ValueError where they
    are spells of something else, or there are none.
    """
    if spells.scenario != as_found(scenario):
        raise ValueError(
            "storms: these are storms of another scenario; needed those of as_found(scenario); run them"
        )
    states = in_line(scenario, *_spans(spells))
    loads = carried(states, spells.peak_load, spells.peak_anchor_load)
    parts = tuple(_part(part, load) for part, load in zip(states, loads, strict=True))
    use = np.array([_over(load, part.wll.likely) for part, load in zip(states, loads, strict=True)]).max(0)
    lowest = np.array([part.strength_left.low for part in states])
    broken = np.asarray(np.any(loads > lowest[:, None], axis=0))
    out = np.asarray(spells.room > (math.inf if limit is None else limit))
    out = out if touched is None else out | touched
    fails = np.asarray(spells.dragged | broken | out)
    return Outlook(
        spells=spells,
        limit=limit,
        bounded=limit is not None or touched is not None,
        dragging=_chance(spells.dragged),
        parted=_chance(broken),
        outside=_chance(out),
        failing=_chance(fails),
        strained=_chance(use > 1.0),
        peak=quantile(spells.peak_load, SELDOM),
        room=quantile(spells.room, SELDOM),
        parts=parts,
        breaks=broken,
        out=out,
        fails=fails,
        strains=np.asarray(use > 1.0),
        use=use,
    )


def _spans(spells: Spells) -> tuple[Interval, Interval]:
    ends = [1.0 - SELDOM, 0.5, SELDOM]
    bow, anchor = (np.quantile(pulls, ends).tolist() for pulls in (spells.peak_load, spells.peak_anchor_load))
    return Interval(*bow), Interval(*anchor)


def _part(state: PartState, load: Floats) -> PartOutlook:
    used = _over(load, state.wll.likely)
    return PartOutlook(
        key=state.key,
        name=state.name,
        wll=state.wll.likely,
        used=quantile(used, SELDOM),
        strained=_chance(used > 1.0),
        parted=_chance(load > state.strength_left.low),
        condemned=state.condemned,
    )


def _over(load: Floats, wll: float) -> Floats:
    """A load over what is left of the working load; without limit where nothing is left."""
    if wll > 0:
        return load / wll
    return np.where(load > 0, np.inf, 0.0)


def _chance(happened: Bools) -> Interval:
    return _known_chance(int(np.count_nonzero(happened)), len(happened))


@functools.lru_cache(maxsize=4096)
def _known_chance(times: int, count: int) -> Interval:
    """Bands take a millisecond each, and most parts are strained in no spell at all."""
    return chance(np.arange(count) < times)


def change(before: ArrayLike, after: ArrayLike) -> Interval:
    """By how much the chance of something changes from one set-up to another in the same spells.

    ``before`` and ``after``: (n,) booleans, a spell each.  The band is that of Bonett & Price (2012), J.
    Educ. Behav. Stat. 37, 479-488, for a difference in pairs: of spells that end alike both ways only the
    number counts, so it is narrower than the two chances' own bands tell.
    """
    first, then = np.asarray(before, dtype=bool), np.asarray(after, dtype=bool)
    count = len(first)
    arisen, mended = int(np.count_nonzero(then & ~first)), int(np.count_nonzero(first & ~then))
    up, down = (arisen + 1) / (count + 2), (mended + 1) / (count + 2)
    wide = float(scipy.special.ndtri((1.0 + CONFIDENCE) / 2.0))
    reach = wide * math.sqrt((up + down - (up - down) ** 2) / (count + 2))
    low, high = max(up - down - reach, -1.0), min(up - down + reach, 1.0)
    return Interval(low, (arisen - mended) / count, high, kind="95 % confidence")


def certain(difference: Interval) -> bool:
    """Whether a difference is more than the chance of so many spells explains: its band leaves out 0."""
    return difference.low > 0.0 or difference.high < 0.0


__all__ = ["SAFE", "Outlook", "PartOutlook", "certain", "change", "look", "touching"]
