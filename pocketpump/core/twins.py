"""One refill noted twice, as on two phones in the same room, before their copies were merged."""

from collections.abc import Sequence
from itertools import pairwise
from math import isclose

from pocketpump.core.errors import Problem
from pocketpump.core.instants import date_text, to_seconds
from pocketpump.core.situation import Situation
from pocketpump.core.timeline import Fill, Setting
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
    """Return a problem for each of ``fills`` that looks like the one before it noted again.

    They may stand in any order, also within one minute.
    """
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


def twice_problems(situation: Situation) -> tuple[Problem, ...]:
    """Return what was noted twice for one minute, of which only the last counts.

    Two dose settings that say the same are no trouble.
    """
    twice = situation.noted_twice
    fills = tuple(one.id for one in twice if isinstance(one, Fill))
    settings = tuple(
        one.id
        for one in twice
        if isinstance(one, Setting) and situation.programme_at(one.at) != one.programme
    )
    found = []
    if fills:
        sentence = worded(
            "Two refills are noted for the same minute and only the one noted last counts:"
            " remove the other one under Refills."
        )
        found.append(Problem("refill-twice", sentence, fills))
    if settings:
        sentence = worded(
            "Two dose settings are noted for the same minute and only the one noted last counts:"
            " look at both, and correct the time of one of them."
        )
        found.append(Problem("setting-twice", sentence, settings))
    return tuple(found)
