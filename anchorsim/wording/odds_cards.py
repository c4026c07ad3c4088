"""The page of odds as cards: each a title, one line, a picture of bars, and how its figures come about."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from anchorsim.core.units import System, si
from anchorsim.numerics.interval import Interval
from anchorsim.planning.advice import Advice
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.limits import Limit
from anchorsim.risk.outcome import LIMIT, What
from anchorsim.risk.sensitivity import Influence, Key, Ranking, Sensitivity
from anchorsim.wording import advice, amounts, limits, measures, why
from anchorsim.wording import sensitivity as uncertainty
from anchorsim.wording.around import clears
from anchorsim.wording.assessment import bad_spell, clearance, fails, spell_of, too_few
from anchorsim.wording.glance import Tone

Shares = Mapping[What, Interval]  # chances over the stretch
WAYS: tuple[tuple[What, str], ...] = (
    ("failed", "Fails"),
    ("dragged", "Anchor drags"),
    ("may have broken", "Gear may break"),
    ("broke", "Gear breaks"),
    ("touched", "Hits something"),
    ("aground", "Goes aground"),
    ("outside", "Leaves the clear radius"),
)
# What is being calculated
CHANCES, LIMITS, HELPS, RANKING = (
    "Calculating the chances",
    "Calculating the limits of wind",
    "Simulating changes",
    "Ranking what matters",
)
WORDS = {
    "why": "Why?",
    "try": "Try it",
    "try_help": "Show this change on screen",
    "undo": "Undo",
    "undo_help": "Back to the set-up before this change",
}
WAITING = "Not calculated yet."
BEGINS = "Simulating {} spells first. The cards fill as results come."
TRYING = "A change is on screen. These results are for the set-up before it."
STALE = "Out of date: these results are for the set-up before your last change."
ASK = "Rank the unknowns"
ABOARD, ASHORE = "What helps: aboard now", "What helps: to buy or have done ashore"
ODDS, MATTERS = "How far it holds", "What matters most"
_TOPS = (1, 2, 5, 10, 20, 50, 100)  # in 100, where an axis of chances may end
_DOUBTS = 6  # that are drawn
_LITTLE = 0.05  # share of the scatter that is not worth a bar (judgement)
_PARTS = 5
_MARK = 5.0 * 1852.0 / 3600.0  # m/s: a scale of wind ends at a multiple of 5 knots


@dataclass(frozen=True)
class Bar:
    """A bar from 0: its label, where it and its range end on the axis (0 to 1), its value in words, its tone.

    ``series``: which of several it belongs to.
    """

    label: str
    at: float
    low: float
    high: float
    value: str
    tone: Tone = "none"
    series: int = 0


@dataclass(frozen=True)
class Picture:
    """Bars on one axis that ends at ``top`` (in words), or a ``scale`` on which the bars are marks.

    ``now``: where on a scale it is now, and that in words; ``series``: what each series is.
    """

    kind: Literal["bars", "scale"]
    bars: tuple[Bar, ...]
    top: str
    now: float | None = None
    now_text: str = ""
    series: tuple[str, ...] = ()


@dataclass(frozen=True)
class Card:
    """A card; ``tries``: whether it is a change that can be shown on screen."""

    key: str
    title: str
    line: str
    picture: Picture | None
    why: tuple[str, ...]
    tone: Tone = "none"
    tries: bool = False


def counted(found: Assessment) -> str:
    """From how many spells the chances are."""
    return f"From {len(found)} simulated {spell_of(found)}s."


def compared(before: Assessment) -> str:
    """From how many spells the changes are told."""
    return f"Each change in the same {len(before)} spells."


def ask_help(samples: int) -> str:
    """What ranking the unknowns does."""
    return f"Simulate some {8 * samples:,} spells and see which unknown makes most difference"


def chances(found: Assessment, shares: Shares, stretch: str) -> Card:
    """The ways in which she fails over a stretch, those alone that are seen."""
    seen = [(label, shares[what]) for what, label in WAYS if what in shares]
    seen = [seen[0], *(one for one in seen[1:] if round(100 * one[1].likely) or one[1].likely > LIMIT)]
    top = _top([share.high for _, share in seen])
    bars = tuple(_chance(label, share, top) for label, share in seen)
    likely, ends = amounts.hundredths(shares["failed"])
    line = f"If this weather lasts {amounts.lasting(stretch)}, {fails(found)} in {likely} of 100 ({ends})."
    picture = Picture("bars", bars, f"{top} in 100")
    return Card(
        "chances", f"Chance over {amounts.lasting(stretch)}", line, picture, why.of_stretch(found, stretch)
    )


def winds(found: Assessment, winds: Sequence[Limit], system: System) -> Card:
    """The mean winds from which on she fails in so many of 100 spells, and where the forecast lies."""
    now = si(found.scenario.weather.mean_wind)
    ends = [limit.found.likely for limit in winds if limit.found] or [winds[-1].si.tried[1]]
    top = math.ceil(max(1.15 * max(ends), 1.25 * now) / _MARK) * _MARK
    bars = tuple(_wind(limit, top, system) for limit in winds)
    first = winds[0]
    said = f"Mean wind now {amounts.speed(now, system)}."
    if first.found is not None and now < first.found.likely:
        said += (
            f" From {amounts.speed(first.found.likely, system)} on it fails in 1 of 100 {spell_of(found)}s."
        )
    spells = winds[0].spells
    picture = Picture(
        "scale", bars, amounts.speed(top, system), now / top, f"now {amounts.speed(now, system)}"
    )
    return Card("winds", "Limits of wind", said, picture, why.of_winds(found, spells, system))


def _wind(limit: Limit, top: float, system: System) -> Bar:
    label, doubt = f"{100 * limit.chance:g} in 100", limits.doubt(limit)
    value = limits.value(limit, system) + (f", {doubt}" if doubt else "")
    tone: Tone = "bad" if limit.chance > LIMIT else "warn"
    if limit.found is None:
        at = 0.0 if limit.beyond == "least" else 1.0
        return Bar(label, at, at, at, value, tone)
    low, likely, high = (min(max(end / top, 0.0), 1.0) for end in limit.found)
    return Bar(label, likely, low, high, value, tone)


def parts(found: Assessment, system: System) -> Card:
    """The loads on the parts in a bad spell, the most loaded first."""
    ranked = sorted(found.parts, key=lambda part: part.use.likely, reverse=True)[:_PARTS]
    finite = [end for part in ranked for end in (part.use.likely, part.use.high) if math.isfinite(end)]
    top = math.ceil(2.0 * max([1.0, *finite])) / 2.0
    bars = []
    for part in ranked:
        low, likely, high = (min(end / top, 1.0) for end in part.use)
        tone: Tone = "bad" if part.use.likely > 1.0 or part.state.unfit else "none"
        bars.append(Bar(part.name, likely, low, high, f"{amounts.percent(part.use.likely)} of WLL", tone))
    most = ranked[0]
    line = f"1 spell in 20 is worse. {most.name}: over its WLL in {amounts.of_spells(most.overloaded)}."
    few = too_few(found)
    picture = Picture("bars", tuple(bars), f"{100 * top:.0f} %")
    because = (bad_spell(found, system), *((few,) if few else ()), *why.of_parts(found))
    return Card("parts", "Load in a bad spell", line, picture, because, bars[0].tone)


def room(found: Assessment, system: System) -> Card | None:
    """How she clears what lies round her; None where nothing does."""
    if not found.clearances:
        return None
    few = bool(too_few(found))
    ranges = [[float(one.si.closest.min())] * 3 if few else list(one.near) for one in found.clearances]
    top = _round_up(max([1.0, *(likely for _, likely, _ in ranges)]))
    bars = []
    for one, ends in zip(found.clearances, ranges, strict=True):
        told, tone = clears(one, system)
        low, likely, high = (min(max(end / top, 0.0), 1.0) for end in ends)
        bars.append(Bar(one.thing.name, likely, low, high, told, tone))
    hits = [bar.label for bar in bars if bar.tone in ("warn", "bad")]
    line = f"Not clear of {amounts.listed(hits)}." if hits else "Clear of all in the simulated spells."
    said = (*(clearance(one, system) for one in found.clearances), *why.of_clearances(found))
    picture = Picture("bars", tuple(bars), amounts.length(top, system))
    return Card("room", "Room to swing", line, picture, said, "bad" if hits else "none")


def leaving(found: Advice, system: System) -> Card:
    """That she should leave, and by what wind."""
    because = (advice.sentence(found, system), *why.of_change(len(found.after))[:1])
    return Card(
        "leave", f"{advice.action(found, system)}.", str(advice.cautions(found)[0]), None, because, "bad"
    )


def helps(
    pieces: Sequence[Advice], now: Interval, shares: Mapping[int, Interval], stretch: str, system: System
) -> tuple[Card, ...]:
    """Each change with the chance before and after on one axis.

    ``now`` and ``shares`` (by the place of the piece) are chances of failing over the stretch, of the same spells.
    """
    top = _top([now.high, *(share.high for share in shares.values())])
    return tuple(
        _change(place, pieces[place], now, share, stretch, top, system) for place, share in shares.items()
    )


def _change(
    place: int, piece: Advice, before: Interval, after: Interval, stretch: str, top: int, system: System
) -> Card:
    assert piece.change is not None
    picture, bars = _lowered(piece, before, after, stretch, top)
    reasons = advice.reasons(piece, system)
    line = f"{(*reasons, *advice.claims(piece))[0]}."
    if not piece.clear:
        line += " May be chance."
    title, action = measures.steps(piece.change, system), advice.action(piece, system)
    said = [f"{one}." for one in (action, *advice.claims(piece), *reasons) if one != title]
    said += [*advice.doubts(piece), *map(str, advice.cautions(piece)), *why.of_change(len(piece.after)), bars]
    tone: Tone = "ok" if after.likely <= LIMIT else "none"
    return Card(f"help {place}", title, line, picture, tuple(filter(None, said)), tone, True)


def _lowered(
    piece: Advice, before: Interval, after: Interval, stretch: str, top: int
) -> tuple[Picture | None, str]:
    """The first chance that a change lowers, and what its bars are; no picture where it lowers none."""
    if _fewer(before, after):
        bars = (_chance("Now", before, top), _chance("With it", after, top))
        return Picture(
            "bars", bars, f"{top} in 100"
        ), f"Bars: chance of failing over {amounts.lasting(stretch)}."
    ways: tuple[tuple[What, str], ...] = (("failed", "failing"), ("overloaded", "a part over its WLL"))
    for what, said in ways:
        was, then = piece.before.chance(what), piece.after.chance(what)
        if _fewer(was, then):
            end = _top([was.high, then.high])
            bars = (_chance("Now", was, end), _chance("With it", then, end))
            told = f"Bars: chance of {said} in a spell. Over {amounts.lasting(stretch)} failing is no rarer."
            return Picture("bars", bars, f"{end} in 100 spells with {said}"), told
    return None, ""


def _fewer(was: Interval, then: Interval) -> bool:
    """Whether a chance is less, as whole hundredths show it."""
    return round(100 * then.likely) < round(100 * was.likely)


def matters(found: Sensitivity) -> Card:
    """The doubts by their share in the scatter of the peak load and of dragging, in one picture."""
    rankings = [one for one in (found.dragging, found.peak) if one is not None]
    names = [uncertainty.OF[one.of] for one in rankings]
    by_doubt = [{one.doubt: one for one in ranking.influences} for ranking in rankings]
    order = sorted(by_doubt[-1], key=lambda doubt: -max(_size(of.get(doubt)) for of in by_doubt))
    bars = []
    for doubt in order[:_DOUBTS]:
        for series, of in enumerate(by_doubt):
            if _size(of.get(doubt)) >= _LITTLE:
                bars.append(_influence(uncertainty.LABELS[doubt], of[doubt], series))
    said = [*why.of_matters(found.spells)]
    said += [f"{amounts.upper(uncertainty.LABELS[doubt])}: {_range(doubt)}." for doubt in order[:_DOUBTS]]
    picture = Picture("bars", tuple(bars), "100 %", series=tuple(map(amounts.upper, names)))
    return Card("matters", MATTERS, _most(rankings[0]), picture, tuple(said))


def _most(ranking: Ranking) -> str:
    seen = [one for one in ranking.influences if one.seen]
    if not seen:
        return uncertainty.ranking(ranking)
    return f"For {uncertainty.OF[ranking.of]} it is {uncertainty.LABELS[seen[0].doubt]}."


def _size(found: Influence | None) -> float:
    return found.total.likely if found is not None and found.seen else 0.0


def _range(doubt: Key) -> str:
    over, source = uncertainty.RANGES[doubt]
    return f"{over} ({source})"


def _influence(label: str, one: Influence, series: int) -> Bar:
    low, likely, high = (min(max(end, 0.0), 1.0) for end in one.total)
    return Bar(amounts.upper(label), likely, low, high, f"{100 * likely:.0f} %", series=series)


def _chance(label: str, share: Interval, top: int) -> Bar:
    low, likely, high = (min(100 * end / top, 1.0) for end in share)
    return Bar(label, likely, low, high, amounts.chance(share), _tone(share))


def _tone(share: Interval) -> Tone:
    return "bad" if share.likely >= 0.5 else "warn" if share.likely > LIMIT else "ok"


def _top(ends: Sequence[float]) -> int:
    """In 100: where an axis of chances ends."""
    most = 100 * max(ends)
    return next((top for top in _TOPS if most <= top), 100)


def _round_up(value: float) -> float:
    step = 10.0 ** math.floor(math.log10(value)) / 2.0
    return math.ceil(value / step) * step
