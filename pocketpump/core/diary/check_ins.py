"""Check-ins as the calculation sees them: scores at instants, by day and by hour.

``at`` carries the offset of the place where the check-in was made, so its date and hour
are those of the wall clock the person saw, also after a journey.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from statistics import median

from pocketpump.core.messages import message

STIFFNESS = "stiffness"
SPASMS = "spasms"
SCALES: Mapping[str, int] = {
    # Penn 1989, NINDS common data elements: 0-4. The rest are 0-10 scores, own wording.
    STIFFNESS: 10,
    SPASMS: 4,
    "pain": 10,
    "sleep": 10,
    "sleepiness": 10,
    "ease": 10,
}
"""Every score and its highest value."""

SCALE_WORDS: Mapping[str, str] = {
    STIFFNESS: message("stiffness"),
    SPASMS: message("spasms"),
    "pain": message("pain"),
    "sleep": message("sleep"),
    "sleepiness": message("sleepiness"),
    # Note: how easy walking and moving over is.
    "ease": message("ease"),
}
"""Every score as it is named within a sentence."""

SIDE_EFFECTS: Mapping[str, str] = {
    "constipation": message("constipation"),
    "nausea": message("nausea"),
    "headache": message("headache"),
    "dizzy": message("dizzy"),
    "loose muscles": message("loose muscles"),
    "trouble peeing": message("trouble peeing"),
    "drowsy": message("much more drowsy than usual"),
    "confusion": message("confusion"),
    "vomiting": message("throwing up"),
}
"""Every side effect the check-in offers, as it is named within a sentence."""


def side_effect_words(effect: str) -> str:
    """Return a kept side effect as it is named within a sentence, also one not offered now."""
    return SIDE_EFFECTS.get(effect, effect)


# Spasm frequency, Penn 1989, own words (NINDS common data elements, free).
SPASM_WORDS = (
    # Note: no spasms; the five answers say how often they come.
    message("none"),
    # Note: spasms come only when something sets them off.
    message("only when set off"),
    message("less than one an hour"),
    message("more than one an hour"),
    message("more than ten an hour"),
)
# Note: how strong the spasms are.
SEVERITY_WORDS = (message("mild"), message("moderate"), message("severe"))


@dataclass(frozen=True, slots=True)
class CheckIn:
    """One check-in. Scores run from 0 to the number in `SCALES`; None: not answered."""

    at: datetime
    scores: Mapping[str, float]
    side_effects: tuple[str, ...] = ()
    id: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One score at one instant."""

    at: datetime
    value: float


@dataclass(frozen=True, slots=True)
class DiaryEvent:
    """Something that happened at ``at``; ``what`` is a word of `diary_events.HAPPENINGS` or free.

    ``feels_different`` says that the pump felt different after it; ``until`` when it was over,
    where it took days.
    """

    at: datetime
    what: str
    follow_up_done: bool = False
    note: str = ""
    id: str = ""
    feels_different: bool = False
    until: datetime | None = None


def readings(check_ins: Iterable[CheckIn], scale: str) -> tuple[Reading, ...]:
    """Return the answers on one scale, in the order given."""
    return tuple(Reading(c.at, c.scores[scale]) for c in check_ins if scale in c.scores)


def daily_medians(marks: Iterable[Reading]) -> dict[date, float]:
    """Return the median of each day that has any; days by the wall clock of the check-in.

    One number a day, so that a bad day with many check-ins does not count many times.
    """
    by_day: dict[date, list[float]] = {}
    for mark in marks:
        by_day.setdefault(mark.at.date(), []).append(mark.value)
    return {day: median(values) for day, values in sorted(by_day.items())}


def between(marks: Sequence[Reading], start: datetime, end: datetime) -> Sequence[Reading]:
    """Return the readings from ``start`` on and before ``end``; ``marks`` in order of time."""
    first = bisect_left(marks, start, key=lambda mark: mark.at)
    return marks[first : bisect_left(marks, end, first, key=lambda mark: mark.at)]
