"""The guided survey: the gear inspected from the anchor aft, part by part, on the scenario's own findings.

Each part has a drawing that says where to look, its details, and a tile for each kind of finding that it can
have.  The weakest link is calculated as the survey goes on.  Every change is in the survey's file at once.
"""

from __future__ import annotations

import datetime
import os
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from anchorsim.core import arguments
from anchorsim.core.resources import SCENARIO_VARIABLE
from anchorsim.core.units import SYSTEMS, System
from anchorsim.core.writing import digest
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.explorer.boxes import box
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.explorer.parts.strip import Strip
from anchorsim.explorer.survey import found, words
from anchorsim.explorer.survey.boat import boat, varied
from anchorsim.explorer.survey.drafts import recorded
from anchorsim.explorer.survey.entries import Entries
from anchorsim.explorer.survey.facts import about
from anchorsim.explorer.survey.file import PhotographError, SurveyFile, last_one, surveys
from anchorsim.explorer.survey.outputs import Outputs
from anchorsim.explorer.survey.page import PARTS, Page, PartPage
from anchorsim.explorer.survey.walk import Walk
from anchorsim.explorer.survey.works import Works
from anchorsim.explorer.words import style
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import Misfit, misfits
from anchorsim.strength.degradation import Effect, as_found, effect
from anchorsim.survey.suitability import suitability_of
from anchorsim.survey.weakest_link import Appraisal, appraise, held
from anchorsim.wording.cautions import FOR_COMPARING
from anchorsim.wording.findings import title
from anchorsim.wording.recommendations import duties

ABOUT, BOAT, OVERVIEW = "about", "boat", "overview"
STEPS = (ABOUT, BOAT, *PARTS, OVERVIEW)


class TackleSurvey(widgets.Box):
    """The whole screen.  ``scenario`` is what is recorded; ``appraisal`` comes a moment after a change."""

    def __init__(self, scenario: Scenario, file: SurveyFile, system: System = "metric") -> None:
        self.scenario, self.file, self.system = scenario, file, system
        self.named = False  # by the command line: a page that is loaded again then goes on with its own file
        self.tell: Callable[[Scenario], None] = lambda _: None  # who is told of each change
        self.appraisal: Appraisal | None = None
        self.entries = Entries(self._keep)
        self.entries.turn_to(scenario.survey.findings)
        self._pending: dict[str, Any] = {}
        self._misfits: list[Misfit] = []  # of the parts that were inspected, as last calculated
        self._unsaved = self._showing = False
        self._pace = Pace(self._work)
        self.strip, self.walk, self.found = Strip(), Walk(step=ABOUT), found.Found()
        self.part = PartPage(self.found)
        self.pages = {
            ABOUT: Page(words.about_survey, about(self._beside), "about"),
            BOAT: Page(words.about_boat, boat()),
        }
        self.units = widgets.ToggleButtons(
            options=[(name, name) for name in SYSTEMS], value=system, tooltips=["Metric", "US"]
        )
        self.chooser = widgets.Dropdown(description="Open survey", options=[], layout={"width": "auto"})
        self.begin = widgets.Button(description="New survey")
        self.outputs, self.works = Outputs(self, self._pace), Works(self, self._pace)
        self.summary, self.foot = widgets.HTML(), widgets.HTML(words.cautions([FOR_COMPARING]))
        self.page = box("anchorsim-page")
        super().__init__([_style(), self._screen()])
        self.add_class("anchorsim-survey").add_class("anchorsim-explorer")
        self._list()
        self._bind()
        self.go(ABOUT)
        self._pace.ask()

    @property
    def step(self) -> str:
        """The step that is open."""
        return str(self.walk.step)

    def turn_to(self, scenario: Scenario, file: SurveyFile) -> None:
        """Go on with another survey."""
        self.scenario, self.file, self._pending, self.appraisal = scenario, file, {}, None
        self._misfits = []
        self.entries.turn_to(scenario.survey.findings)
        self._unsaved = False
        self.walk.saved = self.walk.problem = ""
        self._list()
        self.go(ABOUT)
        self._pace.ask()

    def vary(self, changes: Mapping[str, Any]) -> None:
        """Record changes.  What cannot be is said, and is tried again with the next change."""
        before = self.scenario
        if before.survey.date is None:
            changes = {"survey.date": datetime.date.today(), **changes}
        for tried in ({**self._pending, **changes}, dict(changes)):
            try:
                self.scenario = varied(before, tried)
            except (ScenarioError, WindRecordError) as error:
                said = error
                continue
            self._pending = {name: value for name, value in self._pending.items() if name not in tried}
            self.say(str(said) if self._pending else "")
            break
        else:
            self._pending.update(changes)
            self.say(str(said))
            return
        if self.scenario != before:
            self._unsaved = True
            self.tell(self.scenario)
        self._pace.ask()

    def say(self, problem: str) -> None:
        """Say what is wrong and what to do, until the next change."""
        self.walk.problem = problem

    def go(self, step: str) -> None:
        """Turn to a part, to the survey's own page, the boat's, or the overview."""
        if self.walk.step != step:
            self.walk.step = step  # which comes back here
            return
        self.works.clear()
        if step in PARTS:
            self.entries.gone = None
            self._observe(self.part.turn(step))
        self._show()
        shown: dict[str, tuple[widgets.Widget, ...]] = {
            ABOUT: (self.pages[ABOUT].widget, self.tools),
            BOAT: (self.pages[BOAT].widget,),
            OVERVIEW: (self.summary, *self.works.widgets, *self.outputs.widgets),
        }
        wanted = (*shown.get(step, (self.part.widget,)), self.foot)
        if self.page.children != wanted:
            self.page.children = wanted
        self.walk.shown = step

    def save(self) -> bool:
        """Save what is not saved yet; whether all of it is saved now.  A failure is said on the screen."""
        if not self._unsaved:
            return True
        try:
            said = self.file.save(self.scenario)
            if self.named:
                os.environ[SCENARIO_VARIABLE] = str(self.file.path)
        except ScenarioError as error:
            self.walk.saved = f"Not saved: {error}"
            return False
        self._unsaved = False
        self.walk.saved = said
        if self.chooser.value != self.file.path:
            self._list()
        return True

    def effects(self) -> list[Effect]:
        """What each finding means, in the order in which they stand."""
        return [effect(self.scenario, finding) for finding in self.scenario.survey.findings]

    def _screen(self) -> widgets.Box:
        self.tools = box("anchorsim-tools", [self.chooser, self.begin, self.units])
        self.strip.add_class("anchorsim-strip")
        self.walk.add_class("anchorsim-walk")
        return box("anchorsim-survey-screen", [self.strip, self.walk, self.page])

    def _bind(self) -> None:
        over = self._pace.hand_over
        self.units.observe(lambda change: over(lambda: self._switch(change["new"])), "value")
        self.chooser.observe(lambda change: over(lambda: self._open(change["new"])), "value")
        self.begin.on_click(lambda _: over(self._begin))
        self.walk.observe(lambda change: over(lambda: self._step_to(change["new"])), "step")
        self.walk.on_msg(lambda _, content, __: over(lambda: self._done(content)))
        self.found.on_msg(lambda _, content, buffers: over(lambda: self._do(content, buffers)))
        self._observe([control for page in self.pages.values() for control in page.controls])

    def _observe(self, controls: Sequence[Any]) -> None:
        for control in controls:
            control.widget.observe(
                lambda _, control=control: self._pace.hand_over(lambda: self._moved(control.changes)), "value"
            )

    def _step_to(self, step: str) -> None:
        self.go(step if step in STEPS else ABOUT)

    def _moved(self, changes: Callable[[], Any]) -> None:
        if not self._showing:
            self.vary(changes())

    def _done(self, content: Any) -> None:
        """The part that was open on the screen was looked at, or is not said to have been.

        By now another may be: the screen turns a page at once, and the kernel when it has the time.
        """
        if not isinstance(content, dict):
            return
        part = content.get("part")
        if content.get("do") == "done" and part in PARTS:
            others = [name for name in self.scenario.survey.looked_at if name != part]
            self.vary({"survey.looked_at": [*others, part] if content.get("done") else others})

    def _do(self, content: Any, buffers: Sequence[Any]) -> None:
        """What was done on a card or a tile: those that are whole are recorded."""
        if not isinstance(content, dict):
            return
        self.entries.do(content, buffers, self.scenario)
        findings = recorded(self.entries.drafts)
        if findings != self.scenario.survey.findings:
            self.vary({"survey.findings": findings})
        self._show()

    def _work(self) -> Slices:
        """Saved first, then what it comes to; the spells are run in two parts, where she behaves anew."""
        self.save()
        scenario = self.scenario
        self._show()
        yield
        try:
            behaves = as_found(scenario)
            held(behaves)
            yield
            self.appraisal = appraise(scenario)
            found = [*misfits(scenario), *suitability_of(scenario).misfits]
            self._misfits = [one for one in found if one.part in scenario.survey.seen]
        except (ScenarioError, WindRecordError) as error:
            self.say(str(error))
            return
        self._tell()

    def _list(self) -> None:
        """Put the files there are into the list, with the one at hand chosen."""
        self._showing = True
        try:
            self.chooser.options = self._listed()
            known = [path for _, path in self.chooser.options]
            self.chooser.value = self.file.path if self.file.path in known else None
        finally:
            self._showing = False

    def _show(self) -> None:
        """Put the scenario on the page that is open and on the walk."""
        effects, step, but = self.effects(), self.step, frozenset(self._pending)
        self._showing = True
        try:
            if step in self.pages:
                self.pages[step].show(self.scenario, self.system, but)
            elif step in PARTS:
                self.part.show(self.scenario, found.places(effects, step), self.system, but)
                self._show_findings(step)
        finally:
            self._showing = False
        counts = Counter(one.finding.part for one in effects)
        self.walk.steps = words.steps(STEPS, counts, self.scenario.survey.seen, self.system)
        by_fault = "by fault" if counts[step] else "yes" if step in self.scenario.survey.seen else "no"
        self.walk.done = by_fault if step in PARTS else ""
        self._tell()

    def _show_findings(self, part: str) -> None:
        mine, gone = self.entries.of(part), self.entries.gone
        known = self.found.pictures
        names = [name for draft in mine for name in draft.photographs]
        with self.found.hold_sync():
            self.found.part = part
            self.found.cards = found.cards(mine, self.scenario, self.system)
            self.found.tiles = found.tiles(part, mine, self.system, self.scenario.tackle.chain.material)
            self.found.gone = title(gone.kind, self.system) if gone else ""
            pictures = {name: known.get(name) or self._photograph(name) or b"" for name in names}
            if pictures != known:
                self.found.pictures = pictures

    def _tell(self) -> None:
        todo = duties(self.effects(), self._misfits, self.system)
        with self.strip.hold_sync():
            self.strip.outcome = asdict(words.outcome(self.scenario, self.appraisal, self.system))
            self.strip.figures = [
                asdict(one) for one in words.figures(self.scenario, self.appraisal, todo, self.system)
            ]
        if self.appraisal is None:
            return
        if self.step in PARTS:
            self.part.tell(self.appraisal, self._misfits, self.system)
        elif self.step == OVERVIEW and self.scenario.survey.empty:
            self.summary.value = words.empty()
        elif self.step == OVERVIEW:
            self.summary.value = words.overview(self.appraisal, todo, self.system)

    def _keep(self, content: bytes, name: str, part: str) -> str | None:
        try:
            kept = self.file.keep_photograph(content, name, part)
        except PhotographError as error:
            self.say(str(error))
            return None
        self.say("")
        return kept

    def _beside(self, *endings: str) -> list[str]:
        return self.file.beside(*endings)

    def _photograph(self, name: str) -> bytes | None:
        return self.file.photograph(name)

    def _switch(self, system: System) -> None:
        self.system = system
        self._show()

    def _listed(self) -> list[tuple[str, Path]]:
        return [(path.stem, path.absolute()) for path in surveys(self.file.folder)]

    def _open(self, path: Path | None) -> None:
        if path is None or self._showing or path == self.file.path:
            return
        if not self.save():
            self._list()
            return
        seen, read = self.file.seen, digest(path)
        try:
            scenario = Scenario.load(path)
        except ScenarioError as error:
            self.say(str(error))
            return
        seen[path] = read
        self.turn_to(scenario, SurveyFile.at(self.file.folder, path, scenario, seen))
        self.file.remember()

    def _begin(self) -> None:
        if not self.save():
            return
        self.turn_to(_fresh(), SurveyFile(self.file.folder, seen=self.file.seen))


def _style() -> widgets.HTML:
    here = Path(__file__).parent
    sheets = style(here.parent / "look.css", here.parent / "explorer.css", here / "survey.css")
    return widgets.HTML(sheets, layout={"display": "none"})


def inspect_tackle(scenario: Scenario | None = None, folder: str | os.PathLike[str] = ".") -> TackleSurvey:
    """Show the guided survey, as a widget in a notebook.

    Parameters
    ----------
    scenario : Scenario, optional
        What to survey; else that of the file that the command line named, else the last one, else a new one.
    folder : str or path
        Where the survey keeps its file.

    Returns
    -------
    TackleSurvey
        The widget; its ``scenario`` holds what is recorded.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.
    ScenarioError
        Where the named file does not fit.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     inspect_tackle(Scenario(), folder).scenario.survey.findings
    ()
    """
    here = Path(folder)
    if scenario is not None:
        arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
        return TackleSurvey(scenario, SurveyFile(here))
    named, wrong = os.environ.get(SCENARIO_VARIABLE), None
    found = Path(named) if named else last_one(here)
    try:
        if found is not None:
            seen = {found.absolute(): digest(found)}
            scenario = Scenario.load(found)
            survey = TackleSurvey(scenario, SurveyFile.at(here, found, scenario, seen))
            survey.named = bool(named)
            return survey
    except ScenarioError as error:
        if named:
            raise
        wrong = error
    survey = TackleSurvey(_fresh(), SurveyFile(here))
    survey.say(str(wrong) if wrong else "")
    return survey


def _fresh() -> Scenario:
    return Scenario().vary({"title": "Survey of the ground tackle"})
