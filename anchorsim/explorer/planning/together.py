"""What the pages of comparison and night share: the decision, and the question for open water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import ipywidgets as widgets

from anchorsim.core.units import quantity, write
from anchorsim.explorer.boxes import box, button
from anchorsim.explorer.files import listed
from anchorsim.explorer.planning.outlook import Outlook, Row, Told, options_of
from anchorsim.explorer.planning.parts import DecisionBanner
from anchorsim.explorer.words import plain
from anchorsim.planning.choice import Option, choose
from anchorsim.planning.hours import gale_from
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import decision, glance, night
from anchorsim.wording.cautions import DRAGGING, FOR_COMPARING, Caution

_FARTHEST = 500.0  # km, as the field has it


class Together(widgets.Box):
    """A page about the set-ups on offer.

    ``tools`` stand in one row with how far it is, ``body`` beneath the decision.
    """

    def __init__(
        self, outlook: Outlook, tools: Sequence[widgets.Widget], body: Sequence[widgets.Widget]
    ) -> None:
        self.outlook, self.screen = outlook, outlook.screen
        self.banner = DecisionBanner()
        self.progress = widgets.FloatProgress(max=1.0, tooltip="How much is calculated")
        self.water = OpenWater(outlook)
        rows = [box("anchorsim-tools", [*tools, self.progress]), self.water, self.banner]
        super().__init__([*rows, *body])
        self.add_class("anchorsim-plan").add_class("anchorsim-together")
        outlook.listen(self.tell, self._far)
        self._far()

    def changed(self) -> None:
        """Something on screen has changed."""
        self.outlook.changed()

    def tell(self) -> None:
        """Tell what was found, in the units and colours of the screen."""
        self._far()
        self.water.show()
        self.decide()

    def options(self, told: Told) -> dict[str, Option]:
        """What there is to choose from, for the stretch on screen."""
        stretch = self.screen.state.stretch
        return dict(told.options if told.stretch == stretch else options_of(told.found, stretch))

    def decide(self) -> None:
        """Say what to do."""
        outlook, told, banner = self.outlook, self.outlook.told, self.banner
        with banner.hold_sync():
            if outlook.problem:
                self._say(outlook.problem, "bad")
            elif told is None:
                self._say("Calculating…" if outlook.busy else self.invitation())
            else:
                self._told(told)
            if outlook.old:
                banner.foot = decision.OLD
                banner.tone = "old"

    def _say(self, headline: str, tone: str = "none") -> None:
        self.banner.headline, self.banner.tone = headline, tone
        self.banner.more, self.banner.foot, self.banner.cautions = "", "", []

    def _told(self, told: Told) -> None:
        options, banner = self.options(told), self.banner
        if not options:
            wrong = [str(result) for result in told.found.values() if isinstance(result, Exception)]
            self._say(" ".join(wrong), "bad")
            return
        found, nights = choose(list(options.values())), told.nights
        scenarios = {letter: scenario for letter, scenario, _ in told.question.rows}
        places = {(each.spot, each.surroundings) for each in scenarios.values()}
        first = next(iter(nights.values()), None)
        said = decision.decision(
            found,
            decision.NIGHT if nights else glance.lasting(self.screen.state.stretch),
            told.count,
            places=len(places) > 1,
            at=None if first is None else lambda time: night.when(first, time),
        )
        banner.headline, banner.tone = said.headline, said.tone
        banner.more = " ".join(said.more or ([decision.ALONE] if len(told.question.rows) == 1 else []))
        banner.foot = decision.counted_from(told.count, bool(nights))
        banner.cautions = [[one.signal, one.text] for one in self._cautions(told, found.best)]

    def _cautions(self, told: Told, best: Option | None) -> tuple[Caution, ...]:
        nights = told.nights
        if nights:
            shown = nights[best.letter] if best is not None else next(iter(nights.values()))
            return (*night.cautions(shown), FOR_COMPARING)
        drags = best is None or bool(best.fails_in.any())
        return (*([DRAGGING] if drags else []), FOR_COMPARING)

    def invitation(self) -> str:
        """What to do first, where there is nothing to tell."""
        return ""

    def _far(self) -> None:
        self.progress.value = self.outlook.far
        self.progress.layout.visibility = "visible" if self.outlook.busy else "hidden"


class OpenWater(widgets.Box):
    """Asks how far the open water is to windward of a gale.

    For each place that has no fetch, unless a person said that it does not matter there.
    """

    def __init__(self, outlook: Outlook) -> None:
        self._outlook = outlook
        self._place = ""
        self.question = widgets.HTML()
        self.question.add_class("anchorsim-question")
        self.distance = widgets.BoundedFloatText(
            value=0.0, max=_FARTHEST, step=1.0, layout={"width": "64px"}, tooltip="Open water in km"
        )
        self.set = button("Set", "Waves are then calculated for this place, from all directions")
        self.never = button("Does not matter", "Calculate without waves at this place, and do not ask again")
        super().__init__([self.question, self.distance, self.set, self.never])
        self.add_class("anchorsim-ask")
        over = outlook.pace.hand_over
        self.set.on_click(lambda _: over(self._answer))
        self.never.on_click(lambda _: over(self._leave))
        self.layout.display = "none"

    def show(self) -> None:
        """Ask for the first place that is to be asked for, or for none."""
        asked = self._asked()
        self.layout.display = "none" if asked is None else None
        if asked is None:
            self._place = ""
            return
        row, towards = asked
        self._place = place_of(row.scenario)
        name = row.letter if len(self._outlook.rows()) > 1 else ""
        self.question.value = plain(night.open_water(name, towards))

    def _asked(self) -> tuple[Row, float] | None:
        forecast = self._outlook.read()
        if forecast is None:
            return None
        for row in self._outlook.rows():
            towards = gale_from(row.scenario, forecast)
            if towards is not None and place_of(row.scenario) not in self._outlook.screen.state.no_fetch:
                return row, towards
        return None

    def _answer(self) -> None:
        """One distance counts all round, until more are given."""
        if not self.distance.value:
            self._leave()
            return
        screen, place = self._outlook.screen, self._place
        water = ({"bearing": "0 degree", "distance": quantity(self.distance.value, "km")},)
        kept = tuple(
            replace(one, scenario=one.scenario.vary({"spot.fetches": water}))
            if place_of(one.scenario) == place and not one.scenario.spot.fetches
            else one
            for one in screen.kept
        )
        shown = self._outlook.shown
        if place_of(shown) == place and not shown.spot.fetches:
            screen.vary({"spot.fetches": water})
        screen.remember(kept=kept)

    def _leave(self) -> None:
        state = self._outlook.screen.state
        if self._place and self._place not in state.no_fetch:
            self._outlook.screen.remember(no_fetch=(*state.no_fetch, self._place))


def place_of(scenario: Scenario) -> str:
    """What tells a place from others: its title, depth and bottom."""
    return f"{scenario.title}, {write(scenario.spot.depth)}, {scenario.spot.bottom}"


def forecasts(nothing: str) -> list[tuple[str, str]]:
    """The forecasts to choose from, by name, and what stands for none."""
    return [(nothing, ""), *((path.stem, path.name) for _, path in listed("csv"))]
