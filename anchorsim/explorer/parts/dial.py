"""A bearing that a person sets: on a compass dial, by the keys, or by typing it."""

from __future__ import annotations

from pathlib import Path

import traitlets

from anchorsim.explorer.parts.amount import Amount


class Dial(Amount):
    """An amount in degrees, with a compass dial in place of the slider; it goes round past north.

    ``large`` makes the dial one to be pointed with, as the wind's; a small one stands in its row.
    """

    _esm = Path(__file__).with_name("dial.js")

    large = traitlets.Bool(False).tag(sync=True)
