"""What each job takes, as the surveyor says it: the time and the cost, which the report prints as typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import System
from anchorsim.explorer.boxes import box, button
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.survey.words import job
from anchorsim.explorer.words import paragraph
from anchorsim.scenario.findings import Work
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.recommendations import Recommendation, recommendations
from anchorsim.wording.amounts import upper


class Recorded(Protocol):
    """The survey that the jobs are of."""

    scenario: Scenario
    system: System

    def vary(self, changes: Mapping[str, Any]) -> None: ...


class Works:
    """The jobs with a field for the time and one for the cost; finding them takes a moment."""

    def __init__(self, survey: Recorded, pace: Pace) -> None:
        self._survey, self._pace = survey, pace
        self.ask = button("Times and costs", "Enter what each job takes")
        self.said, self.lines = widgets.HTML(), box("anchorsim-works")
        self.widgets = [self.ask, self.said, self.lines]
        self.ask.on_click(lambda _: pace.hand_over(self._find))

    def clear(self) -> None:
        """Show no jobs: those there were may be of another state of the survey."""
        self.said.value, self.lines.children = "", ()

    def _find(self) -> None:
        scenario = self._survey.scenario
        self.said.value = paragraph("Calculating…")

        def find() -> tuple[Recommendation, ...] | str:
            try:
                return recommendations(scenario)
            except AnchorsimError as error:
                return str(error)

        self._pace.aside(find, self._show)

    def _show(self, found: tuple[Recommendation, ...] | str) -> None:
        if isinstance(found, str):
            self.said.value = paragraph(found, "urgent")
            return
        self.said.value = "" if found else paragraph("No job recorded.")
        self.lines.children = tuple(self._line(entry) for entry in found)

    def _line(self, entry: Recommendation) -> widgets.Box:
        held = self._survey.scenario.survey.work(entry.key)
        fields = [self._field(entry.key, name, getattr(held, name)) for name in ("time", "cost")]
        return box("anchorsim-work", [widgets.HTML(job(entry, self._survey.system)), *fields])

    def _field(self, key: str, name: str, held: str) -> widgets.Text:
        field = widgets.Text(description=upper(name), value=held, continuous_update=False)
        field.observe(lambda change: self._pace.hand_over(self._entered(key, name, change["new"])), "value")
        return field

    def _entered(self, key: str, name: str, typed: str) -> Callable[[], None]:
        def record() -> None:
            survey = self._survey.scenario.survey
            others = tuple(work for work in survey.works if work.job != key)
            work = Work.model_validate({**dict(survey.work(key)), name: typed})
            kept = (work,) if work.time or work.cost else ()
            self._survey.vary({"survey.works": (*others, *kept)})

        return record
