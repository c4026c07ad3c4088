"""The guided survey within the explorer: in place of the views, on the same scenario, and back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import ipywidgets as widgets

from anchorsim.explorer.survey.file import SurveyFile
from anchorsim.scenario.scenario import Scenario

if TYPE_CHECKING:
    from anchorsim.explorer.survey.screen import TackleSurvey


class Opens(Protocol):
    """The explorer, as far as the survey needs it: its last child is the screen that makes room."""

    scenario: Scenario
    children: Any
    files: Any

    def turn_to(self, scenario: Scenario) -> None: ...


class Aside:
    """A button for the explorer's tools, and what it opens."""

    def __init__(self, explorer: Opens, over: Callable[[Callable[[], None]], None]) -> None:
        self._explorer, self._over = explorer, over
        self.survey: TackleSurvey | None = None
        self.button = widgets.Button(description="Survey", tooltip="Inspect the ground tackle part by part")
        self.button.on_click(lambda _: over(self._open))

    def _open(self) -> None:
        from anchorsim.explorer.survey.screen import TackleSurvey  # noqa: PLC0415 - only who surveys waits for it

        explorer = self._explorer
        survey = self.survey
        if survey is None:
            survey = self.survey = TackleSurvey(explorer.scenario, self._file())
            back = widgets.Button(description="Back to the explorer")
            back.on_click(lambda _: self._over(self._close))
            survey.offer(back)
            explorer.children = (*explorer.children, survey)
        elif explorer.scenario != survey.scenario:
            same = explorer.scenario.survey == survey.scenario.survey
            survey.turn_to(explorer.scenario, survey.file if same else self._file())
        explorer.children[-2].layout.display = "none"
        survey.layout.display = None

    def _close(self) -> None:
        if self.survey is None:
            return
        self.survey.save()
        self._explorer.children[-2].layout.display = None
        self.survey.layout.display = "none"
        if self._explorer.scenario != self.survey.scenario:
            self._explorer.turn_to(self.survey.scenario)

    def _file(self) -> SurveyFile:
        """The file that was opened goes on where it holds a survey; else the survey gets one of its own."""
        here, files = Path.cwd(), self._explorer.files
        if files.scenarios.value is None:
            return SurveyFile(here, seen=files.seen)
        return SurveyFile.at(here, files.scenarios.value, self._explorer.scenario, files.seen)
