"""The set-ups that are kept and the one on screen, through the same spells or the same night.

They are begun as soon as one of the two pages is open, grow while it is, and stop when it is left.  What was
found stays until it is replaced, and is said to be of the earlier set-ups as soon as one of them changes.
"""

from __future__ import annotations

import threading
from collections import Counter, OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import CancelledError
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import si
from anchorsim.environment.tide import Tide, read_tide
from anchorsim.explorer.files import listed
from anchorsim.explorer.kept import LETTERS, SetUp, State
from anchorsim.explorer.odds import COUNTS
from anchorsim.explorer.pace import Pace
from anchorsim.figures import Theme
from anchorsim.planning.choice import Option, in_the_weather_of, of_night, of_spells
from anchorsim.planning.night import Night, overnight
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.scenario.forecast import Forecast, read_forecast
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.wording.amounts import upper
from anchorsim.wording.set_ups import gists as gists_of

HOURLY = (20, 100)  # spells of each hour of a night, one count after the other; else as on the strip
PAGES = ("night", "compare")
_QUIET = 0.4  # s without a further change before it begins
_HELD = 12  # results that are held, so that only what changed is simulated again

Result = Assessment | Night | Exception


class Screen(Protocol):
    """The explorer, as far as comparisons need it."""

    state: State
    assessment: Assessment | None

    @property
    def wanted(self) -> Scenario: ...
    @property
    def kept(self) -> tuple[SetUp, ...]: ...
    @property
    def look(self) -> Theme: ...
    def show(self, scenario: Scenario) -> None: ...
    def keep(self) -> None: ...
    def let_go(self, letter: str) -> None: ...
    def rename(self, letter: str, name: str) -> None: ...
    def vary(self, changes: Mapping[str, Any]) -> None: ...
    def remember(self, **changes: Any) -> None: ...


@dataclass(frozen=True)
class Row:
    """A set-up on offer: ``kept`` under its letter, ``here`` on screen, or both."""

    letter: str
    name: str
    scenario: Scenario
    clear_radius: float | None
    kept: bool
    here: bool
    problem: str = ""


@dataclass(frozen=True)
class Question:
    """What is simulated: scenarios with their clear radii by letter, and the night, if there is one."""

    rows: tuple[tuple[str, Scenario, float | None], ...]
    forecast: str
    waters: str


@dataclass(frozen=True, eq=False)
class Told:
    """What was found: a result for each letter, the options of those that have one, ``count`` spells each."""

    question: Question
    found: Mapping[str, Result]
    options: Mapping[str, Option]
    count: int
    stretch: str
    grows: bool

    @property
    def nights(self) -> dict[str, Night]:
        """The nights by letter."""
        return {letter: each for letter, each in self.found.items() if isinstance(each, Night)}


class Outlook:
    """``told`` is what was found last, None before; ``problem`` what is wrong with the night as a whole.

    ``counts``: spells in place of the usual ones.
    """

    def __init__(self, screen: Screen, pace: Pace, counts: tuple[int, ...] = ()) -> None:
        self.screen, self.pace, self.counts = screen, pace, counts
        self.told: Told | None = None
        self.problem = ""
        self.far = 0.0  # share of what is being simulated that is done
        self.busy = False
        self._listeners: list[Callable[[], None]] = []
        self._bars: list[Callable[[], None]] = []
        self._halt = threading.Event()
        self._asked: Question | None = None
        self._held: OrderedDict[tuple[object, ...], Assessment | Night] = OrderedDict()
        self._bases: dict[Scenario, Scenario] = {}

    def listen(self, told: Callable[[], None], moved: Callable[[], None]) -> None:
        """Have a page told of what was found, and of how far it is."""
        self._listeners.append(told)
        self._bars.append(moved)

    # --- what is compared -------------------------------------------------------------------------------

    @property
    def shown(self) -> Scenario:
        """The set-up on screen; where that is an hour of a night, the one whose night it is."""
        return self._bases.get(self.screen.wanted, self.screen.wanted)

    def rows(self) -> tuple[Row, ...]:
        """The set-ups on offer, by letter, all in the weather on screen.

        Those of one title are named by what tells them apart.
        """
        shown, rows = self.shown, []
        for one in self.screen.kept:
            scenario, problem = one.scenario, ""
            try:
                scenario = in_the_weather_of(shown, scenario)
            except ScenarioError as error:
                problem = str(error)
            here = scenario == shown and one.clear_radius == self.screen.state.clear_radius
            rows.append(Row(one.letter, one.name, scenario, one.clear_radius, True, here, problem))
        if not any(row.here for row in rows):
            letter = next(each for each in (*LETTERS, "D") if each not in {row.letter for row in rows})
            rows.append(Row(letter, shown.title, shown, self.screen.state.clear_radius, False, True))
        rows.sort(key=lambda row: row.letter)
        gists = gists_of([row.scenario for row in rows], self.screen.state.system)
        names = Counter(row.name for row in rows)
        return tuple(
            replace(row, name=upper(differs)) if names[row.name] > 1 and differs else row
            for row, (differs, _) in zip(rows, gists, strict=True)
        )

    def _learn(self) -> None:
        """Take over the spells of a set-up that is on screen for long, so that they are not run again."""
        found = self.screen.assessment
        if found is not None and len(found) >= COUNTS[0]:
            room = None if found.clear_radius is None else si(found.clear_radius)
            self._hold((found.scenario, room, "", ""), found)

    @property
    def here(self) -> str:
        """The letter of the set-up on screen."""
        return next(row.letter for row in self.rows() if row.here)

    @property
    def forecast(self) -> Path | None:
        """The file of the forecast that is chosen, None where there is none or it is gone."""
        known = {path.name: path for _, path in listed("csv")}
        return known.get(self.screen.state.forecast)

    def read(self) -> Forecast | None:
        """The forecast that is chosen; None where there is none that can be read."""
        path = self.forecast
        try:
            return None if path is None else read_forecast(path)
        except AnchorsimError:
            return None

    def open_hour(self, place: int) -> None:
        """Show an hour of the night of the set-up on screen; undo brings back what was there."""
        row = next(row for row in self.rows() if row.here)
        if self.old:
            return
        night = self.told.nights.get(row.letter) if self.told else None
        then = night.hours[place].scenario if night is not None and place < len(night.hours) else None
        if then is not None:
            self._bases[then] = row.scenario
            self.screen.show(then)

    # --- simulating -------------------------------------------------------------------------------------

    @property
    def old(self) -> bool:
        """Whether what was found is of other set-ups than those on offer."""
        return self.told is not None and self.told.question != self._question()

    def changed(self) -> None:
        """Something on screen has: begin, go on or leave off as that wants."""
        self._learn()
        if self.screen.state.page not in PAGES:
            self._stop()
            return
        asked = self._question()
        if asked != self._asked:
            self._stop()
            self._asked = asked
            if self.screen.state.page == "compare" or asked.forecast:
                self._begin(asked)
            else:
                self._asked = None
        self.tell()

    def refuse(self, error: Exception) -> None:
        """Say what is wrong with a forecast that was brought."""
        self.problem = str(error)
        self.tell()

    def tell(self) -> None:
        """Tell the pages."""
        for listener in self._listeners:
            listener()

    def _question(self) -> Question:
        rows = tuple((row.letter, row.scenario, row.clear_radius) for row in self.rows() if not row.problem)
        path = self.forecast
        return Question(rows, "" if path is None else str(path), self.screen.state.waters if path else "")

    def _stop(self) -> None:
        self._halt.set()
        self._asked, self.busy = None, False

    def _begin(self, asked: Question) -> None:
        self._halt, self.far, self.problem = threading.Event(), 0.0, ""
        known = self.told.count if self.told is not None and self.told.question == asked else 0
        wanted = self.counts or (HOURLY if asked.forecast else COUNTS)
        counts = tuple(count for count in wanted if count > known)
        self.busy = bool(counts)
        if counts:
            self._next(asked, counts, self._halt)

    def _next(
        self, asked: Question, counts: tuple[int, ...], halt: threading.Event, started: bool = False
    ) -> None:
        count, *later = counts
        stretch = self.screen.state.stretch

        def work() -> Told | Exception | None:
            if self.pace.alive and not started and halt.wait(_QUIET):
                return None
            try:
                return self._found(asked, count, stretch, bool(later), halt)
            except CancelledError:
                return None
            except (AnchorsimError, RuntimeError, OSError) as error:
                return error

        def then(found: Told | Exception | None) -> None:
            if found is None or halt.is_set():
                return
            self.busy = bool(later) and isinstance(found, Told)
            if isinstance(found, Told):
                self.told = found
            else:
                self.told, self.problem = None, str(found)
            self.tell()
            if self.busy:
                self._next(asked, tuple(later), halt, True)

        self.pace.aside(work, then)

    def _found(self, asked: Question, count: int, stretch: str, grows: bool, halt: threading.Event) -> Told:
        forecast = read_forecast(Path(asked.forecast)) if asked.forecast else None
        tide = read_tide(asked.waters) if asked.waters.strip() else None
        found: dict[str, Result] = {}
        for place, (letter, scenario, radius) in enumerate(asked.rows):

            def far(done: int, of: int, place: int = place) -> None:
                self._far((place + done / max(of, 1)) / len(asked.rows), halt)

            key = (scenario, radius, asked.forecast, asked.waters)
            known = self._held.get(key)
            try:
                found[letter] = result = (
                    self._spells(scenario, radius, count, known, far, halt)
                    if forecast is None
                    else self._night(scenario, radius, count, known, far, halt, forecast, tide)
                )
            except AnchorsimError as error:
                found[letter] = error
                continue
            self._hold(key, result)
        return Told(asked, found, options_of(found, stretch), count, stretch, grows)

    def _spells(
        self,
        scenario: Scenario,
        radius: float | None,
        count: int,
        known: object,
        far: Any,
        halt: threading.Event,
    ) -> Assessment:
        started = known if isinstance(known, Assessment) else None
        return assess(scenario, count, clear_radius=radius, known=started, progress=far, cancel=halt.is_set)

    def _night(
        self,
        scenario: Scenario,
        radius: float | None,
        count: int,
        known: object,
        far: Any,
        halt: threading.Event,
        forecast: Forecast,
        tide: Tide | None,
    ) -> Night:
        started = known if isinstance(known, Night) else None
        if started is not None and started.count >= count:
            return started
        night = overnight(
            scenario, forecast, tide, count=count, clear_radius=radius, known=started, progress=far,
            cancel=halt.is_set,
        )  # fmt: skip
        if halt.is_set():
            raise CancelledError
        return night

    def _hold(self, key: tuple[object, ...], result: Assessment | Night) -> None:
        self._held[key] = result
        self._held.move_to_end(key)
        while len(self._held) > _HELD:
            self._held.popitem(last=False)

    def _far(self, share: float, halt: threading.Event) -> None:
        def show() -> None:
            if not halt.is_set():
                self.far = share
                for bar in self._bars:
                    bar()

        self.pace.hand_over(show)


def options_of(found: Mapping[str, Result], stretch: str) -> dict[str, Option]:
    """What there is to choose from: each set-up that has a result."""
    options = {}
    for letter, result in found.items():
        if isinstance(result, Night):
            options[letter] = of_night(letter, result)
        elif isinstance(result, Assessment):
            options[letter] = of_spells(letter, result, stretch)
    return options
