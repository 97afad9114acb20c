"""The app with a clock that a file sets: ``python -m a_clock_to_set FILE …`` as `pocketpump`."""

import sys
from datetime import datetime
from pathlib import Path

from pocketpump.cli import main

if __name__ == "__main__":
    SHOWN = Path(sys.argv[1])
    sys.exit(main(sys.argv[2:], clock=lambda: datetime.fromisoformat(SHOWN.read_text())))
