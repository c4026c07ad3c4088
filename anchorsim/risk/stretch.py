"""The chance of each outcome over a stretch of many spells, through which holding and windage stay as drawn.

A chance in ten minutes says little about a night.  The gusts are new in each spell; the anchor's holding, the
boat's windage and the rode's drag are not, and mostly they decide: so spells are not so many throws of a die.
How much hangs on either is told by how near each spell came to the outcome (``numerics.hazard``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.numerics.hazard import over_stretch
from anchorsim.numerics.interval import Interval
from anchorsim.risk.draws import scores_of
from anchorsim.risk.monte_carlo import Spells
from anchorsim.risk.outcome import ENDINGS, Ending, What
from anchorsim.risk.part_loads import over
from anchorsim.strength.capacity import PartState

Floats = NDArray[np.float64]
# m in a spell: runs of one, three and six hours (``validation.long_stretch``) were a metre off in the end no
# oftener than spells that crept so far tell (fitted to them)
CREEPS_ON = 0.28
Happened = Callable[[What], NDArray[np.bool_]]


@dataclass(frozen=True)
class Demands:
    """How near each spell came to an outcome: demand over capacity, (spells,), 1 where it is just reached.

    ``holding``: of the anchor; ``least`` and ``likely``: load over the least and the likely strength left, of
    the part where that is most; ``wll``: load over WLL likewise; ``room``: how far she came over how far she
    had to come to be out of room.  ``travel``: how far the anchor moved, m.  ``scores``: standard normal, of
    what is drawn for a spell, (spells, 3).
    """

    holding: Floats
    least: Floats
    likely: Floats
    wll: Floats
    room: Floats
    travel: Floats
    scores: Floats


def demands(
    spells: Spells,
    states: Sequence[PartState],
    loads: Floats,
    use: Floats,
    draught: float,
    clear_radius: float | None,
) -> Demands:
    """Those of some spells, with the loads on each part (N) and on its WLL, (parts, spells)."""
    room = [np.minimum(draught / np.maximum(spells.water, 1e-3), 1.0)]
    room += [spells.radius / (spells.radius + near) for near in spells.closest.T]
    if clear_radius is not None:
        room.append(np.minimum(spells.radius / clear_radius, 1.0))
    left = [part.strength_left for part in states]
    return Demands(
        holding=spells.holding_used,
        least=_most_loaded(loads, [each.low for each in left]),
        likely=_most_loaded(loads, [each.likely for each in left]),
        wll=use.max(axis=0),
        room=np.max(room, axis=0),
        travel=spells.drag,
        scores=scores_of(spells.number),
    )


def _most_loaded(loads: Floats, strength: Sequence[float]) -> Floats:
    """Of the part where that is most."""
    return np.asarray(over(loads, np.array(strength)[:, None]).max(axis=0))


def share(happened: Happened, demands: Demands, what: What, spells: float) -> Interval:
    """The share of stretches, of so many spells each, in which a word holds of at least one spell.

    Of an ending: in which that is the gravest ending of any of its spells.  Creep adds up: an anchor that
    creeps on is a metre off in the end, and has dragged.
    """
    if what in ENDINGS:
        return _ending(happened, demands, what, spells)
    if what == "failed":
        return _failed(happened, demands, spells)
    near, capped = (demands.wll, False) if what == "overloaded" else (demands.room, True)
    return over_stretch(happened(what), _log(near), demands.scores, spells, capped=capped)


def _failed(happened: Happened, demands: Demands, spells: float) -> Interval:
    """Dragged, broken or out of room: no less likely than either, nor than what their margins tell together.

    Room that is the same in every spell says nothing of the others' margins, and would stand before them.
    """
    out = happened("out of room")
    gear = _or_graver(happened, demands, "dragged", spells)
    if not (out.any() or np.ptp(demands.room)):
        return gear
    near = np.maximum.reduce([demands.holding, demands.least, demands.room])
    occurs = happened("failed") | _far_off_in_the_end(demands, spells)
    each = [gear, share(happened, demands, "out of room", spells)]
    each.append(over_stretch(occurs, _log(near), demands.scores, spells))
    low, likely, high = (max(ends) for ends in zip(*each, strict=True))
    return Interval(low, likely, high, kind=gear.kind)


def _ending(happened: Happened, demands: Demands, ending: Ending, spells: float) -> Interval:
    if ending == ENDINGS[0]:  # what never was otherwise
        graver = _or_graver(happened, demands, ENDINGS[1], spells)
        return Interval(1.0 - graver.high, 1.0 - graver.likely, 1.0 - graver.low, kind=graver.kind)
    at_least = _or_graver(happened, demands, ending, spells)
    if ending == ENDINGS[-1]:
        return at_least
    graver = _or_graver(happened, demands, ENDINGS[ENDINGS.index(ending) + 1], spells)
    low, likely, high = (max(end - graver.likely, 0.0) for end in at_least)
    return Interval(low, likely, high, kind=at_least.kind)


def _or_graver(happened: Happened, demands: Demands, ending: Ending, spells: float) -> Interval:
    """That ending, or a graver one."""
    occurs = np.any([happened(each) for each in ENDINGS[ENDINGS.index(ending) :]], axis=0)
    if ending == "dragged":
        occurs = occurs | _far_off_in_the_end(demands, spells)
    if ending in ("crept", "dragged"):
        near, capped = np.maximum(demands.holding, demands.least), True
    else:
        near, capped = demands.least if ending == "may have broken" else demands.likely, False
    return over_stretch(occurs, _log(near), demands.scores, spells, capped=capped)


def _far_off_in_the_end(demands: Demands, spells: float) -> NDArray[np.bool_]:
    """Which spells' creep would have the anchor a metre off at the end of the stretch, spell upon spell."""
    return np.asarray(demands.travel >= max(DRAGS_FROM / spells, CREEPS_ON))


def _log(ratio: ArrayLike) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.asarray(ratio, dtype=np.float64)))
