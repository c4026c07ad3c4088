"""The file that a guided survey lives in: every change goes there at once, and a new start goes on from it.

The folder is the person's own.  Beside the survey's file stand its photographs, named after it; which file
was at hand last is remembered in ``.anchorsim/survey.txt``.
"""

from __future__ import annotations

import contextlib
import datetime
from pathlib import Path

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_names import safe_name
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
from anchorsim.core.resources import STATE
from anchorsim.core.writing import digest, digest_of, write_kept, write_new, write_whole
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.scenario import Scenario, ScenarioError

Seen = dict[Path, str | None]
LAST = Path(STATE) / "survey.txt"
_KINDS = {b"\xff\xd8\xff": ".jpg", b"\x89PNG\r\n\x1a\n": ".png"}


class PhotographError(AnchorsimError):
    """Why a photograph cannot be taken in, as a sentence for people."""


class SurveyFile:
    """Where a survey is kept; ``path`` is None until there is something to keep.

    A file that holds a survey already is gone on with.  A scenario that holds none, or comes from another
    folder, gets a file of its own on its first change, and nothing that is there is written over.  ``seen``
    holds the digests of the files as this window last read or wrote them.
    """

    def __init__(self, folder: Path, path: Path | None = None, seen: Seen | None = None) -> None:
        self.folder = folder
        self.seen: Seen = {} if seen is None else seen
        self.path: Path | None = None
        self._wanted = "my-survey"
        self._beside = ""  # which file was kept, and why this survey is in another
        if path is not None:
            self._wanted = safe_name(path.stem, self._wanted)
            if path.absolute().parent == folder.absolute() and path.exists():
                self.path = path.absolute()
                self.seen.setdefault(self.path, digest(self.path))

    @classmethod
    def at(cls, folder: Path, path: Path, scenario: Scenario, seen: Seen) -> SurveyFile:
        """The file for a scenario that was read from ``path``, whose digest was taken before."""
        if scenario.survey == Survey():
            begun = cls(folder, seen=seen)
            begun._wanted = f"{safe_name(path.stem, 'my')}-survey"
            return begun
        return cls(folder, path, seen)

    def save(self, scenario: Scenario, now: datetime.datetime | None = None) -> str:
        """Write the scenario whole or not at all; gives what to tell the person.  Raises ScenarioError.

        Where someone else has changed the file meanwhile, both are kept: this survey moves to another name.
        """
        before, wanted = self.path, self.path or (self.folder / f"{self._wanted}.toml").absolute()
        try:
            content = scenario.content(wanted.parent)
            target = write_kept(wanted, content, self.seen.get(wanted) if before else None)
        except AnchorsimError as error:
            raise ScenarioError([("", str(error))]) from None
        self.path, self.seen[target] = target, digest_of(content)
        self.remember()
        if target != wanted:
            why = "was changed in another window or program" if before else "is another survey"
            self._beside = f"; {wanted.name} {why} and was kept"
        return f"Saved {now or datetime.datetime.now():%H:%M} in {target.name}{self._beside}"

    def remember(self) -> None:
        """Go on with this file at the next start."""
        if self.path is None:
            return
        note = self.folder / LAST
        # where that fails the survey itself is safe; at the next start it is chosen from the list
        with contextlib.suppress(OSError, AnchorsimError):
            note.parent.mkdir(exist_ok=True, mode=0o700)
            write_whole(note, self.path.name.encode())

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
        try:
            return write_new(self.folder.absolute() / f"{own}{ending}", content).name
        except AnchorsimError as error:
            raise PhotographError(str(error)) from None

    def beside(self, *endings: str) -> list[str]:
        """The names of files of some endings beside the survey's, but itself and its photographs."""
        own, found = self.path or self.folder / f"{self._wanted}.toml", list[Path]()
        with contextlib.suppress(OSError):  # then nothing is offered, and the name is typed
            found = sorted(path for path in own.parent.iterdir() if path.suffix.lower() in endings)
        mine = {own.name, "pyproject.toml"}
        pictures = {
            path.name for path in found if path.suffix != ".toml" and path.name.startswith(f"{own.stem}-")
        }
        return [path.name for path in found if path.name not in mine | pictures]

    def photograph(self, name: str) -> bytes | None:
        """What a photograph's file holds; None where it is missing, too large, elsewhere or no photograph."""
        base = self.path.parent if self.path else self.folder
        try:
            content = read_bytes(base / name, SENT_PHOTOGRAPH) if within(base / name, base) else b""
        except ReadError:
            return None
        known = any(content.startswith(start) for start in _KINDS)
        return content if known and pixels(content) <= PIXELS_SCALED else None


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
