"""What a survey leads to on paper: the client's report and the calendar of what is due, written beside it."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from html import escape
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.explorer.survey_file import SurveyFile, safe_name
from anchorsim.scenario import Scenario
from anchorsim.toml_file import write_whole
from anchorsim.upkeep import calendar, to_icalendar

Writer = Callable[[Scenario, Path], Any]


class Surveyed(Protocol):
    """What the outputs are made from."""

    scenario: Scenario
    file: SurveyFile

    def leave(self) -> None: ...


class Outputs:
    """A button for each thing that can be written; what this installation cannot write has none."""

    def __init__(self, survey: Surveyed, over: Callable[[Callable[[], None]], None]) -> None:
        self._survey = survey
        self.said = widgets.HTML()
        self.buttons: dict[str, widgets.Button] = {}
        report = _report()
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
        self._survey.leave()
        file = self._survey.file
        stem = file.path.stem if file.path else safe_name(self._survey.scenario.title, "survey")
        target = (file.folder / f"{stem}{ending}").absolute()
        self.said.value = "<p>Writing…</p>"
        try:
            writer(self._survey.scenario, target)
        except Exception as error:  # whatever went wrong, the survey goes on and says so
            self.said.value = f"<p class=anchorsim-urgent>Not written: {escape(str(error))}</p>"
            return
        self.said.value = f"<p>Written to <b>{escape(target.name)}</b> in {escape(str(target.parent))}</p>"


def _report() -> Writer | None:
    """What writes the report: it may not be part of this installation."""
    try:
        return getattr(import_module("anchorsim"), "write_report", None)
    except ImportError:
        return None


def _write_calendar(scenario: Scenario, target: Path) -> None:
    now = datetime.datetime.now(datetime.UTC)
    dues = calendar(scenario, datetime.date.today())
    write_whole(target, to_icalendar(dues, stamp=now, title=scenario.title))
