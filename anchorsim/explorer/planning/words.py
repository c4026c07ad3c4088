"""What planning for a gale shows, as HTML with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from anchorsim.core.units import System
from anchorsim.planning.advice import Advice
from anchorsim.risk.assessment import Assessment, PartLoad
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.limits import Limit
from anchorsim.wording import advice, comparison, limits
from anchorsim.wording import assessment as wording
from anchorsim.wording.amounts import chance, listed, lower, of_spells, percent
from anchorsim.wording.cautions import POSITIONS
from anchorsim.wording.results import table


def outcome_and_limits(found: Assessment, winds: Sequence[Limit], system: System) -> str:
    """The chances, the wind limits and the load on each part."""
    unfit = listed([f"the {lower(part.name)}" for part in found.unfit])
    text = _paragraph(f"Do not use {unfit}." if unfit else "", "urgent")
    text += _paragraph(f"{wording.odds(found)} {wording.over(found)}", "verdict") + _paragraph(
        _figures(found, system)
    )
    text += _paragraph(wording.too_few(found))
    text += "".join(_paragraph(wording.clearance(one, system)) for one in found.clearances)
    text += _paragraph(str(POSITIONS) if found.bounded else "")
    if winds:
        limit_heads = (
            f"Chance of dragging, per {wording.spell_of(found)}",
            "Mean wind (gusts rise with it)",
            "",
        )
        rows = [
            (f"{100 * limit.chance:g} in 100", limits.value(limit, system), limits.doubt(limit))
            for limit in winds
        ]
        text += table(limit_heads, rows)
    heads = ("Part", "Load in a bad spell (1 in 20 is worse)", "Over its WLL in", "May break in")
    return text + table(heads, [_part(part) for part in found.parts])


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
        return _paragraph(advice.sentence(piece, system), "urgent")
    lines = [*advice.claims(piece), *advice.reasons(piece, system), *advice.doubts(piece)]
    lines += map(str, advice.cautions(piece))
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    where = "aboard now" if piece.aboard else "to buy or have done ashore"
    return f"<div><b>{escape(advice.action(piece, system))}</b> ({where})<ul>{items}</ul></div>"


def compared(found: Comparison, system: System) -> str:
    """The table of set-ups, and which of the first two fails less often."""
    names = [variant.name for variant in found.variants]
    text = table(comparison.columns(found), [comparison.cells(each, system) for each in found.variants])
    if len(names) > 1:
        text += "".join(_paragraph(comparison.sentence(found, names[0], name)) for name in names[1:])
    return text


def _paragraph(text: str, kind: str = "plain") -> str:
    return f'<p class="anchorsim-{kind}">{escape(text)}</p>' if text else ""
