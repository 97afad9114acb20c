"""``python -m pocketpump`` is the same as ``pocketpump``."""

import sys

from pocketpump.cli import main

sys.exit(main())
