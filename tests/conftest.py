"""For every test: slow ones first, no time limit, nothing of the user's own folders or fonts."""

import os
import tempfile
from pathlib import Path

from hypothesis import settings

from pocketpump.exchange.papers.drawing import lending

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")

# The marks of records (see pocketpump.record.journal.marks); programs that a test starts inherit
# it.
os.environ["POCKETPUMP_STATE"] = tempfile.mkdtemp(prefix="pocketpump-state-")

# Whatever fonts this machine has: a test that borrows letters says from whom.
lending.lend(lambda letter: None)

# The files that take longest begin, so that no core waits for them at the end.
_SLOW_FIRST = ("web", "browser")


def pytest_collection_modifyitems(config, items):
    """Put the slow folders first; leave out what only a thorough run takes."""
    if not os.environ.get("POCKETPUMP_THOROUGH"):
        left_out = [item for item in items if item.get_closest_marker("thorough")]
        items[:] = [item for item in items if not item.get_closest_marker("thorough")]
        config.hook.pytest_deselected(items=left_out)

    def rank(item):
        folder = Path(item.path).parent.name
        return _SLOW_FIRST.index(folder) if folder in _SLOW_FIRST else len(_SLOW_FIRST)

    items.sort(key=rank)
