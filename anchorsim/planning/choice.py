"""Which of some set-ups to lie with, and until when: the one decision that a comparison ends in.

Nothing here is simulated: a decision is counted from spells or nights that there are already.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.numerics.estimates import certain, change
from anchorsim.numerics.interval import Interval
from anchorsim.planning.night import Night, leave_before
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT
from anchorsim.scenario.scenario import Scenario

_ALWAYS = Interval(1.0, 1.0, 1.0, kind="95 % confidence")
_OF_THE_PLACE = ("exposure", "wave_height", "wave_period", "wave_direction")


@dataclass(frozen=True, eq=False)
class Option:
    """One set-up on offer.

    ``fails``: the chance that she fails over the stretch or the night; one that takes the ground always does.
    ``fails_in``: in which of the spells, (spells,) bool, the same spells for all.  ``leave_before``: when to
    have left, s on the forecast's clock; None where she may stay, and where there is no forecast.  ``unfit``:
    names of parts that are not fit for use.
    """

    letter: str
    fails: Interval
    fails_in: NDArray[np.bool_]
    leave_before: float | None = None
    unfit: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether she stays within the limit all the time, on gear that is fit for use."""
        return not self.unfit and self.leave_before is None and self.fails.likely <= LIMIT


@dataclass(frozen=True, eq=False)
class Choice:
    """What is chosen of the set-ups on offer.

    ``best``: the one that fails least often of those whose gear is fit for use; None where none is.
    ``rest``: the others that are fit, by how often they fail.  ``unfit``: those that are not.  ``alike``:
    those of the rest that hold as the best does, or do not, and may fail no more often as far as spells tell.
    """

    best: Option | None
    rest: tuple[Option, ...]
    unfit: tuple[Option, ...]
    alike: tuple[Option, ...]

    @property
    def holds(self) -> bool:
        """Whether there is a set-up to stay with."""
        return self.best is not None and self.best.holds


def choose(options: Sequence[Option]) -> Choice:
    """Choose among set-ups what fails least often; of those that fail as often the one to stay longest with.

    Raises ArgumentError where there are none.
    """
    if not options:
        raise arguments.refused("options", "none given", "one or more", "give some")
    fit = sorted((each for each in options if not each.unfit), key=_badness)
    unfit = tuple(each for each in options if each.unfit)
    if not fit:
        return Choice(None, (), unfit, ())
    best, *rest = fit
    alike = tuple(
        each
        for each in rest
        if each.holds == best.holds and not certain(change(best.fails_in, each.fails_in))
    )
    return Choice(best, tuple(rest), unfit, alike)


def _badness(option: Option) -> tuple[float, float, float]:
    stays = float("inf") if option.leave_before is None else option.leave_before
    return option.fails.likely, -stays, option.fails.high


def of_spells(letter: str, found: Assessment, stretch: str) -> Option:
    """A set-up by its spells, for a ``stretch`` of this weather."""
    return Option(letter, found.share("failed", stretch), found.happened("failed"), None, _unfit(found))


def of_night(letter: str, found: Night) -> Option:
    """A set-up by a night that is complete.  Raises ArgumentError where it is not."""
    looked = [hour.assessment for hour in found.hours if hour.assessment is not None]
    if not found.complete:
        wrong, fits = f"the night of {letter} is incomplete", "a night with all its spells"
        raise arguments.refused("found", wrong, fits, "wait until it is calculated")
    fails, fails_in = found.failing, np.asarray(found.fails.any(axis=0))
    if found.groundings or fails is None:
        fails, fails_in = _ALWAYS, np.ones(found.count, dtype=bool)
    return Option(letter, fails, fails_in, leave_before(found), _unfit(looked[0]) if looked else ())


def _unfit(found: Assessment) -> tuple[str, ...]:
    return tuple(part.name for part in found.unfit)


def in_the_weather_of(shown: Scenario, other: Scenario) -> Scenario:
    """Another set-up in the weather of the one shown; what the place makes of it, its sea, stays its own.

    Raises ScenarioError where the two do not fit together.
    """
    names = (name for name in type(shown.weather).model_fields if name not in _OF_THE_PLACE)
    changes = {f"weather.{name}": getattr(shown.weather, name) for name in names}
    if shown.record_path is not None:
        changes["weather.record"] = str(shown.record_path.absolute())
    return other.vary(changes)
