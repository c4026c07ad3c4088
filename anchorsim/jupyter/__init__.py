"""The server that opens the screens, the copies it keeps, and the warm-up of the kernel.

Door: launch, shortcut.
"""

import sys
from typing import Any

# Both the server and plotly import jsonschema, which takes this optional package for one check of addresses
# that nothing here makes; building its grammar at import costs two seconds in each, half the time to start.
_modules: Any = sys.modules
_modules.setdefault("rfc3987_syntax", None)
