"""What planning for a gale shows, as HTML with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Sequence

from anchorsim.core.markup import macros
from anchorsim.core.units import System
from anchorsim.explorer.words import paragraph
from anchorsim.planning.advice import Advice
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.limits import Limit
from anchorsim.risk.part_loads import PartLoad
from anchorsim.wording import advice, amounts, comparison, limits
from anchorsim.wording import assessment as wording
from anchorsim.wording.amounts import chance, lower, of_spells, percent
from anchorsim.wording.cautions import POSITIONS

_WORDS = "explorer/planning/words.html"


def outcome_and_limits(found: Assessment, winds: Sequence[Limit], system: System) -> str:
    """The chances, the wind limits and the load on each part."""
    unfit = amounts.listed([f"the {lower(part.name)}" for part in found.unfit])
    said = [
        (f"Do not use {unfit}." if unfit else "", "urgent"),
        (f"{wording.odds(found)} {wording.over(found)}", "verdict"),
        (_figures(found, system), "plain"),
        (wording.too_few(found), "plain"),
        *((wording.clearance(one, system), "plain") for one in found.clearances),
        (str(POSITIONS) if found.bounded else "", "plain"),
    ]
    limited = [
        (f"{100 * limit.chance:g} in 100", limits.value(limit, system), limits.doubt(limit))
        for limit in winds
    ]
    parts = [_part(part) for part in found.parts]
    return macros(_WORDS).outcome_and_limits(said, limited, wording.spell_of(found), parts)


def _figures(found: Assessment, system: System) -> str:
    part = found.most_loaded
    return (
        f"Most heavily loaded: {lower(part.name)}, over its WLL in {of_spells(part.overloaded)}. "
        f"{wording.bad_spell(found, system)}"
    )


def _part(part: PartLoad) -> tuple[str, ...]:
    name = f"{part.name}: do not use" if part.state.unfit else part.name
    return (name, f"{percent(part.use.likely)} of WLL", chance(part.overloaded), chance(part.may_break))


def advised(piece: Advice, system: System) -> str:
    """A piece of advice: what to do, what it changes, and why."""
    if piece.change is None:
        return paragraph(advice.sentence(piece, system), "urgent")
    lines = [*advice.claims(piece), *advice.reasons(piece, system), *advice.doubts(piece)]
    lines += map(str, advice.cautions(piece))
    return macros(_WORDS).advised(advice.action(piece, system), piece.aboard, lines)


def compared(found: Comparison, system: System) -> str:
    """The table of set-ups, and which of the first two fails less often."""
    names = [variant.name for variant in found.variants]
    rows = [comparison.cells(each, system) for each in found.variants]
    sentences = [comparison.sentence(found, names[0], name) for name in names[1:]]
    return macros(_WORDS).compared(comparison.columns(found), rows, sentences)


def title() -> str:
    """What planning is for."""
    return macros(_WORDS).title()


def stale() -> str:
    """That the answer is for another set-up than the one on screen."""
    return macros(_WORDS).stale()


def listed(names: Sequence[str], most: int) -> str:
    """The set-ups that are up for comparison, and whether there is room for more."""
    return macros(_WORDS).listed(names, most) if names else ""
