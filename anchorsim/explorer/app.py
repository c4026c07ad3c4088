"""The explorer: controls bound to paths, views bound to results.  It computes nothing itself."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

import ipywidgets as widgets

from anchorsim.core.units import Quantity, System, quantity
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.explorer.around import RoundHer
from anchorsim.explorer.controls import Control
from anchorsim.explorer.files import Files
from anchorsim.explorer.frame import Frame
from anchorsim.explorer.history import History
from anchorsim.explorer.kept import LETTERS, Keeper, SetUp, State
from anchorsim.explorer.lessons.screen import LessonsPage
from anchorsim.explorer.live_figure import LiveFigure
from anchorsim.explorer.odds import SPELLS, Odds, number_of
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.explorer.planning.compare import ComparePage
from anchorsim.explorer.planning.night import NightPage
from anchorsim.explorer.planning.odds import OddsPage
from anchorsim.explorer.planning.outlook import Outlook
from anchorsim.explorer.survey.aside import Aside
from anchorsim.explorer.words import plain
from anchorsim.figures import VIEWS, Scene, Theme, theme, units_of
from anchorsim.figures.scenes import scene_of
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.draws import Draw, draw
from anchorsim.risk.monte_carlo import of_runs
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.degradation import as_found
from anchorsim.wording import assessment as wording
from anchorsim.wording import glance
from anchorsim.wording.headlines import HEADLINES
from anchorsim.wording.warnings import warnings

_PARTS = "anchorsim-view-parts"
_RANGED = ("anchorsim-view-load", _PARTS)  # they show more once the ranges are known


class Explorer(widgets.Box):
    """The whole screen.

    ``scenario`` is what is shown, ``run`` the spell that is played and ``assessment`` what many spells
    come to, a moment after the picture.
    """

    def __init__(self, scenario: Scenario | State, keeper: Keeper | None = None) -> None:
        state = scenario if isinstance(scenario, State) else State(History(scenario))
        self.state = state
        self.scenario = state.history.now
        self.assessment: Assessment | None = None
        self.run: Run | None = None
        self.scene: Scene | None = None
        self._number = 0  # of the spell that the picture plays
        self._others: dict[tuple[Scenario, int], Scene] = {}
        self._pending: dict[str, Any] = {}
        self._touched: set[str] = set()
        self._showing = False
        self._keeper = keeper or Keeper(None)
        self._pace = pace = Pace(self._work)
        self._odds = Odds(pace, self._grown, self._prepare)
        self.files, self.aside = Files(self, pace), Aside(self)
        self.around, self.outlook = RoundHer(self, pace.hand_over), Outlook(self, pace)
        self.odds = OddsPage(self, pace)
        self.night, self.compare = NightPage(self.outlook), ComparePage(self.outlook)
        self.lessons = LessonsPage(pace)
        self.frame = Frame(
            self.odds, self.night, self.compare, self.aside.page, self.lessons.page, self.files, self.around
        )
        self.player, self.views, self.groups = self.frame.player, self.frame.views, self.frame.groups
        super().__init__(self.frame.children)
        self.add_class("anchorsim-explorer").add_class(self.player.scope)
        self._show_state()
        self._bind()
        self._enter(self.frame.head.page)
        self.frame.strip.outcome = asdict(glance.PREPARING)
        self._show_scenario()
        pace.ask()

    @property
    def wanted(self) -> Scenario:
        """What is shown with all that was moved since, which is what a person asks about and saves."""
        try:
            return self.scenario.vary(self._pending) if self._pending else self.scenario
        except ScenarioError:
            return self.scenario

    @property
    def system(self) -> System:
        """The unit system in which everything is told."""
        return self.state.system

    @property
    def kept(self) -> tuple[SetUp, ...]:
        """The set-ups that are kept beside the one on screen."""
        return self.state.kept

    @property
    def clear_radius(self) -> Quantity | None:
        """Free water about the anchor; None where none was given."""
        metres = self.state.clear_radius
        return None if metres is None else quantity(metres, "m")

    @property
    def look(self) -> Theme:
        """How figures look now: light or dark."""
        return theme(self.player.dark)

    def turn_to(self, scenario: Scenario, moved: str = "") -> None:
        """Show another scenario; undo brings back this one.  Turns by one move (``moved``) are one step."""
        self._remember(history=self.state.history.turned_to(scenario, moved))
        self._turn(scenario)

    def show(self, scenario: Scenario) -> None:
        """Show another scenario in the views."""
        self.turn_to(scenario)
        self.frame.head.page = "swing"

    def recorded(self, scenario: Scenario) -> None:
        """Remember what the survey's page records; the pictures follow when it is left."""
        self._remember(history=self.state.history.turned_to(scenario, "survey"))
        self.scenario, self._pending = scenario, {}

    def vary(self, changes: Mapping[str, Any]) -> None:
        """Show this scenario with paths changed."""
        self._pending.update(changes)
        self._remember(history=self.state.history.turned_to(self.wanted, "+".join(sorted(self._pending))))
        self._pace.ask()

    def refuse(self, error: Exception) -> None:
        """Say what is wrong and what to do; the picture stays that of the last scenario that was valid."""
        self.frame.strip.problem = str(error)

    def keep(self) -> None:
        """Keep the set-up on screen, under the first letter that is free, to compare others with."""
        free = [letter for letter in LETTERS if letter not in {one.letter for one in self.kept}]
        shown = self.scenario if self.frame.strip.problem else self.wanted
        if free and shown not in {one.scenario for one in self.kept}:
            self._set_up((*self.kept, SetUp(free[0], shown.title, shown, self.state.clear_radius)))

    def let_go(self, letter: str) -> None:
        """Keep a set-up no longer."""
        self._set_up(tuple(one for one in self.kept if one.letter != letter))

    def rename(self, letter: str, name: str) -> None:
        """Give a set-up that is kept another name."""
        self._set_up(tuple(replace(one, name=name) if one.letter == letter else one for one in self.kept))

    def undo(self) -> None:
        """Show the scenario before the last change."""
        self._go(self.state.history.undone())

    def redo(self) -> None:
        """Show the scenario that was undone."""
        self._go(self.state.history.redone())

    def _go(self, history: History) -> None:
        self._remember(history=history)
        self._turn(history.now)

    def _turn(self, scenario: Scenario) -> None:
        self.scenario, self._pending = scenario, {}
        self.frame.strip.problem = ""
        self._show_scenario()
        self._pace.ask()

    def _remember(self, **changes: Any) -> None:
        self.state = replace(self.state, **changes)
        self._keeper.keep(self.state)
        self._show_state()

    remember = _remember  # for the pages

    def _set_up(self, kept: tuple[SetUp, ...]) -> None:
        self._remember(kept=tuple(sorted(kept, key=lambda one: one.letter)))
        self._redraw()

    def _show_state(self) -> None:
        self.frame.show(self.state)
        self.compare.list()

    def _bind(self) -> None:
        """Whatever happens on screen is handed over to the one loop, in the order it comes."""
        over, frame = self._pace.hand_over, self.frame
        for control in frame.controls:
            control.widget.observe(lambda _, control=control: over(lambda: self._moved(control)), "value")
        frame.head.on_msg(lambda _, content, __: over(lambda: self._do(content.get("do", ""))))
        frame.head.observe(lambda change: over(lambda: self._paged(change["old"], change["new"])), "page")
        frame.head.observe(lambda _: over(self._present), "presenting")
        frame.stretch.observe(lambda change: over(lambda: self._stretched(change["new"])), "value")
        frame.room.observe(lambda _: over(self._roomed), "value")
        frame.spell.observe(lambda change: over(lambda: self._pick(change["new"])), "value")
        for fold in frame.folds.values():
            fold.observe(lambda _: over(lambda: self._remember(open=frame.open_groups())), "unfolded")
        for choice in frame.choices:
            choice.observe(lambda _: over(lambda: self._remember(chosen=frame.chosen())), "value")
        frame.index.bind(over, self)
        self.player.observe(lambda _: over(self._darken), "dark")

    def _do(self, action: str) -> None:
        known = {
            "undo": self.undo,
            "redo": self.redo,
            "keep": self.keep,
            "units": lambda: self._switch("US" if self.system == "metric" else "metric"),
            "files": self.frame.toggle_drawer,
        }
        if action in known:
            known[action]()

    def _moved(self, control: Control) -> None:
        if not self._showing:
            self._touched.add(control.path)
            self.vary(control.changes())

    def _paged(self, old: str, new: str) -> None:
        self._remember(page=new)  # first: whatever comes of leaving a page is shown on the new one
        if old == "survey":
            self.aside.leave()
        self._enter(new)
        self.odds.follow()

    def _enter(self, page: str) -> None:
        """Make the pages that are made when they are first opened."""
        if page == "survey":
            self.aside.enter()
        self._follow_lesson()

    def _stretched(self, stretch: str) -> None:
        self._remember(stretch=stretch)
        self._tell()

    def _roomed(self) -> None:
        if not self._showing:
            self._remember(clear_radius=self.frame.clear_radius())
            self._pace.ask()

    def _pick(self, which: str) -> None:
        """Have the picture play another spell: the first, or one that the odds tell of."""
        self._number = number_of(self.assessment, which)
        self._pace.ask()

    def _work(self) -> Slices:
        """Picture first, ranges after: each slice leaves the screen as it should be."""
        self._odds.end()
        asked = dict(self._pending)
        try:
            scenario = self.scenario.vary(asked) if asked else self.scenario
            behaves = as_found(scenario)
            shown = _spell(behaves, self._number)
        except (ScenarioError, WindRecordError) as error:
            self.refuse(error)
            return
        self.scenario, self.run, self.assessment = scenario, shown[1], None
        self._pending = {path: value for path, value in self._pending.items() if asked.get(path) is not value}
        self.frame.strip.problem = ""
        self._remember(history=self.state.history.turned_to(self.wanted, "+".join(sorted(asked))))
        self.scene = scene_of(self.run, scenario, None)
        self._redraw()
        self._show_scenario(but=frozenset(self._touched))
        self._touched.clear()
        for page in (self.odds, self.night, self.compare):
            page.changed()
        runs: list[tuple[Draw, Run]] = []
        for number in range(SPELLS):
            yield
            runs.append(shown if number == self._number else _spell(behaves, number))
        found = Assessment(scenario, of_runs(behaves, runs), self.clear_radius)
        self._grown(found)
        self._odds.begin(found)

    def _prepare(self, found: Assessment) -> object:
        return found.share("failed", self.state.stretch), found.parts

    def _grown(self, found: Assessment) -> None:
        """Take the odds and all ranges from more spells of what is on screen."""
        if self.run is None or found.scenario != self.scenario:
            return
        self.assessment = found
        self.scene = scene_of(self.run, self.scenario, found)
        self._tell()  # first: a sentence takes a browser less time than a picture
        self._draw(_RANGED)

    def _show_scenario(self, but: frozenset[str] = frozenset()) -> None:
        """Put the scenario into the controls, ``but`` for those a person has just moved."""
        self._showing = True
        try:
            self.frame.show_scenario(self.scenario, self.state, but)
            self.files.show(self.scenario)
            self.around.show()
            for name, fold in self.frame.folds.items():
                fold.headline = HEADLINES[name](self.scenario, self.system)
        finally:
            self._showing = False

    def _redraw(self) -> None:
        if self.scene is None:
            return
        self._draw(tuple(VIEWS))
        front, *others = self._side_by_side(self.scene)
        self.player.show(front, tuple(others), units=units_of(self.system))
        self._tell()

    def _side_by_side(self, front: Scene) -> tuple[Scene, ...]:
        """What is on screen and the set-ups that are kept, in the same weather and spell, by their letters.

        None that is on screen already, and none whose record is gone.
        """
        known, self._others = self._others, {}
        scenes = [front]
        for row in self.outlook.rows():
            at = row.scenario, self._number
            if row.here:
                scenes[0] = replace(front, name=row.name, letter=row.letter)
            elif not row.problem:
                with contextlib.suppress(ScenarioError, WindRecordError):
                    self._others[at] = known.get(at) or _scene(*at)
                    scenes.append(replace(self._others[at], name=row.name, letter=row.letter))
        return tuple(scenes)

    def _draw(self, names: tuple[str, ...]) -> None:
        if self.scene is None or self.run is None:
            return
        front, *others = self._side_by_side(self.scene)
        for name in names:
            if others and name == _PARTS:  # of the others only this spell is known
                front = replace(front, parts=scene_of(self.run, self.scenario, None).parts)
            picture = VIEWS[name](
                front, others, units=units_of(self.system), look=self.look, scale=self.frame.scale
            )
            view = self.views[name]
            if view.children:
                view.children[0].show(picture)
            else:
                view.children = (LiveFigure(picture),)

    def _tell(self) -> None:
        found, strip, system = self.assessment, self.frame.strip, self.system
        if found is None:
            return
        with strip.hold_sync():
            strip.outcome = asdict(glance.outcome(found, self.state.stretch, system))
            strip.figures = [asdict(figure) for figure in glance.figures(found, system)]
            strip.warnings = [[one.signal, one.text] for one in warnings(found, system)]
            strip.notes = list(wording.notes(found, system))
        self.around.show()
        self.odds.follow()
        if self.run is not None:
            self.frame.played.value = plain(glance.played(self._number, self.run.si.peak_load, found, system))

    def _darken(self) -> None:
        self._redraw()
        self._tell_pages()

    def _switch(self, system: System) -> None:
        self._remember(system=system)
        self._show_scenario()
        self._redraw()
        self._tell_pages()

    def _tell_pages(self) -> None:
        for page in (self.odds, self.night, self.compare, self.aside):
            page.tell()
        self._follow_lesson()

    def _present(self) -> None:
        """Draw as large as the screen is now."""
        self.player.scale = self.frame.scale
        self._redraw()
        self._follow_lesson()

    def _follow_lesson(self) -> None:
        """Show the lesson, where it is open, in the units and as large as the rest."""
        if self.frame.head.page == "lessons":
            self.lessons.enter(self.system, self.frame.scale)


def _scene(scenario: Scenario, number: int) -> Scene:
    return scene_of(_spell(as_found(scenario), number)[1], scenario, None)


def _spell(behaves: Scenario, number: int) -> tuple[Draw, Run]:
    chance = draw(number)
    return chance, simulate(behaves, **chance._asdict())
