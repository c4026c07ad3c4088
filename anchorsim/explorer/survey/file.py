"""The file that a guided survey lives in: every change goes there at once, and a new start goes on from it.

The folder is the person's own.  Beside the survey's file stand its photographs, named after it; which file
was at hand last is remembered in ``.anchorsim/survey.txt``.
"""

from __future__ import annotations

import datetime
import hashlib
from pathlib import Path

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_names import free, safe_name
from anchorsim.core.picture_size import pixels
from anchorsim.core.reading import (
    NOTE,
    PIXELS,
    PIXELS_SCALED,
    SENT_PHOTOGRAPH,
    TOML,
    ReadError,
    check_size,
    read_bytes,
    read_text,
    within,
)
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.scenario import Scenario, ScenarioError

LAST = Path(".anchorsim") / "survey.txt"
_KINDS = {b"\xff\xd8\xff": ".jpg", b"\x89PNG\r\n\x1a\n": ".png"}


class PhotographError(AnchorsimError):
    """Why a photograph cannot be taken in, as a sentence for people."""


class SurveyFile:
    """Where a survey is kept; ``path`` is None until there is something to keep.

    A file that holds a survey already is gone on with.  A scenario that holds none, or comes from another
    folder, gets a file of its own on its first change, and nothing that is there is written over.
    """

    def __init__(self, folder: Path, path: Path | None = None) -> None:
        self.folder = folder
        self.path: Path | None = None
        self._wanted = "my-survey"
        self._known: str | None = None  # digest of the file as last read or written here
        if path is not None:
            self._wanted = safe_name(path.stem, self._wanted)
            if path.absolute().parent == folder.absolute() and path.exists():
                self.path, self._known = path.absolute(), _digest(path)

    @classmethod
    def at(cls, folder: Path, path: Path, scenario: Scenario) -> SurveyFile:
        """The file for a scenario that was read from ``path``."""
        if scenario.survey == Survey():
            begun = cls(folder)
            begun._wanted = f"{safe_name(path.stem, 'my')}-survey"
            return begun
        return cls(folder, path)

    def save(self, scenario: Scenario, now: datetime.datetime | None = None) -> str:
        """Write the scenario whole or not at all; gives what to tell the person.  Raises ScenarioError.

        Where someone else has changed the file meanwhile, both are kept: this survey moves to another name.
        """
        moved = ""
        if self.path is not None and self.path.exists() and _digest(self.path) != self._known:
            moved = self.path.name
            self._wanted, self.path = self.path.stem, None
        target = self.path or self._free(f"{self._wanted}.toml")
        scenario.save(target)
        self.path, self._known = target, _digest(target)
        self.remember()
        if moved:
            said = f"{moved} was changed by another program and was kept"
            return f"{said}; this copy is saved as {target.name}."
        return f"Saved {now or datetime.datetime.now():%H:%M} in {target.name}"

    def remember(self) -> None:
        """Go on with this file at the next start."""
        if self.path is None:
            return
        note = self.folder / LAST
        try:
            note.parent.mkdir(exist_ok=True, mode=0o700)
            note.write_text(self.path.name, encoding="utf-8")
        except OSError:  # the survey itself is safe; at the next start it is chosen from the list
            return

    def keep_photograph(self, content: bytes, name: str, part: str) -> str:
        """Put a photograph beside the survey's file; gives its name.

        Raises PhotographError where it is none that a page can show, or cannot be written.
        """
        ending = next((end for start, end in _KINDS.items() if content.startswith(start)), None)
        shown = safe_name(Path(name).name, "photograph")
        if ending is None:
            raise PhotographError(f"{shown}: not a photograph. Expected a JPEG or PNG. Choose another file.")
        try:
            check_size(shown, len(content), SENT_PHOTOGRAPH)
        except ReadError as error:
            raise PhotographError(str(error)) from None
        if pixels(content) > PIXELS:
            wrong, advice = "too many pixels", "choose a smaller one"
            raise PhotographError(
                f"{shown}: {sentence(wrong, f'at most {PIXELS / 1e6:.0f} million', advice)}"
            )
        stem = self.path.stem if self.path else safe_name(self._wanted, "survey")
        own = "-".join(safe_name(piece, "photograph") for piece in (stem, part, Path(name).stem))
        target = self._free(f"{own}{ending}")
        try:
            with target.open("xb") as file:
                file.write(content)
        except OSError as error:
            raise PhotographError(
                f"{target.name}: not saved ({error.strerror}). Choose a folder that can be written to."
            ) from None
        return target.name

    def photograph(self, name: str) -> bytes | None:
        """What a photograph's file holds; None where it is missing, too large, elsewhere or no photograph."""
        base = self.path.parent if self.path else self.folder
        try:
            content = read_bytes(base / name, SENT_PHOTOGRAPH) if within(base / name, base) else b""
        except ReadError:
            return None
        known = any(content.startswith(start) for start in _KINDS)
        return content if known and pixels(content) <= PIXELS_SCALED else None

    def _free(self, name: str) -> Path:
        return free((self.folder / name).absolute())


def surveys(folder: Path) -> list[Path]:
    """The scenario files of a folder that hold a survey, and the others after them."""
    found = [path for path in sorted(folder.glob("*.toml")) if path.name != "pyproject.toml"]
    return sorted(found, key=lambda path: not _holds_survey(path))


def _holds_survey(path: Path) -> bool:
    try:
        return "[survey" in read_text(path, TOML)
    except ReadError:
        return False


def last_one(folder: Path) -> Path | None:
    """The file that was at hand last in this folder, if it is still there."""
    try:
        name = read_text(folder / LAST, NOTE).strip()
        found = folder / Path(name).name
        return found if name and found.suffix == ".toml" and found.is_file() else None
    except (OSError, ValueError):
        return None


def _digest(path: Path) -> str:
    try:
        return hashlib.sha256(read_bytes(path, TOML)).hexdigest()
    except ReadError as error:
        raise ScenarioError([("", str(error))]) from None
