"""The guided survey as a page of the explorer, on the same scenario."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.units import System
from anchorsim.core.writing import digest
from anchorsim.explorer.boxes import box
from anchorsim.explorer.survey.file import SurveyFile, last_one
from anchorsim.explorer.survey.screen import TackleSurvey
from anchorsim.scenario.scenario import Scenario, ScenarioError


class Opens(Protocol):
    """The explorer, as far as the survey needs it."""

    files: Any

    @property
    def system(self) -> System: ...

    @property
    def wanted(self) -> Scenario: ...

    def turn_to(self, scenario: Scenario) -> None: ...

    def recorded(self, scenario: Scenario) -> None: ...


class Aside:
    """The survey's page: made when it is first opened, and saved when it is left."""

    def __init__(self, explorer: Opens) -> None:
        self._explorer = explorer
        self.survey: TackleSurvey | None = None
        self.page: widgets.Box = box("anchorsim-survey-page")

    def enter(self) -> None:
        """Go on with the survey of the scenario on screen."""
        scenario, survey = self._explorer.wanted, self.survey
        if survey is None:
            survey = self.survey = TackleSurvey(scenario, self._file(), self._explorer.system)
            survey.tell = self._explorer.recorded
            survey.remove_class("anchorsim-explorer")
            survey.units.layout.display = "none"  # the explorer's head has that button
            self.page.children = (survey,)
        elif scenario != survey.scenario:
            same = scenario.survey == survey.scenario.survey
            survey.turn_to(scenario, survey.file if same else self._file())
        self.tell()

    def tell(self) -> None:
        """Tell it in the explorer's units."""
        if self.survey is not None:
            self.survey.units.value = self._explorer.system

    def leave(self) -> None:
        """Save it, and show what was recorded."""
        if self.survey is not None:
            self.survey.save()
            self._explorer.turn_to(self.survey.scenario)

    def _file(self) -> SurveyFile:
        """The file that was opened goes on where it holds a survey; else the survey gets one of its own.

        After the page was loaded again that is the last one, as long as it holds the very survey.
        """
        here, files, scenario = Path.cwd(), self._explorer.files, self._explorer.wanted
        if files.scenarios.value is not None:
            return SurveyFile.at(here, files.scenarios.value, scenario, files.seen)
        last = last_one(here)
        if last is not None and not scenario.survey.empty:
            seen = digest(last)
            with contextlib.suppress(ScenarioError):
                if Scenario.load(last).survey == scenario.survey:
                    return SurveyFile.at(here, last, scenario, {**files.seen, last.absolute(): seen})
        return SurveyFile(here, seen=files.seen)
