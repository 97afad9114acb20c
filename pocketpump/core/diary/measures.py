"""Measures and goals of the person's own: a timed walk, a distance, anything with a number."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from pocketpump.core.messages import message

USUAL_MEASURES: tuple[tuple[str, str, bool], ...] = (
    ("Timed walk of 10 m", "s", True),
    ("Walking distance", "m", False),
    ("Time standing", "min", False),
)
"""Name, unit, and whether lower is better; offered as a start, any other may be typed."""
_NAME_WORDS = {
    "Timed walk of 10 m": message("Timed walk of 10 m"),
    "Walking distance": message("Walking distance"),
    "Time standing": message("Time standing"),
}


@dataclass(frozen=True, slots=True)
class Measure:
    """One measured value, with the goal the person has set, if any."""

    at: datetime
    name: str
    value: float
    unit: str
    goal: float | None = None
    lower_is_better: bool = False
    id: str = ""


@dataclass(frozen=True, slots=True)
class Milestone:
    """A value worth a mark: "first", "best so far" or "goal reached"."""

    measure: Measure
    what: str


def measure_words(name: str) -> str:
    """Return the name of a measure as it is shown; one of the person's own stays as typed."""
    return _NAME_WORDS.get(name, name)


def by_name(measures: Iterable[Measure]) -> dict[str, tuple[Measure, ...]]:
    """Return the measures of each name, oldest first; the name measured last comes first."""
    groups: dict[str, list[Measure]] = {}
    for measure in sorted(measures, key=lambda measure: measure.at):
        groups.setdefault(measure.name, []).append(measure)
    latest = sorted(groups.items(), key=lambda pair: pair[1][-1].at, reverse=True)
    return {name: tuple(group) for name, group in latest}


def milestones(measures: Iterable[Measure]) -> tuple[Milestone, ...]:
    """Return the milestones among measures of one name, oldest first.

    A goal is reached once: by the first value at or beyond the goal that stood at the time.
    """
    found: list[Milestone] = []
    best: float | None = None
    reached: set[float] = set()
    for measure in sorted(measures, key=lambda measure: measure.at):
        # Turned round where lower is better, so that more is always better here.
        sign = -1.0 if measure.lower_is_better else 1.0
        value = sign * measure.value
        if (
            measure.goal is not None
            and measure.goal not in reached
            and value >= sign * measure.goal
        ):
            reached.add(measure.goal)
            found.append(Milestone(measure, message("goal reached")))
        elif best is None:
            found.append(Milestone(measure, "first"))
        elif value > best:
            found.append(Milestone(measure, message("best so far")))
        best = value if best is None else max(best, value)
    return tuple(found)
