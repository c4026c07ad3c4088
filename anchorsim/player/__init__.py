"""The player: one clock in the browser that moves what moves in the views, and what it is handed over.

Door: packing, quantised, script, the room itself.
"""

from anchorsim.player.packing import state
from anchorsim.player.script import SCRIPT

__all__ = ["SCRIPT", "state"]
