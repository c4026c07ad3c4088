"""A night at anchor on the screen: a forecast is chosen or brought, and its hours are stepped through."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from anchorsim.core.errors import AnchorsimError
from anchorsim.explorer.boxes import box
from anchorsim.explorer.files import kept
from anchorsim.explorer.live_figure import LiveFigure
from anchorsim.explorer.planning.outlook import Outlook, Told
from anchorsim.explorer.planning.parts import HourScrubber
from anchorsim.explorer.planning.together import Together, forecasts
from anchorsim.figures import marked, nights_together, units_of
from anchorsim.planning.night import Night
from anchorsim.wording import night as wording

_HIGH_AND_LOW = "High and low water, a line each:\n17:50 4.2 m\n23:55 0.9 m"


class NightPage(Together):
    """What the night is asked with, and its hours for all set-ups on offer."""

    def __init__(self, outlook: Outlook) -> None:
        self.forecasts = widgets.Dropdown(
            description="Forecast", options=forecasts("choose one"), style={"description_width": "initial"}
        )
        self.bring = widgets.FileUpload(accept=".csv,.txt", description="Open forecast (CSV)")
        self.tide = widgets.ToggleButton(description="Tide", tooltip="Type high and low water")
        self.waters = widgets.Textarea(
            placeholder=_HIGH_AND_LOW,
            tooltip="Used if the forecast has no tide. Cover the whole night: one time before it, one after.",
            rows=4,
            continuous_update=False,
            layout={"display": "none"},
        )
        self.waters.add_class("anchorsim-waters")
        self.hours, self.drawn = HourScrubber(), box("anchorsim-night")
        self._showing = False
        self._of: Told | None = None
        tools = [self.forecasts, self.bring, self.tide, self.waters]
        super().__init__(outlook, tools, [self.hours, self.drawn])
        over = outlook.pace.hand_over
        self.forecasts.observe(lambda change: over(lambda: self._choose(change["new"])), "value")
        self.bring.observe(lambda change: over(lambda: self._brought(change["new"])), "value")
        self.waters.observe(lambda change: over(lambda: self._typed(change["new"])), "value")
        self.tide.observe(lambda change: self._unfold(change["new"]), "value")
        self.hours.observe(lambda _: over(self._mark), "value")
        self.hours.on_msg(lambda _, content, __: over(lambda: self._open(content)))

    def invitation(self) -> str:
        """What to do first."""
        return "Choose a forecast, or open one as a CSV file." if not self.screen.state.forecast else ""

    def tell(self) -> None:
        """Tell what was found, in the units and colours of the screen."""
        self._show_choice()
        told = self.outlook.told
        nights = {} if told is None else told.nights
        self._step(told, nights)
        super().tell()
        self._draw(nights)

    def _show_choice(self) -> None:
        state = self.screen.state
        options = forecasts("choose one")
        self._showing = True
        try:
            if list(self.forecasts.options) != options:
                self.forecasts.options = options
            self.forecasts.value = state.forecast if state.forecast in {name for _, name in options} else ""
            if self.waters.value != state.waters:
                self.waters.value = state.waters
        finally:
            self._showing = False

    def _choose(self, name: str | None) -> None:
        if not self._showing and name is not None:
            self.screen.remember(forecast=name)

    def _typed(self, waters: str) -> None:
        if not self._showing:
            self.screen.remember(waters=waters)

    def _unfold(self, open_: bool) -> None:
        self.waters.layout.display = None if open_ else "none"

    def _brought(self, uploaded: tuple[dict[str, Any], ...]) -> None:
        try:
            target = kept(uploaded, "forecast")
        except AnchorsimError as error:
            self.outlook.refuse(error)
            return
        if target is not None:
            self.screen.remember(forecast=target.name)

    def _step(self, told: Told | None, nights: dict[str, Night]) -> None:
        """Fill the scrubber in; a night that is shown for the first time is looked at in its worst hour."""
        with self.hours.hold_sync():
            if not nights:
                self.hours.names, self.hours.lines, self.hours.afloat = [], [], []
                return
            system, first = self.screen.state.system, next(iter(nights.values()))
            places = range(len(first.hours))
            here = None if self.outlook.old else nights.get(self.outlook.here)
            self.hours.lines = [wording.together(nights, place, system) for place in places]
            self.hours.afloat = [here is not None and not here.hours[place].aground for place in places]
            names = [first.forecast.clock.text(hour.si.time) for hour in first.hours]
            if self._of is None or told is None or self._of.question.forecast != told.question.forecast:
                worst = (here or first).worst
                self.hours.value = next(
                    (place for place in places if (here or first).hours[place] is worst), 0
                )
            self.hours.names = names
            self._of = told

    def _draw(self, nights: dict[str, Night]) -> None:
        if not nights:
            self.drawn.children = ()
            return
        units = units_of(self.screen.state.system)
        names = {row.letter: row.name for row in self.outlook.rows()}
        picture = nights_together(nights, names, units=units, look=self.screen.look, still=self._at(nights))
        if self.drawn.children:
            self.drawn.children[0].show(picture)
        else:
            self.drawn.children = (LiveFigure(picture),)

    def _mark(self) -> None:
        """Show in the picture which hour is looked at."""
        nights = {} if self.outlook.told is None else self.outlook.told.nights
        if nights and self.drawn.children:
            units = units_of(self.screen.state.system)
            figure = self.drawn.children[0]
            figure.picture.layout.shapes = marked(nights, units, self.screen.look, self._at(nights))
            figure.show(figure.picture)

    def _at(self, nights: dict[str, Night]) -> int:
        return min(self.hours.value, len(next(iter(nights.values())).hours) - 1)

    def _open(self, content: dict[str, Any]) -> None:
        if content.get("do") == "open":
            self.outlook.open_hour(int(content.get("hour", 0)))
