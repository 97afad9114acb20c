"""Bringing documents of older records to the current schema, one version at a time.

Each step is a pure function from a document of version N to one of version N+1 and is kept
for ever. The file that was migrated stays as the generation before.
"""

from collections.abc import Callable, Mapping
from typing import Any

SCHEMA = 1
"""The version of documents written today."""

Step = Callable[[Mapping[str, Any]], dict[str, Any]]

STEPS: Mapping[int, Step] = {}
"""For each older version N the step from N to N+1; version 1 was the first ever written."""


def migrate(
    document: Mapping[str, Any],
    schema: int,
    *,
    steps: Mapping[int, Step] = STEPS,
    target: int = SCHEMA,
) -> dict[str, Any]:
    """Return the document as of version ``target``.

    A version without a step is taken over unchanged, for dropping what we once wrote would
    be worse than reading it leniently.
    """
    current = dict(document)
    for version in range(schema, target):
        if version in steps:
            current = steps[version](current)
    return current
