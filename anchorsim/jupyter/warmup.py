"""An IPython extension that fetches what the explorer needs while the page is still loading.

The server starts the kernel before the browser has loaded JupyterLab.  Importing the package, and loading or
making the compiled kernels, is done meanwhile on a thread of its own, so that the kernel answers at once.
"""

from __future__ import annotations

import contextlib
import importlib
import sys
import threading
from typing import Any

from anchorsim.core.jit import PREPARING, WARMUP

PATIENCE = 4.0  # s; loading what was compiled before takes less


def load_ipython_extension(shell: Any) -> None:
    """Called by IPython when the shell exists, which ipywidgets needs before it is imported."""
    threading.Thread(target=warm, name=WARMUP, daemon=True).start()


def warm() -> None:
    """Import the explorer and make its compiled code ready.

    What goes wrong here is left to the notebook's own cell to tell, which meets the same and shows it.
    """
    with contextlib.suppress(Exception):
        importlib.import_module("anchorsim.explorer")
        swing = importlib.import_module("anchorsim.dynamics.simulation")
        notice = threading.Timer(PATIENCE, print, [PREPARING], {"file": sys.__stdout__, "flush": True})
        notice.daemon = True
        notice.start()
        try:
            swing.warm()
        finally:
            notice.cancel()
