"""What findings mean: the share of strength, holding and stretch each leaves, and the rode as it behaves.

A share runs from 0 to 1 and comes as low, likely and high, since what is seen tells only so much.  Findings
of different kinds on one part multiply; of several of one kind the worst counts.  So no finding ever raises
a share, and their order does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from anchorsim.core import arguments
from anchorsim.core.tables import Row, pick, table
from anchorsim.core.units import Quantity, parse, quantity, si
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.wear import chain_wear_limit, is_metric

WITH_CHAIN = ("chain", "joining link")  # what a new chain in one length replaces
_WEAKEST_FIRST = ("quick link", "riveted")  # of links that findings speak of, whatever their order
_FULL_TUCKS = 6  # common practice, no source
_GROWTH = 0.05  # of its length: the wear limit of chain, by the finding's row
MOST_REGALVANISED = 2  # common practice, no source
_OLD = 11.0  # years, the middle of 10 to 12, of the dock lines that broke at the shares below
_OLD_SHARE = (0.25, 0.38, 0.51)  # read in a magazine test; the middle is ours
_OLDEST = (0.05, 0.15, 0.3)  # shares that age leaves at the least (judgement)
_OLD_STRETCH = 0.6  # share of the stretch left at that age (judgement)
_WATCHED = ("section", "link wear", "elongation", "regalvanised", "rope wear")  # laws with a limit to watch
_LEAST_STRETCH, _LEAST_MASS = 0.2, 2.0  # what a scenario allows
_TEMPERED = 70  # chain of this grade and up is heat treated; hot zinc takes some of that away
_TEMPER_LEFT = 0.85  # share left of it (judgement)

# Why a finding takes nothing further away: the gear is described so already; the lower of it and of what was
# measured bright counts, not both; it is a doubt that words tell better than a share.
Counted = Literal["", "described", "measured", "words"]


@dataclass(frozen=True)
class Measurement:
    """What was measured, SI floats.

    ``law`` is that of the finding's row.  ``value`` is what was measured: a diameter, a growth in length as a
    share, a count, an age or a thickness.  ``new`` is what a new part measures and ``limit`` the wear limit,
    in the same unit, None where there is none, by the ``rule`` of that name.  ``lasts`` is how long zinc
    lasts (s), shortest and longest.
    """

    law: str
    value: float
    new: float | None = None
    limit: float | None = None
    rule: str = ""
    lasts: tuple[float, float] | None = None


@dataclass(frozen=True)
class Effect:
    """What one finding means.

    ``unfit``: the part is not fit for use until it is replaced or repaired.  ``measured`` is None where
    nothing was measured.  ``counted`` says why the finding takes nothing further away, empty where it does.
    ``condemned``: others condemn the chain that it is on or joins, so that its own remedy falls away.
    """

    finding: Finding
    strength: Interval
    holding: Interval
    stretch: float
    unfit: bool
    measured: Measurement | None = None
    counted: Counted = ""
    condemned: bool = False

    @property
    def renews(self) -> bool:
        """Whether the part is past repair: it is not fit for use and is to be renewed."""
        return self.unfit and self.finding.row()["clears"] == "part"

    @property
    def watched(self) -> bool:
        """Whether it was measured within its limit, so that there is nothing to be done but to watch it."""
        return self.measured is not None and self.measured.law in _WATCHED and not self.unfit

    @property
    def worn_out(self) -> bool:
        """Whether it was measured past its limit, so that the part is to be renewed (not a splice)."""
        return self.unfit and self.measured is not None and self.measured.law != "tucks"

    @property
    def urgency(self) -> str:
        """When the remedy is due: before use, this season or at leisure; on a condemned chain as for that."""
        if self.unfit or self.condemned:
            return "before use"
        return "at leisure" if self.watched else str(self.finding.row()["urgency"])

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
    nothing further away; nor does one that is told in words.
    """
    alone = _effect(scenario, finding)
    if finding.part not in WITH_CHAIN or (finding.part == "chain" and alone.renews):
        return alone
    others = (entry for entry in all_findings(scenario) if entry.part == "chain" and entry != finding)
    return replace(alone, condemned=any(_effect(scenario, entry).renews for entry in others))


def _effect(scenario: Scenario, finding: Finding) -> Effect:
    row = finding.row()
    if _told_already(scenario, row):
        return Effect(finding, WHOLE, WHOLE, 1.0, False, counted="described")
    strength, unfit, measured, stretch = _LAWS[row.get("law", "")](scenario, finding)
    counted: Counted = "measured" if measured is None and _measured_too(scenario, finding) else ""
    if row.get("told") == "words":
        strength, counted = WHOLE, "words"
    return Effect(finding, strength, _shares(row, "holding"), stretch, unfit, measured, counted)


def _measured_too(scenario: Scenario, finding: Finding) -> bool:
    """Whether the section that a finding eats away was measured bright."""
    others = (other for other in scenario.survey.findings if other.part == finding.part and other.measured)
    return "group" in finding.row() and any(_group(other) == _group(finding) for other in others)


def _group(finding: Finding) -> str:
    """What of several findings only the worst counts of: one kind, or several that eat the same section."""
    return str(finding.row().get("group", finding.kind))


def all_findings(scenario: Scenario) -> tuple[Finding, ...]:
    """The findings, and a regalvanising of which only the log tells: it counts wherever it was entered."""
    found, times = scenario.survey.findings, scenario.survey.log.times_regalvanised
    if not times or any(entry.row().get("law") == "regalvanised" for entry in found):
        return found
    return (*found, Finding(kind="chain regalvanised", part="chain", measured=times))


def times_regalvanised(scenario: Scenario) -> float:
    """How often the chain was regalvanised, by the log or by what was found: the more counts."""
    found = [entry.measured for entry in scenario.survey.findings if entry.row().get("law") == "regalvanised"]
    return float(max([scenario.survey.log.times_regalvanised, *found]))


def states(scenario: Scenario) -> dict[str, State]:
    """The state of each part that something was found on, by its name in ``data/parts.csv``."""
    by_part: dict[str, list[Effect]] = {}
    for finding in all_findings(scenario):
        by_part.setdefault(finding.part, []).append(effect(scenario, finding))
    return {part: state_of(effects) for part, effects in by_part.items()}


def behaving(scenario: Scenario, known: dict[str, State] | None = None) -> Scenario:
    """The scenario as its findings make it behave.

    A windlass that is used as strong point holds the rode, whatever snubber is aboard.  Rope that stretches
    less does so in the simulation, and an anchor that holds less is replaced by a lighter one of its type
    that holds as much: holding grows with mass to the power that the bottom has.
    """
    found = states(scenario) if known is None else known
    changes: dict[str, object] = {}
    for finding in scenario.survey.findings:
        entries = filter(None, finding.row().get("behaves", "").split("; "))
        changes |= {path: value for path, _, value in (entry.partition(" = ") for entry in entries)}
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
    strength = _all((_group(entry.finding), entry.strength) for entry in effects)
    holding = _all((_group(entry.finding), entry.holding) for entry in effects)
    stretch = _all((_group(entry.finding), Interval(*[entry.stretch] * 3)) for entry in effects)
    unfit = any(entry.unfit for entry in effects)
    return State(tuple(effects), strength, holding, stretch.likely, unfit)


def _all(shares: Iterable[tuple[str, Interval]]) -> Interval:
    """The worst of each group, multiplied in the order of their names: the same however they came."""
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
    """A shackle or swivel against its diameter when new: the size that it is sold as, metric or inch."""
    fittings, chain = scenario.tackle.fittings, scenario.tackle.chain.row()
    part = fittings.swivel if finding.part == "swivel" else fittings.anchor_shackle
    row = part.row(chain["diameter"])
    metric, inch, size = si(parse(row["size"])), float(row["diameter"]), si(part.size)
    by_metric = abs(size - metric) <= abs(size - inch) if size else is_metric(chain)
    new, system = (metric, "metric") if by_metric else (inch, "inch")
    limit = pick("wear_limits", part="fitting", system=system)
    return _worn_bar("section", finding.measured, new, limit["share"], limit["rule"])


def _link_wear(scenario: Scenario, finding: Finding) -> Outcome:
    chain = scenario.tackle.chain.row()
    return _worn_bar("link wear", finding.measured, float(chain["diameter"]), *chain_wear_limit(chain))


def _worn_bar(law: str, measured: Quantity, new: float, limit: float, rule: str) -> Outcome:
    share = si(measured) / new
    measurement = Measurement(law, si(measured), new, limit * new, rule)
    return _worn(share), share < limit * (1 - 1e-9), measurement, 1.0


def _elongation(scenario: Scenario, finding: Finding) -> Outcome:
    growth = si(finding.measured)
    likely = max(1.0 - 4.0 * growth, 0.1)
    measurement = Measurement("elongation", growth, limit=_GROWTH)
    return Interval(likely**2, likely, math.sqrt(likely)), growth >= _GROWTH, measurement, 1.0


def _regalvanised(scenario: Scenario, finding: Finding) -> Outcome:
    rows, times = table("regalvanised"), max(finding.measured, times_regalvanised(scenario))
    row = rows[min(math.ceil(times), len(rows) - 1)]
    share = Interval(row["low"], row["likely"], row["high"])
    if scenario.tackle.chain.grade >= _TEMPERED and times > 0:
        share = share * Interval(_TEMPER_LEFT**2, _TEMPER_LEFT, 1.0)
    measurement = Measurement("regalvanised", times, limit=MOST_REGALVANISED)
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
