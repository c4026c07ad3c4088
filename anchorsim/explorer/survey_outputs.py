"""What a survey leads to on paper: the client's report and the calendar of what is due, written beside it."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from html import escape
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.explorer.survey_file import SurveyFile, safe_name
from anchorsim.scenario import Scenario
from anchorsim.toml_file import write_whole
from anchorsim.units import System
from anchorsim.upkeep import calendar, to_icalendar

Writer = Callable[[Scenario, Path, System], Any]


class Surveyed(Protocol):
    """What the outputs are made from."""

    scenario: Scenario
    file: SurveyFile
    system: System

    def save(self) -> bool: ...


class Outputs:
    """A button for each thing that can be written; what this installation cannot write has none."""

    def __init__(self, survey: Surveyed, over: Callable[[Callable[[], None]], None]) -> None:
        self._survey = survey
        self.said = widgets.HTML()
        self.buttons: dict[str, widgets.Button] = {}
        report = _write_report if find_spec("anchorsim.report") else None
        offered: list[tuple[str, str, Writer | None]] = [
            ("Write the report (HTML)", ".html", report),
            ("Write the report (PDF)", ".pdf", report),
            ("Write the calendar file", ".ics", _write_calendar),
        ]
        for label, ending, writer in offered:
            if writer is None:
                continue
            button = widgets.Button(description=label)
            button.on_click(lambda _, ending=ending, writer=writer: over(lambda: self._write(ending, writer)))
            self.buttons[ending] = button
        row = widgets.Box(list(self.buttons.values()))
        row.add_class("anchorsim-outputs")
        self.widgets = [row, self.said]

    def _write(self, ending: str, writer: Writer) -> None:
        file, scenario = self._survey.file, self._survey.scenario
        self.said.value = "<p>Writing…</p>"
        try:
            if self._survey.save() and file.path:
                scenario = Scenario.load(file.path)  # which knows where the photographs are
            stem = file.path.stem if file.path else safe_name(scenario.title, "survey")
            target = (file.folder / f"{stem}{ending}").absolute()
            writer(scenario, target, self._survey.system)
        except Exception as error:  # whatever went wrong, the survey goes on and says so
            self.said.value = f"<p class=anchorsim-urgent>Not written: {escape(str(error))}</p>"
            return
        self.said.value = f"<p>Written to <b>{escape(target.name)}</b> in {escape(str(target.parent))}</p>"


def _write_report(scenario: Scenario, target: Path, system: System) -> None:
    import_module("anchorsim.report").write_report(scenario, target, system)


def _write_calendar(scenario: Scenario, target: Path, system: System) -> None:
    now = datetime.datetime.now(datetime.UTC)
    dues = calendar(scenario, datetime.date.today())
    write_whole(target, to_icalendar(dues, stamp=now, title=scenario.title))
