"""The one answer to what becomes of a boat at anchor: many spells, what lies round her, and what was found.

``assess(scenario)`` runs the spells of the boat as the survey's findings make her behave, meets what lies
round her, and sets the loads against the strength that is left of each part.  All that counts or says
anything counts the :class:`Outcome` of each spell.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Measure, Quantity, quantity, si
from anchorsim.dynamics.anchor_travel import held_crept_or_dragged
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.numerics.estimates import counted_chance, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.clearances import SHELF, TOUCH, Clearance, ClearanceSI, surrounded
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import Cancel, Ints, Progress, Spells, numbers_from, spells_each
from anchorsim.risk.outcome import LIMIT, SELDOM, Ending, Outcome, OutcomeSI, What
from anchorsim.risk.part_loads import PartLoad, over
from anchorsim.risk.ranges import Ranges
from anchorsim.risk.stretch import Demands, demands
from anchorsim.risk.stretch import share as share_over
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState, carried, in_line
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_STRETCH = Measure("Stretch of time", "hour", 0.0, 240.0, 1.0)


@dataclass(frozen=True, eq=False)
class Assessment(Ranges, Said, Drawn):
    """What the spells of a scenario come to.

    Attributes
    ----------
    scenario : Scenario
        What was assessed.
    spells : Spells
        The figures of each spell, as arrays of SI floats: the inside of all that follows.
    clear_radius : quantity or None
        Free water about where the anchor was set; None for no end but what the scenario places round her.
    outcomes : tuple of Outcome
        What happened in each spell.
    peak_load, peak_anchor_load, uplift, radius, drag, holding_used : Interval
        Median and range of the spells.
    bad_peak_load, bad_radius : Interval
        What one spell in twenty passes, with its 95 % band.
    loads : quantity
        Load on each part in each spell: an array (parts, spells).
    use : (parts, spells) float64 array
        The same as a share of what is left of the part's WLL.
    states, parts : tuple of PartState, tuple of PartLoad
        The parts in line from the anchor aft: as found, and with the chances of overload and of breaking.
    most_loaded : PartLoad
        The part that comes nearest to its WLL, or goes farthest beyond it.
    overloaded, unfit : tuple of PartState
        The parts over their WLL in half of the spells or more, and those not fit for use as found.
    clearances : tuple of Clearance
        How near she came to each thing round her.
    nearest : {"dragged", "may have broken", "out of room"}
        The way of failing that the spells came nearest to.
    bounded, within_limit : bool
        Whether there is an end to the water that she has; whether she fails in no more spells than is
        accepted (5 in 100) and every part is fit for use.

    Examples
    --------
    >>> found = assess(Scenario(), count=8)
    >>> found
    <Assessment: spells 8, failed 0, scenario Unnamed scenario>
    >>> found.count("held"), found.chance("dragged").high < 0.4, found.outcomes[0].ending
    (8, True, 'held')
    >>> f"{found.peak_load.to('kN').likely:.1f} kN"
    '2.0 kN'
    """

    scenario: Scenario
    spells: Spells
    clear_radius: Quantity | None = None

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Assessment)
            and (self.scenario, self.clear_radius) == (other.scenario, other.clear_radius)
            and self.spells.same_as(other.spells)
        )

    def __hash__(self) -> int:
        return hash((self.scenario, len(self)))

    def __len__(self) -> int:
        return len(self.spells)

    def __repr__(self) -> str:
        spells, failed = str(len(self)), str(self.count("failed"))
        facts = [("spells", spells), ("failed", failed), ("scenario", self.scenario.title)]
        return line("Assessment", facts)

    def run(self, place: int = 0) -> Run:
        """The spell at a ``place`` among its spells over again, with all that happens in it."""
        return simulate(self.spells.scenario, **draw(int(self.spells.number[place]))._asdict())

    @functools.cached_property
    def states(self) -> tuple[PartState, ...]:
        """The parts in line as found, from the anchor aft, under the range of the spells' loads."""
        return in_line(self.scenario, self.peak_load, self.peak_anchor_load)

    @property
    def loads(self) -> Quantity:
        """Load on each part in each spell, an array (parts, spells)."""
        return quantity(self._loads, "N")

    @functools.cached_property
    def _loads(self) -> Floats:
        return carried(self.states, self.spells.peak_load, self.spells.peak_anchor_load)

    @functools.cached_property
    def outcomes(self) -> tuple[Outcome, ...]:
        """What happened in each spell."""
        found = self.spells
        columns: tuple[NDArray[Any], ...] = (
            found.number, found.drag, found.peak_load, found.peak_anchor_load, found.uplift, found.radius,
            found.water,
        )  # fmt: skip
        rows = zip(*(column.tolist() for column in columns), strict=True)
        outside = found.radius > (math.inf if self._room is None else self._room)
        overloaded = np.any(self.use > 1.0, axis=0)
        made = []
        for place, (number, drag, peak, anchor, uplift, radius, water) in enumerate(rows):
            ending, gave_way = self._ending(place, drag)
            hit, grounded = self._met(place, water)
            made.append(
                Outcome(
                    number, ending, gave_way, hit, grounded, bool(outside[place]), bool(overloaded[place]),
                    OutcomeSI(drag, peak, anchor, uplift, radius, water),
                )
            )  # fmt: skip
        return tuple(made)

    def _ending(self, place: int, drag: float) -> tuple[Ending, tuple[str, ...]]:
        loads = self._loads[:, place]
        gave = [part for part, load in zip(self.states, loads, strict=True) if load > part.strength_left.low]
        if not gave:
            return held_crept_or_dragged(drag), ()
        broke = any(load > part.strength_left.likely for part, load in zip(self.states, loads, strict=True))
        return "broke" if broke else "may have broken", tuple(part.name for part in gave)

    def _met(self, place: int, water: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
        near = self.spells.closest[place] < TOUCH
        touched = [thing for thing, met in zip(self.spells.things, near, strict=True) if met]
        grounded = [thing.name for thing in touched if thing.kind == "shoal"]
        if water < si(self.scenario.boat.draught) and SHELF not in grounded:
            grounded.append(SHELF)
        return tuple(thing.name for thing in touched if thing.kind != "shoal"), tuple(grounded)

    @functools.cached_property
    def use(self) -> Floats:
        """Load over what is left of the WLL, (parts, spells); infinite where nothing is left."""
        return over(self._loads, np.array([[part.wll.likely] for part in self.states]))

    def happened(self, what: What) -> Bools:
        """In which spells a word (``what``, see :class:`Outcome`) holds of the outcome, (spells,) bool."""
        arguments.one_of("what", what, get_args(What))
        return np.array([outcome.is_(what) for outcome in self.outcomes], dtype=bool)

    def count(self, what: What) -> int:
        """In how many of the spells a word (``what``) holds of the outcome."""
        return int(np.count_nonzero(self.happened(what)))

    def chance(self, what: What) -> Interval:
        """The chance per spell that a word (``what``) holds of the outcome, with its 95 % band."""
        return counted_chance(self.happened(what))

    def share(self, what: What, stretch: str | Quantity = "6 hour") -> Interval:
        """The chance that a word (``what``) holds of at least one spell of a ``stretch``, with its 95 % band.

        Of an ending: that it is the gravest of the stretch.  Holding, windage and the rode's drag stay as
        drawn through the stretch, the gusts do not, and creep adds up.  Against runs of six
        hours on end: ``validation.long_stretch``.  Raises ArgumentError where the stretch is not a time, or
        is shorter than a spell.
        """
        spell = si(self.scenario.weather.duration)
        seconds = arguments.amount("stretch", stretch, _STRETCH)
        if seconds < spell * (1.0 - 1e-9):
            least = f"{spell / 60.0:g} minute or more"
            raise arguments.refused(
                "stretch", f"{stretch} is shorter than a spell", least, "give a longer one"
            )
        at = what, max(seconds / spell, 1.0)
        if at not in self._shares:  # which takes longer than all the rest that is told
            self._shares[at] = share_over(self.happened, self._demands, *at)
        return self._shares[at]

    @functools.cached_property
    def _shares(self) -> dict[tuple[What, float], Interval]:
        return {}

    @functools.cached_property
    def _demands(self) -> Demands:
        draught = si(self.scenario.boat.draught)
        return demands(self.spells, self.states, self._loads, self.use, draught, self._room)

    @property
    def _room(self) -> float | None:
        """The clear radius, m."""
        return None if self.clear_radius is None else si(self.clear_radius)

    @property
    def nearest(self) -> What:
        """Which way of failing the spells came nearest to: dragged, may have broken, or out of room."""
        near = self._demands
        ways: dict[What, float] = {
            "may have broken": float(near.least.max()),
            "out of room": float(near.room.max()),
            "dragged": float(near.holding.max()),
        }
        return max(ways, key=ways.__getitem__)

    @property
    def bounded(self) -> bool:
        """Whether there is an end to the water she has: a clear radius, or something round her."""
        return self.clear_radius is not None or surrounded(self.spells.scenario)

    @functools.cached_property
    def parts(self) -> tuple[PartLoad, ...]:
        """The parts in line, from the anchor aft."""
        return tuple(
            PartLoad(
                state=state,
                use=quantile(use, 1.0 - SELDOM),
                overloaded=counted_chance(use > 1.0),
                may_break=counted_chance(loads > state.strength_left.low),
            )
            for state, use, loads in zip(self.states, self.use, self._loads, strict=True)
        )

    @property
    def most_loaded(self) -> PartLoad:
        """The part that comes nearest to its WLL, or goes farthest beyond it."""
        return max(self.parts, key=lambda part: part.use.likely)

    @property
    def overloaded(self) -> tuple[PartState, ...]:
        """The parts that pass their WLL in half of the spells or more, the most loaded first."""
        found = [part for part in self.states if part.utilisation.likely > 1.0]
        return tuple(sorted(found, key=lambda part: part.utilisation.likely, reverse=True))

    @property
    def unfit(self) -> tuple[PartState, ...]:
        """The parts that are not fit for use as found."""
        return tuple(part for part in self.states if part.unfit)

    @functools.cached_property
    def clearances(self) -> tuple[Clearance, ...]:
        """How near she came to each thing round her: dangers, shoals, neighbours."""
        columns = np.ascontiguousarray(self.spells.closest.T)
        met = zip(self.spells.things, map(ClearanceSI, columns), strict=True)
        return tuple(Clearance(*each) for each in met)

    @property
    def within_limit(self) -> bool:
        """Whether she fails in no more spells than is accepted, and every part is fit for use."""
        return self.chance("failed").likely <= LIMIT and not self.unfit


def assess(
    scenario: Scenario,
    count: int = 200,
    *,
    first: int = 0,
    clear_radius: float | str | Quantity | None = None,
    known: Assessment | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Assessment:
    """Assess what becomes of a boat at anchor: many spells, what lies round her, and what was found.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    count : int
        How many spells, each as long as the scenario's weather says.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    clear_radius : float, str or quantity, optional
        Free water about where the anchor is set: m, or with its unit.
    known : Assessment, optional
        Of the same scenario: its spells are not run again.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    Assessment
        The outcome of each spell, and all that is counted from them.

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

    Examples
    --------
    >>> found = assess(Scenario(), count=8, clear_radius=45.0)
    >>> found.count("held"), found.count("outside")
    (8, 8)
    """
    room = arguments.room("clear_radius", clear_radius)
    if known is not None:
        arguments.instance("known", known, Assessment, "give what assess gave for this scenario")
    (found,) = assess_each(
        [scenario],
        numbers_from(first, count),
        clear_radii=[room],
        known=None if known is None else [known.spells],
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    return found


def assess_each(
    scenarios: Sequence[Scenario],
    numbers: Ints,
    *,
    clear_radii: Sequence[float | None] | None = None,
    known: Sequence[Spells | None] | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> list[Assessment]:
    """As :func:`assess`, of several scenarios in the same spells."""
    behave = [as_found(scenario) for scenario in scenarios]
    found = spells_each(
        behave,
        numbers,
        known=known or [None] * len(behave),
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    if not all(spells.complete for spells in found):
        raise CancelledError("Stopped. Start again to get a result.")
    ends = clear_radii or [None] * len(behave)
    radii = [None if end is None else quantity(end, "m") for end in ends]
    return [Assessment(*each) for each in zip(scenarios, found, radii, strict=True)]
