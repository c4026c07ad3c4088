"""A night at anchor on the screen: a forecast is chosen or brought, and its hours are gone through."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.markup import macros
from anchorsim.core.units import System
from anchorsim.environment.tide import read_tide
from anchorsim.explorer.boxes import box
from anchorsim.explorer.files import kept, listed
from anchorsim.explorer.planning.answer import Answer, Work, button
from anchorsim.figures import through_the_night, units_of
from anchorsim.planning.night import Hour, Night, overnight
from anchorsim.risk.monte_carlo import Cancel, Progress
from anchorsim.scenario.forecast import read_forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import night as wording
from anchorsim.wording.amounts import bearing, length, percent, scope, speed

COUNT = 20  # spells in each hour


class Anchored(Protocol):
    """The explorer, as far as a night needs it."""

    @property
    def wanted(self) -> Scenario: ...


class Nights:
    """What the night is asked with; ``begin`` is told the work to do, ``shows`` an hour to show."""

    def __init__(
        self,
        screen: Anchored,
        begin: Callable[[Work], None],
        shows: Callable[[Scenario], None],
        over: Callable[[Callable[[], None]], None],
        count: int,
    ) -> None:
        self._screen, self._begin, self._shows, self._over, self._count = screen, begin, shows, over, count
        self.forecasts = widgets.Dropdown(description="Forecast", options=listed("csv"), value=None)
        self.bring = widgets.FileUpload(accept=".csv,.txt", description="Open forecast (CSV)")
        self.waters = widgets.Textarea(
            description="Tide",
            placeholder="High and low water, a line each:\n17:50 4.2 m\n23:55 0.9 m",
            tooltip="Used if the forecast has no tide. Cover the whole night: one time before it, one after.",
            rows=4,
            continuous_update=False,
        )
        self.ask = button("Run the night", "Hour by hour, with the tide, on the rode let out at dusk")
        self.widgets = [self.forecasts, self.bring, self.waters, self.ask]
        self.ask.on_click(lambda _: over(lambda: begin(self._work())))
        self.bring.observe(lambda change: over(lambda: self._brought(change["new"])), "value")

    def _brought(self, uploaded: tuple[dict[str, Any], ...]) -> None:
        try:
            target = kept(uploaded, "forecast")
        except AnchorsimError as error:
            self._begin(_refusal(error))
            return
        if target is None:
            return
        others = [entry for entry in listed("csv") if entry[1] != target]
        self.forecasts.options = [*others, (target.stem, target)]
        self.forecasts.value = target

    def _work(self) -> Work:
        scenario, path, waters = self._screen.wanted, self.forecasts.value, self.waters.value

        def work(progress: Progress, cancel: Cancel) -> Callable[..., Answer]:
            if path is None:
                raise ValueError("Choose a forecast first.")
            curve = read_tide(waters) if waters.strip() else None
            forecast, count = read_forecast(path), self._count
            found = overnight(scenario, forecast, curve, count=count, progress=progress, cancel=cancel)
            return lambda system, look: Answer(
                [widgets.HTML(_sentences(found, system))],
                through_the_night(found, units=units_of(system), look=look),
                [self._scrub(found)],
                of_screen=False,
            )

        return work

    def _scrub(self, found: Night) -> widgets.Widget:
        """A slider through the hours: each is shown in the views above."""
        clock = found.forecast.clock
        hours = [(clock.text(hour.time), hour.scenario) for hour in found.hours if hour.scenario is not None]
        names = [name for name, _ in hours]
        slider = widgets.SelectionSlider(
            description="Show hour", options=names, continuous_update=False, layout={"width": "100%"}
        )
        slider.style.description_width = "initial"
        known = dict(hours)
        slider.observe(lambda change: self._over(lambda: self._shows(known[change["new"]])), "value")
        return box("anchorsim-tools", [slider])


def _sentences(found: Night, system: System) -> str:
    rows = [_row(found, hour, system) for hour in found.hours]
    said, cautions = wording.sentence(found, system), list(wording.cautions(found))
    return macros("explorer/planning/words.html").night(said, cautions, rows, wording.NOTE)


def _row(found: Night, hour: Hour, system: System) -> tuple[str, ...]:
    blows = f"{speed(hour.mean_wind, system)}, {speed(hour.gust, system)}"
    if hour.sea:
        blows += f", {length(hour.sea, system)}"
    head = (found.forecast.clock.text(hour.time), length(hour.depth, system))
    if hour.assessment is None:
        return (*head, "aground" if hour.aground else "not calculated", blows, "", "", "", "")
    place = f"{length(hour.distance, system)} at {bearing(hour.bearing)}"
    part = hour.assessment.most_loaded
    counts = hour.assessment.count("dragged"), hour.assessment.count("failed")
    chances = (f"{count} of {len(hour.assessment)}" for count in counts)
    return (*head, scope(hour.scope), blows, place, *chances, f"{part.name}: {percent(part.use.likely)}")


def _refusal(error: AnchorsimError) -> Work:
    """Work that comes to nothing but what is wrong."""

    def work(progress: Progress, cancel: Cancel) -> Callable[..., Answer]:
        raise error

    return work
