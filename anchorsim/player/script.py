"""The player's browser code: modules beside this one, joined into the one that goes to the browser.

Their names are told apart across all of them, so that joining takes no more than leaving out what they import
from each other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

MODULES = ("run", "pens", "labels", "views", "saving", "timeline", "style", "overlay", "player")  # in order
FILES = tuple(Path(__file__).with_name(f"{name}.js") for name in MODULES)


def joined(files: Iterable[Path]) -> str:
    """One text of modules in order, which imports and exports nothing."""
    return re.sub(
        r"^export (?=const |function |class |async )",
        "",
        "\n".join(
            re.sub(
                r'^import \{[^}]*\} from "\.[\w./]*/\w+\.js";\n',
                "",
                each.read_text("utf-8"),
                flags=re.MULTILINE,
            )
            for each in files
        ),
        flags=re.MULTILINE,
    )


SCRIPT = joined(FILES) + "\nexport default { render };\n"
"""The module that anywidget calls."""
