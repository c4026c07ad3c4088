"""The sentences of the guided survey as HTML, with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from anchorsim.core.units import System
from anchorsim.numerics.interval import Interval
from anchorsim.scenario.findings import rows_of
from anchorsim.strength.capacity import PartState
from anchorsim.strength.compatibility import URGENCIES, Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, compatibility, findings, weakest_link
from anchorsim.wording.cautions import NOT_FIT, Caution, on_finding
from anchorsim.wording.findings import CLASSES, WHEN
from anchorsim.wording.recommendations import Duty
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit

_BAR, _LONGEST_BAR = 1.5, 10.0  # shares of the WLL at which a bar ends, as far as it must go
_FEW = 3  # jobs that the running result names before it only counts them


def result(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """The running result: the weakest link, its load, and what must be done before use."""
    tiles = (_weakest_tile(found, system), _load_tile(found), _duties_tile(found, todo, system))
    return f'<div class="anchorsim-result" role="status">{"".join(tiles)}</div>'


def _tile(label: str, value: str, detail: str, more: str = "") -> str:
    return f"<section{more}><h4>{label}</h4><p class=value>{escape(value)}</p>{detail}</section>"


def _weakest_tile(found: Appraisal, system: System) -> str:
    weakest = found.weakest
    return _tile("Weakest link", weakest.name, f"<p>{escape(weakest_link.strength(weakest, system))}.</p>")


def _load_tile(found: Appraisal) -> str:
    weakest, hardest = found.weakest, found.hardest_used
    detail = f"<p>{_range(weakest)}</p>{bar(weakest.utilisation)}"
    if hardest.key != weakest.key and hardest.utilisation.likely > 1.0:
        over = f"{amounts.lower(hardest.name)}, {amounts.percent(hardest.utilisation.likely)} of WLL"
        detail += f"<p><b>Overloaded: {escape(over)}.</b></p>"
    return _tile("Load on it", amounts.percent(weakest.utilisation.likely), detail)


def _range(part: PartState) -> str:
    used = amounts.percents(part.utilisation)
    return f"of WLL ({used.range})" if used.range else "of WLL"


def _duties_tile(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    urgent = [duty for duty in todo if duty.urgency == "before use"]
    later = len(todo) - len(urgent)
    lines = "".join(f"<li>{escape(_named(duty, system))}</li>" for duty in urgent[:_FEW])
    if len(urgent) > _FEW:
        lines += f"<li>and {len(urgent) - _FEW} more</li>"
    detail = f"<ul>{lines}</ul>" if urgent else ""
    detail += f"<p>{later} later</p>" if later else ""
    if found.unseen:
        detail += f"<p>{len(found.unseen)} of {len(found.parts)} parts not inspected</p>"
    value = f"{len(urgent)} before use" if todo else "No job recorded"
    if found.unfit:
        value = f"Do not use: {', '.join(amounts.lower(part.name) for part in found.unfit)}"
    return _tile("Jobs", value, detail, " class=anchorsim-urgent" if urgent else "")


def _named(duty: Duty, system: System) -> str:
    """A job with its part, unless its words say so."""
    name = findings.part(duty.part, system)
    alone = any(word in duty.what.lower() for word in (*duty.part.split(), *name.lower().split()))
    return amounts.upper(duty.what) if alone else f"{name}: {amounts.lower(duty.what)}"


def bar(share: Interval) -> str:
    """A part's load with its range: the WLL is where the line is."""
    end = min(max(_BAR, 1.05 * share.high), _LONGEST_BAR)
    low, likely, high = (200 * min(value, end) / end for value in share)
    full = 200 / end
    return (
        f'<svg class="anchorsim-bar" viewBox="0 0 200 22" preserveAspectRatio="none" '
        f'role="img" aria-label="{amounts.percents(share)} of WLL">'
        f'<rect class="track" x="0" y="6" width="200" height="10"/>'
        f'<rect class="range" x="{low:.1f}" y="3" width="{max(high - low, 1.5):.1f}" height="16"/>'
        f'<rect class="likely" x="{max(likely - 2, 0):.1f}" y="0" width="4" height="22"/>'
        f'<path class="full" d="M{full:.1f} 0V22"/></svg>'
    )


def title(number: int, count: int, label: str) -> str:
    """Which of the parts it is."""
    return f"<h2><small>Part {number} of {count}</small> {escape(label)}</h2>"


def cautions(found: Iterable[Caution]) -> str:
    """Safety sentences, a paragraph each: a triangle, the signal word, the sentence."""
    return "".join(
        f'<p class="anchorsim-caution anchorsim-{caution.signal.lower()}">{_sign(caution)} '
        f"{escape(caution.text)}</p>"
        for caution in found
    )


def _sign(caution: Caution) -> str:
    triangle = "" if caution.signal == "NOTICE" else '<span aria-hidden="true">⚠\ufe0e</span> '
    return f"<b>{triangle}{caution.signal}</b>"


def about_finding(kind: str, system: System = "metric") -> str:
    """What a kind of finding is, how to check it and what to mind meanwhile."""
    what, check = local(str(rows_of(kind)[0]["what"]), system), findings.how_to_check(kind, system)
    return f"<p>{escape(what)}.</p><p><i>How to check:</i> {escape(check)}</p>{cautions(on_finding(kind))}"


def effect_text(effect: Effect, system: System) -> str:
    """What a finding means: what was measured, what is left, what to do and when."""
    said = (
        findings.measured(effect, system),
        findings.leaves(effect),
        findings.behaviour(effect.finding, system),
    )
    urgent = " class=anchorsim-urgent" if effect.urgency == "before use" else ""
    return (
        f"{cautions([NOT_FIT] if effect.unfit else [])}<p>{escape(' '.join(filter(None, said)))}</p>"
        f"<p{urgent}><b>{WHEN[effect.urgency]}:</b> {escape(findings.job(effect, system))}</p>"
    )


def in_line(key: str, part: PartState | None, system: System) -> str:
    """What the part of a name carries and its strength left."""
    text = f"<p>{escape(weakest_link.carries(key, part, system))}</p>"
    return text if part is None or part.spare else text + bar(part.utilisation)


def mismatches(found: Sequence[Misfit], system: System) -> str:
    """What about a part does not match its neighbours, the boat or the place."""
    return "".join(
        f"<p{' class=anchorsim-urgent' if entry.urgency == 'before use' else ''}>"
        f"<b>{WHEN[entry.urgency]}:</b> {escape(compatibility.sentence(entry, system))} "
        f"{escape(compatibility.remedy(entry, system))}</p>"
        for entry in found
    )


def overview(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """All of it on one page: the conclusions, each part, and what is to be done by when."""
    rows = "".join(_row(part, todo) for part in found.parts)
    head = "<tr><th>Part</th><th>Load, % of WLL</th><th></th><th>Safety factor</th><th>Jobs</th></tr>"
    first = weakest_link.first_to_fail(found, system)
    barred = unfit(found.unfit)
    warned = [barred, first if isinstance(first, Caution) else None]
    said = [weakest_link.link(found, system), *([] if isinstance(first, Caution) else [first])]
    unseen = weakest_link.not_inspected(found)
    return (
        f"{cautions(filter(None, warned))}<p class=anchorsim-verdict>{escape(' '.join(said))}</p>"
        f"{f'<p>{escape(unseen)}</p>' if unseen else ''}"
        f"<table class=anchorsim-parts>{head}{rows}</table><p>{escape(weakest_link.figures(found))}</p>"
        f"{_lists(found, todo, system)}"
    )


def _row(part: PartState, todo: Sequence[Duty]) -> str:
    mine = [duty.urgency for duty in todo if duty.part == part.key]
    counts = [f"{mine.count(when)} {WHEN[when].lower()}" for when in URGENCIES if when in mine]
    if part.spare:
        cells = "<td>only at full run-out</td><td></td><td></td>"
    else:
        cells = (
            f"<td>{amounts.percents(part.utilisation)}</td>"
            f"<td>{bar(part.utilisation)}</td><td>{amounts.factor(part.safety_factor.likely)}</td>"
        )
    due = ", ".join(counts) or amounts.NONE
    return f"<tr><th>{escape(part.name)}</th>{cells}<td>{escape(due)}</td></tr>"


def _lists(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    text = ""
    for when in URGENCIES:
        lines = "".join(
            f"<li><b>{escape(findings.part(duty.part, system))}:</b> {escape(duty.what)}. "
            f"{escape(duty.remedy)}</li>"
            for duty in todo
            if duty.urgency == when
        )
        text += f"<h3>{CLASSES[when]}</h3><ul>{lines}</ul>" if lines else ""
    return text or f"<p>No job recorded. {weakest_link.inspected(found)}.</p>"
