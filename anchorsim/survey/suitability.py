"""Whether the gear fits boat, bottom and depths: size and style of anchors, length of rode, chain lead."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from anchorsim.core.tables import Row, pick, table
from anchorsim.core.units import si
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground, holding_range
from anchorsim.strength.compatibility import Misfit, facts
from anchorsim.strength.degradation import as_found
from anchorsim.strength.design_loads import Use, published_load
from anchorsim.survey.weakest_link import held

_USES: tuple[Use, ...] = ("storm", "working", "lunch hook")
_NINE_OF_TEN = 0.1  # quantile of the holding that nine anchors of ten pass
_LONGEST = 200.0  # m of chain or rope that a scenario allows
_HEAVIEST = 2.5  # times what the code asks for: no boat carries more (judgement)
_SETS_AGAIN = (
    0.7  # of the set that an anchor regains when it digs in again, that one advised does (judgement)
)


@dataclass(frozen=True)
class AnchorFit:
    """Is the anchor big enough: published table and our own computation side by side.

    Masses in kg, loads in N.  ``type`` and ``bottom`` are those of the scenario.  ``code_mass`` is that of
    the UK small commercial vessel code for the boat's mean length; ``published`` holds the H-40 loads by use,
    and nothing where the boat is beyond that table; ``pull`` is the peak load of the spells on an anchor that
    does not drag; ``holding`` what this one holds in this bottom, nine in ten and one in ten.
    ``needed_mass`` is that of an anchor of its type of which nine in ten hold the highest peak load of the
    spells.  ``crew_lift`` is 0 where nobody said.
    """

    type: str
    bottom: str
    mass: float
    mean_length: float
    code_mass: float
    published: dict[str, float]
    pull: Interval
    holding: tuple[float, float]
    needed_mass: float
    crew_lift: float

    @property
    def by_code(self) -> bool:
        """Whether it weighs what the code asks for."""
        return self.mass >= self.code_mass * (1 - 1e-9)

    @property
    def by_load(self) -> bool:
        """Whether nine in ten such anchors hold the highest peak load of the spells."""
        return self.mass >= self.needed_mass * (1 - 1e-9)

    @property
    def carriable(self) -> bool:
        """Whether such a mass can be carried: up to 2.5 times the code's (judgement)."""
        return self.needed_mass <= _HEAVIEST * self.code_mass

    @property
    def sized_by_lift(self) -> bool:
        """Whether she carries what her crew can lift, where the code or the load asks for more."""
        wanted = self.needed_mass if self.carriable else self.code_mass
        return self.crew_lift > 0 and self.mass <= self.crew_lift < wanted


@dataclass(frozen=True)
class RodeFit:
    """Is there rode enough: lengths in m; ``deepest`` is the depth asked about, with the tide.

    ``least``, ``usual`` and ``heavy`` are what practice asks for there; ``reached`` is the scope she has;
    ``admiralty`` is 25√D, of ships' cable (read in a reprint).  ``lead`` is the chain of a combination rode
    and ``lead_wanted`` what it should be, both 0 for a rode of one kind.
    """

    kind: str
    deepest: float
    aboard: float
    least: float
    usual: float
    heavy: float
    admiralty: float
    reached: float
    lead: float
    lead_wanted: float

    @property
    def enough(self) -> bool:
        """Whether the rode reaches the least scope there."""
        return self.aboard >= self.least * (1 - 1e-9)


@dataclass(frozen=True)
class Suitability:
    """How the gear fits: ``suits`` is good, fair or poor, for the anchor and for the second one."""

    anchor: AnchorFit
    suits: str
    second_suits: str
    rode: RodeFit
    misfits: tuple[Misfit, ...]


def suitability_of(scenario: Scenario) -> Suitability:
    """How anchors and rode fit the boat, the bottom and the depths that she visits."""
    anchor, rode, bottom = anchor_fit(scenario), rode_fit(scenario), scenario.spot.bottom
    second = scenario.tackle.fittings.second_anchor
    second_suits = suits(second.type, bottom)["suits"] if si(second.mass) > 0 else ""
    main = tuple(_anchor(scenario, anchor))
    found = (*main, *_second(scenario, anchor, _type_after(scenario, main)), *_rode(scenario, rode))
    return Suitability(anchor, suits(scenario.tackle.anchor.type, bottom)["suits"], second_suits, rode, found)


def suits(anchor_type: str, bottom: str) -> Row:
    """How a type of anchor is spoken of on a bottom: good, fair or poor."""
    return pick("anchor_bottoms", type=anchor_type, bottom=bottom)


def code_anchor(mean_length: float) -> tuple[float, float, float]:
    """Anchor (kg), chain and rope (m) of the UK small commercial vessel code for a mean length in m.

    Linear between its rows (ours) and flat beyond its ends (6 m and 24 m).
    """
    rows = table("code_anchors")
    at = [row["mean length"] for row in rows]
    columns = ([row[name] for row in rows] for name in ("anchor", "chain", "rope"))
    mass, chain, rope = (float(np.interp(mean_length, at, column)) for column in columns)
    return mass, chain, rope


def anchor_fit(scenario: Scenario) -> AnchorFit:
    """Is the anchor big enough."""
    boat, anchor, bottom = scenario.boat, scenario.tackle.anchor, scenario.spot.bottom
    mean = (si(boat.length) + si(boat.waterline)) / 2
    mass = si(anchor.mass)
    peak = Assessment(scenario, held(as_found(scenario))).peak_anchor_load
    return AnchorFit(
        anchor.type,
        bottom,
        mass,
        mean,
        code_anchor(mean)[0],
        published={use: si(load) for use in _USES if (load := published_load(boat, use)) is not None},
        pull=peak,
        holding=holding_range(anchor.type, mass, bottom),
        needed_mass=_needed(anchor.type, bottom, peak.high),
        crew_lift=si(scenario.survey.crew_lift),
    )


def rode_fit(scenario: Scenario) -> RodeFit:
    """Is there rode enough for the deepest water that she anchors in (else for the depth of this spot)."""
    gear = scenario.tackle
    deepest = si(scenario.survey.deepest) or scenario.water_depth
    height = deepest + si(scenario.boat.bow_height)
    kind = "chain" if si(gear.rope.length) == 0 else "combination"
    least, usual, heavy = (
        height * float(pick("scopes", rode=kind, use=use)["scope"])
        for use in ("least", "usual", "heavy weather")
    )
    both = kind == "combination"
    return RodeFit(
        kind,
        deepest,
        scenario.rode_aboard,
        least,
        usual,
        heavy,
        admiralty=25 * math.sqrt(deepest),
        reached=scenario.rode_aboard / height,
        lead=si(gear.chain.length) if both else 0.0,
        lead_wanted=si(scenario.boat.length) if both else 0.0,
    )


def _anchor(scenario: Scenario, found: AnchorFit) -> Iterator[Misfit]:
    """One anchor for all that is wrong with hers: by the code, by what holds, of a type that sets here."""
    row = suits(found.type, found.bottom)
    poor = row["suits"] == "poor"
    if found.by_code and found.by_load and not poor:
        return
    anchor_type, mass = _better(scenario, found)
    changes: list[tuple[str, str]] = []
    if anchor_type != found.type:
        changes.append(("tackle.anchor.type", anchor_type))
    if mass > found.mass:
        changes.append(("tackle.anchor.mass", f"{mass:g} kg"))
    source = "UK small commercial vessel code, read in a reprint, and the simulated spells of this scenario"
    rule = "anchor too light" if changes else "no anchor heavy enough"
    if poor and anchor_type != found.type:
        rule, source = "poor on this bottom", f"{row.source}; {source}"
    yield Misfit(
        "anchor",
        rule,
        facts(
            fit=found,
            type=anchor_type,
            mass=max(mass, found.mass),
            bottom=found.bottom,
            own=found.type,
            code_mass=_whole(found.code_mass),
            needed_mass=_whole(_needed(anchor_type, found.bottom, found.pull.high)),
        ),
        "this season" if found.by_load and not poor else "before use",
        tuple(changes),
        source,
        "published",
    )


def _better(scenario: Scenario, found: AnchorFit) -> tuple[str, float]:
    """Type and mass (kg) of the lightest anchor that the code and the load allow, hers where it can be.

    It is of a type that sets again after it broke out, and no poor one on this bottom.  Where no such type
    can be carried that holds, the mass is the code's, or hers where that is more.
    """
    by_suits = {
        suited: {
            kind: _needed(kind, found.bottom, found.pull.high)
            for kind in _setting_again()
            if suits(kind, found.bottom)["suits"] == suited
        }
        for suited in ("good", "fair")
    }
    own = found.type if any(found.type in kinds for kinds in by_suits.values()) else ""
    if own and found.carriable:
        return own, _whole(max(found.code_mass, found.needed_mass))
    second = scenario.tackle.fittings.second_anchor
    taken = second.type if si(second.mass) > 0 else ""  # the two are to differ
    for kinds in by_suits.values():
        open_to = {kind: mass for kind, mass in kinds.items() if kind != taken}
        lightest = min(open_to, key=lambda kind: open_to[kind], default="")
        if lightest and open_to[lightest] <= _HEAVIEST * found.code_mass:
            return lightest, _whole(max(found.code_mass, open_to[lightest]))
    named = own or next((kind for kinds in by_suits.values() for kind in kinds), found.type)
    return named, _whole(max(found.code_mass, found.mass))


def _whole(mass: float) -> float:
    """A mass that is asked for, rounded up to whole kg; infinite where none will do."""
    return math.ceil(mass - 1e-9) if math.isfinite(mass) else mass


def _setting_again() -> list[str]:
    """The types of anchor that dig in again well once they broke out."""
    return [str(row["type"]) for row in table("anchors") if row["set share"] >= _SETS_AGAIN]


def _needed(anchor_type: str, bottom: str, pull: float) -> float:
    """Mass (kg) of an anchor of which nine in ten hold a pull (N); infinite where nothing holds."""
    one = ground(anchor_type, 1.0, bottom, _NINE_OF_TEN).holding
    power = float(pick("bottoms", bottom=bottom)["mass exponent"])
    return float((pull / one) ** (1 / power)) if one > 0 else math.inf


def _type_after(scenario: Scenario, found: Iterable[Misfit]) -> str:
    """The type of her anchor once what is recommended is done."""
    changes = {path: value for misfit in found for path, value in misfit.changes}
    return str(changes.get("tackle.anchor.type", scenario.tackle.anchor.type))


def _second(scenario: Scenario, found: AnchorFit, after: str) -> Iterator[Misfit]:
    anchor, second = scenario.tackle.anchor, scenario.tackle.fittings.second_anchor
    kinds = ("fluke", *_setting_again())
    fit = (kind for kind in kinds if kind != after and suits(kind, found.bottom)["suits"] != "poor")
    other = next(fit, "fluke" if after != "fluke" else "plough")
    mass = f"{_whole(found.code_mass):g} kg"
    source = "two anchors of different style", "common practice, no source"
    path = "tackle.fittings.second_anchor"
    if si(second.mass) == 0:
        changes = ((f"{path}.type", other), (f"{path}.mass", mass))
        said = facts(other=other, mass=_whole(found.code_mass))
        yield Misfit("second anchor", "no second anchor", said, "this season", changes, *source)
    elif second.type == anchor.type:
        yield Misfit(
            "second anchor",
            "both anchors alike",
            facts(type=anchor.type, other=other),
            "at leisure",
            ((f"{path}.type", other),),
            *source,
        )


def _rode(scenario: Scenario, found: RodeFit) -> Iterator[Misfit]:
    gear = scenario.tackle
    if not found.enough:
        part = "chain" if found.kind == "chain" else "rope"
        length = si(gear.chain.length if part == "chain" else gear.rope.length) + found.least - found.aboard
        yield Misfit(
            part,
            "rode too short",
            facts(
                depth=found.deepest, least=found.least, aboard=found.aboard, scope=found.reached, part=part
            ),
            "this season",
            ((f"tackle.{part}.length", f"{min(math.ceil(length), _LONGEST):g} m"),),
            pick("scopes", rode=found.kind, use="least").source,
            "common practice, no source",
        )
    if found.lead < found.lead_wanted * (1 - 1e-9):
        yield Misfit(
            "chain",
            "chain lead too short" if found.lead else "no chain lead",
            facts(lead=found.lead, wanted=found.lead_wanted),
            "at leisure" if found.lead else "this season",
            (("tackle.chain.length", f"{math.ceil(found.lead_wanted):d} m"),),
            "a boat's length of chain before rope",
            "common practice, no source",
        )
