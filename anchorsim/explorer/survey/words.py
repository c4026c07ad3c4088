"""What the guided survey says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from anchorsim.core.units import System, quantity, show
from anchorsim.numerics.interval import Interval
from anchorsim.strength.capacity import PartState
from anchorsim.strength.compatibility import Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.survey.weakest_link import Appraisal

URGENCIES = ("before use", "this season", "at leisure")
_BAR, _LONGEST_BAR = 1.5, 10.0  # shares of the working load at which a bar ends, as far as it must go
_FEW = 3  # things that the running result names before it only counts them


@dataclass(frozen=True)
class Duty:
    """Something to do on a part, and when."""

    part: str
    what: str
    remedy: str
    urgency: str


def duties(effects: Iterable[Effect], misfits: Iterable[Misfit]) -> list[Duty]:
    """All that is to be done, the most urgent first."""
    found = [
        Duty(entry.finding.part, entry.finding.kind, str(entry.finding.row()["remedy"]), entry.urgency)
        for entry in effects
    ]
    found += [Duty(entry.part, entry.sentence, entry.remedy, entry.urgency) for entry in misfits]
    return sorted(found, key=lambda duty: URGENCIES.index(duty.urgency))


def result(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """The running result: the weakest link, how hard it works, what must be done before use."""
    tiles = (_weakest_tile(found, system), _load_tile(found), _duties_tile(found, todo))
    return f'<div class="anchorsim-result" role="status">{"".join(tiles)}</div>'


def _tile(label: str, value: str, detail: str, more: str = "") -> str:
    return f"<section{more}><h4>{label}</h4><p class=value>{value}</p>{detail}</section>"


def _weakest_tile(found: Appraisal, system: System) -> str:
    weakest = found.weakest
    low, likely, high = (_force(end, system) for end in weakest.strength_left)
    span = "" if low == high else f" ({low.split()[0]} to {high})"
    times = f"{weakest.safety_factor.likely:.2g} times the load on it"
    detail = f"<p>Breaks at about {likely}{span}, {times}.</p>"
    return _tile("Weakest link now", escape(weakest.name), detail)


def _load_tile(found: Appraisal) -> str:
    weakest, hardest = found.weakest, found.hardest_used
    detail = f"<p>of its working load{_spread(weakest.utilisation)}</p>{bar(weakest.utilisation)}"
    if hardest.key != weakest.key and hardest.utilisation.likely > 1.0:
        used = f"{escape(_lower(hardest.name))}, {_percent(hardest.utilisation.likely)}"
        detail += f"<p><b>Overloaded: {used}.</b></p>"
    return _tile("Load on it", _percent(weakest.utilisation.likely), detail)


def _duties_tile(found: Appraisal, todo: Sequence[Duty]) -> str:
    urgent = [duty for duty in todo if duty.urgency == "before use"]
    later = len(todo) - len(urgent)
    lines = "".join(f"<li>{escape(_named(duty))}</li>" for duty in urgent[:_FEW])
    if len(urgent) > _FEW:
        lines += f"<li>and {len(urgent) - _FEW} more</li>"
    detail = f"<ul>{lines}</ul>" if urgent else ""
    detail += f"<p>{later} more for later.</p>" if later else ""
    value = f"{len(urgent)} to do" if urgent else "Nothing found"
    if found.condemned:
        names = " or the ".join(_lower(part.name) for part in found.condemned[:2])
        value = f"Do not lie to the {escape(names)}"
    return _tile("Before use", value, detail, " class=anchorsim-urgent" if urgent else "")


def _named(duty: Duty) -> str:
    """A duty with its part, unless its words say so."""
    alone = any(word in duty.what.lower() for word in duty.part.split())
    return duty.what[:1].upper() + duty.what[1:] if alone else f"{duty.part.capitalize()}: {duty.what}"


def bar(share: Interval) -> str:
    """How hard a part works, with its range: the full working load is where the line stands."""
    end = min(max(_BAR, 1.05 * share.high), _LONGEST_BAR)
    low, likely, high = (200 * min(value, end) / end for value in share)
    full = 200 / end
    words = f"{_percent(share.likely)} of the working load{_spread(share)}"
    return (
        f'<svg class="anchorsim-bar" viewBox="0 0 200 22" preserveAspectRatio="none" '
        f'role="img" aria-label="{words}">'
        f'<rect class="track" x="0" y="6" width="200" height="10"/>'
        f'<rect class="range" x="{low:.1f}" y="3" width="{max(high - low, 1.5):.1f}" height="16"/>'
        f'<rect class="likely" x="{max(likely - 2, 0):.1f}" y="0" width="4" height="22"/>'
        f'<path class="full" d="M{full:.1f} 0V22"/></svg>'
    )


def title(number: int, count: int, label: str) -> str:
    """Where in the walk she is."""
    return f"<h2><small>Part {number} of {count}</small> {escape(label)}</h2>"


def in_line(part: PartState | None, system: System) -> str:
    """What a part carries and stands now; nothing where it is not in line."""
    if part is None:
        return "<p>Not in line as the tackle is described: nothing pulls on it.</p>"
    if part.spare:
        return f"<p>{escape(part.name)}: pulls only if all of the rode runs out.</p>"
    load, strength_left = _force(part.load.likely, system), _force(part.strength_left.likely, system)
    used = f"{_percent(part.utilisation.likely)} of its working load{_spread(part.utilisation)}"
    return (
        f"<p><b>{escape(part.name)}</b> carries about {load} at the hardest, {used}, "
        f"and breaks at about {strength_left}.</p>{bar(part.utilisation)}"
    )


def mismatches(found: Sequence[Misfit]) -> str:
    """What about a part does not match its neighbours, the boat or the place."""
    return "".join(
        f"<p{' class=anchorsim-urgent' if entry.urgency == 'before use' else ''}>"
        f"<b>{escape(entry.urgency.capitalize())}:</b> {escape(entry.sentence)} {escape(entry.remedy)}</p>"
        for entry in found
    )


def overview(found: Appraisal, todo: Sequence[Duty], labels: dict[str, str], system: System) -> str:
    """All of it on one page: the sentence, each part in line, and what is to be done by when."""
    rows = "".join(_row(part, todo, labels) for part in found.parts)
    head = (
        "<tr><th>Part</th><th>Of its working load</th><th></th><th>Breaks at, times its load</th>"
        "<th>To do</th></tr>"
    )
    return (
        f"<p class=anchorsim-verdict>{escape(found.sentence(system))}</p>{_unseen(found, labels)}"
        f"<table class=anchorsim-parts>{head}{rows}</table>{_lists(todo, labels)}"
    )


def _unseen(found: Appraisal, labels: dict[str, str]) -> str:
    names = ", ".join(_lower(labels[part.key]) for part in found.unseen)
    return f"<p><b>Not looked at yet</b>, and taken to be sound: {escape(names)}.</p>" if names else ""


def _row(part: PartState, todo: Sequence[Duty], labels: dict[str, str]) -> str:
    mine = [duty.urgency for duty in todo if duty.part == part.key]
    due = ", ".join(f"{mine.count(when)} {when}" for when in URGENCIES if when in mine) or "–"
    if part.spare:
        cells = "<td>only if all runs out</td><td></td><td></td>"
    else:
        cells = (
            f"<td>{_percent(part.utilisation.likely)}{_spread(part.utilisation)}</td>"
            f"<td>{bar(part.utilisation)}</td><td>{_times(part.safety_factor.likely)}</td>"
        )
    return f"<tr><th>{escape(part.name)}</th>{cells}<td>{escape(due)}</td></tr>"


def _lists(todo: Sequence[Duty], labels: dict[str, str]) -> str:
    text = ""
    for when in URGENCIES:
        lines = "".join(
            f"<li><b>{escape(labels.get(duty.part, duty.part))}:</b> {escape(duty.what)}. "
            f"{escape(duty.remedy)}.</li>".replace("..", ".")
            for duty in todo
            if duty.urgency == when
        )
        text += f"<h3>{escape(when.capitalize())}</h3><ul>{lines}</ul>" if lines else ""
    return text or "<p>Nothing was found that needs doing.</p>"


def _force(newtons: float, system: System) -> str:
    return show(quantity(newtons, "N"), "kN", system, 2)


def _percent(share: float) -> str:
    if not math.isfinite(share):
        return "all"
    return f"{100 * share:.2g}\xa0%" if 0 < share < 0.1 else f"{100 * share:.0f}\xa0%"


def _spread(share: Interval) -> str:
    low, high = _percent(share.low), _percent(share.high)
    return "" if low == high else f" ({low.split()[0]} to {high})"


def _times(factor: float) -> str:
    return f"{factor:.2g}" if math.isfinite(factor) else "–"


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
