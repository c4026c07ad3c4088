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

from anchorsim.core import arguments
from anchorsim.core.tables import Row, pick, table
from anchorsim.core.units import Quantity, quantity, si
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario

_WEAKEST_FIRST = ("quick link", "riveted")  # of links that findings speak of, whatever their order
_FULL_TUCKS = 6  # common practice, no source
_SHACKLE_WEAR = 0.9  # of the diameter: the wear limit, ASME B30.26 (read in a reprint)
_GROWTH = 0.05  # of its length: the wear limit of chain, by the finding's row
MOST_REGALVANISED = 2  # common practice, no source
_OLD = 11.0  # years, the middle of 10 to 12, of the dock lines that broke at the shares below
_OLD_SHARE = (0.25, 0.38, 0.51)  # read in a magazine test; the middle is ours
_OLDEST = (0.05, 0.15, 0.3)  # shares that age leaves at the least (judgement)
_OLD_STRETCH = 0.6  # share of the stretch left at that age (judgement)
_LEAST_STRETCH, _LEAST_MASS = 0.2, 2.0  # what a scenario allows
_TEMPERED = 70  # chain of this grade and up is heat treated; hot zinc takes some of that away
_TEMPER_LEFT = 0.85  # share left of it (judgement)


@dataclass(frozen=True)
class Measurement:
    """What was measured, SI floats.

    ``law`` is that of the finding's row.  ``value`` is what was measured: a diameter, a growth in length as a
    share, a count, an age or a thickness.  ``new`` is what a new part measures and ``limit`` the wear limit,
    in the same unit, None where there is none.  ``lasts`` is how long zinc lasts (s), shortest and longest.
    """

    law: str
    value: float
    new: float | None = None
    limit: float | None = None
    lasts: tuple[float, float] | None = None


@dataclass(frozen=True)
class Effect:
    """What one finding means.

    ``unfit``: the part is not fit for use until it is replaced or repaired.  ``measured`` is None where
    nothing was measured.
    """

    finding: Finding
    strength: Interval
    holding: Interval
    stretch: float
    unfit: bool
    measured: Measurement | None = None

    @property
    def urgency(self) -> str:
        """When the remedy is due: before use, this season or at leisure."""
        return "before use" if self.unfit else str(self.finding.row()["urgency"])

    @property
    def throughout(self) -> bool:
        """Whether it is along the whole length of a rope, and so in its splices and bends too."""
        return self.finding.row().get("throughout") == "yes"


@dataclass(frozen=True)
class State:
    """What all findings on a part leave of it."""

    effects: tuple[Effect, ...] = ()
    strength: Interval = WHOLE
    holding: Interval = WHOLE
    stretch: float = 1.0
    unfit: bool = False


def effect(scenario: Scenario, finding: Finding) -> Effect:
    """What a finding means on this gear.

    Where the description of the gear says the same already (``unless`` in the table), the finding takes
    nothing further away.
    """
    row = finding.row()
    if _told_already(scenario, row):
        return Effect(finding, WHOLE, WHOLE, 1.0, False)
    strength, unfit, measured, stretch = _LAWS[row.get("law", "")](scenario, finding)
    return Effect(finding, strength, _shares(row, "holding"), stretch, unfit, measured)


def states(scenario: Scenario) -> dict[str, State]:
    """The state of each part that something was found on, by its name in ``data/parts.csv``."""
    by_part: dict[str, list[Effect]] = {}
    for finding in scenario.survey.findings:
        by_part.setdefault(finding.part, []).append(effect(scenario, finding))
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
            changes[path] = min(changes.get(path, value), value, key=_rank)
    return scenario.vary(changes) if changes else scenario


def _rank(kind: str) -> int:
    return _WEAKEST_FIRST.index(kind) if kind in _WEAKEST_FIRST else len(_WEAKEST_FIRST)


def as_found(scenario: Scenario) -> Scenario:
    """Give the scenario as its findings make it behave, itself where there are none.

    Parameters
    ----------
    scenario : Scenario
        With its survey.

    Returns
    -------
    Scenario
        Without findings; what they took of strength is not in it, so assess the scenario itself.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.

    Notes
    -----
    Rope that stretches less does so in the simulation, and an anchor that holds less is replaced by a lighter
    one of its type that holds as much.  How much each finding takes is in ``data/findings.csv``, each row
    with its source.

    Examples
    --------
    >>> blunt = Scenario().vary({"survey.findings": [
    ...     {"part": "anchor", "kind": "anchor tip blunt"},
    ... ]})
    >>> as_found(blunt).get("tackle.anchor.mass")
    <Quantity(16.323138, 'kilogram')>
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    found = behaving(described(scenario))
    return found.vary({"survey.findings": ()}) if scenario.survey.findings else found


def zinc_life(zinc: float, place: str) -> tuple[float, float]:
    """Seconds that ``zinc`` metres last in a place, C3 to C5 of ISO 14713: at fastest and slowest loss."""
    row = pick("zinc_loss", place=place)
    return zinc / row["loss high"], zinc / row["loss low"]


def state_of(effects: Sequence[Effect]) -> State:
    """What several effects on one part leave of it together."""
    strength = _all((entry.finding.kind, entry.strength) for entry in effects)
    holding = _all((entry.finding.kind, entry.holding) for entry in effects)
    stretch = _all((entry.finding.kind, Interval(*[entry.stretch] * 3)) for entry in effects)
    unfit = any(entry.unfit for entry in effects)
    return State(tuple(effects), strength, holding, stretch.likely, unfit)


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


# strength, whether not fit for use, what was measured, share of stretch
Outcome = tuple[Interval, bool, Measurement | None, float]


def _as_printed(scenario: Scenario, finding: Finding) -> Outcome:
    row = finding.row()
    return _shares(row, "strength"), row.get("unfit") == "yes", None, float(row.get("stretch", 1.0))


def _worn(share: float) -> Interval:
    """Strength of a round bar worn to a share of its diameter.

    Low: as its bending strength, the cube; likely: as its section, the square; high: worn one way only.
    """
    left = min(share, 1.0)
    return Interval(left**3, left**2, left)


def _section(scenario: Scenario, finding: Finding) -> Outcome:
    """A shackle or swivel against its diameter when new."""
    fittings, link = scenario.tackle.fittings, scenario.tackle.chain.row()["diameter"]
    part = fittings.swivel if finding.part == "swivel" else fittings.anchor_shackle
    return _worn_bar("section", finding.measured, float(part.row(link)["diameter"]), _SHACKLE_WEAR)


def _link_wear(scenario: Scenario, finding: Finding) -> Outcome:
    new = float(scenario.tackle.chain.row()["diameter"])
    return _worn_bar("link wear", finding.measured, new, wear_limit(new))


def _worn_bar(law: str, measured: Quantity, new: float, limit: float) -> Outcome:
    share = si(measured) / new
    measurement = Measurement(law, si(measured), new, limit * new)
    return _worn(share), share < limit * (1 - 1e-9), measurement, 1.0


def wear_limit(diameter: float) -> float:
    """Share of its diameter (m) that is a chain's wear limit.

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


def _elongation(scenario: Scenario, finding: Finding) -> Outcome:
    growth = si(finding.measured)
    likely = max(1.0 - 4.0 * growth, 0.1)
    measurement = Measurement("elongation", growth, limit=_GROWTH)
    return Interval(likely**2, likely, math.sqrt(likely)), growth >= _GROWTH, measurement, 1.0


def _regalvanised(scenario: Scenario, finding: Finding) -> Outcome:
    rows = table("regalvanised")
    row = rows[min(math.ceil(finding.measured), len(rows) - 1)]
    share = Interval(row["low"], row["likely"], row["high"])
    if scenario.tackle.chain.grade >= _TEMPERED and finding.measured > 0:
        share = share * Interval(_TEMPER_LEFT**2, _TEMPER_LEFT, 1.0)
    measurement = Measurement("regalvanised", finding.measured, limit=MOST_REGALVANISED)
    return share, row.get("unfit") == "yes", measurement, 1.0


def _tucks(scenario: Scenario, finding: Finding) -> Outcome:
    count = finding.measured
    low, likely, high = (min(max(count + more, 0.0) / _FULL_TUCKS, 1.0) for more in (-1.0, 0.0, 1.0))
    full = count >= _FULL_TUCKS
    measurement = Measurement("tucks", count, limit=_FULL_TUCKS)
    return (WHOLE if full else Interval(low, likely, high)), count < _FULL_TUCKS / 2, measurement, 1.0


def _rope_wear(scenario: Scenario, finding: Finding) -> Outcome:
    new, rows = si(_rope_diameter(scenario, finding.part)), table("rope_wear")
    share = si(finding.measured) / new
    row = next(row for row in rows if share >= row["diameter left"] * (1 - 1e-9))
    limit = min(row["diameter left"] for row in rows if row.get("unfit") != "yes")
    measurement = Measurement("rope wear", si(finding.measured), new, limit * new)
    return Interval(row["low"], row["likely"], row["high"]), row.get("unfit") == "yes", measurement, 1.0


def _rope_diameter(scenario: Scenario, part: str) -> Quantity:
    tackle = scenario.tackle
    return tackle.rope.diameter if part == "rope" else tackle.snubber.diameter


def _age(scenario: Scenario, finding: Finding) -> Outcome:
    """A straight line from new to what old dock lines broke at (ours), and on to a least share."""
    age = si(finding.measured) / si(quantity(1.0, "year"))
    part = age / _OLD
    strength = Interval(
        *(max(1.0 - (1.0 - old) * part, least) for old, least in zip(_OLD_SHARE, _OLDEST, strict=True))
    )
    measurement = Measurement("age", si(finding.measured))
    return strength, strength.likely < 0.5, measurement, 1.0 - (1.0 - _OLD_STRETCH) * min(part, 1.0)


def _zinc(scenario: Scenario, finding: Finding) -> Outcome:
    zinc = si(finding.measured)
    return WHOLE, False, Measurement("zinc", zinc, lasts=zinc_life(zinc, finding.grade)), 1.0


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
