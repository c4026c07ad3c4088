"""``python -m anchorsim`` does what the command ``anchorsim`` does.

Python looks in the folder it is started in first, which the command does not.  Nothing is imported from there
here either, but for what Python itself has loaded by now (``python -P -m anchorsim`` keeps that out too).
"""

import sys

if __name__ == "__main__":
    if not sys.flags.safe_path:
        del sys.path[0]

    from anchorsim.cli import main

    sys.exit(main())
