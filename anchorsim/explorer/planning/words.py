"""What storm planning says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from anchorsim.core.units import System, quantity, show
from anchorsim.planning.advice import Advice
from anchorsim.risk.assessment import SELDOM, assess, odds
from anchorsim.risk.comparison import COLUMNS, Comparison
from anchorsim.risk.limits import Limit
from anchorsim.risk.monte_carlo import Spells
from anchorsim.risk.outlook import Outlook, PartOutlook
from anchorsim.risk.swinging_room import Room


@dataclass(frozen=True, eq=False)
class Odds:
    """What many spells come to, the mean winds at which the chance of dragging passes a level, and how near
    she comes to what lies round her, if anything does."""

    outlook: Outlook
    spells: Spells
    winds: Sequence[Limit]
    around: Room | None


def told(found: Odds, system: System) -> str:
    """The odds, the limits and how hard each part is used."""
    outlook = found.outlook
    few = assess(found.spells).too_few(SELDOM)
    text = _paragraph(outlook.barred, "urgent") + _paragraph(outlook.odds_sentence(), "verdict")
    text += _paragraph(_figures(outlook, system)) + (_paragraph(few) if few else "")
    if found.around:
        text += "".join(_paragraph(one.sentence(system)) for one in found.around.clearances)
    if found.winds:
        limits = ("The anchor drags in", "at a mean wind of, with gusts in proportion", "")
        rows = [
            (f"{100 * limit.chance:g} of 100 storms", limit.show(system), _doubt(limit))
            for limit in found.winds
        ]
        text += table(limits, rows)
    heads = ("Part", "Used in a hard storm (1 of 20 is harder)", "Passes its working load in", "May break in")
    return text + table(heads, [_part(part) for part in outlook.parts])


def _figures(outlook: Outlook, system: System) -> str:
    weak, peak, room = outlook.weakest, outlook.peak, outlook.room
    return (
        f"The {weak.name[:1].lower()}{weak.name[1:]} works hardest: it carries more than its working load "
        f"in {odds(weak.strained)}. In 95 of 100 the pull on the bow stays under "
        f"{show(quantity(peak.likely, 'N'), 'kN', system, 2)} and she stays within "
        f"{show(quantity(room.likely, 'm'), 'm', system, 2)} of where the anchor was let go."
    )


def _doubt(limit: Limit) -> str:
    return "carried on beyond what so many storms show" if limit.extrapolated and limit.found else ""


def _part(part: PartOutlook) -> tuple[str, ...]:
    name = f"{part.name}: do not lie to it" if part.condemned else part.name
    return (
        name,
        f"{100 * part.used.likely:.0f} % of its working load",
        odds(part.strained),
        odds(part.parted),
    )


def advised(piece: Advice, system: System) -> str:
    """A piece of advice: what to do, what it buys, and why."""
    if piece.leave:
        return _paragraph(piece.sentence(system), "urgent")
    why = piece.why(system)
    lines = [*piece.claims, *([f"because {why}"] if why else []), *piece.doubts]
    listed = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<div><b>{escape(piece.action(system))}</b> ({escape(piece.where)})<ul>{listed}</ul></div>"


def compared(found: Comparison, system: System) -> str:
    """The table of set-ups, and which of the first two fails less often."""
    rows = [tuple(row[column] for column in COLUMNS) for row in found.table(system)]
    names = [variant.name for variant in found.variants]
    text = table(COLUMNS, rows)
    if len(names) > 1:
        text += "".join(_paragraph(found.sentence(names[0], name)) for name in names[1:])
    return text


def _paragraph(text: str, kind: str = "plain") -> str:
    return f'<p class="anchorsim-{kind}">{escape(text)}</p>' if text else ""


def table(heads: Iterable[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of words."""
    head = "".join(f"<th>{escape(text)}</th>" for text in heads)
    lines = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    return f"<table class=anchorsim-compared><tr>{head}</tr>{lines}</table>"
