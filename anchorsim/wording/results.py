"""The words of each kind of result, found by its type: the sentence, and what a notebook shows."""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from anchorsim.core.markup import macros
from anchorsim.core.units import System
from anchorsim.lessons.lesson import Lesson
from anchorsim.planning.advice import Advice
from anchorsim.planning.night import Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.limits import Limit, ScopeLimits
from anchorsim.risk.outcome import What
from anchorsim.risk.sensitivity import Sensitivity
from anchorsim.survey.maintenance import Due
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import (
    advice,
    amounts,
    assessment,
    comparison,
    lessons,
    limits,
    maintenance,
    night,
    recommendations,
    sensitivity,
    weakest_link,
)

_SHOWN = "wording/results.html"


@singledispatch
def sentence(found: Any, system: System = "metric") -> str:
    """What a result comes to.  Raises TypeError for what is none."""
    raise TypeError(f"{type(found).__name__} has no sentence of its own.")


sentence.register(Assessment)(assessment.sentence)
sentence.register(Lesson)(lessons.sentence)
sentence.register(Advice)(advice.sentence)
sentence.register(Night)(night.sentence)
sentence.register(Limit)(limits.value)
sentence.register(ScopeLimits)(limits.scopes)
sentence.register(Appraisal)(weakest_link.sentence)
sentence.register(Recommendation)(recommendations.sentence)
sentence.register(Due)(maintenance.sentence)


@sentence.register
def _(found: Sensitivity, system: System = "metric") -> str:
    return sensitivity.sentence(found)


@sentence.register
def _(found: Comparison, system: System = "metric") -> str:
    first, *others = (variant.name for variant in found.variants)
    return " ".join(comparison.sentence(found, first, other) for other in others)


@singledispatch
def as_html(found: Any) -> str:
    """What a notebook shows: the sentence, and a table where there is more to say."""
    return macros(_SHOWN).paragraph(sentence(found))


@as_html.register
def _(found: Assessment) -> str:
    spans = (
        ("Peak load at the bow", amounts.span(found.peak_load, "metric")),
        ("Peak load at the anchor", amounts.span(found.peak_anchor_load, "metric")),
        ("Swinging radius", amounts.lengths(found.radius, "metric")),
    )
    whats: tuple[What, ...] = ("held", "crept", "dragged", "may have broken", "broke", "aground", "touched")
    rows = [
        *(
            (what.capitalize(), amounts.in_spells(found.count(what), len(found)))
            for what in whats
            if found.count(what)
        ),
        *((name, str(said)) for name, said in spans),
    ]
    gist, said = assessment.gist(found), assessment.sentence(found)
    return macros(_SHOWN).assessment(gist, said, rows, assessment.range_of(found))


@as_html.register
def _(found: Night) -> str:
    return macros(_SHOWN).night(sentence(found), night.cautions(found))


@as_html.register
def _(found: Comparison) -> str:
    rows = [comparison.cells(variant) for variant in found.variants]
    return macros(_SHOWN).comparison(comparison.columns(found), rows, sentence(found))


@as_html.register
def _(found: Lesson) -> str:
    heads, rows = lessons.table(found)
    return macros(_SHOWN).lesson(
        lessons.title(found.plan.key), sentence(found), heads, rows, lessons.counted(found)
    )


@as_html.register
def _(found: Appraisal) -> str:
    rows = [
        (
            part.name,
            str(amounts.span(part.load, "metric")),
            weakest_link.of_wll(part),
            str(amounts.span(part.strength_left, "metric")),
            str(amounts.factors(part.safety_factor)),
        )
        for part in found.in_line
    ]
    heads = ("Part", "Peak load", "Load", "Strength left", "Safety factor")
    return macros(_SHOWN).appraisal(sentence(found), heads, rows, weakest_link.figures(found))
