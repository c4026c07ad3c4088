"""Where the folders lie that ship with the package, and the names of what is remembered and passed on."""

from __future__ import annotations

from pathlib import Path

STATE = ".anchorsim"
"""The hidden folder within a person's own, for what is remembered there."""

SCENARIO_VARIABLE = "ANCHORSIM_SCENARIO"
"""The environment variable by which the command line tells the kernel of the file it was given."""

START_VARIABLE = "ANCHORSIM_START"
"""The environment variable that tells one start of the command from the next, through all its kernels."""


def folder(name: str) -> Path:
    """A folder that ships with the package (``data``, ``notebooks``, ``shared``).

    In an installed wheel it lies inside the package, in a checkout beside it.  Raises FileNotFoundError
    where it is in neither.
    """
    package = Path(__file__).parents[1]
    for base in (package / "_files", package.parent):
        if (base / name).is_dir():
            return base / name
    raise FileNotFoundError(
        f"the folder {name} is missing from this installation of anchorsim. Reinstall it."
    )
