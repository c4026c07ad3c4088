"""The explorer: one screen to describe boat, tackle, spot and weather, and to see what comes of it."""

from anchorsim.explorer.app import Explorer
from anchorsim.explorer.opening import explore

__all__ = ["Explorer", "explore"]
