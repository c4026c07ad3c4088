"""How many pixels a picture has, told by its first bytes: a small file can hold more than a machine can."""

from __future__ import annotations

import struct
import sys

_PNG = b"\x89PNG\r\n\x1a\n"
# Markers of a JPEG (ITU-T T.81, table B.1): those that begin a frame, and those that stand without a length.
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_PIECES = 1_000  # looked through before the frame; a camera writes some ten
_BARE = frozenset({0x01, *range(0xD0, 0xD9)})


def pixels(content: bytes) -> int:
    """The pixels of a JPEG or PNG; 0 where it has none, and no end of them where it hides how many.

    A PNG begins with its width and height (ISO/IEC 15948, 11.2.2); a JPEG has them where its frame begins
    (ITU-T T.81, B.2.2).

    >>> pixels(_PNG + bytes(4) + b"IHDR" + struct.pack(">II", 30, 20))
    600
    """
    if content.startswith(_PNG):
        return _product(content[16:24], ">II")
    place = 2
    for _ in range(_PIECES):
        if content[place : place + 1] != b"\xff" or place + 1 >= len(content):
            return 0
        marker = content[place + 1]
        if marker in _FRAMES:
            return _product(content[place + 5 : place + 9], ">HH")
        if marker == 0xFF:  # a byte that only fills up
            place += 1
        else:
            place += 2 if marker in _BARE else 2 + int.from_bytes(content[place + 2 : place + 4], "big")
    return sys.maxsize


def _product(found: bytes, form: str) -> int:
    if len(found) < struct.calcsize(form):
        return 0
    high, wide = struct.unpack(form, found)
    return int(high * wide)
