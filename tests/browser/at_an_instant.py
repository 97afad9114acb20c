"""The app with a clock that stands still: ``python -m at_an_instant INSTANT …`` as `pocketpump`.

``@FILE`` in the place of the instant reads it from that file at every look at the clock.
"""

import sys
from datetime import datetime
from pathlib import Path

from pocketpump.cli import main

if __name__ == "__main__":
    GIVEN = sys.argv[1]

    def clock() -> datetime:
        text = Path(GIVEN[1:]).read_text() if GIVEN.startswith("@") else GIVEN
        return datetime.fromisoformat(text)

    sys.exit(main(sys.argv[2:], clock=clock))
