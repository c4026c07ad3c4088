"""A lesson as it is read: question, choices, outcome against the prediction, explanation, table, handout."""

from __future__ import annotations

import math

from anchorsim.core.units import System, unit_in
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import Lesson
from anchorsim.lessons.plan import Figure, Measured, Plan
from anchorsim.wording import amounts
from anchorsim.wording.cautions import FOR_COMPARING, Caution
from anchorsim.wording.lesson_texts import TEXTS, Told, amount
from anchorsim.wording.terms import local

PAGE, ALL = "Lessons", "All lessons"
PREDICT = "Your prediction"
REVEAL = "Show what happened"
HAPPENED, TRY, ANSWERS = "What happened", "Two things to try", "Answers for the instructor"
BACK = "Back to the lesson"
ONE_BOAT = "one boat, every spell"
HANDOUT, PHONES = "Save handout (PDF)", "Save page for phones"
MEASURED: dict[Measured, str] = {
    "load": "peak load at the bow",
    "uplift": "uplift at the anchor",
    "drag": "the anchor moves",
    "sheer": "heading swings through",
    "gap": "nearest to the first boat",
    "margin": "safety factor of the weakest part",
    "used": "share of the holding",
}
"""What is measured in each spell, as an axis or a column says it."""


def title(key: str) -> str:
    """The name of a lesson."""
    return TEXTS[key].title


def number(key: str) -> str:
    """Which of the lessons it is.

    >>> number("scope")
    'Lesson 1 of 9'
    """
    return f"Lesson {list(PLANS).index(key) + 1} of {len(PLANS)}"


def question(key: str, system: System = "metric") -> str:
    """What the class predicts."""
    return local(TEXTS[key].question, system)


def boats(plan: Plan, system: System = "metric") -> tuple[str, ...]:
    """The names of the boats, in their order."""
    return tuple(local(TEXTS[plan.key].boats(boat, system), system) for boat in plan.boats)


def choices(plan: Plan, system: System = "metric") -> tuple[str, ...]:
    """What can be predicted.

    >>> choices(PLANS["scope"])
    ('none', 'about 25', 'about 60', 'all')
    """
    return tuple(_choice(plan.asked, value, system) for value in plan.choices)


def _choice(asked: Figure, value: float, system: System) -> str:
    if asked.least is not None:
        return {0.0: "none", 1.0: "all"}.get(value, f"about {100 * value:.0f}")
    if asked.against:
        return "the same" if value == 1.0 else f"{amounts.factor(value)} times"
    return f"about {amount(asked.measured, value, system)}"


def value(found: Lesson, asked: Figure, system: System = "metric") -> str:
    """A figure of a lesson with what it is counted from."""
    result = found.figure_of(asked)
    if math.isnan(result):
        return "none"
    if asked.least is not None:
        values = found.si[asked.measured][found.plan.boat(asked.boat)]
        among = values if asked.among is None else values[values >= asked.among]
        counted_in = amounts.in_spells(int((among >= asked.least).sum()), len(among))
        more = "" if asked.among is None else " with dragging"
        return f"{100 * result:.0f} of 100 ({counted_in}{more})"
    if asked.against:
        first, other = (amount(asked.measured, found.figure_of(Figure(asked.measured, boat)), system)
                        for boat in (asked.boat, asked.against))  # fmt: skip
        return f"{amounts.factor(result)} times, {first} against {other}"
    return amount(asked.measured, result, system)


def outcome(found: Lesson, predicted: int | None, system: System = "metric") -> str:
    """The prediction beside what came out; without one only that."""
    was = value(found, found.plan.asked, system)
    if predicted is None:
        return f"It was {was}."
    said = choices(found.plan, system)[predicted]
    near = "That is the nearest choice. " if predicted == found.right else ""
    return f"You said: {said}. {near}It was {was}."


def explained(found: Lesson, system: System = "metric") -> tuple[str, ...]:
    """Why, from the figures that came out."""
    return tuple(local(text, system) for text in TEXTS[found.plan.key].explained(Told(found, system)))


def sentence(found: Lesson, system: System = "metric") -> str:
    """Question, outcome and explanation in one text."""
    return " ".join(
        [question(found.plan.key, system), outcome(found, None, system), *explained(found, system)]
    )


def calculating(plan: Plan) -> str:
    """What is being done till there is anything to show.

    >>> calculating(PLANS["scope"])
    'Calculating 24 spells of 3 boats…'
    """
    return f"Calculating {plan.spells} spells of {len(plan.boats)} boats…"


def counted(found: Lesson) -> str:
    """What the figures are counted from."""
    count = len(found.assessments[0])
    return f"Medians of {count} simulated 10-minute spells of each boat, the same for all."


def tries(key: str, system: System = "metric") -> dict[str, tuple[str, str]]:
    """What to try: label, and what to see in it, by key."""
    return {
        name: (local(label, system), local(said, system)) for name, (label, said) in TEXTS[key].tries.items()
    }


def answers(key: str, system: System = "metric") -> tuple[str, ...]:
    """For the instructor."""
    return tuple(local(text, system) for text in TEXTS[key].answers)


def cautions(key: str, system: System = "metric") -> tuple[Caution, ...]:
    """What to mind on board."""
    own = (*TEXTS[key].cautions, FOR_COMPARING)
    return tuple(one._replace(text=local(one.text, system)) for one in own)


def table(found: Lesson, system: System = "metric") -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Heads and rows: each boat with the median of each figure, or with that of its own spell, and its anchor."""
    plan = found.plan
    heads = (
        "Boat",
        *(amounts.upper(_headed(one, system)) for one in plan.measured),
        f"Anchor drags{_in_how_many(found)}",
    )
    rows = []
    for place, name in enumerate(boats(plan, system)):
        figures = [_cell(one, _of_boat(found, one, place), system) for one in plan.measured]
        rows.append((name, *figures, _ending(found, place)))
    return heads, rows


def _headed(measured: Measured, system: System) -> str:
    unit = unit_of(measured, system)
    return f"{MEASURED[measured]} ({unit})" if unit else MEASURED[measured]


def _of_boat(found: Lesson, measured: Measured, place: int) -> float:
    boat = found.plan.boats[place]
    if boat.spell is not None:
        return float(found.si[measured][place][found.spell(place)])
    return found.figure_of(Figure(measured, boat.key))


def _ending(found: Lesson, place: int) -> str:
    assessed = found.assessments[place]
    if found.plan.boats[place].spell is not None:
        return "yes" if assessed.outcomes[found.spell(place)].ending == "dragged" else "no"
    return str(assessed.count("dragged"))


def _in_how_many(found: Lesson) -> str:
    return "" if found.plan.boats[0].spell is not None else f" (of {len(found.assessments[0])} spells)"


def _cell(measured: Measured, value: float, system: System) -> str:
    """A figure without its unit, which the head has."""
    return amount(measured, value, system).removesuffix(f" {unit_of(measured, system)}").removesuffix("°")


def unit_of(measured: Measured, system: System) -> str:
    """The unit in which something is shown; empty for a pure number."""
    units = {"load": unit_in("kN", system), "uplift": "°", "sheer": "°", "margin": "", "used": ""}
    return units.get(measured, unit_in("m", system))


def lines(found: Lesson) -> list[str]:
    """Every figure that is claimed or shown, to three digits, for a notebook to be compared with."""
    plan = found.plan
    told = [f"predicted: {value(found, plan.asked)}"]
    for one in plan.measured:
        medians = [_digits(found, Figure(one, boat.key)) for boat in plan.boats]
        told.append(f"{_headed(one, 'metric')}: {', '.join(medians)}")
    for claim in plan.claims:
        holds = "as claimed" if found.holds(claim) else "NOT AS CLAIMED"
        told.append(f"{_name(claim.figure)}: {_digits(found, claim.figure)}, {holds}")
    return told


def _digits(found: Lesson, asked: Figure) -> str:
    shown = {"kN": 1e-3, "°": math.degrees(1.0)}.get(unit_of(asked.measured, "metric"), 1.0)
    bare = asked.against or asked.least is not None
    return f"{found.figure_of(asked) * (1.0 if bare else shown):.3g}"


def _name(asked: Figure) -> str:
    more = [MEASURED[asked.measured], asked.boat]
    more += [f"over {asked.against}"] if asked.against else []
    more += [f"at least {asked.least:g} m"] if asked.least is not None else []
    more += [f"where at least {asked.among:g} m"] if asked.among is not None else []
    return ", ".join(more)
