"""Places and set-ups side by side: up to twelve, in the same spells."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Quantity, si
from anchorsim.numerics.estimates import change
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment, assess_each
from anchorsim.risk.limits import FEWEST_SPELLS, Limit, limit_wind
from anchorsim.risk.monte_carlo import Cancel, Progress, numbers_from
from anchorsim.scenario.scenario import Scenario

MOST = 12  # that a table still shows at a glance
_LIMIT_COST = 6  # times the spells of a variant that the search for its limit takes, about


@dataclass(frozen=True)
class Variant:
    """A scenario with its name, what the spells come to for it, and the wind at which it drags.

    ``limit`` is the mean wind at which the chance of dragging passes the comparison's ``chance``; None where
    there is none to seek: a recorded wind is not raised, there may be no wind, or too few spells.
    """

    name: str
    assessment: Assessment
    limit: Limit | None

    @property
    def scenario(self) -> Scenario:
        """What was compared."""
        return self.assessment.scenario


@dataclass(frozen=True)
class Comparison(Said, Drawn):
    """Some scenarios in the same spells; ``found["name"]`` gives the variant of a name.

    Attributes
    ----------
    variants : tuple of Variant
        Each with its name, its assessment, and the wind at which it drags (``limit``, None where there is
        none to seek), in the order in which they were given.
    count : int
        How many spells.
    chance : float
        Of dragging, that the limit winds are for.

    Examples
    --------
    >>> at_5 = Scenario()
    >>> found = compare({"5:1": at_5, "7:1": at_5.vary({"tackle.scope": 7})}, count=8)
    >>> found
    <Comparison: spells 8, of 5:1, 7:1>
    >>> found["7:1"].assessment.count("held")
    8
    """

    variants: tuple[Variant, ...]
    count: int
    chance: float

    def __repr__(self) -> str:
        names = ", ".join(variant.name for variant in self.variants)
        return line("Comparison", [("spells", str(self.count)), ("of", names)])

    def __getitem__(self, name: str) -> Variant:
        """A variant by its name.  Raises ArgumentError where there is none."""
        found = {variant.name: variant for variant in self.variants}
        return found[arguments.one_of("name", name, list(found))]

    def difference(self, first: str, second: str) -> Interval:
        """By how much failing is likelier in the ``second`` than in the ``first``: a chance, 95 % band."""
        return change(*(self[name].assessment.happened("failed") for name in (first, second)))


def compare(
    variants: Mapping[str, Scenario],
    count: int = 100,
    *,
    chance: float = 0.05,
    clear_radius: Mapping[str, float | str | Quantity] | None = None,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Comparison:
    """Compare up to twelve scenarios in the same spells, each with the wind at which it drags.

    Parameters
    ----------
    variants : mapping of str to Scenario
        1 to 12 of them, each with its name.
    count : int
        How many spells; of fewer than 50 no limit wind is sought.
    chance : float
        Of dragging, that the limit wind is for; above 0 and below 1.
    clear_radius : mapping of str to float, str or quantity, optional
        For some names the free water about where the anchor is set (m, or with its unit), besides what
        lies round her.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    Comparison
        The assessment and the limit wind of each.

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
    >>> at_5 = Scenario()
    >>> found = compare({"5:1": at_5, "7:1": at_5.vary({"tackle.scope": 7})}, count=8)
    >>> found.difference("5:1", "7:1").likely
    0.0
    """
    given = arguments.mapping("clear_radius", clear_radius or {}, '{"a name": 60.0}')
    radii = _checked(variants, chance, given)
    total = len(variants) * count * (1 + _LIMIT_COST)

    def report(base: int, most: int, done: int, _: int = 0) -> None:
        if progress:
            progress(base + min(done, most), total)

    found = assess_each(
        list(variants.values()),
        numbers_from(first, count),
        clear_radii=[radii.get(name) for name in variants],
        executor=executor,
        progress=partial(report, 0, len(variants) * count),
        cancel=cancel,
    )
    rows = []
    for place, (name, assessment) in enumerate(zip(variants, found, strict=True)):
        base, most = count * (len(variants) + place * _LIMIT_COST), count * _LIMIT_COST
        limit = None
        weather = assessment.scenario.weather
        if weather.record is None and si(weather.mean_wind) > 0.0 and count >= FEWEST_SPELLS:
            (limit,) = limit_wind(
                assessment.scenario,
                [chance],
                count,
                first=first,
                executor=executor,
                progress=partial(report, base, most),
                cancel=cancel,
            )
        report(base, most, most)
        rows.append(Variant(name, assessment, limit))
    return Comparison(tuple(rows), count, chance)


def _checked(
    variants: Mapping[str, Scenario], chance: float, radii: Mapping[str, float | str | Quantity]
) -> dict[str, float | None]:
    """The clear radii, m, of what is all in order."""
    arguments.mapping("variants", variants, '{"a name": scenario}')
    if not 1 <= len(variants) <= MOST:
        wrong = f"{len(variants)} given"
        raise arguments.refused("variants", wrong, f"1 to {MOST}", "compare the likeliest of them")
    for name, scenario in variants.items():
        if not str(name).strip():
            raise arguments.refused("variants", "a name is blank", "a name for each", "give one")
        arguments.instance(f"variants[{name!r}]", scenario, Scenario, "load one with Scenario.load")
    for name in radii:
        arguments.one_of("clear_radius", name, list(variants))
    arguments.share("chance", chance)
    return {name: arguments.room("clear_radius", radius) for name, radius in radii.items()}
