"""A page read back without a browser: its book, and each choice's packed bytes."""

from __future__ import annotations

import base64
import json
import re
import struct
import zlib
from typing import Any


def book(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="book">(.*?)</script>', page, re.DOTALL)
    assert found
    read: dict[str, Any] = json.loads(found[1])
    return read


def unpacked(data: str) -> tuple[dict[str, Any], bytes, bytes]:
    """The scene, the packed run and the packed shapes of a choice, as the layout in ``page.py`` says."""
    whole = zlib.decompress(base64.b64decode(data), -15)
    scene, run = struct.unpack_from("<II", whole)
    assert 8 + scene + run < len(whole)
    return json.loads(whole[8 : 8 + scene]), whole[8 + scene : 8 + scene + run], whole[8 + scene + run :]
