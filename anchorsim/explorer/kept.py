"""What the explorer remembers: all that a person made of the screen, kept as it changes.

It is there again after the page is loaded anew, after the kernel has ended, and on the next day.  It lies in
the hidden folder within the person's own, where the command has made one; elsewhere nothing is remembered.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.resources import START_VARIABLE, STATE
from anchorsim.core.toml_file import read_toml, toml
from anchorsim.core.units import SYSTEMS, System
from anchorsim.core.writing import write_whole
from anchorsim.explorer.history import History
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.glance import STRETCH, STRETCHES

NAME = "explorer.toml"
LETTERS = "ABC"  # of the set-ups that are kept beside the one on screen
MOST_RECENT = 5
_FORMAT = 1
_PAST = 12  # steps that can be undone after the page is loaded again


@dataclass(frozen=True)
class SetUp:
    """A set-up that was kept, with its letter and its name, and the free water about its anchor, m."""

    letter: str
    name: str
    scenario: Scenario
    clear_radius: float | None = None


@dataclass(frozen=True)
class State:
    """All that a person made of the screen.

    ``file``: the name under which the scenario was opened or saved; ``clear_radius``: free water about the
    anchor, m; ``open``: the groups of entries that are not folded; ``chosen``: the paths of those in sight
    while presenting; ``recent``: the names of the files opened and saved last, the last first.
    """

    history: History
    kept: tuple[SetUp, ...] = ()
    page: str = "swing"
    system: System = "metric"
    stretch: str = STRETCH
    file: str = ""
    clear_radius: float | None = None
    open: tuple[str, ...] = ("Wind", "Rode")
    chosen: tuple[str, ...] = ("tackle.scope", "weather.mean_wind", "tackle.snubber.length")
    forecast: str = ""
    waters: str = ""
    no_fetch: tuple[str, ...] = ()
    recent: tuple[str, ...] = ()


def with_recent(state: State, name: str) -> tuple[str, ...]:
    """The names of the files opened and saved last, with one more."""
    return (name, *(other for other in state.recent if other != name))[:MOST_RECENT]


def place() -> Path | None:
    """Where it is kept; None where nothing is remembered."""
    folder = Path.cwd() / STATE
    return folder / NAME if folder.is_dir() else None


def this_start() -> str:
    """What tells this start of the command from the next."""
    return os.environ.get(START_VARIABLE, "")


_HAND = ThreadPoolExecutor(1, "anchorsim-keeper")  # one for all, so that what was made last is written last


def settle() -> None:
    """Wait until all that was given to be kept is written."""
    _HAND.submit(lambda: None).result()


class Keeper:
    """Writes the state, the last one that it was given, one after the other, aside."""

    def __init__(self, target: Path | None) -> None:
        self._target = target
        self._waiting: State | None = None

    def keep(self, state: State) -> None:
        """Write it, unless another is given before its turn comes."""
        busy, self._waiting = self._waiting is not None, state
        if not busy and self._target is not None:
            _HAND.submit(self._write)

    def _write(self) -> None:
        state, self._waiting = self._waiting, None
        if state is not None and self._target is not None:
            try:
                write_whole(self._target, toml(written(state)))
            except AnchorsimError:
                return  # the screen goes on without: what is saved under a name says so where it fails


def written(state: State) -> dict[str, Any]:
    """The state as plain values."""
    history = state.history
    return {
        "format": _FORMAT,
        "start": this_start(),
        "page": state.page,
        "system": state.system,
        "stretch": state.stretch,
        "file": state.file,
        **_room(state.clear_radius),
        "open": list(state.open),
        "chosen": list(state.chosen),
        "now": _written(history.now),
        "past": [_written(scenario) for scenario in history.past[-_PAST:]],
        "future": [_written(scenario) for scenario in history.future[-_PAST:]],
        "forecast": state.forecast,
        "waters": state.waters,
        "no_fetch": list(state.no_fetch),
        "recent": list(state.recent),
        "kept": [
            {"letter": one.letter, "name": one.name, **_room(one.clear_radius), **_written(one.scenario)}
            for one in state.kept
        ],
    }


def _room(clear_radius: float | None) -> dict[str, float]:
    return {} if clear_radius is None else {"clear_radius": clear_radius}


def _written(scenario: Scenario) -> dict[str, Any]:
    return {"folder": str(scenario.folder or ""), "scenario": scenario.document()}


def remembered(target: Path | None) -> tuple[State | None, bool]:
    """The state that was kept, None where none can be read, and whether it is of this very start."""
    if target is None or not target.is_file():
        return None, False
    try:
        held = read_toml(target)
        if held.get("format") != _FORMAT:
            return None, False
        return _read(held), held.get("start") == this_start() != ""
    except (ValueError, KeyError, TypeError, AttributeError):  # a value is absent or of another kind
        return None, False


def _read(held: Mapping[str, Any]) -> State:
    history = History(
        _scenario(held["now"]),
        tuple(map(_scenario, held["past"])),
        tuple(map(_scenario, held["future"])),
    )
    kept = tuple(
        SetUp(str(one["letter"]), str(one["name"]), _scenario(one), _metres(one)) for one in held["kept"]
    )
    return State(
        history=history,
        kept=tuple(one for one in kept if one.letter in LETTERS)[: len(LETTERS)],
        page=str(held["page"]),
        system=_one_of(held["system"], SYSTEMS, "metric"),
        stretch=_one_of(held["stretch"], STRETCHES, STRETCH),
        file=str(held["file"]),
        clear_radius=_metres(held),
        open=tuple(map(str, held["open"])),
        chosen=tuple(map(str, held["chosen"])),
        forecast=str(held.get("forecast", "")),
        waters=str(held.get("waters", "")),
        no_fetch=tuple(map(str, held.get("no_fetch", ()))),
        recent=tuple(map(str, held.get("recent", ())))[:MOST_RECENT],
    )


def _metres(held: Mapping[str, Any]) -> float | None:
    return float(held["clear_radius"]) if "clear_radius" in held else None


def _one_of(given: Any, known: Sequence[Any], otherwise: Any) -> Any:
    return given if given in known else otherwise


def _scenario(held: Mapping[str, Any]) -> Scenario:
    folder = str(held["folder"])
    return Scenario.of_document(held["scenario"], Path(folder) if folder else None)
