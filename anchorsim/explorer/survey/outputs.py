"""What a survey leads to on paper: the client's report and the calendar of what is due, written beside it."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Protocol

import ipywidgets as widgets

from anchorsim.core.file_names import safe_name
from anchorsim.core.units import System
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.survey.file import SurveyFile
from anchorsim.explorer.survey.words import saved as saved_as
from anchorsim.explorer.words import paragraph
from anchorsim.scenario.scenario import Scenario


class Surveyed(Protocol):
    """What the outputs are made from."""

    scenario: Scenario
    file: SurveyFile
    system: System

    def save(self) -> bool: ...


class Outputs:
    """A button for each thing that can be written."""

    def __init__(self, survey: Surveyed, pace: Pace) -> None:
        self._survey, self._pace = survey, pace
        self.said = widgets.HTML()
        self.buttons: dict[str, widgets.Button] = {}
        offered = {
            ".html": "Save report (web page)",
            ".pdf": "Save report (PDF)",
            ".docx": "Save report (document to edit)",
            ".ics": "Save calendar",
        }
        for ending, label in offered.items():
            button = widgets.Button(description=label)
            button.on_click(lambda _, ending=ending: pace.hand_over(lambda: self._begin(ending)))
            self.buttons[ending] = button
        row = widgets.Box(list(self.buttons.values()))
        row.add_class("anchorsim-outputs")
        self.widgets = [row, self.said]

    def _begin(self, ending: str) -> None:
        file, scenario, system = self._survey.file, self._survey.scenario, self._survey.system
        saved = file.path if self._survey.save() else None
        stem = saved.stem if saved else safe_name(scenario.title, "survey")
        target = (file.folder / f"{stem}{ending}").absolute()
        self.said.value = paragraph("Saving…")
        for button in self.buttons.values():
            button.disabled = True

        def write() -> str:
            try:
                # what is read from its file knows where the photographs are
                _write_report(Scenario.load(saved) if saved else scenario, target, system)
            except Exception as error:  # whatever: of what is not told here the buttons would wait for ever
                return paragraph(f"Not saved: {error}", "urgent")
            return saved_as(target)

        self._pace.aside(write, self._end)

    def _end(self, said: str) -> None:
        self.said.value = said
        for button in self.buttons.values():
            button.disabled = False


def _write_report(scenario: Scenario, target: Path, system: System) -> None:
    import_module("anchorsim.report").write_report(scenario, target, system)
