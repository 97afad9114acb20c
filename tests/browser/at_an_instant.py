"""The app with a clock that stands still: ``python -m at_an_instant INSTANT …`` as `pocketpump`."""

import sys
from datetime import datetime

from pocketpump.cli import main

if __name__ == "__main__":
    INSTANT = datetime.fromisoformat(sys.argv[1])
    sys.exit(main(sys.argv[2:], clock=lambda: INSTANT))
