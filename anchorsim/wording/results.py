"""The words of each kind of result, found by its type: the sentence, and what a notebook shows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import singledispatch
from html import escape
from typing import Any

from anchorsim.core.units import System
from anchorsim.planning.advice import Advice
from anchorsim.planning.night import Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.limits import Limit
from anchorsim.risk.outcome import What
from anchorsim.risk.sensitivity import Sensitivity
from anchorsim.wording import advice, amounts, assessment, comparison, limits, night, sensitivity


@singledispatch
def sentence(found: Any, system: System = "metric") -> str:
    """What a result comes to.  Raises TypeError for what is none."""
    raise TypeError(f"{type(found).__name__} has no sentence of its own.")


sentence.register(Assessment)(assessment.sentence)
sentence.register(Advice)(advice.sentence)
sentence.register(Night)(night.sentence)
sentence.register(Limit)(limits.value)


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
    return f"<p>{escape(sentence(found))}</p>"


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
    said = f"<p><b>{escape(assessment.gist(found))}.</b> {escape(assessment.sentence(found))}</p>"
    return f"{said}{table(('Outcome', ''), rows)}<p>{escape(assessment.range_of(found))}</p>"


@as_html.register
def _(found: Night) -> str:
    said = [sentence(found), *map(str, night.cautions(found))]
    return "".join(f"<p>{escape(one)}</p>" for one in said)


@as_html.register
def _(found: Comparison) -> str:
    rows = [comparison.cells(variant) for variant in found.variants]
    return f"{table(comparison.columns(found), rows)}<p>{escape(sentence(found))}</p>"


def table(heads: Iterable[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of words, everything that a person typed escaped."""
    head = "".join(f"<th>{escape(text)}</th>" for text in heads)
    lines = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    return f"<table class=anchorsim-compared><tr>{head}</tr>{lines}</table>"
