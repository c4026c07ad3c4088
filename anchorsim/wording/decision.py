"""The one decision that a comparison ends in: an instruction with a time or a place, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from anchorsim.planning.choice import Choice, Option
from anchorsim.risk.outcome import LIMIT
from anchorsim.wording.amounts import hundredths, listed, lower
from anchorsim.wording.glance import Tone

NIGHT = "this night"
ALONE = "Keep this set-up, then change something or open another place: both are compared here."
OLD = "Of the set-ups before your last change. Calculating the new ones."
LEAST = "Over the night: at least."


@dataclass(frozen=True)
class Decision:
    """The instruction, what else there is to know of it, and how grave it is."""

    headline: str
    more: tuple[str, ...]
    tone: Tone


def decision(
    found: Choice,
    lasting: str,
    spells: int,
    *,
    places: bool = False,
    at: Callable[[float], str] | None = None,
) -> Decision:
    """What to do.

    ``lasting``: how long it blows, as ``6 hours``, or :data:`NIGHT`; ``spells``: how many of each set-up; ``places``:
    whether the set-ups lie at several places; ``at`` tells a time on the forecast's clock.
    """
    best = found.best
    if best is None:
        return Decision(_unfit(found.unfit), (), "bad")
    more = [_gear(found.unfit)] if found.unfit else []
    if best.holds:
        headline = _stay(found, best, lasting, places, at)
        more += _close(found, best, spells)
        return Decision(headline, tuple(more), "ok")
    headline = _leave(found, best, lasting, at)
    more = [*_deadlines(found.rest, at), *_close(found, best, spells), *more]
    return Decision(headline, tuple(more), "bad" if best.fails.likely >= 0.5 else "warn")


def _stay(found: Choice, best: Option, lasting: str, places: bool, at: Callable[[float], str] | None) -> str:
    if not found.rest and not found.unfit:
        return f"Stay: fails in {often(best, ends=True)} over {lasting}."
    by = ""
    late = [each.leave_before for each in found.rest if each.leave_before is not None]
    if late and at is not None:
        by = f" by {at(min(late))}"
    letters = " or ".join([best.letter, *(each.letter for each in found.alike)])
    do = ("Be at" if by else "Lie at") if places else "Choose"
    who = f"{best.letter} " if found.alike else ""
    fails = [f"{who}fails in {often(best, ends=not found.rest)} over {lasting}", *_others(found.rest)]
    return f"{do} {letters}{by}: {', '.join(fails)}."


def _leave(found: Choice, best: Option, lasting: str, at: Callable[[float], str] | None) -> str:
    when = "before this wind"
    if best.leave_before is not None and at is not None:
        when = f"before {at(best.leave_before)}"
    if not found.rest and not found.unfit:
        return f"Leave {when}: fails in {often(best, ends=True)} over {lasting}."
    none = f"No set-up holds {lasting if lasting == NIGHT else f'for {lasting}'}"
    same = {each.leave_before for each in found.rest} <= {best.leave_before}
    leave = f"leave {when}" if same else f"choose {best.letter} and leave {when}"
    fails = [f"{best.letter} fails in {often(best)} over {lasting}", *_others(found.rest)]
    return f"{none}: {leave}. {', '.join(fails)}."


def _others(rest: Sequence[Option]) -> list[str]:
    return [f"{each.letter} in {often(each).removesuffix(' of 100')}" for each in rest]


def _deadlines(rest: Sequence[Option], at: Callable[[float], str] | None) -> list[str]:
    if at is None:
        return []
    times = [(each.letter, at(each.leave_before)) for each in rest if each.leave_before is not None]
    return [f"Leave {listed([f'{letter} before {time}' for letter, time in times])}."] if times else []


def _close(found: Choice, best: Option, spells: int) -> list[str]:
    if not found.alike:
        return []
    letters = listed([best.letter, *(each.letter for each in found.alike)])
    return [f"Too close to call after {spells} spells: {letters}."]


def _unfit(options: Sequence[Option]) -> str:
    if len(options) == 1:
        return f"Do not anchor on {_parts(options[0])}: not fit for use."
    return f"No set-up is fit for use. {_gear(options)}"


def _gear(options: Sequence[Option]) -> str:
    said = [f"{each.letter} has {_parts(each)}" for each in options]
    return f"Not fit for use: {listed(said)}."


def _parts(option: Option) -> str:
    return listed([f"the {lower(name)}" for name in option.unfit])


def often(option: Option, *, ends: bool = False) -> str:
    """How often a set-up fails: ``2 of 100``, and its range where that is asked for: ``2 of 100 (0 to 5)``."""
    likely, band = hundredths(option.fails)
    return f"{likely} of 100 ({band})" if ends else f"{likely} of 100"


def counted_from(spells: int, night: bool) -> str:
    """What the figures of a comparison rest on."""
    each = f"{spells} spells an hour" if night else f"{spells} spells"
    said = f"From {each}, the same for all. Brackets: 95 % confidence. Your limit: {100 * LIMIT:.0f} in 100."
    return f"{said} {LEAST}" if night else said
