"""A notebook's file: read whole, or refused in a sentence, before a page is given anything of it.

What a page cannot show is refused: it would stay empty, or say so in words for programmers.  What only
differs from the letter of the format, as other programs' notebooks do, is let through.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import nbformat

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import NOTEBOOK, brief_path, check_values, read_bytes, text_of

FORMATS = (1, 2, 3, 4)
CELLS = ("code", "markdown", "raw")
FITS = "a notebook as Jupyter saves it"
AGAIN = "ask for the file again, or open another"


def read_notebook(source: Path) -> Any:
    """A notebook in the current format.

    Raises AnchorsimError with a sentence that begins with its path.
    """
    return notebook_of(source, read_bytes(source, NOTEBOOK), {})


def notebook_of(source: Path, content: bytes, differs: dict[str, Any]) -> Any:
    """The notebook that a file's content is; ``differs`` takes what nbformat finds that it lets through.

    Raises AnchorsimError as :func:`read_notebook` does.
    """
    text = text_of(source, content, NOTEBOOK)
    try:
        check_values(text, NOTEBOOK)
        found = _json(text)
        reads: Any = nbformat.reads
        try:
            notebook = reads(text, as_version=4, capture_validation_error=differs)
        except Exception:  # what nbformat raises at a broken notebook is legion
            raise _refusal(_fault(found) or "its parts do not fit together") from None
        if fault := _fault(notebook):
            raise _refusal(fault)
        return notebook
    except AnchorsimError as error:
        raise AnchorsimError(f"{brief_path(source)}: {error}") from None


def difference(path: Iterable[str | int]) -> str:
    """What is said of a notebook that is let through, by the way to what differs in it."""
    wrong, action = f"{_place(path)} is not as Jupyter saves it", "check what you see before you save it"
    return sentence(wrong, action=action)


def _json(text: str) -> Any:
    """What JSON text holds; infinity and what is no number are none in a page.  Raises AnchorsimError."""
    try:
        return json.loads(text, parse_float=_number, parse_constant=_number)
    except json.JSONDecodeError as error:
        what = f"line {error.lineno} is not JSON" if text.strip() else "the file is empty"
        raise _refusal(what) from None


def _number(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise _refusal(f"{brief_path(text)} is not a number")
    return number


def _refusal(wrong: str) -> AnchorsimError:
    return AnchorsimError(sentence(wrong, FITS, AGAIN))


def _fault(notebook: Any) -> str:
    """The first of its parts that is not what a page needs, said in a clause; empty where all are."""
    for place, value, kind in _parts(notebook):
        if not isinstance(value, kind) or isinstance(value, bool):
            return f"{place} is missing or of a wrong kind"
    return ""


def _parts(notebook: Any) -> Iterator[tuple[str, object, type | tuple[type, ...]]]:
    """The parts that a page needs: the place of each, what is there, and of what kind it is to be.

    Whoever goes through them stops at the first that is not, so that what holds the next is as it should be.
    """
    yield "the notebook", notebook, dict
    yield "nbformat", notebook.get("nbformat") if notebook.get("nbformat") in FORMATS else None, int
    if notebook["nbformat"] != FORMATS[-1]:
        return
    yield "metadata", notebook.get("metadata"), dict
    yield "cells", notebook.get("cells"), list
    for number, cell in enumerate(notebook["cells"]):
        at = f"cells[{number}]"
        yield at, cell, dict
        yield f"{at}.cell_type", cell["cell_type"] if cell.get("cell_type") in CELLS else None, str
        yield f"{at}.metadata", cell.get("metadata"), dict
        yield f"{at}.source", cell.get("source"), (str, list)
        if cell["cell_type"] != "code":
            yield f"{at}.attachments", cell.get("attachments", {}), dict
            continue
        yield f"{at}.outputs", cell.get("outputs"), list
        for place, output in enumerate(cell["outputs"]):
            yield f"{at}.outputs[{place}]", output, dict
            yield f"{at}.outputs[{place}].output_type", output.get("output_type"), str
            yield f"{at}.outputs[{place}].data", output.get("data", {}), dict


def _place(path: Iterable[str | int]) -> str:
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return brief_path("".join(steps).lstrip(".") or "a part of the notebook")
