"""The findings of a part on the screen: those recorded as cards, the other kinds as tiles to tap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from anchorsim.core.units import Measure, System, quantity, si, sign, unit_in
from anchorsim.explorer.survey.drafts import Draft, across, as_new
from anchorsim.explorer.survey.part_drawings import place_of
from anchorsim.explorer.survey.words import about_finding, effect_text, short
from anchorsim.scenario.findings import OTHER, grades_of, kinds_on, measure_of, rows_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import Effect, effect
from anchorsim.wording import amounts
from anchorsim.wording.findings import CLASSES, title
from anchorsim.wording.terms import local

_CIRCLED = " ①②③④⑤⑥⑦⑧⑨"
_STEPS = {"mm": 0.1, "in": 0.005, "percent": 0.5, "micrometer": 5.0}


class Found(anywidget.AnyWidget):
    """Cards and tiles of the part that is open.

    ``cards`` and ``tiles`` are as :func:`cards` and :func:`tiles` make them; ``pictures`` are the photographs
    by name, empty where the file is missing; ``gone`` is what was deleted last, and can be had back.  What a
    person does comes as ``{"do": ...}`` with the ``key`` of a card.
    """

    _esm = Path(__file__).with_name("found.js")

    part = traitlets.Unicode().tag(sync=True)
    cards: traitlets.List[Any] = traitlets.List().tag(sync=True)
    tiles: traitlets.List[Any] = traitlets.List().tag(sync=True)
    pictures: Any = traitlets.Dict().tag(sync=True)
    gone = traitlets.Unicode().tag(sync=True)


def cards(drafts: Iterable[Draft], scenario: Scenario, system: System) -> list[dict[str, Any]]:
    """What is shown of each finding that was begun on a part."""
    shown, turns = [], dict[str, int]()
    for draft in drafts:
        turns[draft.kind] = turns.get(draft.kind, 0) + 1
        shown.append(_card(draft, turns[draft.kind], scenario, system))
    return shown


_NO_ZINC = ("chain zinc thin", "chain regalvanised")  # which stainless chain cannot have


def tiles(
    part: str, drafts: Iterable[Draft], system: System, material: str = "galvanised"
) -> list[dict[str, Any]]:
    """The kinds of finding that a part can have and nothing was begun of, by the places of its drawing.

    ``material``: of the chain.
    """
    begun = {draft.kind for draft in drafts} | set(_NO_ZINC if material == "stainless" else ())
    kinds = sorted(kinds_on(part), key=lambda kind: place_of(part, kind) or 99)
    return [
        {
            "kind": kind,
            "title": _named(part, kind, system),
            "what": local(str(rows_of(kind)[0]["what"]), system),
        }
        for kind in kinds
        if kind not in begun
    ] + [{"kind": OTHER, "title": "Something else", "what": "Your own words, a picture and a grade"}]


def _named(part: str, kind: str, system: System) -> str:
    place = place_of(part, kind)
    return f"{_CIRCLED[place]} {title(kind, system)}" if place else title(kind, system)


def _card(draft: Draft, turn: int, scenario: Scenario, system: System) -> dict[str, Any]:
    found = effect(scenario, draft.finding) if draft.finding else None
    again = f", place {turn}" if turn > 1 else ""
    return {
        "key": draft.key,
        "kind": draft.kind,
        "title": _named(draft.part, draft.kind, system) + again,
        "when": CLASSES[found.urgency] if found else "",
        "urgent": bool(found and found.urgency == "before use"),
        "short": short(draft, system),
        "recorded": found is not None,
        "missing": list(draft.missing),
        "wrong": draft.wrong,
        "about": about_finding(draft.kind, system),
        "said": effect_text(found, system) if found else "",
        "grades": [[grade, _grade(draft.kind, grade, system)] for grade in grades_of(draft.kind) if grade],
        "grade": draft.grade,
        "amount": _amount(draft, scenario, system),
        "words": draft.words,
        "action": draft.action,
        "own": draft.kind == OTHER or bool(draft.words or draft.action),
        "note": draft.note,
        "photographs": list(draft.photographs),
    }


def _grade(kind: str, grade: str, system: System) -> str:
    """A grade as it is read; of another defect the surveyor says at once how urgent it is."""
    if kind == OTHER:
        return CLASSES[next(row["urgency"] for row in rows_of(kind) if row["grade"] == grade)]
    return local(grade, system)


def _amount(draft: Draft, scenario: Scenario, system: System) -> dict[str, Any] | None:
    measure = measure_of(draft.kind)
    if measure is None:
        return None
    unit, new = (
        unit_in(measure.unit, system) if measure.unit else "",
        as_new(scenario, draft.part, draft.kind),
    )

    def shown(value: Any) -> float | None:
        return None if value is None else _in(value, measure, unit)

    return {
        "label": local(measure.label, system),
        "unit": unit,
        "sign": sign(unit),
        "step": _STEPS.get(unit, 1.0),
        "low": _in(measure.low, measure, unit),
        "high": _in(measure.high, measure, unit),
        "start": shown(new) or 0.0,
        "new": "" if new is None else amounts.size(si(new), system),
        "across": across(draft.kind),
        "rows": [
            {"place": row.place, "values": [shown(value) for value in row.values[:2]]} for row in draft.rows
        ],
        "counts": draft.counts,
        "doubted": [*draft.doubted[:2], shown(draft.doubted[2])] if draft.doubted else None,
    }


def _in(value: Any, measure: Measure, unit: str) -> float:
    if not unit:
        return float(value)
    held = value if hasattr(value, "m_as") else quantity(value, measure.unit)
    return float(f"{held.m_as(unit):.6g}")


def read(content: Mapping[str, Any]) -> Any:
    """An amount as the screen sends it, with its unit; None where it was taken back.

    Raises TypeError, ValueError.
    """
    if content.get("value") is None:
        return None
    value, unit = float(content["value"]), str(content.get("unit", ""))
    return quantity(value, unit) if unit else value


def places(effects: Sequence[Effect], part: str) -> set[int]:
    """The places of a part's drawing at which something was found."""
    mine = (place_of(part, one.finding.kind) for one in effects if one.finding.part == part)
    return {number for number in mine if number}
