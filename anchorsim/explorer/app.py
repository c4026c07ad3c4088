"""The explorer: controls bound to paths, views bound to results.  It computes nothing itself."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from anchorsim.core import arguments
from anchorsim.core.resources import SCENARIO_VARIABLE
from anchorsim.core.units import SYSTEMS, System
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.explorer.boxes import box
from anchorsim.explorer.controls import Control, groups
from anchorsim.explorer.files import Files
from anchorsim.explorer.live_figure import LiveFigure
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.explorer.planning.screen import Planning
from anchorsim.explorer.player import Player
from anchorsim.explorer.survey.aside import Aside
from anchorsim.explorer.words import comparison, heading, problem, remarks, standing_cautions, style, title
from anchorsim.figures import VIEWS, Scene, Theme, theme, units_of, update
from anchorsim.figures.scenes import scene_of
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.risk.draws import Draw, draw
from anchorsim.risk.monte_carlo import of_runs
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.degradation import as_found
from anchorsim.wording import assessment as wording

SPELLS = 8  # that are run while one looks at the picture, which is the first
_RANGED = (
    "anchorsim-view-load",
    "anchorsim-view-parts",
)  # the views that show more once the ranges are known


class Explorer(widgets.Box):
    """The whole screen.  ``scenario`` is what is shown; ``assessment`` comes a moment after the picture."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.assessment: Assessment | None = None
        self.run: Run | None = None
        self.scene: Scene | None = None
        self.before: tuple[Scene, Assessment] | None = None
        self.system: System = "metric"
        self._pending: dict[str, Any] = {}
        self._touched: set[str] = set()
        self._showing = False
        self._pace = Pace(self._work)
        self.groups = groups()
        self.player = Player()
        self.views = {name: box(name) for name in VIEWS}
        self.sentence, self.remarks, self.compared = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.progress = widgets.IntProgress(min=0, max=SPELLS, layout={"width": "auto"})
        self.units = widgets.ToggleButtons(
            options=[(name, name) for name in SYSTEMS], tooltips=["Metric", "US"]
        )
        self.keep = widgets.Button(
            description="Keep for comparison", tooltip="Keep this picture to compare others with"
        )
        self.forget = widgets.Button(description="Clear comparison", disabled=True)
        self.files = Files(self, self._pace.hand_over)
        self.aside = Aside(self, self._pace.hand_over)
        self.planning = Planning(self, self._pace)
        super().__init__([self._style(), self._screen()])
        self.add_class("anchorsim-explorer").add_class(self.player.scope)
        self._bind()
        self.sentence.value = heading("Preparing", "The first start takes up to a minute.")
        self._show_scenario()
        self._pace.ask()

    @property
    def wanted(self) -> Scenario:
        """What is shown with all that was moved since, which is what a person asks about and saves."""
        try:
            return self.scenario.vary(self._pending) if self._pending else self.scenario
        except ScenarioError:
            return self.scenario

    def turn_to(self, scenario: Scenario) -> None:
        """Show another scenario."""
        self.scenario, self._pending = scenario, {}
        self._show_scenario()
        self._pace.ask()

    def vary(self, changes: Mapping[str, Any]) -> None:
        """Show this scenario with paths changed."""
        self._pending.update(changes)
        self._pace.ask()

    def show_pair(self, first: Scenario, second: Scenario) -> None:
        """Keep one scenario as "before" and show another."""
        found = assess(first, SPELLS)
        self.before = (scene_of(found.run(), first, found), found)
        self.forget.disabled = False
        self.turn_to(second)

    def range_from(self, found: Assessment) -> None:
        """Take the ranges from many spells, where they are of what is on screen."""
        if self.run is None or self.assessment is None or found.scenario != self.scenario:
            return
        self.assessment = found
        self.scene = scene_of(self.run, self.scenario, found)
        self._draw(_RANGED)
        self._tell()

    @property
    def look(self) -> Theme:
        """How figures look now: light or dark."""
        return theme(self.player.dark)

    def _style(self) -> widgets.HTML:
        return widgets.HTML(style(Path(__file__).with_name("explorer.css")), layout={"display": "none"})

    def _screen(self) -> widgets.Box:
        inputs = box("anchorsim-inputs", [_group(name, controls) for name, controls in self.groups.items()])
        tools = box(
            "anchorsim-tools", [self.units, self.keep, self.forget, self.aside.button, *self.files.widgets]
        )
        top = box("anchorsim-top", [self.sentence, self.progress, self.remarks, self.compared])
        views = box("anchorsim-views", list(self.views.values()))
        more = box("anchorsim-more", [widgets.HTML(standing_cautions())])
        return box("anchorsim-screen", [top, tools, self.player, views, inputs, self.planning, more])

    def _bind(self) -> None:
        """Whatever happens on screen is handed over to the one loop, in the order it comes."""
        over = self._pace.hand_over
        for controls in self.groups.values():
            for control in controls:
                control.widget.observe(lambda _, control=control: over(lambda: self._moved(control)), "value")
        self.units.observe(lambda change: over(lambda: self._switch(change["new"])), "value")
        self.keep.on_click(lambda _: over(self._keep))
        self.forget.on_click(lambda _: over(self._forget))
        self.player.observe(lambda _: over(self._darken), "dark")

    def _moved(self, control: Control) -> None:
        if not self._showing:
            self._touched.add(control.path)
            self.vary(control.changes())

    def _work(self) -> Slices:
        """Picture first, ranges after: each slice leaves the screen as it should be."""
        asked = dict(self._pending)
        try:
            scenario = self.scenario.vary(asked) if asked else self.scenario
            behaves = as_found(scenario)
            runs: list[tuple[Draw, Run]] = [_spell(behaves, 0)]
        except (ScenarioError, WindRecordError) as error:
            self.remarks.value = problem(error)
            return
        self.scenario, self.run, self.assessment = scenario, runs[0][1], None
        self.keep.disabled = True
        self._pending = {path: value for path, value in self._pending.items() if asked.get(path) is not value}
        self.scene = scene_of(self.run, scenario, None)
        self._redraw()
        self._show_scenario(but=frozenset(self._touched))
        self._touched.clear()
        self.planning.changed()
        self.progress.layout.visibility = "visible"
        for number in range(1, SPELLS):
            self.progress.value = len(runs)
            yield
            runs.append(_spell(behaves, number))
        self.progress.layout.visibility = "hidden"
        self.assessment = Assessment(scenario, of_runs(behaves, runs))
        self.keep.disabled = False
        self.scene = scene_of(self.run, scenario, self.assessment)
        self._draw(_RANGED)
        self._tell()

    def _show_scenario(self, but: frozenset[str] = frozenset()) -> None:
        """Put the scenario into the controls, ``but`` for those a person has just moved."""
        self._showing = True
        try:
            for controls in self.groups.values():
                for control in controls:
                    if control.path not in but:
                        control.show(self.scenario, self.system)
            self.files.show(self.scenario)
        finally:
            self._showing = False

    def _redraw(self) -> None:
        if self.scene is None:
            return
        self._draw(tuple(VIEWS))
        self.player.show(self.scene, self.before and self.before[0], units=units_of(self.system))
        self._tell()

    def _draw(self, names: tuple[str, ...]) -> None:
        if self.scene is None:
            return
        before = self.before[0] if self.before else None
        for name in names:
            picture = VIEWS[name](self.scene, before, units=units_of(self.system), look=self.look)
            view = self.views[name]
            if view.children:
                update(view.children[0], picture)
            else:
                view.children = (LiveFigure(picture),)

    def _tell(self) -> None:
        found = self.assessment
        if found is None:
            self.remarks.value = ""
            return
        self.sentence.value = heading(wording.gist(found), wording.sentence(found, self.system))
        self.remarks.value = remarks(found, self.system)
        self.compared.value = comparison(self.before[1], found, self.system) if self.before else ""

    def _darken(self) -> None:
        self._redraw()
        self.planning.tell()

    def _switch(self, system: System) -> None:
        self.system = system
        self._show_scenario()
        self._redraw()
        self.planning.tell()

    def _keep(self) -> None:
        if self.scene and self.assessment:
            self.before = (self.scene, self.assessment)
            self.forget.disabled = False
            self._redraw()

    def _forget(self) -> None:
        self.before = None
        self.forget.disabled = True
        self._redraw()


def _spell(behaves: Scenario, number: int) -> tuple[Draw, Run]:
    chance = draw(number)
    return chance, simulate(behaves, **chance._asdict())


def _group(name: str, controls: list[Control]) -> widgets.Box:
    return box("anchorsim-group", [widgets.HTML(title(name)), *(control.widget for control in controls)])


def explore(scenario: Scenario | None = None) -> Explorer:
    """Show the explorer, as a widget in a notebook.

    Parameters
    ----------
    scenario : Scenario, optional
        What to open; else the one that the command line named, else the default one.

    Returns
    -------
    Explorer
        The widget; its ``scenario`` follows what is moved on the screen.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.
    ScenarioError
        Where the named file does not fit.

    Examples
    --------
    >>> screen = explore(Scenario())
    >>> screen.scenario.get("boat.model")
    'sloop-12'
    """
    if scenario is None:
        named = os.environ.get(SCENARIO_VARIABLE)
        scenario = Scenario.load(named) if named else Scenario()
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    return Explorer(scenario)
