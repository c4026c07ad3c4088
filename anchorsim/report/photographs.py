"""Photographs for the page: only from the scenario's own folder, made small, and freed of what they hide.

What a camera writes into a file beside the picture (where and when, on which machine) is left out.
"""

from __future__ import annotations

import base64
import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageOps

from anchorsim.core.reading import (
    PHOTOGRAPH,
    PIXELS,
    PIXELS_COPIED,
    PIXELS_SCALED,
    ReadError,
    open_plain,
    within,
)

_LARGEST = 900  # pixels along the longer side: 110 mm of paper at 200 to the inch
_QUALITY = 78
_KINDS = ("JPEG", "PNG", "WEBP", "GIF", "TIFF", "BMP")


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
    path = folder / name
    try:
        if not within(path, folder):
            return Photograph(name, wrong="not shown: outside the folder of the scenario file")
        if not path.is_file():
            return Photograph(name, wrong="not found beside the scenario file")
        with open_plain(path, PHOTOGRAPH) as file:
            return Photograph(name, address=_small(file))
    except ReadError:
        return Photograph(name, wrong=f"not shown: over {PHOTOGRAPH.bytes / 1e6:.0f} MB")
    except Image.DecompressionBombError:
        return Photograph(name, wrong="not shown: too many pixels")
    except (OSError, ValueError, RuntimeError, SyntaxError):  # what Pillow raises
        return Photograph(name, wrong="not readable: damaged, or not a photograph")


def _small(file: BinaryIO) -> str:
    """The picture upright, no larger than the page shows it, as JPEG in a data address.

    It is made smaller before anything else is done with it, a JPEG as it is unpacked; one that comes in
    several passes is unpacked whole all the same.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a damaged tag that the picture does not need
        with Image.open(file, formats=_KINDS) as opened:
            if opened.width * opened.height > _most(opened):
                raise Image.DecompressionBombError
            opened.draft("RGB", (_LARGEST, _LARGEST))
            opened.thumbnail((_LARGEST, _LARGEST))
            upright = ImageOps.exif_transpose(opened)
        flat = upright.convert("RGBA") if upright.has_transparency_data else upright.convert("RGB")
        if flat.mode == "RGBA":
            ground = Image.new("RGB", flat.size, "white")
            ground.paste(flat, mask=flat.getchannel("A"))
            flat = ground
        sheet = io.BytesIO()
        flat.save(sheet, "JPEG", quality=_QUALITY, optimize=True)
    return f"data:image/jpeg;base64,{base64.b64encode(sheet.getvalue()).decode()}"


def _most(opened: Image.Image) -> int:
    """How many pixels a picture of its kind may have; a WebP is held four times over as it is unpacked."""
    if opened.format in ("JPEG", "MPO") and not opened.info.get("progressive"):
        return PIXELS_SCALED
    return PIXELS_COPIED if opened.format == "WEBP" or opened.mode in ("LA", "RGBA") else PIXELS
