"""A span of the day in a diary: what was noted in it, and whether it could be judged."""

from dataclasses import dataclass

from pocketpump.core.messages import message
from pocketpump.core.statistics.ranks import Shift

SPAN_HOURS = 4
"""Six spans a day (own choice): finer ones rarely hold enough check-ins."""
FEWEST_DAYS = 14
"""Fewer days with a check-in both in a span and outside it are not enough (own choice)."""
LEAST_RATE_SHARE = 0.05
"""A rate less than this share off its daily mean is at it: the smallest step of the dose that the
label names is 5 %, and a rhythm of less explains nothing (own choice)."""
JUDGED, FEW_DAYS, RATE_CHANGES = "judged", "few days", "rate changes"


@dataclass(frozen=True, slots=True)
class Span:
    """One span of the day: ``start_hour`` to ``start_hour`` + `SPAN_HOURS` by the wall clock.

    ``days`` have a check-in in it; ``middle`` is the median of their scores, one a day (None
    without any); ``rate_mcg_per_h`` is the mean rate in it over a week. ``coverage`` is "judged",
    "few days" or "rate changes" (there or in the four hours before).
    """

    start_hour: int
    days: int
    middle: float | None
    rate_mcg_per_h: float
    coverage: str = FEW_DAYS

    @property
    def name(self) -> str:
        """The span in words: "04:00 to 08:00"."""
        start, end = self.start_hour, (self.start_hour + SPAN_HOURS) % 24
        # Note: two clock times.
        return message("{start} to {end}", start=f"{start:02d}:00", end=f"{end:02d}:00")


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A span whose scores lie above those of the rest of the same days by ``shift``.

    ``days`` were compared, on all of which the rate in the span and before it stood as ``level``
    says to its mean of that day: "at", "below", "at or below" or "above".
    """

    span: Span
    shift: Shift
    days: int
    level: str
