"""JupyterLab's page with our frame in it, which is seen while JupyterLab and the kernel are loading."""

from __future__ import annotations

import re
from pathlib import Path

from anchorsim.core.markup import macros, trusted
from anchorsim.wording.pages import LESSON, PAGES, STARTING, SURVEY

SCREEN = "anchorsimScreen"  # of the page's configuration: whose frame is drawn; remoteEntry.js looks for it
_STYLES = Path(__file__).parents[1] / "explorer"
_OWN = """
#anchorsim-frame { position: fixed; inset: 0; z-index: 9999; height: 100vh; min-height: 0;
  overflow: hidden; margin: 0; }
#anchorsim-frame, #anchorsim-frame * { box-sizing: border-box; }
#anchorsim-frame p { margin: 0; }
#anchorsim-frame .title { min-width: 11em; }
#anchorsim-frame .starting-group { flex: 1; }
#anchorsim-frame.starting-alone { display: block; padding: 16px; }
"""


def with_frame(page: str) -> str:
    """JupyterLab's page, a template, with our frame first in its body where a screen of ours is opened.

    Raises ValueError where it has no body.
    """
    found = re.search(r"<body[^>]*>", page)
    if found is None:
        raise ValueError("index.html: needed JupyterLab's page, found no <body>. Reinstall JupyterLab.")
    frame, css = macros("jupyter/frame.html"), trusted(_styles())
    screens = {
        "explorer": frame.explorer(css, PAGES, *STARTING),
        "survey": frame.alone(css, SURVEY, *STARTING),
        "lesson": frame.alone(css, LESSON, *STARTING),
    }
    start, end = "{% raw %}", "{% endraw %}{% endif %}"
    parts = [
        f'{{% if page_config.{SCREEN} == "{name}" %}}{start}{frame.dress()}{text}{end}'
        for name, text in screens.items()
    ]
    return page[: found.end()] + "".join(parts) + page[found.end() :]


def _styles() -> str:
    """The style sheets of the screens, for what only looks like one."""
    sheets = [(_STYLES / name).read_text(encoding="utf-8") for name in ("look.css", "explorer.css")]
    return "".join(sheets).replace("anchorsim-", "starting-") + _OWN
