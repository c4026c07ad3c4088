"""The guided survey: the gear inspected from the anchor aft, part by part, on the scenario's own findings.

Each part has a drawing that says where to look, its facts, and a card for each kind of finding that it can
have.  The weakest link is calculated as the survey goes on.  Every change is in the survey's file at once.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from anchorsim.core import arguments
from anchorsim.core.resources import SCENARIO_VARIABLE
from anchorsim.core.tables import table
from anchorsim.core.units import SYSTEMS, System
from anchorsim.core.writing import digest
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.explorer.boxes import box
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.explorer.survey import words
from anchorsim.explorer.survey.cards import FindingCard, Wishes
from anchorsim.explorer.survey.file import PhotographError, SurveyFile, last_one, surveys
from anchorsim.explorer.survey.outputs import Outputs
from anchorsim.explorer.survey.page import Page, about_page, part_page
from anchorsim.explorer.words import paragraph, problem, style
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import Misfit, misfits
from anchorsim.strength.degradation import Effect, as_found, effect
from anchorsim.survey.suitability import suitability_of
from anchorsim.survey.weakest_link import Appraisal, appraise, held
from anchorsim.wording.cautions import FOR_COMPARING
from anchorsim.wording.findings import part as label
from anchorsim.wording.recommendations import duties

PARTS = tuple(str(row["part"]) for row in table("parts"))
ABOUT, OVERVIEW = "about", "overview"


def with_finding(
    findings: tuple[Finding, ...], part: str, kind: str, turn: int, finding: Finding | None
) -> tuple[Finding, ...]:
    """Findings with one replaced or added: the one of that ``turn``, from 0, among those of a kind on a part.

    It is taken out where ``finding`` is None.
    """
    places = [i for i, old in enumerate(findings) if (old.part, old.kind) == (part, kind)]
    new = () if finding is None else (finding,)
    if turn >= len(places):
        return (*findings, *new)
    return (*findings[: places[turn]], *new, *findings[places[turn] + 1 :])


class TackleSurvey(widgets.Box):
    """The whole screen.  ``scenario`` is what is recorded; ``appraisal`` comes a moment after a change."""

    def __init__(self, scenario: Scenario, file: SurveyFile) -> None:
        self.scenario, self.file = scenario, file
        self.named = False  # by the command line: a page that is loaded again then goes on with its own file
        self.appraisal: Appraisal | None = None
        self.system: System = "metric"
        self.step = ABOUT
        self._pending: dict[str, Any] = {}
        self._misfits: tuple[Scenario, list[Misfit]] | None = None
        self._unsaved = self._showing = False
        self._pace = Pace(self._work)
        over = self._pace.hand_over
        self.wishes = Wishes(
            over,
            self._opened,
            self._carded,
            self._another,
            self._looked,
            self._say,
            self._keep,
            self._photograph,
        )
        self.pages: dict[str, Page] = {}
        self.result, self.problem, self.saved = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.units = widgets.ToggleButtons(
            options=[(name, name) for name in SYSTEMS], tooltips=["Metric", "US"]
        )
        self.chooser = widgets.Dropdown(description="Survey", options=[])
        self.begin = widgets.Button(description="New survey")
        self.rail = {name: widgets.Button() for name in (ABOUT, *PARTS, OVERVIEW)}
        self.back = widgets.Button(description="← Back")
        self.all = widgets.Button(description="Overview")
        self.next = widgets.Button(description="Next →")
        self.outputs = Outputs(self, self._pace)
        self.summary, self.foot = widgets.HTML(), widgets.HTML(words.cautions([FOR_COMPARING]))
        self.page = box("anchorsim-page")
        super().__init__([_style(), self._screen()])
        self.add_class("anchorsim-survey").add_class("anchorsim-explorer")
        self._list()
        self._bind()
        self.result.value = paragraph("Calculating the weakest link…")
        self.go(self.step)
        self._pace.ask()

    def turn_to(self, scenario: Scenario, file: SurveyFile) -> None:
        """Go on with another survey."""
        self.scenario, self.file, self._pending, self.pages = scenario, file, {}, {}
        self._unsaved = False
        self.saved.value = ""
        self._list()
        self.go(ABOUT)
        self._pace.ask()

    def vary(self, changes: Mapping[str, Any]) -> None:
        """Record changes.  What cannot be is said, and is tried again with the next change."""
        before = self.scenario
        for tried in ({**self._pending, **changes}, dict(changes)):
            try:
                self.scenario = before.vary(tried)
            except (ScenarioError, WindRecordError) as error:
                said = error
                continue
            self._pending = {name: value for name, value in self._pending.items() if name not in tried}
            self.problem.value = problem(said) if self._pending else ""
            break
        else:
            self._pending.update(changes)
            self.problem.value = problem(said)
            return
        self._unsaved = self._unsaved or self.scenario != before
        self._pace.ask()

    def go(self, step: str) -> None:
        """Turn to a part, the first page or the overview."""
        self.step = step
        if step != OVERVIEW and step not in self.pages:
            made = about_page() if step == ABOUT else part_page(step, self.wishes)
            self.pages[step] = made
            for control in made.controls:
                control.widget.observe(
                    lambda _, control=control: self._pace.hand_over(lambda: self._moved(control.changes)),
                    "value",
                )
        self._show()
        shown = (self.summary, *self.outputs.widgets) if step == OVERVIEW else (self.pages[step].widget,)
        self.page.children = (*shown, self.foot)

    def offer(self, button: widgets.Button) -> None:
        """Put a button before the others."""
        self.tools.children = (button, *self.tools.children)

    def save(self) -> bool:
        """Save what is not saved yet; whether all of it is saved now.  A failure is said on the screen."""
        if not self._unsaved:
            return True
        try:
            said = self.file.save(self.scenario)
            if self.named:
                os.environ[SCENARIO_VARIABLE] = str(self.file.path)
        except ScenarioError as error:
            self.saved.value = words.not_saved(error)
            return False
        self._unsaved = False
        self.saved.value = words.saved_at_once(said)
        if self.chooser.value != self.file.path:
            self._list()
        return True

    def effects(self) -> list[Effect]:
        """What each finding means, in the order in which they stand."""
        return [effect(self.scenario, finding) for finding in self.scenario.survey.findings]

    def misfits(self) -> list[Misfit]:
        """What does not match or fit."""
        if self._misfits is None or self._misfits[0] != self.scenario:
            found = [*misfits(self.scenario), *suitability_of(self.scenario).misfits]
            self._misfits = self.scenario, found
        return self._misfits[1]

    def _screen(self) -> widgets.Box:
        self.tools = box("anchorsim-tools", [self.units, self.chooser, self.begin, self.saved])
        rail = box("anchorsim-rail", list(self.rail.values()))
        top = box("anchorsim-survey-top", [self.result, self.problem])
        steps = box("anchorsim-steps", [self.back, self.all, self.next])
        return box("anchorsim-survey-screen", [top, self.tools, rail, self.page, steps])

    def _bind(self) -> None:
        over = self._pace.hand_over
        self.units.observe(lambda change: over(lambda: self._switch(change["new"])), "value")
        self.chooser.observe(lambda change: over(lambda: self._open(change["new"])), "value")
        self.begin.on_click(lambda _: over(self._begin))
        for name, button in self.rail.items():
            button.on_click(lambda _, name=name: over(lambda: self.go(name)))
        self.back.on_click(lambda _: over(lambda: self._walk(-1)))
        self.next.on_click(lambda _: over(lambda: self._walk(1)))
        self.all.on_click(lambda _: over(lambda: self.go(OVERVIEW)))

    def _walk(self, by: int) -> None:
        steps = list(self.rail)
        self.go(steps[min(max(steps.index(self.step) + by, 0), len(steps) - 1)])

    def _moved(self, changes: Any) -> None:
        if not self._showing:
            self.vary(changes())

    def _carded(self, card: FindingCard) -> None:
        held = self.scenario.survey.findings
        self.vary({"survey.findings": with_finding(held, card.part, card.kind, card.turn, card.finding)})

    def _another(self, card: FindingCard) -> None:
        page = self.pages[card.part]
        if all(other.finding for other in page.cards if other.kind == card.kind):
            page.add(card.kind).found.value = True

    def _looked(self, part: str, looked: bool) -> None:
        if not self._showing:
            others = [name for name in self.scenario.survey.looked_at if name != part]
            self.vary({"survey.looked_at": [*others, part] if looked else others})

    def _opened(self, card: FindingCard) -> None:
        card.show(None, None, self.scenario, self.system)

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
        except (ScenarioError, WindRecordError) as error:
            self.problem.value = problem(error)
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
        """Put the scenario on the page that is open and on the rail."""
        effects = self.effects()
        self._showing = True
        try:
            page = self.pages.get(self.step)
            if page is not None:
                page.show(self.scenario, effects, self.system, frozenset(self._pending))
        finally:
            self._showing = False
        for number, (name, button) in enumerate(self.rail.items()):
            mine = [entry for entry in effects if entry.finding.part == name]
            seen = name in self.scenario.survey.seen
            _mark(button, name, number, len(mine), seen, name == self.step, self.system)
        self.back.disabled, self.next.disabled = self.step == ABOUT, self.step == OVERVIEW
        self._tell()

    def _tell(self) -> None:
        if self.appraisal is None:
            return
        wrong = self.misfits()
        todo = duties(self.effects(), wrong, self.system)
        self.result.value = words.result(self.appraisal, todo, self.system)
        page = self.pages.get(self.step)
        if page is not None:
            mine = next((part for part in self.appraisal.parts if part.key == self.step), None)
            page.tell(mine, [entry for entry in wrong if entry.part == self.step], self.system)
        elif self.step == OVERVIEW:
            self.summary.value = words.overview(self.appraisal, todo, self.system)

    def _say(self, sentence: str) -> None:
        self.problem.value = problem(ValueError(sentence)) if sentence else ""

    def _keep(self, content: bytes, name: str, part: str) -> str | None:
        try:
            kept = self.file.keep_photograph(content, name, part)
        except PhotographError as error:
            self._say(str(error))
            return None
        self._say("")
        return kept

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
            self.problem.value = problem(error)
            return
        self.problem.value, seen[path] = "", read
        self.turn_to(scenario, SurveyFile.at(self.file.folder, path, scenario, seen))
        self.file.remember()

    def _begin(self) -> None:
        if not self.save():
            return
        self.problem.value = ""
        self.turn_to(_fresh(), SurveyFile(self.file.folder, seen=self.file.seen))


def _style() -> widgets.HTML:
    here = Path(__file__).parent
    sheets = style(here.parent / "explorer.css", here / "survey.css")
    return widgets.HTML(sheets, layout={"display": "none"})


def _mark(
    button: widgets.Button, name: str, number: int, found: int, seen: bool, here: bool, system: System
) -> None:
    """A button of the rail: its number and name, what was found there, whether it is open."""
    plain = {ABOUT: "The survey", OVERVIEW: "Overview"}
    count = f" ·\xa0{found}" if found else "\xa0✓" if seen else ""
    button.description = plain.get(name) or f"{number} {label(name, system)}{count}"
    button.tooltip = f"{found} found" if found else "inspected, no fault found" if seen else ""
    (button.add_class if found else button.remove_class)("anchorsim-has")
    (button.add_class if here else button.remove_class)("anchorsim-here")


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
    survey.problem.value = problem(wrong) if wrong else ""
    return survey


def _fresh() -> Scenario:
    return Scenario().vary({"title": "Survey of the ground tackle"})
