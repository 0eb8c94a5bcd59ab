"""`python -m brackets` is the command `brackets`."""

import sys

from brackets.cli import main

if __name__ == "__main__":
    sys.exit(main())
