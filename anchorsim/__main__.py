"""``python -m anchorsim`` does what the command ``anchorsim`` does."""

import sys

from anchorsim.cli import main

if __name__ == "__main__":
    sys.exit(main())
