"""What the class predicted in each lesson, kept beside what the explorer remembers."""

from __future__ import annotations

import contextlib
from pathlib import Path

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.resources import STATE
from anchorsim.core.toml_file import read_toml, toml
from anchorsim.core.writing import write_whole
from anchorsim.lessons.catalogue import PLANS

NAME = "lessons.toml"
_FORMAT = 1


class Predictions:
    """The place of the choice for each lesson.  Without a folder of ours they last as long as the page."""

    def __init__(self) -> None:
        folder = Path.cwd() / STATE
        self._file = folder / NAME if folder.is_dir() else None
        self._made = self._read()

    def of(self, key: str) -> int | None:
        """What was predicted; None where nothing was."""
        return self._made.get(key)

    def keep(self, key: str, choice: int | None) -> None:
        """Keep a prediction, or take it back; those made meanwhile in other windows stay."""
        self._made = {**self._made, **self._read()}
        self._made.pop(key, None)
        if choice is not None:
            self._made[key] = choice
        if self._file is not None:
            with contextlib.suppress(AnchorsimError):  # the lesson goes on without
                write_whole(self._file, toml({"format": _FORMAT, "predicted": self._made}))

    def _read(self) -> dict[str, int]:
        if self._file is None or not self._file.is_file():
            return {}
        try:
            held = read_toml(self._file)
            made = held["predicted"] if held.get("format") == _FORMAT else {}
            return {
                key: made[key] for key, plan in PLANS.items() if made.get(key) in range(len(plan.choices))
            }
        except (AnchorsimError, KeyError, TypeError, AttributeError):
            return {}
