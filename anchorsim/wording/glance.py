"""What it comes to at a glance: the outcome in a word and a sentence, and four figures with their ranges.

The outcome is that of a stretch of this weather, as :meth:`Assessment.share` has it; the figures are those of the
spells that it was counted from.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from anchorsim.core.units import System, si
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT, What
from anchorsim.strength.capacity import PartState
from anchorsim.wording import amounts, why
from anchorsim.wording.assessment import fails_in_brief, names
from anchorsim.wording.findings import part as label
from anchorsim.wording.pages import STARTING

Tone = Literal["ok", "warn", "bad", "none"]
STRETCHES = ("10 minute", "1 hour", "3 hour", "6 hour", "12 hour")
STRETCH = "6 hour"
_FEW = 50  # spells below which a chance that none of them shows is no ground for a word

_WORDS: dict[What, tuple[str, str]] = {  # where it happens mostly, and where it may
    "broke": ("Gear breaks", "Gear may break"),
    "may have broken": ("Gear may break", "Gear may break"),
    "aground": ("Goes aground", "May go aground"),
    "touched": ("Hits {}", "May hit {}"),
    "dragged": ("Drags", "May drag"),
    "outside": ("Swings too far", "May swing too far"),
    "out of room": ("Too little room", "May lack room"),
}


@dataclass(frozen=True)
class Glance:
    """The outcome: a word, a sentence, what it was counted from, how grave it is, and how it comes about."""

    word: str
    sentence: str
    of: str
    tone: Tone
    why: tuple[str, ...] = ()


PREPARING = Glance(*STARTING, "", "none")


@dataclass(frozen=True)
class Figure:
    """A figure: its title, its value and range, how grave it is, its share of a limit, and how it comes about."""

    title: str
    value: str
    note: str
    tone: Tone
    use: float | None
    why: tuple[str, ...]


def outcome(found: Assessment, stretch: str = STRETCH, system: System = "metric") -> Glance:
    """The outcome of a stretch of this weather."""
    chance = found.share("failed", stretch)
    likely, ends = amounts.hundredths(chance)
    said = f"{lasting(stretch)} like this: {fails_in_brief(found)} in {likely} of 100 ({ends})."
    spells = f"From {amounts.counted(len(found), 'spell', 'spells')} of {_minutes(found)}."
    if found.unfit:
        fails = f"{lasting(stretch)} like this: fails in {likely} of 100 ({ends})."
        said = f"Do not anchor on {_unfit(found.unfit, system)}. {fails}"
    word, tone = word_of(found, chance)
    return Glance(word, said, spells, tone, why.of_stretch(found, stretch))


def _unfit(parts: Sequence[PartState], system: System) -> str:
    """Which parts, in as few words as the strip has room for: without their sizes, two at the most."""
    named = [f"the {amounts.lower(label(part.key, system))}" for part in parts]
    others = amounts.counted(len(named) - 1, "other part", "other parts")
    return amounts.listed(named if len(named) < 3 else [named[0], others])


def word_of(found: Assessment, chance: Interval) -> tuple[str, Tone]:
    """The outcome in a word, by the ``chance`` of failing over a stretch, and how grave it is."""
    if found.unfit:
        return "Not fit for use", "bad"
    if len(found) < _FEW and not found.count("failed"):
        return "Holds so far", "none"
    if chance.likely > LIMIT:
        mostly = chance.likely >= 0.5
        return way_of_failing(found, mostly), "bad" if mostly else "warn"
    crept = found.count("crept") > LIMIT * len(found)
    return ("Creeps", "warn") if crept else ("Holds", "ok")


def way_of_failing(found: Assessment, mostly: bool) -> str:
    """The commonest way in which the spells fail, or the one that they came nearest to."""
    ways: tuple[What, ...] = ("dragged", "aground", "touched", "outside")
    counts: Counter[What] = Counter({what: found.count(what) for what in ways})
    broke, may = found.count("broke"), found.count("may have broken")
    counts["broke" if broke else "may have broken"] = broke + may
    what, count = counts.most_common(1)[0]
    if not count:
        what = found.nearest
    hit = names(outcome.hit for outcome in found.outcomes) or "something"
    return _WORDS[what][0 if mostly else 1].format(hit)


def lasting(stretch: str) -> str:
    """How long, as it is said: ``1 hour``, ``6 hours``."""
    number, unit = stretch.split()
    return f"{number} {unit if number == '1' else f'{unit}s'}"


def _minutes(found: Assessment) -> str:
    return f"{si(found.scenario.weather.duration) / 60.0:g} min"


def figures(found: Assessment, system: System = "metric") -> tuple[Figure, ...]:
    """Peak load at the bow, the share of the anchor's holding, the swinging radius and the part nearest its WLL."""
    return (
        _load(found, system),
        _holding(found, system),
        _room(found, system),
        _part(max(found.states, key=lambda part: part.utilisation.likely), found, system),
    )


def _load(found: Assessment, system: System) -> Figure:
    shown = amounts.span(found.peak_load, system)
    return Figure("Peak load at the bow", *_parted(shown), "none", None, why.of_load(found, system))


def _holding(found: Assessment, system: System) -> Figure:
    used = found.holding_used
    shown = amounts.percents(used)
    if used.likely >= 1.0:
        shown = amounts.AmountText("all of it", "and it moves")
    because = why.of_holding(found, system)
    return Figure("Of the anchor's holding", *_parted(shown), _tone(used), used.likely, because)


def _room(found: Assessment, system: System) -> Figure:
    shown = amounts.lengths(found.radius, system)
    return Figure("Swinging radius", *_parted(shown), "none", None, why.of_radius(found, system))


def _part(part: PartState, found: Assessment, system: System) -> Figure:
    use = part.utilisation
    shown = amounts.percents(use)
    title = f"Most loaded: {amounts.lower(part.name)}"
    note = f"{shown.range} of WLL" if shown.range else "of WLL"
    tone: Tone = "bad" if part.unfit else _tone(use)
    return Figure(title, shown.likely, note, tone, use.likely, why.of_part(part, found, system))


def played(number: int, peak: float, found: Assessment, system: System) -> str:
    """Which spell the picture plays, and how its peak load at the bow (N) stands among those of all."""
    peaks = (amounts.force(load, system) for load in (peak, found.peak_load.likely))
    return f"Spell {number + 1}: peak {next(peaks)}, median of {len(found)} {next(peaks)}"


def _tone(use: Interval) -> Tone:
    return "bad" if use.likely > 1.0 else "warn" if use.high > 1.0 else "none"


def _parted(shown: amounts.AmountText) -> tuple[str, str]:
    return shown.likely, shown.range
