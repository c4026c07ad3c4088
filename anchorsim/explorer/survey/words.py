"""The sentences of the guided survey as HTML, with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from anchorsim.core.markup import macros
from anchorsim.core.units import System
from anchorsim.explorer.survey.part_drawings import drawing, numbered, ornament
from anchorsim.numerics.interval import Interval
from anchorsim.scenario.findings import rows_of
from anchorsim.strength.capacity import PartState
from anchorsim.strength.compatibility import URGENCIES, Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, compatibility, findings, weakest_link
from anchorsim.wording.cautions import NOT_FIT, UNDER_LOAD, Caution, on_finding
from anchorsim.wording.findings import CLASSES, WHEN
from anchorsim.wording.recommendations import Duty
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit

_WORDS = "explorer/survey/words.html"
_BAR, _LONGEST_BAR = 1.5, 10.0  # shares of the WLL at which a bar ends, as far as it must go
_FEW = 3  # jobs that the running result names before it only counts them


class _Jobs(NamedTuple):
    """The jobs as the running result counts them."""

    value: str
    urgent: list[str]
    more: int
    later: int
    unseen: int
    parts: int


class _Job(NamedTuple):
    """A job and when it is due."""

    when: str
    text: str
    urgent: bool


class _Row(NamedTuple):
    """A part in the table of the overview."""

    part: str
    jobs: str
    spare: bool
    load: str = ""
    bar: str = ""
    factor: str = ""


def result(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """The running result: the weakest link, its load, and what must be done before use."""
    weakest, hardest, over = found.weakest, found.hardest_used, ""
    if hardest.key != weakest.key and hardest.utilisation.likely > 1.0:
        over = f"{amounts.lower(hardest.name)}, {amounts.percent(hardest.utilisation.likely)} of WLL"
    return macros(_WORDS).result(
        weakest=weakest.name,
        strength=weakest_link.strength(weakest, system),
        load=amounts.percent(weakest.utilisation.likely),
        used=_range(weakest),
        bar=bar(weakest.utilisation),
        overloaded=over,
        jobs=_jobs(found, todo, system),
    )


def _range(part: PartState) -> str:
    used = amounts.percents(part.utilisation)
    return f"of WLL ({used.range})" if used.range else "of WLL"


def _jobs(found: Appraisal, todo: Sequence[Duty], system: System) -> _Jobs:
    urgent = [_named(duty, system) for duty in todo if duty.urgency == "before use"]
    value = f"{len(urgent)} before use" if todo else "No job recorded"
    if found.unfit:
        value = f"Do not use: {', '.join(amounts.lower(part.name) for part in found.unfit)}"
    more, later = max(len(urgent) - _FEW, 0), len(todo) - len(urgent)
    return _Jobs(value, urgent[:_FEW], more, later, len(found.unseen), len(found.parts))


def _named(duty: Duty, system: System) -> str:
    """A job with its part, unless its words say so."""
    name = findings.part(duty.part, system)
    alone = any(word in duty.what.lower() for word in (*duty.part.split(), *name.lower().split()))
    return amounts.upper(duty.what) if alone else f"{name}: {amounts.lower(duty.what)}"


def bar(share: Interval) -> str:
    """A part's load with its range: the WLL is where the line is."""
    end = min(max(_BAR, 1.05 * share.high), _LONGEST_BAR)
    low, likely, high = (200 * min(value, end) / end for value in share)
    return macros(_WORDS).bar(amounts.percents(share), low, likely, high, 200 / end)


def title(number: int, count: int, label: str) -> str:
    """Which of the parts it is."""
    return macros(_WORDS).title(number, count, label)


def about_survey() -> str:
    """How the survey goes, and what to mind."""
    return macros(_WORDS).about_survey(UNDER_LOAD)


def figure(part: str, found: Collection[int]) -> str:
    """A part's drawing over the names of the places to look at; ``found`` are those with a fault."""
    return macros(_WORDS).figure(drawing(part, found), numbered(part), found)


def plain_figure(name: str) -> str:
    """A drawing that has no places."""
    return macros(_WORDS).figure(ornament(name), [], [])


def cautions(found: Iterable[Caution]) -> str:
    """Safety sentences, a paragraph each: a triangle, the signal word, the sentence."""
    return macros(_WORDS).cautions(found)


def about_finding(kind: str, system: System = "metric") -> str:
    """What a kind of finding is, how to check it and what to mind meanwhile."""
    what, check = local(str(rows_of(kind)[0]["what"]), system), findings.how_to_check(kind, system)
    return macros(_WORDS).about_finding(what, check, on_finding(kind))


def effect_text(effect: Effect, system: System) -> str:
    """What a finding means: what was measured, what is left, what to do and when."""
    said = (
        findings.measured(effect, system),
        findings.leaves(effect),
        findings.behaviour(effect.finding, system),
    )
    job = _Job(WHEN[effect.urgency], findings.job(effect, system), effect.urgency == "before use")
    return macros(_WORDS).effect([NOT_FIT] if effect.unfit else [], " ".join(filter(None, said)), job)


def in_line(key: str, part: PartState | None, system: System) -> str:
    """What the part of a name carries and its strength left."""
    text = weakest_link.carries(key, part, system)
    return macros(_WORDS).in_line(text, bar(part.utilisation) if part and not part.spare else "")


def mismatches(found: Sequence[Misfit], system: System) -> str:
    """What about a part does not match its neighbours, the boat or the place."""
    jobs = [
        _Job(
            WHEN[entry.urgency],
            f"{compatibility.sentence(entry, system)} {compatibility.remedy(entry, system)}",
            entry.urgency == "before use",
        )
        for entry in found
    ]
    return macros(_WORDS).dues(jobs)


def saved(target: Path) -> str:
    """Where an output was saved."""
    return macros(_WORDS).saved(target.name, target.parent)


def saved_at_once(text: str) -> str:
    """What the survey's file says of itself."""
    return macros(_WORDS).saved_at_once(text)


def not_saved(error: Exception) -> str:
    """Why the survey's file was not saved."""
    return macros(_WORDS).not_saved(f"Not saved: {error}")


def overview(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """All of it on one page: the conclusions, each part, and what is to be done by when."""
    first = weakest_link.first_to_fail(found, system)
    warned = [unfit(found.unfit), first if isinstance(first, Caution) else None]
    said = [weakest_link.link(found, system), *([] if isinstance(first, Caution) else [first])]
    return macros(_WORDS).overview(
        cautioned=list(filter(None, warned)),
        said=" ".join(said),
        unseen=weakest_link.not_inspected(found),
        rows=[_row(part, todo) for part in found.parts],
        figures=weakest_link.figures(found),
        classes=[(CLASSES[when], _due(todo, when, system)) for when in URGENCIES],
        inspected=weakest_link.inspected(found),
    )


def _due(todo: Sequence[Duty], when: str, system: System) -> list[tuple[str, Duty]]:
    """The jobs of an urgency, each with the name of its part."""
    return [(findings.part(duty.part, system), duty) for duty in todo if duty.urgency == when]


def _row(part: PartState, todo: Sequence[Duty]) -> _Row:
    mine = [duty.urgency for duty in todo if duty.part == part.key]
    counts = [f"{mine.count(when)} {WHEN[when].lower()}" for when in URGENCIES if when in mine]
    jobs = ", ".join(counts) or amounts.NONE
    if part.spare:
        return _Row(part.name, jobs, True)
    load, factor = amounts.percents(part.utilisation), amounts.factor(part.safety_factor.likely)
    return _Row(part.name, jobs, False, str(load), bar(part.utilisation), factor)
