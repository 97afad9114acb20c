"""What the days before and after a change of the setting say of it: lower, higher, not clear."""

from dataclasses import dataclass
from datetime import date

from pocketpump.core.statistics import Shift

FEWEST_DAYS = 7
"""Fewer days with a check-in on either side are not enough to say (own choice)."""
CONFIDENCE = 0.95

NOT_ENOUGH, SETTLING, LOWER, HIGHER, UNCLEAR = (
    "not enough", "settling", "lower", "higher", "no clear change",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sample:
    """The days on one side of a change: how many, of how many check-ins, from when to when."""

    days: int
    check_ins: int
    median: float | None
    first: date | None
    last: date | None


def verdict_of(shift: Shift | None, settling: bool) -> str:
    """Return the word for a shift; None, too few days, is settling or not enough."""
    if shift is None:
        return SETTLING if settling else NOT_ENOUGH
    if shift.low > 0:
        return HIGHER
    return LOWER if shift.high < 0 else UNCLEAR
