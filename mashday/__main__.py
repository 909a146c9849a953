"""Runs the command line as `python -m mashday`."""

import sys

from mashday.cli import main

if __name__ == "__main__":
    sys.exit(main())
