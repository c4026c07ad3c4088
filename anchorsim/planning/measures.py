"""Changes that may help: from what she carries, and from what could be bought or done ashore.

A change is paths and values for :meth:`Scenario.vary`, and the findings of the survey that it does away with.
Whether it helps, and whether the room and the strength allow it, is for the spells to say.
"""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from anchorsim.core.tables import Row, table
from anchorsim.core.units import quantity, si
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.interval import WHOLE
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.fittings import SecondAnchor
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.site import ground
from anchorsim.scenario.tackle import Anchor
from anchorsim.strength.degradation import Effect
from anchorsim.survey.recommendations import recommendations
from anchorsim.survey.suitability import suits

Source = Literal["aboard", "ashore"]
Changes = tuple[tuple[str, Any], ...]
Kind = Literal[
    "let out", "let out all", "shorten", "spare rope", "second anchor", "riding sail", "remedy",
    "new snubber", "longer snubber", "thicker snubber", "heavier anchor", "other anchor", "longer",
    "heavier chain",
    "thicker rope", "together",
]  # fmt: skip

_WORTH = 1.1  # a length that is not a tenth more is not worth a try (judgement)
_SHORTER = (4.0, 3.0)  # scopes to shorten to where the room is narrow (judgement)
_MASSES = (5, 6.3, 8, 10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200)  # kg, ISO 3 series R 10
_LONGEST_SNUBBER = 30.0  # m, what a scenario allows
_LONGEST = 200.0  # m of chain or rope, what a scenario allows
_MORE = (20.0, 40.0)  # m of chain or rope (judgement)
_GREATEST_SCOPE = 12.0  # beyond it more rode buys nothing (judgement)
_RIDING_SAIL = 0.025  # of the length overall squared (judgement)
_USUAL_SNUBBER = 8.0  # m, where she has none (judgement)
_USUAL_ROPE = {"mm": "16 mm", "in": "5/8 in"}  # of it, in the units of her chain (judgement)


@dataclass(frozen=True)
class Candidate:
    """A change: what to do, with the paths it varies.

    ``kind`` names the action, ``amounts`` (SI) and ``names`` what it is done with; ``wording.measures`` puts
    them into words.  ``group`` names what it is about: of one group only one is done at a time.  ``source``
    tells what a person can do aboard from what must be bought or done ashore.  ``renews`` are the parts that
    come new, whose findings are gone with them; ``mends`` single findings.  ``of``: the changes that are made
    together, where it is several.
    """

    group: str
    source: Source
    kind: Kind
    amounts: tuple[float, ...]
    names: tuple[str, ...]
    changes: Changes
    renews: tuple[str, ...] = ()
    mends: tuple[Finding, ...] = ()
    of: tuple[Candidate, ...] = ()

    def apply(self, scenario: Scenario) -> Scenario:
        """The scenario with the change made.  Raises ScenarioError where it cannot be."""
        changes = dict(self.changes)
        found = scenario.survey.findings
        left = tuple(entry for entry in found if entry.part not in self.renews and entry not in self.mends)
        if left != found:
            changes["survey.findings"] = left
        return scenario.vary(changes)


def candidates(scenario: Scenario, room: bool = False) -> list[Candidate]:
    """All single changes worth trying that this boat can make, what is aboard first.

    ``room``: the room has an end, so that less scope may help too.
    """
    found = [_scopes, _spare_rope, _second, _sail, _mended, _snubbers, _masses, _types, _longer, _heavier]
    every = list(itertools.chain.from_iterable(of(scenario) for of in found))
    if room:
        every = [*_shorter(scenario), *every]
    return sorted((one for one in every if _can_be(one, scenario)), key=lambda one: one.source)


def together(chosen: Sequence[Candidate]) -> Candidate:
    """Several changes made at once."""
    return Candidate(
        group="together",
        source="aboard" if all(one.source == "aboard" for one in chosen) else "ashore",
        kind="together",
        amounts=(),
        names=(),
        changes=tuple({path: value for one in chosen for path, value in one.changes}.items()),
        renews=tuple(dict.fromkeys(part for one in chosen for part in one.renews)),
        mends=tuple(entry for one in chosen for entry in one.mends),
        of=tuple(chosen),
    )


def _can_be(candidate: Candidate, scenario: Scenario) -> bool:
    with contextlib.suppress(ScenarioError):
        return candidate.apply(scenario) != scenario
    return False


def _scope(scenario: Scenario, scope: float, kind: Kind) -> Candidate:
    return Candidate(
        "length", "aboard", kind, (scope, scope * scenario.height), (), (("tackle.scope", scope),)
    )


def _scopes(scenario: Scenario) -> Iterator[Candidate]:
    """More of the rode that she carries: to the scopes of practice, and all of it."""
    now = scenario.scope_achieved
    most = min(scenario.rode_aboard / scenario.height, 30.0)
    rode = "chain" if si(scenario.tackle.rope.length) == 0 else "combination"
    usual = [float(row["scope"]) for row in table("scopes") if row["rode"] == rode]
    for scope in sorted(usual):
        if now * _WORTH < scope and scope * _WORTH < most:
            yield _scope(scenario, scope, "let out")
    if most > now * _WORTH:
        yield _scope(scenario, most, "let out all")


def _shorter(scenario: Scenario) -> Iterator[Candidate]:
    for scope in _SHORTER:
        if scope * _WORTH < scenario.scope_achieved:
            yield _scope(scenario, scope, "shorten")


def _spare_rope(scenario: Scenario) -> Iterator[Candidate]:
    """Rope that she carries for her rode and does not need there, as a snubber."""
    rode, rope = assemble(scenario), scenario.tackle.rope
    if rode.rope > 0:
        return
    length = min(si(rope.length), _LONGEST_SNUBBER, rode.chain + rode.snubber - 1.0)
    if length >= max(_WORTH * rode.snubber, 1.0):
        changes = (
            ("tackle.snubber.length", quantity(length, "m")),
            ("tackle.snubber.diameter", rope.diameter),
            ("tackle.snubber.rope", rope.construction),
            ("tackle.snubber.stretch", rope.stretch),
        )
        names = (str(rope.row()["size"]),)
        yield Candidate("snubber", "aboard", "spare rope", (length,), names, changes, ("snubber",))


def _second(scenario: Scenario) -> Iterator[Candidate]:
    """The second anchor in the first one's place, unless it is itself in doubt."""
    second, anchor = scenario.tackle.fittings.second_anchor, scenario.tackle.anchor
    doubted = any(entry.part == "second anchor" for entry in scenario.survey.findings)
    if si(second.mass) == 0 or doubted:
        return
    changes = (
        ("tackle.anchor", Anchor(type=second.type, mass=second.mass)),
        ("tackle.fittings.second_anchor", SecondAnchor(type=anchor.type, mass=anchor.mass)),
    )
    amounts, names = (si(second.mass),), (second.type,)
    yield Candidate("anchor", "aboard", "second anchor", amounts, names, changes, ("anchor",))


def _sail(scenario: Scenario) -> Iterator[Candidate]:
    """A storm jib on the backstay serves where she has no riding sail (common practice, no source)."""
    boat = scenario.boat
    if boat.kind in ("sailing yacht", "ketch") and si(boat.riding_sail) == 0:
        area = round(_RIDING_SAIL * si(boat.length) ** 2, 1)
        changes = (("boat.riding_sail", quantity(area, "m²")),)
        yield Candidate("sail", "aboard", "riding sail", (area,), (), changes)


def _mended(scenario: Scenario) -> Iterator[Candidate]:
    """What the survey found, put right, where that takes strength, holding or stretch away."""
    if not scenario.survey.findings:
        return
    for entry in recommendations(scenario):
        if any(_weakens(one) for one in entry.effects):
            changes = tuple((path, value) for path, value in entry.changes if path != "survey.findings")
            jobs = dict.fromkeys(str(job.row()["remedy"]) for job in entry.jobs)
            remedy = f"Renew the {entry.part} now" if entry.worn_out else ". ".join(jobs)
            mends = tuple(one.finding for one in entry.effects)
            group, names = f"mend {entry.part} {mends[0].kind}", (entry.part, remedy)
            yield Candidate(group, "ashore", "remedy", (), names, changes, (), mends)


def _weakens(one: Effect) -> bool:
    return one.unfit or one.strength != WHOLE or one.holding != WHOLE or one.stretch < 1.0


def _snubbers(scenario: Scenario) -> Iterator[Candidate]:
    """A longer one, a thicker one, and both; one at all where she has none."""
    rode, snubber = assemble(scenario), scenario.tackle.snubber
    chain = rode.chain + rode.snubber - 1.0
    if rode.rope > 0 or chain < 2.0:
        return
    if rode.snubber == 0:
        unit = str(scenario.tackle.chain.row()["size"]).split()[-1]
        length, size = min(_USUAL_SNUBBER, chain), _USUAL_ROPE[unit]
        new = (("tackle.snubber.length", quantity(length, "m")), ("tackle.snubber.diameter", size))
        new_one = (size, snubber.rope)
        yield Candidate("snubber", "ashore", "new snubber", (length,), new_one, new, ("snubber",))
        return
    longer = min(2.0 * rode.snubber, _LONGEST_SNUBBER, chain)
    length_changes = (("tackle.snubber.length", quantity(longer, "m")),)
    more = longer > _WORTH * rode.snubber
    if more:
        names = (str(snubber.row()["size"]),)
        yield Candidate("snubber", "ashore", "longer snubber", (longer,), names, length_changes, ("snubber",))
    thicker = _next_up("rope", snubber.row(), "construction")
    if thicker:
        thickness = (("tackle.snubber.diameter", quantity(float(thicker["diameter"]), "m")),)
        names = (str(thicker["size"]),)
        yield Candidate("snubber", "ashore", "thicker snubber", (), names, thickness, ("snubber",))
        if more:
            changes = (*length_changes, *thickness)
            yield Candidate("snubber", "ashore", "longer snubber", (longer,), names, changes, ("snubber",))


def _next_up(name: str, row: Row, *same: str) -> Row | None:
    """The next thicker row of a table that is the same otherwise and sized in the same unit."""
    unit = str(row["size"]).split()[-1]
    over = [
        entry
        for entry in table(name)
        if all(entry[column] == row[column] for column in same)
        and float(entry["diameter"]) > 1.01 * float(row["diameter"])
        and str(entry["size"]).split()[-1] == unit
    ]
    return min(over, key=lambda entry: float(entry["diameter"]), default=None)


def _next_masses(mass: float) -> list[float]:
    """The next two in the row of masses, kg."""
    return [float(more) for more in _MASSES if more > _WORTH * mass][:2]


def _masses(scenario: Scenario) -> Iterator[Candidate]:
    anchor = scenario.tackle.anchor
    for mass in _next_masses(si(anchor.mass)):
        changes = (("tackle.anchor.mass", quantity(mass, "kg")),)
        yield Candidate("anchor", "ashore", "heavier anchor", (mass,), (anchor.type,), changes, ("anchor",))


def _types(scenario: Scenario) -> Iterator[Candidate]:
    """Other types that suit this bottom and hold more in it: as heavy as hers, the best one heavier too."""
    anchor, bottom = scenario.tackle.anchor, scenario.spot.bottom
    own = si(anchor.mass)
    holding = {str(row["type"]): ground(str(row["type"]), own, bottom).holding for row in table("anchors")}
    better = [
        other
        for other in sorted(holding, key=lambda name: -holding[name])
        if suits(other, bottom)["suits"] == "good" and holding[other] > holding[anchor.type]
    ]
    for place, other in enumerate(better):
        for mass in [own, *(_next_masses(own)[-1:] if place == 0 else [])]:
            changes = (("tackle.anchor.type", other), ("tackle.anchor.mass", quantity(mass, "kg")))
            names = (anchor.type, other)
            yield Candidate("anchor", "ashore", "other anchor", (mass,), names, changes, ("anchor",))


def _longer(scenario: Scenario) -> Iterator[Candidate]:
    """More chain, or more rope on a combination rode, and all of it let out."""
    gear = scenario.tackle
    part = "rope" if si(gear.rope.length) > 0 else "chain"
    own = si(gear.rope.length if part == "rope" else gear.chain.length)
    for more in _MORE:
        scope = (scenario.rode_aboard + more) / scenario.height
        if own + more <= _LONGEST and scope <= _GREATEST_SCOPE:
            changes = ((f"tackle.{part}.length", quantity(own + more, "m")), ("tackle.scope", scope))
            yield Candidate("length", "ashore", "longer", (own + more, scope), (part,), changes, (part,))


def _heavier(scenario: Scenario) -> Iterator[Candidate]:
    """The next thicker chain of the same grade, and the next thicker rope of a rope rode."""
    gear, rode = scenario.tackle, assemble(scenario)
    chain = _next_up("chain", gear.chain.row(), "grade") if rode.chain > 0 else None
    if chain:
        changes = (("tackle.chain.size", quantity(float(chain["diameter"]), "m")),)
        names = (str(chain["size"]),)
        yield Candidate("chain", "ashore", "heavier chain", (), names, changes, ("chain",))
    rope = _next_up("rope", gear.rope.row(), "construction") if rode.rope > 0 else None
    if rope:
        changes = (("tackle.rope.diameter", quantity(float(rope["diameter"]), "m")),)
        names, renews = (str(rope["size"]),), ("rope", "rope join")
        yield Candidate("rope", "ashore", "thicker rope", (), names, changes, renews)


__all__ = ["Candidate", "Source", "candidates", "together"]
