"""The verdict on a scenario: what happens in a small fixed set of spells, in plain words with its range."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from anchorsim.core.units import System, quantity, show, si
from anchorsim.dynamics.simulation import Run, simulate
from anchorsim.dynamics.wave_motion import snatches
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.interval import Interval
from anchorsim.risk.monte_carlo import CREEP, STAYS, Spells, least_water
from anchorsim.risk.swinging_room import SHELF, TOUCH, Room, met
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground, uplift_table
from anchorsim.strength.capacity import PartState, carried, in_line
from anchorsim.strength.degradation import as_found
from anchorsim.wording.site_notes import holding_notes, rode_notes, short_of_rode

Ending = Literal["held", "dragged", "broke"]

SEEDS = (1, 2, 3, 4, 5, 6, 7, 8)
# Where each spell's anchor lies in the scatter of its holding: the middles of eight equal shares, well mixed.
_QUANTILES = (0.5625, 0.1875, 0.8125, 0.4375, 0.0625, 0.6875, 0.3125, 0.9375)

_ALONG = math.radians(0.5)  # a pull that rises less runs along the bottom, as people read it

STANDING_CAUTIONS = (
    "These are estimates for comparing choices. They leave out waves unless given, snags and changes of "
    "bottom. Holding varies widely from anchor to anchor.",
    "Makers' instructions, local rules, the surveyor and your own judgement come first. Set the anchor, take "
    "bearings, keep an anchor watch.",
)


_SNATCHES = "Bare chain snatches in this sea. The peak load of one spell says little: go by the range."


@dataclass(frozen=True)
class Outcomes:
    """What spells come to, a value each: greatest load at the bow and at the anchor (N), greatest lift
    (rad), room needed, how far the anchor went and the least water under her (m), and the names of what she
    touches."""

    peak: tuple[float, ...]
    anchor_peak: tuple[float, ...]
    uplift: tuple[float, ...]
    room: tuple[float, ...]
    drag: tuple[float, ...]
    water: tuple[float, ...]
    met: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Verdict:
    """What the spells come to.

    ``peak`` and ``anchor_peak`` in N, ``uplift`` in rad, ``room`` and ``drag`` in m; ``endings`` and
    ``drags`` (m) one a spell; ``parts`` are those in line as found, under these peaks; ``aground``: in how
    many of the spells she takes the ground where the bottom shelves; ``touched``: the names of what lies
    round her and in how many she touches it, the likeliest first.
    """

    scenario: Scenario
    endings: tuple[Ending, ...]
    drags: tuple[float, ...]
    peak: Interval
    anchor_peak: Interval
    uplift: Interval
    room: Interval
    drag: Interval
    parts: tuple[PartState, ...]
    aground: int = 0
    touched: tuple[tuple[str, int], ...] = ()

    @property
    def outcome(self) -> str:
        """The gist in a word or two."""
        most = len(self.endings) / 2
        if self._broken:
            return "Tackle breaks" if self._broken > most else "May break"
        if self.aground:
            return "Takes the ground" if self.aground > most else "May take the ground"
        if self.touched:
            return "Touches" if self.touched[0][1] > most else "May touch"
        if self._dragging:
            return "Drags" if self._dragging > most else "May drag"
        return "Creeps" if self._creeping else "Holds"

    @property
    def _broken(self) -> int:
        return self.endings.count("broke")

    @property
    def _dragging(self) -> int:
        return sum(drag >= CREEP for drag in self._moved)

    @property
    def _creeping(self) -> int:
        return sum(drag < CREEP for drag in self._moved)

    @property
    def _moved(self) -> list[float]:
        """How far the anchor went (m) in each of the spells that end with it dragged."""
        return [drag for drag, ending in zip(self.drags, self.endings, strict=True) if ending == "dragged"]

    @property
    def overloaded(self) -> tuple[PartState, ...]:
        """The parts that pass their working load in half of the spells or more, the hardest used first."""
        found = [part for part in self.parts if part.utilisation.likely > 1.0]
        return tuple(sorted(found, key=lambda part: part.utilisation.likely, reverse=True))

    def sentence(self, system: System = "metric") -> str:
        """What happens and why, then the pull and the room with their range: two plain sentences."""
        peak, room = _span(self.peak, "kN", "N", system), _length(self.room.high, system)
        told = self.overloaded and not self._broken
        beyond = f", more than the working load of {_list(self.overloaded)}" if told else ""
        numbers = (
            f"At the hardest {peak} comes on the bow{beyond}; she needs {room} of room around the anchor."
        )
        return f"{self._what(system)}, {self._why(system)}. {numbers}"

    def _what(self, system: System) -> str:
        fixed_spells = len(self.endings)
        if self._broken:
            return f"The tackle breaks in {_of(self._broken, fixed_spells)}"
        if self.aground:
            return f"She takes the ground in {_of(self.aground, fixed_spells)}"
        if self.touched:
            name, often = self.touched[0]
            return f"She touches {name} in {_of(often, fixed_spells)}"
        if self._dragging:
            creeping = f", and creeps in {self._creeping}" if self._creeping else ""
            drag = _length(max(self._moved), system)
            return (
                f"The anchor drags in {_of(self._dragging, fixed_spells)}, {drag} at the farthest{creeping}"
            )
        if self._creeping:
            drag = _length(max(self._moved), system)
            return f"The anchor creeps in {_of(self._creeping, fixed_spells)}, {drag} at the farthest"
        return f"She holds in {_of(fixed_spells, fixed_spells)}"

    def _why(self, system: System) -> str:
        upwards = f"{math.degrees(self.uplift.likely):.0f}° upwards" if self.uplift.likely >= _ALONG else ""
        if self._broken:
            weakest = min(self.parts, key=lambda part: part.strength_left.likely / max(part.load.high, 1e-9))
            return f"because more comes on {_list([weakest])} than it breaks at"
        if self.aground:
            draught = _length(si(self.scenario.boat.draught), system)
            return f"because the bottom shelves to less than the {draught} she draws"
        if self.touched:
            return "because it lies within her reach"
        if not self._moved:
            return f"though the anchor is pulled {upwards}" if upwards else "with the pull along the bottom"
        return self._why_it_moved(upwards, system)

    def _why_it_moved(self, upwards: str, system: System) -> str:
        anchor, bottom = as_found(self.scenario).tackle.anchor, self.scenario.spot.bottom
        holding = ground(anchor.type, si(anchor.mass), bottom).holding
        if holding == 0:
            return f"because nothing holds it on {bottom}"
        held = f"about {show(quantity(holding, 'N'), 'kN', system, 2)} in {bottom}"
        if not upwards:
            return f"because it holds only {held}"
        left = 100 * np.interp(self.uplift.likely, *uplift_table().T)
        return f"because it holds {held} and a pull {upwards} leaves {left:.0f} % of that"

    def notes(self, system: System = "metric") -> tuple[str, ...]:
        """What a person should know of how this was computed from what was given."""
        anchor = self.scenario.tackle.anchor
        found = [short_of_rode(self.scenario, system), *rode_notes(self.scenario, system)]
        found += holding_notes(anchor.type, si(anchor.mass), self.scenario.spot.bottom, system)
        found += [_SNATCHES] if snatches(self.scenario) else []
        return tuple(note for note in found if note)

    @property
    def cautions(self) -> tuple[str, ...]:
        """All cautions: the warnings of this case, then those that always stand."""
        return (*self.warnings, *STANDING_CAUTIONS)

    @property
    def warnings(self) -> tuple[str, ...]:
        """Warnings where this case can hurt someone, the gravest first."""
        found = []
        if condemned := [part for part in self.parts if part.condemned]:
            names = " and ".join(_named(part) for part in condemned)
            found.append(f"Do not lie to {names} before that is put right.")
        if self._broken:
            found.append("The tackle is loaded past what it breaks at: do not lie to it in this weather.")
        if self.aground:
            found.append("Where she takes the ground she lies too near: anchor farther off, or let out less.")
        if self.touched:
            names = " and ".join(name for name, _ in self.touched)
            found.append(f"She needs more room than there is: anchor farther from {names}, or let out less.")
        if self._dragging:
            found.append(
                "Dragging puts boat and crew at risk: improve anchor, scope or place, or leave in time."
            )
        elif self._creeping:
            more = "" if self.aground or self.touched else "let out more rode and "
            found.append(f"An anchor that creeps is at its limit: {more}watch the bearings.")
        if self.overloaded:
            found.append(
                "A part that works beyond its working load can fail without warning: stand clear of it."
            )
        rode = assemble(self.scenario)
        if rode.rope == rode.snubber == 0:
            found.append(
                "Chain comes bare to the bow: lie to a snubber on a strong point, not to the windlass."
            )
        return tuple(found)


def fixed_spells(scenario: Scenario) -> Iterator[Run]:
    """The fixed set of spells, one by one, each with its own gusts and place in the anchor's scatter.

    The boat is as the survey's findings make her behave.
    """
    behaves = as_found(scenario)
    for seed, quantile in zip(SEEDS, _QUANTILES, strict=True):
        yield simulate(behaves, seed=seed, holding_quantile=quantile)


def outcomes(runs: Iterable[Run]) -> Outcomes:
    """What some spells came to."""
    each = [
        (
            run.peak_bow_load,
            run.peak_anchor_load,
            run.peak_uplift,
            si(run.swing_radius),
            si(run.drag_distance),
            least_water(run),
            met(run),
        )
        for run in runs
    ]
    return Outcomes(*zip(*each, strict=True))


def judge(scenario: Scenario, runs: Iterable[Run] | None = None) -> Verdict:
    """The verdict on a scenario, from the fixed set of spells or from runs of it that there are already."""
    return judged(scenario, outcomes(fixed_spells(scenario) if runs is None else runs))


def judge_spells(scenario: Scenario, spells: Spells, around: Room | None = None) -> Verdict:
    """The verdict from many spells: the middle of each figure, and what one spell in twenty passes.

    ``around``: what she touches in the same spells, where something lies round her.
    """
    things = [] if around is None else [one for one in around.clearances if one.name != SHELF]
    touched = tuple(
        tuple(one.name for one in things if one.closest[place] < TOUCH) for place in range(len(spells))
    )
    found = Outcomes(
        peak=tuple(spells.peak_load.tolist()),
        anchor_peak=tuple(spells.peak_anchor_load.tolist()),
        uplift=tuple(spells.uplift.tolist()),
        room=tuple(spells.room.tolist()),
        drag=tuple(spells.drag.tolist()),
        water=tuple(spells.water.tolist()),
        met=touched,
    )
    return judged(scenario, found, _seldom)


def _seldom(values: Sequence[float]) -> Interval:
    low, middle, high = (float(value) for value in np.quantile(values, [0.05, 0.5, 0.95]))
    return Interval(low, middle, high, kind="1 in 20 beyond each end")


def spread(values: Sequence[float]) -> Interval:
    """The middle and the ends."""
    return Interval(min(values), float(np.median(values)), max(values), kind="lowest and highest")


def judged(
    scenario: Scenario, found: Outcomes, over: Callable[[Sequence[float]], Interval] = spread
) -> Verdict:
    """The verdict on a scenario from what spells of it, as found, came to."""
    peak, anchor_peak = over(found.peak), over(found.anchor_peak)
    parts = in_line(scenario, peak, anchor_peak)
    return Verdict(
        scenario=scenario,
        endings=_endings(parts, found),
        drags=found.drag,
        peak=peak,
        anchor_peak=anchor_peak,
        uplift=over(found.uplift),
        room=over(found.room),
        drag=over(found.drag),
        parts=parts,
        aground=sum(water < si(scenario.boat.draught) for water in found.water),
        touched=tuple(Counter(name for names in found.met for name in names).most_common()),
    )


def _endings(parts: Sequence[PartState], found: Outcomes) -> tuple[Ending, ...]:
    """How each spell ends: a part broke, else the anchor went farther than it beds in, else it held."""
    loads = carried(parts, np.array(found.peak), np.array(found.anchor_peak))
    broke = np.any(loads > np.array([[part.strength_left.likely] for part in parts]), axis=0)
    return tuple(
        "broke" if broken else "dragged" if drag >= STAYS else "held"
        for broken, drag in zip(broke, found.drag, strict=True)
    )


def _of(count: int, fixed_spells: int) -> str:
    if fixed_spells == 1:
        return "the one watch tried"
    return (
        f"all {fixed_spells} watches tried"
        if count == fixed_spells
        else f"{count} of {fixed_spells} watches tried"
    )


def _length(metres: float, system: System) -> str:
    return show(quantity(metres, "m"), "m", system, 2)


def _span(span: Interval, unit: str, base: str, system: System) -> str:
    """The middle and, where they differ, the ends."""
    middle, low, high = (show(quantity(v, base), unit, system, 2) for v in (span.likely, span.low, span.high))
    return middle if low == high else f"about {middle} ({low.split()[0]} to {high.split()[0]})"


def _named(part: PartState) -> str:
    return f"the {part.name[:1].lower()}{part.name[1:]}"


def _list(found: Sequence[PartState]) -> str:
    """Up to two parts by name, and how many there are besides."""
    names = [_named(part) for part in found]
    if len(names) > 2:
        return f"{names[0]} and {len(names) - 1} other parts"
    return " and ".join(names)
