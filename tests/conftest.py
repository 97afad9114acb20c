"""For every test: slow ones first, and no time limit, which is what benchmarks are for."""

from pathlib import Path

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")

# The files that take longest begin, so that no core waits for them at the end.
_SLOW_FIRST = ("web", "browser")


def pytest_collection_modifyitems(items):
    """Put the slow folders first; within one, all stays in order."""

    def rank(item):
        folder = Path(item.path).parent.name
        return _SLOW_FIRST.index(folder) if folder in _SLOW_FIRST else len(_SLOW_FIRST)

    items.sort(key=rank)
