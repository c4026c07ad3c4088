"""A night at anchor on the screen: a forecast is chosen or brought, and its hours are gone through."""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.units import System, quantity, show
from anchorsim.environment.tide import read_tide
from anchorsim.explorer.files import kept, listed
from anchorsim.explorer.planning.told import Told, Work, box, button
from anchorsim.explorer.planning.words import table
from anchorsim.figures import through_the_night, units_of
from anchorsim.planning.night import Hour, Night, overnight
from anchorsim.risk.monte_carlo import Cancel, Progress
from anchorsim.scenario.forecast import read_forecast
from anchorsim.scenario.scenario import Scenario

COUNT = 20  # spells in each hour
_HEADS = ("Hour", "Water", "Scope", "Wind, gusts and sea", "She lies", "Drags", "Fails", "Weakest part used")


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
        self._screen, self._shows, self._over, self._count = screen, shows, over, count
        self.forecasts = widgets.Dropdown(description="Forecast", options=listed("csv"), value=None)
        self.bring = widgets.FileUpload(accept=".csv,.txt", description="Bring a forecast (CSV)")
        self.waters = widgets.Textarea(
            description="Tide",
            placeholder="High and low water, a line each:\n17:50 4.2 m\n23:55 0.9 m",
            tooltip="Where the forecast has no tide: from before its first hour to after its last",
            rows=4,
            continuous_update=False,
        )
        self.ask = button("Go through the night", "Hour by hour, with the tide, on the rode let out at dusk")
        self.widgets = [self.forecasts, self.bring, self.waters, self.ask]
        self.ask.on_click(lambda _: over(lambda: begin(self._work())))
        self.bring.observe(lambda change: over(lambda: self._brought(change["new"])), "value")

    def _brought(self, uploaded: tuple[dict[str, Any], ...]) -> None:
        target = kept(uploaded, "forecast")
        if target is None:
            return
        others = [entry for entry in listed("csv") if entry[1] != target]
        self.forecasts.options = [*others, (target.stem, target)]
        self.forecasts.value = target

    def _work(self) -> Work:
        scenario, path, waters = self._screen.wanted, self.forecasts.value, self.waters.value

        def work(progress: Progress, cancel: Cancel) -> Callable[..., Told]:
            if path is None:
                raise ValueError("no forecast is chosen; needed one to go through; choose or bring one")
            curve = read_tide(waters) if waters.strip() else None
            forecast, count = read_forecast(path), self._count
            found = overnight(scenario, forecast, curve, count=count, progress=progress, cancel=cancel)
            return lambda system, look: Told(
                [widgets.HTML(_told(found, system))],
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
            description="Show the hour of", options=names, continuous_update=False, layout={"width": "100%"}
        )
        slider.style.description_width = "initial"
        known = dict(hours)
        slider.observe(lambda change: self._over(lambda: self._shows(known[change["new"]])), "value")
        return box("anchorsim-tools", [slider])


def _told(found: Night, system: System) -> str:
    rows = [_row(found, hour, system) for hour in found.hours]
    note = (
        "Every hour begins with the anchor where it was let go at dusk, also after one in which it drags. A "
        "storm has the same holding and windage in every hour, so the odds of the whole night are at least "
        "those of its worst hour."
    )
    return (
        f'<p class="anchorsim-verdict">{escape(found.sentence(system))}</p>'
        f"{table(_HEADS, rows)}<p>{escape(note)}</p>"
    )


def _row(found: Night, hour: Hour, system: System) -> tuple[str, ...]:
    water = show(quantity(hour.depth, "m"), "m", system, 2)
    blows = f"{_knots(hour.mean_wind)}, {_knots(hour.gust)}"
    if hour.sea:
        blows += f", {show(quantity(hour.sea, 'm'), 'm', system, 2)}"
    head = (found.forecast.clock.text(hour.time), water)
    if hour.outlook is None:
        return (*head, "aground" if hour.aground else "not looked at", blows, "", "", "", "")
    lies = f"{show(quantity(hour.distance, 'm'), 'm', system, 2)} at {math.degrees(hour.bearing):03.0f}°"
    weak = hour.outlook.weakest
    part = f"{weak.name}: {100 * weak.used.likely:.0f} %"
    count = len(hour.outlook.spells)
    chances = (
        f"{count * chance.likely:.0f} of {count}" for chance in (hour.outlook.dragging, hour.outlook.failing)
    )
    return (*head, f"{hour.scope:.2g}", blows, lies, *chances, part)


def _knots(speed: float) -> str:
    return show(quantity(speed, "m/s"), "knot", digits=2)
