"""The wind record that a scenario names: whether it is read, and how it goes with the scenario's file.

Somebody else's scenario could name any file, and what that holds would be told.  So of a scenario that was
read from a file only a record in its own folder or beneath is read; one that a person named here always is.
"""

from __future__ import annotations

import functools
import os
from pathlib import Path
from typing import TYPE_CHECKING

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_names import safe_name
from anchorsim.core.reading import TABLE, brief_path, read_bytes, within
from anchorsim.core.toml_file import relative
from anchorsim.core.writing import write_beside
from anchorsim.environment.wind_record import WindRecord, WindRecordError, read_record

if TYPE_CHECKING:
    from anchorsim.scenario.scenario import Scenario


def record_of(scenario: Scenario) -> WindRecord | None:
    """The recorded wind of a scenario, None where it names none.

    Raises WindRecordError where it is not to be read, or does not fit.
    """
    path = scenario.record_path
    if path is None:
        return None
    if not _allowed(scenario, path):
        said = sentence(
            f"{brief_path(path)} is outside the folder of the scenario file",
            "a file in that folder or beneath it",
            "copy the record there and name that copy",
        )
        raise WindRecordError(f"weather.record: {said}")
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return read_record(path)  # which says what is wrong with it
    return _kept(path.absolute(), (found.st_mtime_ns, found.st_size, found.st_ino))


@functools.lru_cache(maxsize=4)
def _kept(path: Path, stamp: tuple[int, ...]) -> WindRecord:
    """A record as it was read; each spell asks for it, and a long one takes seconds to read."""
    return read_record(path)


def record_for(scenario: Scenario, folder: Path) -> str | None:
    """What a file of the scenario in ``folder`` names its record, None where there is none.

    A record from elsewhere is copied there, so that the two can be moved together and are read again; one
    that is not to be read, or cannot be copied, is named where it is.
    """
    path = scenario.record_path
    if path is None:
        return None
    if not within(path, folder) and _allowed(scenario, path):
        try:
            return _copied(path, folder)
        except AnchorsimError:
            pass
    given = str(scenario.weather.record)
    return given if Path(given).is_absolute() and folder not in path.parents else relative(path, folder)


def _copied(record: Path, folder: Path) -> str:
    """The name of a copy in a folder: one that is there already, or a new one.  Raises AnchorsimError."""
    return write_beside(folder / f"{safe_name(record.stem, 'wind')}.csv", read_bytes(record, TABLE)).name


def _allowed(scenario: Scenario, path: Path) -> bool:
    return scenario.folder is None or scenario.record_chosen or within(path, scenario.folder)
