"""A lesson on screen: the question and the prediction, the boats on one clock, and what came out.

The page Lessons of the explorer and a notebook of one lesson are the same screen.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from anchorsim.core import arguments
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import System, si
from anchorsim.core.writing import write_beside
from anchorsim.explorer.boxes import box
from anchorsim.explorer.lessons.parts import Asked, Shown
from anchorsim.explorer.lessons.predictions import Predictions
from anchorsim.explorer.live_figure import LiveFigure
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.explorer.player import Player
from anchorsim.explorer.words import style
from anchorsim.figures import VIEWS, drawn_as, theme, units_of
from anchorsim.figures.lesson import every_spell, scenes
from anchorsim.figures.style import enlarged
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import Lesson, run
from anchorsim.wording import lessons as wording

_HERE = Path(__file__).parents[1]
_SHEETS = ("look.css", "explorer.css", "lessons/lessons.css")
_DRAWN = ("anchorsim-view-above", "anchorsim-view-side", "anchorsim-view-load")
_LETTERS = "ABCD"
_WAITS = "anchorsim-waits"


def _nothing() -> Slices:
    """All that a lesson waits for is done aside."""
    yield from ()


class LessonScreen(widgets.Box):
    """One lesson at a time, of ``keys``; ``lesson`` is what was run, None until the first is done."""

    def __init__(self, keys: tuple[str, ...], pace: Pace | None = None) -> None:
        self.key, self.tried = keys[0], ""
        self.system: System = "metric"
        self.scale = 1.0
        self.lesson: Lesson | None = None
        self._revealed: set[str] = set()
        self._saved = ""
        self._pace = pace or Pace(_nothing)
        self.predictions = Predictions()
        self.player = Player(autoplay=False)
        self.views = {name: box(name) for name in _DRAWN}
        self.spells = box("anchorsim-every-spell")
        self.asked, self.shown = Asked(), Shown()
        titles = [[key, f"{place}. {wording.title(key)}"] for place, key in enumerate(keys, 1)]
        self.asked.lessons = titles if len(keys) > 1 else []
        above, side, load = self.views.values()
        played = box("anchorsim-playbar", [self.player])
        panels = [above, side, self.spells, box("anchorsim-time", [played, load])]
        self.stage = box("anchorsim-lesson-stage", panels)
        super().__init__([self.asked, self.stage, self.shown])
        self.asked.add_class("anchorsim-lesson-asked")
        self.shown.add_class("anchorsim-lesson-shown")
        self.add_class("anchorsim-lesson").add_class(self.player.scope)
        over = self._pace.hand_over
        for part in (self.asked, self.shown):
            part.on_msg(lambda _, content, __: over(lambda: self._do(content)))
        self.player.observe(lambda _: over(self.tell), "dark")
        self.go(self.key)

    def go(self, key: str, tried: str = "") -> None:
        """Show a lesson, or what is tried in it: what is asked at once, its figures when they are there."""
        self.key, self.tried, self._saved = key, tried, ""
        self.tell_asked()
        if self.lesson is None or self.lesson.plan.key != key:  # what is shown is of another
            with self.shown.hold_sync():
                self.shown.said, self.shown.revealed = {}, False
            self.stage.add_class(_WAITS)
        self.asked.busy = self.shown.busy = wording.calculating(PLANS[key])
        at = key, tried

        def then(found: Lesson) -> None:
            if at == (self.key, self.tried):
                self._take(found)

        self._pace.aside(lambda: run(key, tried=tried), then)

    def _take(self, found: Lesson) -> None:
        self.lesson, self.asked.busy, self.shown.busy = found, "", ""
        self.stage.remove_class(_WAITS)
        self.tell()

    def turn(self, system: System, scale: float = 1.0) -> None:
        """Tell all in another unit system, or as large as a projector wants it."""
        self.system, self.scale, self.player.scale = system, scale, scale
        self.tell()

    def _do(self, content: dict[str, Any]) -> None:
        key = str(content.get("key", ""))
        actions: dict[str, Callable[[], None]] = {
            "predict": lambda: self._predict(content.get("choice")),
            "reveal": self._reveal,
            "handout": lambda: self._write(_sheet),
            "phones": lambda: self._write(_phones),
        }
        action = str(content.get("do", ""))
        if action == "lesson" and key in PLANS:
            self.go(key)
        elif action == "try" and (not key or key in PLANS[self.key].tries):
            self.go(self.key, key)
        elif action in actions:
            actions[action]()

    def _predict(self, choice: Any) -> None:
        if choice in range(len(PLANS[self.key].choices)):
            self.predictions.keep(self.key, choice)
            self.tell()

    def _reveal(self) -> None:
        self._revealed.add(self.key)
        self.tell()

    def tell_asked(self) -> None:
        """What is asked, which needs no spell."""
        plan, dark = PLANS[self.key], theme(self.player.dark)
        names = wording.boats(plan, self.system)
        boats = [
            dict(
                zip(
                    ("letter", "name", "colour", "dash"), (letter, name, *drawn_as(letter, dark)), strict=True
                )
            )
            for letter, name in zip(_LETTERS, names, strict=False)
        ]
        predicted = self.predictions.of(self.key)
        with self.asked.hold_sync():
            self.asked.said = {
                "key": self.key,
                "number": f"{wording.number(self.key)} · {wording.title(self.key)}",
                "question": wording.question(self.key, self.system),
                "predict": wording.PREDICT,
                "choices": list(wording.choices(plan, self.system)),
                "boats": boats,
                "reveal": wording.REVEAL,
            }
            self.asked.predicted = -1 if predicted is None else predicted
            self.asked.revealed = self.key in self._revealed

    def tell(self) -> None:
        """Tell and draw what was run, in the units and colours of the screen."""
        self.tell_asked()
        found = self.lesson
        if found is None or found.plan.key != self.key:
            return
        with self.shown.hold_sync():
            self.shown.said = self._said(found)
            self.shown.tried = self.tried
            self.shown.revealed = self.key in self._revealed
        self._draw(found)

    def _said(self, found: Lesson) -> dict[str, Any]:
        key, system = self.key, self.system
        predicted = self.predictions.of(key)
        heads, rows = wording.table(found, system)
        right = predicted == found.right
        return {
            "happened": wording.HAPPENED,
            "outcome": wording.outcome(found, None if self.tried else predicted, system),
            "tone": "none" if predicted is None or self.tried else "ok" if right else "warn",
            "explained": [] if self.tried else list(wording.explained(found, system)),
            "table": {"heads": list(heads), "rows": list(map(list, rows)), "foot": wording.counted(found)},
            "try": wording.TRY,
            "tries": [[name, *texts] for name, texts in wording.tries(key, system).items()],
            "back": wording.BACK,
            "answers": {"heading": wording.ANSWERS, "lines": list(wording.answers(key, system))},
            "cautions": [[one.signal, one.text] for one in wording.cautions(key, system)],
            "handout": wording.HANDOUT if find_spec("weasyprint") else "",
            "phones": wording.PHONES if found.plan.over else "",
            "saved": self._saved,
        }

    def _draw(self, found: Lesson) -> None:
        look, units = theme(self.player.dark), units_of(self.system)
        now, *others = scenes(found, self.system)
        for name, view in self.views.items():
            picture = VIEWS[name](now, others, units=units, look=look, scale=self.scale)
            if view.children:
                view.children[0].show(picture)
            else:
                view.children = (LiveFigure(picture),)
        self.player.show(now, others, units=units)
        if self.key in self._revealed:
            spells = every_spell(found, system=self.system, look=enlarged(look, self.scale))
            self.spells.children = (LiveFigure(spells, layout={"height": f"{spells.layout.height}px"}),)
        else:
            self.spells.children = ()

    def _write(self, make: Callable[[Lesson, System], tuple[str, bytes]]) -> None:
        """Write what is made of the lesson into the person's folder, aside, for that takes seconds."""
        found, system, folder = self.lesson, self.system, Path.cwd()
        if found is None:
            return

        def work() -> str:
            try:
                name, content = make(found, system)
                return f"Saved as {write_beside(folder / name, content).name}"
            except (AnchorsimError, ImportError, RuntimeError) as error:  # no paper can be made here
                return f"Not saved: {error}"

        def then(said: str) -> None:
            self._saved = said
            self.tell()

        self._saved = "Saving…"
        self.tell()
        self._pace.aside(work, then)


def _sheet(found: Lesson, system: System) -> tuple[str, bytes]:
    content: bytes = import_module("anchorsim.report.handout").handout(found, system)
    return f"lesson_{found.plan.key}.pdf", content


def _phones(found: Lesson, system: System) -> tuple[str, bytes]:
    plan, scenario = found.plan, found.assessments[1].scenario
    page: str = import_module("anchorsim.classroom").class_page(
        scenario, plan.over, title=wording.title(plan.key), system=system,
        seed=found.spell(1), minutes=si(scenario.weather.duration) / 60.0,
    )  # fmt: skip
    return f"lesson_{plan.key}.html", page.encode()


class LessonsPage:
    """The page Lessons: made when it is first opened."""

    def __init__(self, pace: Pace) -> None:
        self._pace = pace
        self.screen: LessonScreen | None = None
        self.page: widgets.Box = box("anchorsim-lessons-page")

    def enter(self, system: System, scale: float = 1.0) -> None:
        """Show it, ``scale`` times as large."""
        if self.screen is None:
            self.screen = LessonScreen(tuple(PLANS), self._pace)
            self.page.children = (self.screen,)
        if (self.screen.system, self.screen.scale) != (system, scale):
            self.screen.turn(system, scale)


def teach(name: str) -> widgets.Box:
    """Show one lesson, as a widget in a notebook.

    Parameters
    ----------
    name : str
        Which: scope, rodes, snubber, sheering, tide, squall, neighbours, weakest or chance.

    Returns
    -------
    Box
        The widget.

    Raises
    ------
    ArgumentError
        Where there is no such lesson.

    Examples
    --------
    >>> teach("scope").children[1].asked.said["number"]
    'Lesson 1 of 9 · Scope and uplift'
    """
    screen = LessonScreen((arguments.one_of("name", name, list(PLANS)),))
    alone = widgets.Box(
        [widgets.HTML(style(*(_HERE / sheet for sheet in _SHEETS)), layout={"display": "none"}), screen]
    )
    return alone.add_class("anchorsim-explorer").add_class("anchorsim-teaches")
