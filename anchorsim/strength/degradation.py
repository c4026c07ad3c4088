"""What findings mean: the share of strength, holding and stretch each leaves, and the rode as it behaves.

A share runs from 0 to 1 and comes as low, likely and high, since what is seen tells only so much.  Findings
of different kinds on one part multiply; of several of one kind the worst counts.  So no finding ever raises
a share, and their order does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from anchorsim.core.tables import Row, pick, table
from anchorsim.core.units import Quantity, System, quantity, show, si
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario

_FULL_TUCKS = 6  # common practice, no source
_SHACKLE_WEAR = 0.9  # of the diameter: out of use below, ASME B30.26 (read in a reprint)
_GROWTH = 0.05  # of its length: chain out of use beyond, by the finding's row
_OLD = 11.0  # years, the middle of 10 to 12, of the dock lines that broke at the shares below
_OLD_SHARE = (0.25, 0.38, 0.51)  # read in a magazine test; the middle is ours
_OLDEST = (0.05, 0.15, 0.3)  # shares that age leaves at the least (judgement)
_OLD_STRETCH = 0.6  # share of the stretch left at that age (judgement)
_LEAST_STRETCH, _LEAST_MASS = 0.2, 2.0  # what a scenario allows
_TEMPERED = 70  # chain of this grade and up is heat treated; hot zinc takes some of that away
_TEMPER_LEFT = 0.85  # share left of it (judgement)


@dataclass(frozen=True)
class Effect:
    """What one finding comes to.

    ``condemned``: do not lie to the part until it is replaced.  ``measured`` says in words what a measurement
    came to, and is empty where nothing was measured.
    """

    finding: Finding
    strength: Interval
    holding: Interval
    stretch: float
    condemned: bool
    measured: str

    @property
    def urgency(self) -> str:
        """When the remedy is due: before use, this season or at leisure."""
        return "before use" if self.condemned else str(self.finding.row()["urgency"])

    @property
    def throughout(self) -> bool:
        """Whether it ails the whole length of a rope, and so its splices and bends too."""
        return self.finding.row().get("throughout") == "yes"


@dataclass(frozen=True)
class State:
    """What all findings on a part leave of it."""

    effects: tuple[Effect, ...] = ()
    strength: Interval = WHOLE
    holding: Interval = WHOLE
    stretch: float = 1.0
    condemned: bool = False


def effect(scenario: Scenario, finding: Finding, system: System = "metric") -> Effect:
    """What a finding comes to on this tackle.

    Where the description of the tackle says the same already (``unless`` in the table), the finding takes
    nothing further away.
    """
    row = finding.row()
    if _told_already(scenario, row):
        return Effect(finding, WHOLE, WHOLE, 1.0, False, "")
    strength, condemned, measured, stretch = _LAWS[row.get("law", "")](scenario, finding, system)
    return Effect(finding, strength, _shares(row, "holding"), stretch, condemned, measured)


def states(scenario: Scenario, system: System = "metric") -> dict[str, State]:
    """The state of each part that something was found on, by its name in ``data/parts.csv``."""
    by_part: dict[str, list[Effect]] = {}
    for finding in scenario.survey.findings:
        by_part.setdefault(finding.part, []).append(effect(scenario, finding, system))
    return {part: state_of(effects) for part, effects in by_part.items()}


def behaving(scenario: Scenario, known: dict[str, State] | None = None) -> Scenario:
    """The scenario as its findings make it behave.

    Rope that stretches less does so in the simulation, and an anchor that holds less is replaced by a lighter
    one of its type that holds as much: holding grows with mass to the power that the bottom has.
    """
    found = states(scenario) if known is None else known
    changes: dict[str, object] = {}
    for part, path in (("rope", "tackle.rope.stretch"), ("snubber", "tackle.snubber.stretch")):
        if part in found and found[part].stretch < 1.0:
            changes[path] = max(scenario.get(path) * found[part].stretch, _LEAST_STRETCH)
    holding = found.get("anchor", State()).holding.likely
    if holding < 1.0:
        power = float(pick("bottoms", bottom=scenario.spot.bottom)["mass exponent"])
        mass = si(scenario.tackle.anchor.mass) * holding ** (1.0 / power)
        changes["tackle.anchor.mass"] = quantity(max(mass, _LEAST_MASS), "kg")
    return scenario.vary(changes) if changes else scenario


def described(scenario: Scenario) -> Scenario:
    """The scenario with the parts that findings speak of and its description leaves out: a swivel, a link."""
    changes: dict[str, str] = {}
    for finding in scenario.survey.findings:
        path, _, value = finding.row().get("implies", "").partition(" = ")
        if path and scenario.get(path) == "none":
            changes[path] = value
    return scenario.vary(changes) if changes else scenario


def as_found(scenario: Scenario) -> Scenario:
    """The scenario that is to be sailed: as its findings make it behave, itself where there are none.

    The findings are done with then: what they took of strength is not in it, so judge the scenario itself.
    """
    found = behaving(described(scenario))
    return found.vary({"survey.findings": ()}) if scenario.survey.findings else found


def zinc_life(zinc: float, place: str) -> tuple[float, float]:
    """Years that ``zinc`` metres last in a place, C3 to C5 of ISO 14713: at the fastest and slowest loss."""
    row, year = pick("zinc_loss", place=place), si(quantity(1.0, "year"))
    return zinc / (row["loss high"] * year), zinc / (row["loss low"] * year)


def state_of(effects: Sequence[Effect]) -> State:
    """What several effects on one part leave of it together."""
    strength = _all((entry.finding.kind, entry.strength) for entry in effects)
    holding = _all((entry.finding.kind, entry.holding) for entry in effects)
    stretch = _all((entry.finding.kind, Interval(*[entry.stretch] * 3)) for entry in effects)
    condemned = any(entry.condemned for entry in effects)
    return State(tuple(effects), strength, holding, stretch.likely, condemned)


def _all(shares: Iterable[tuple[str, Interval]]) -> Interval:
    """The worst of each kind, multiplied in the order of their names: the same however they came."""
    worst: dict[str, Interval] = {}
    for kind, share in shares:
        worst[kind] = worst.get(kind, WHOLE).least(share)
    total = WHOLE
    for kind in sorted(worst):
        total = total * worst[kind]
    return total


def _told_already(scenario: Scenario, row: Row) -> bool:
    path, _, value = row.get("unless", "").partition(" = ")
    return bool(path) and str(scenario.get(path)) == value


def _shares(row: Row, of: str) -> Interval:
    if f"{of} likely" not in row:
        return WHOLE
    return Interval(*(float(row[f"{of} {end}"]) for end in ("low", "likely", "high")))


Outcome = tuple[Interval, bool, str, float]  # strength, condemned, what was measured, share of stretch


def _as_printed(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    row = finding.row()
    return _shares(row, "strength"), row.get("condemned") == "yes", "", float(row.get("stretch", 1.0))


def _worn(share: float) -> Interval:
    """Strength of a round bar worn to a share of its diameter.

    Low: as its bending strength, the cube; likely: as its section, the square; high: worn one way only.
    """
    left = min(share, 1.0)
    return Interval(left**3, left**2, left)


def _section(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    """A shackle or swivel against its diameter when new."""
    fittings, link = scenario.tackle.fittings, scenario.tackle.chain.row()["diameter"]
    part = fittings.swivel if finding.part == "swivel" else fittings.anchor_shackle
    return _worn_bar(finding.measured, float(part.row(link)["diameter"]), _SHACKLE_WEAR, system)


def _link_wear(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    new = float(scenario.tackle.chain.row()["diameter"])
    return _worn_bar(finding.measured, new, wear_limit(new), system)


def _worn_bar(measured: Quantity, new: float, limit: float, system: System) -> Outcome:
    share = si(measured) / new
    sizes = [show(quantity(length, "m"), "mm", system) for length in (si(measured), new, limit * new)]
    words = (
        f"{sizes[0]} left of {sizes[1]}, {100 * min(share, 1.0) ** 2:.0f} % of the section; out of use below"
    )
    return _worn(share), share < limit * (1 - 1e-9), f"{words} {sizes[2]}", 1.0


def wear_limit(diameter: float) -> float:
    """Share of its diameter (m) below which a chain is out of use.

    The stricter of ASME B30.9 (least thickness) and OSHA 1926.251 Table H-2 (greatest wear), each as a share
    of the diameter, linear between the printed sizes and flat beyond them (ours).
    """
    shares = []
    for standard in dict.fromkeys(row["standard"] for row in table("chain_wear")):
        rows = [row for row in table("chain_wear") if row["standard"] == standard]
        left = [row.get("least diameter", row["diameter"] - row.get("greatest wear", 0.0)) for row in rows]
        sizes = [row["diameter"] for row in rows]
        shares.append(np.interp(diameter, sizes, np.array(left) / np.array(sizes)))
    return float(max(shares))


def _elongation(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    growth = si(finding.measured)
    likely = max(1.0 - 4.0 * growth, 0.1)
    words = f"{100 * growth:.3g} % longer than new; out of use from {100 * _GROWTH:.0f} %"
    return Interval(likely**2, likely, math.sqrt(likely)), growth >= _GROWTH, words, 1.0


def _regalvanised(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    rows = table("regalvanised")
    row = rows[min(math.ceil(finding.measured), len(rows) - 1)]
    share = Interval(row["low"], row["likely"], row["high"])
    if scenario.tackle.chain.grade >= _TEMPERED and finding.measured > 0:
        share = share * Interval(_TEMPER_LEFT**2, _TEMPER_LEFT, 1.0)
    return share, row.get("condemned") == "yes", f"{finding.measured:g} times; no more than twice", 1.0


def _tucks(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    count = finding.measured
    low, likely, high = (min(max(count + more, 0.0) / _FULL_TUCKS, 1.0) for more in (-1.0, 0.0, 1.0))
    full = count >= _FULL_TUCKS
    words = f"{count:g} full tucks of the {_FULL_TUCKS} that it needs"
    return (WHOLE if full else Interval(low, likely, high)), count < _FULL_TUCKS / 2, words, 1.0


def _rope_wear(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    share = si(finding.measured) / si(_rope_diameter(scenario, finding.part))
    row = next(row for row in table("rope_wear") if share >= row["diameter left"] * (1 - 1e-9))
    words = f"{100 * share:.0f} % of its diameter left: {row['class']}"
    return Interval(row["low"], row["likely"], row["high"]), row.get("condemned") == "yes", words, 1.0


def _rope_diameter(scenario: Scenario, part: str) -> Quantity:
    tackle = scenario.tackle
    return tackle.rope.diameter if part == "rope" else tackle.snubber.diameter


def _age(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    """A straight line from new to what old dock lines broke at (ours), and on to a least share."""
    age = si(finding.measured) / si(quantity(1.0, "year"))
    part = age / _OLD
    strength = Interval(
        *(max(1.0 - (1.0 - old) * part, least) for old, least in zip(_OLD_SHARE, _OLDEST, strict=True))
    )
    words = f"{age:.3g} years old: about {100 * strength.likely:.0f} % of new strength"
    return strength, strength.likely < 0.5, words, 1.0 - (1.0 - _OLD_STRETCH) * min(part, 1.0)


def _zinc(scenario: Scenario, finding: Finding, system: System) -> Outcome:
    short, long = zinc_life(si(finding.measured), finding.grade)
    return WHOLE, False, f"lasts {short:.2g} to {long:.2g} years in {finding.grade} of ISO 14713", 1.0


_LAWS = {
    "": _as_printed,
    "section": _section,
    "link wear": _link_wear,
    "elongation": _elongation,
    "regalvanised": _regalvanised,
    "tucks": _tucks,
    "rope wear": _rope_wear,
    "age": _age,
    "zinc": _zinc,
}
