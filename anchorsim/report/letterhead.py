"""The surveyor's letterhead and mark, and the last survey of the same boat: from files beside the survey."""

from __future__ import annotations

from pathlib import Path

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import NOTE, read_text, within
from anchorsim.core.units import quoted
from anchorsim.report.blocks import Letterhead
from anchorsim.report.photographs import Photograph, photograph
from anchorsim.scenario.scenario import Scenario, ScenarioError

FILE = "letterhead.txt"
_MARKS = (".png", ".jpg", ".jpeg")
_LINES, _LONGEST = 8, 120  # of a letterhead; characters of a line


class LetterheadError(AnchorsimError):
    """A letterhead, a mark or a last survey that cannot be taken."""


def letterhead(scenario: Scenario, file: Path | None = None) -> Letterhead:
    """The lines and the mark of whoever signs.

    They are those of the survey, else those of ``file`` and of a picture of its name beside it; without one a
    ``letterhead.txt`` beside the scenario's file serves.  Raises AnchorsimError where they cannot be read.
    """
    survey, folder = scenario.survey, scenario.folder
    own = file or (folder / FILE if folder else None)
    text = survey.letterhead
    if not text.strip() and own is not None and (file is not None or own.is_file()):
        text = read_text(own, NOTE)
    lines = tuple(line.strip() for line in text.splitlines() if line.strip())
    if len(lines) > _LINES or any(len(line) > _LONGEST for line in lines):
        fits = f"at most {_LINES} lines of {_LONGEST} characters"
        raise LetterheadError(f"letterhead: {sentence('too long', fits, 'shorten it')}")
    if survey.logo:
        return Letterhead(lines, _mark(folder or Path(), survey.logo))
    marks = (own.with_suffix(ending) for ending in _MARKS) if own else ()
    found = next((mark for mark in marks if mark.is_file()), None)
    return Letterhead(lines, _mark(found.parent, found.name) if found else None)


def last_survey(scenario: Scenario) -> Scenario | None:
    """The last survey of the same boat, if this one names its file.  Raises AnchorsimError."""
    name, folder = scenario.survey.previous, scenario.folder or Path()
    if not name:
        return None
    if not within(folder / name, folder):
        fits = "a file in the folder of this survey"
        said = sentence(f"{quoted(name)} is outside its folder", fits, "copy it there")
        raise LetterheadError(f"survey.previous: {said}")
    try:
        return Scenario.load(folder / name)
    except ScenarioError as error:
        raise LetterheadError(f"survey.previous: {error}") from None


def _mark(folder: Path, name: str) -> Photograph:
    found = photograph(folder, name)
    if found.wrong:
        said = sentence(f"{quoted(name)} is {found.wrong}", "a picture, JPEG or PNG", "choose another")
        raise LetterheadError(f"logo: {said}")
    return found
