"""Photographs for the page: only from the scenario's own folder, made small, and freed of what they hide.

What a camera writes into a file beside the picture (where and when, on which machine) is left out.
"""

from __future__ import annotations

import base64
import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

_LARGEST = 900  # pixels along the longer side: 110 mm of paper at 200 to the inch
_QUALITY = 78
_KINDS = ("JPEG", "PNG", "WEBP", "GIF", "TIFF", "BMP")
_MOST_PIXELS = 120_000_000  # a camera of 100 megapixels is still read
_MOST_BYTES = 100_000_000


@dataclass(frozen=True)
class Photograph:
    """A photograph as its finding names it: its data address, or what is wrong with it."""

    name: str
    address: str = ""
    wrong: str = ""


def photograph(folder: Path, name: str) -> Photograph:
    """The photograph of a name relative to ``folder``, with a sentence where it cannot be shown.

    Only files within the folder are read, so that a scenario from a stranger shows nothing else.
    """
    try:
        base = folder.resolve()
        path = (base / name).resolve()
        if not path.is_relative_to(base):
            return Photograph(name, wrong="not shown: outside the folder of the scenario file")
        if not path.is_file():
            return Photograph(name, wrong="not found beside the scenario file")
        if path.stat().st_size > _MOST_BYTES:
            return Photograph(name, wrong=f"not shown: over {_MOST_BYTES // 1_000_000} MB")
        return Photograph(name, address=_small(path))
    except (
        OSError,
        ValueError,
        RuntimeError,
        SyntaxError,
        Image.DecompressionBombError,
    ):  # what Pillow raises
        return Photograph(name, wrong="not readable: damaged, or not a photograph")


def _small(path: Path) -> str:
    """The picture upright, no larger than the page shows it, as JPEG in a data address."""
    with warnings.catch_warnings(), path.open("rb") as file:
        warnings.simplefilter("ignore")  # a damaged tag that the picture does not need
        with Image.open(file, formats=_KINDS) as opened:
            if opened.width * opened.height > _MOST_PIXELS:
                raise ValueError("too many pixels")
            opened.draft("RGB", (_LARGEST, _LARGEST))
            upright = ImageOps.exif_transpose(opened)
        upright.thumbnail((_LARGEST, _LARGEST))
        flat = upright.convert("RGBA") if upright.has_transparency_data else upright.convert("RGB")
        if flat.mode == "RGBA":
            ground = Image.new("RGB", flat.size, "white")
            ground.paste(flat, mask=flat.getchannel("A"))
            flat = ground
        sheet = io.BytesIO()
        flat.save(sheet, "JPEG", quality=_QUALITY, optimize=True)
    return f"data:image/jpeg;base64,{base64.b64encode(sheet.getvalue()).decode()}"
