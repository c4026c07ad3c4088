"""Places and set-ups side by side: up to twelve, on the same spells, as a table of odds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass

from anchorsim.core.units import System, quantity, show
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import odds
from anchorsim.risk.limits import FEWEST_SPELLS, Limit, limit_wind
from anchorsim.risk.monte_carlo import Cancel, Progress, numbers_from, spells_each
from anchorsim.risk.outlook import SAFE, Outlook, certain, change, look, touching
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

MOST = 12  # that a table still shows at a glance
_LIMIT_COST = 6  # times the spells of a variant that the search for its limit takes, about
COLUMNS = (
    "Variant",
    "Drags",
    "Fails",
    "A part strained",
    "Wind it stands",
    "Room",
    "Pull on the bow",
    "Weakest part",
)


@dataclass(frozen=True)
class Variant:
    """A scenario with its name, what the spells come to for it, and the wind that it stands.

    ``limit`` is the mean wind at which the chance of dragging passes the comparison's ``chance``; where there
    is none to seek it is None and ``without`` says why.
    """

    name: str
    scenario: Scenario
    outlook: Outlook
    limit: Limit | None
    without: str = ""

    def cells(self, system: System = "metric") -> tuple[str, ...]:
        """Its row of the table in words, as :data:`COLUMNS` has it, each figure with its 95 % band."""
        found, weak = self.outlook, self.outlook.weakest
        part = f"{weak.name}: {_percent(weak.used)} of its working load"
        out = f": {found.leaves} in {odds(found.outside)}" if found.outside.likely > 0.0 else ""
        return (
            self.name,
            odds(found.dragging),
            f"{odds(found.failing)}{out}",
            odds(found.strained),
            self.limit.show(system) if self.limit else self.without,
            _band(found.room, "m", "m", system),
            _band(found.peak, "N", "kN", system),
            f"{part}; condemned: {', '.join(found.condemned)}" if found.condemned else part,
        )


@dataclass(frozen=True)
class Comparison:
    """Variants in the order in which they were given, on the same ``count`` spells."""

    variants: tuple[Variant, ...]
    count: int
    chance: float

    def __getitem__(self, name: str) -> Variant:
        """A variant by its name.  Raises KeyError where there is none."""
        for variant in self.variants:
            if variant.name == name:
                return variant
        raise KeyError(f"{name!r} is none of {', '.join(variant.name for variant in self.variants)}")

    @property
    def safe(self) -> float:
        """The chance of failing that counts as safe."""
        return SAFE

    def table(self, system: System = "metric") -> list[dict[str, str]]:
        """A row for each variant: what :data:`COLUMNS` names, in words."""
        return [dict(zip(COLUMNS, variant.cells(system), strict=True)) for variant in self.variants]

    def difference(self, first: str, second: str) -> Interval:
        """By how much failing is likelier in the second variant than in the first, in the same spells."""
        return change(self[first].outlook.fails, self[second].outlook.fails)

    def sentence(self, first: str, second: str) -> str:
        """Which of two variants fails less often, or that so many spells cannot tell."""
        found = self.difference(first, second)
        better, worse = (first, second) if found.likely >= 0 else (second, first)
        told = [odds(self[name].outlook.failing) for name in (better, worse)]
        if not certain(found):
            return (
                f"{self.count} storms cannot tell {first} from {second}: {better} fails in {told[0]} of such "
                f"storms, {worse} in {told[1]}."
            )
        return f"{better} fails in {told[0]} of such storms, {worse} in {told[1]}: more than chance explains."


def compare(
    variants: Mapping[str, Scenario],
    count: int = 100,
    *,
    chance: float = 0.05,
    room: Mapping[str, float] | None = None,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Comparison:
    """Compare up to twelve scenarios on the same spells, each with the wind that it stands.

    ``chance``: of dragging, that the wind it stands is for; ``room``: for some names, m that she has about
    where the anchor is let go, besides what lies round her.  Raises ValueError where there is no variant or
    more than twelve, where a name is blank or a room has none, or where a number makes no sense;
    CancelledError where it was stopped; and what ``spells`` and
    ``room_needed`` raise.
    """
    rooms = dict(room or {})
    _check(variants, count, chance, rooms)
    numbers = numbers_from(first, count)
    behaves = [as_found(scenario) for scenario in variants.values()]
    total = len(variants) * count * (1 + _LIMIT_COST)

    def told(done: int, base: int, most: int) -> None:
        if progress:
            progress(base + min(done, most), total)

    found = spells_each(
        behaves,
        numbers,
        known=[None] * len(behaves),
        executor=executor,
        progress=lambda done, _: told(done, 0, len(variants) * count),
        cancel=cancel,
    )
    if not all(spells.complete for spells in found):
        raise CancelledError("the comparison was stopped; begin it again")
    rows = []
    for place, (name, scenario) in enumerate(variants.items()):
        base, most = count * (len(variants) + place * _LIMIT_COST), count * _LIMIT_COST
        limit, without = _limit(
            scenario,
            count,
            chance,
            first,
            executor,
            lambda done, _, base=base, most=most: told(done, base, most),  # type: ignore[misc]
            cancel,
        )
        told(most, base, most)
        touched = touching(scenario, numbers, executor=executor, cancel=cancel)
        outlook = look(scenario, found[place], rooms.get(name), touched)
        rows.append(Variant(name, scenario, outlook, limit, without))
    return Comparison(tuple(rows), count, chance)


def _check(variants: Mapping[str, Scenario], count: int, chance: float, rooms: Mapping[str, float]) -> None:
    if not 1 <= len(variants) <= MOST:
        raise ValueError(
            f"variants: {len(variants)} were given; needed 1 to {MOST}, as a table of more cannot be read; "
            "compare the likeliest of them"
        )
    if any(not name.strip() for name in variants):
        raise ValueError("variants: a name is blank; needed a name for each; give one")
    for name, metres in rooms.items():
        if name not in variants or not metres > 0:
            raise ValueError(
                f"room: {metres!r} m for {name!r}; needed more than 0 m and the name of a variant; mend it"
            )
    if not 0 < chance < 1:
        raise ValueError(
            f"chance: {chance!r} is no chance; needed more than 0 and less than 1; give such a one"
        )
    if count < FEWEST_SPELLS:
        raise ValueError(
            f"count: {count} storms are too few for a limit; needed {FEWEST_SPELLS} at the least; run more"
        )


def _limit(
    scenario: Scenario,
    count: int,
    chance: float,
    first: int,
    executor: Executor | None,
    progress: Progress,
    cancel: Cancel | None,
) -> tuple[Limit | None, str]:
    """The wind that a scenario stands, or why there is none to seek."""
    if scenario.weather.record is not None:
        return None, "a recorded wind is not raised"
    if scenario.weather.mean_wind.magnitude == 0:
        return None, "no wind to raise"
    (found,) = limit_wind(
        scenario, [chance], count, first=first, executor=executor, progress=progress, cancel=cancel
    )
    return found, ""


def _percent(found: Interval) -> str:
    high = f"to {100 * found.high:.0f}" if math.isfinite(found.high) else "or more"
    return f"{100 * found.likely:.0f} % ({100 * found.low:.0f} {high})"


def _band(found: Interval, base: str, unit: str, system: System) -> str:
    value, low = (show(quantity(end, base), unit, system, 2) for end in (found.likely, found.low))
    if not math.isfinite(found.high):
        return f"{value} ({low.split()[0]} or more)"
    high = show(quantity(found.high, base), unit, system, 2).split()[0]
    return f"{value} ({low.split()[0]} to {high})"


__all__ = ["COLUMNS", "MOST", "Comparison", "Variant", "compare"]
