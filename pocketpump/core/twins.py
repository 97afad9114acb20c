"""One refill noted twice, as on two phones in the same room, before their copies were merged."""

from collections.abc import Sequence
from itertools import pairwise
from math import isclose

from pocketpump.core.errors import Problem
from pocketpump.core.instants import date_text, to_seconds
from pocketpump.core.timeline import Fill
from pocketpump.core.wording import worded

# No pump is refilled twice within half a day in the ordinary way (own choice, no source).
_APART_S = 12 * 3_600


def is_twin(before: Fill, fill: Fill) -> bool:
    """Return whether ``fill`` looks like ``before`` noted again: within 12 hours, the same drug."""
    return (
        abs(to_seconds(fill.at) - to_seconds(before.at)) <= _APART_S
        and isclose(fill.volume_ml, before.volume_ml, abs_tol=1e-3)
        and isclose(fill.strength_mcg_per_ml, before.strength_mcg_per_ml, rel_tol=1e-5)
    )


def twin_problems(fills: Sequence[Fill]) -> tuple[Problem, ...]:
    """Return a problem for each of ``fills`` (any order) that looks like the one before again."""
    ordered = sorted(fills, key=lambda fill: to_seconds(fill.at))
    return tuple(
        Problem(
            "twin-refills",
            worded(
                "Two refills on {day} have the same volume and strength: if it was one, noted"
                " twice, open one of them under Refills and remove it.",
                day=date_text(fill.at.date()),
            ),
            (before.id, fill.id),
        )
        for before, fill in pairwise(ordered)
        if is_twin(before, fill)
    )
