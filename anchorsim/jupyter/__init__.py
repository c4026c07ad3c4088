"""Opening the explorer in JupyterLab: the server, the person's copies of the notebooks, and what runs them.

Importing this package in the server and in the kernel leaves out one optional import of theirs.
"""

import sys

# Both the server and plotly import jsonschema, which takes this optional package for one check of addresses
# that nothing here makes; building its grammar at import costs two seconds in each, half the time to start.
sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
