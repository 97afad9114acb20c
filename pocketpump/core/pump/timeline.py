"""What was in the pump, what it pumped and what reached the body, exact and event by event.

A timeline is a chain of segments. Within one segment the programme, the drug in the
reservoir and the drug at the catheter tip stay the same, so volume and dose follow in
closed form from the programme's `Curve`.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo
from math import inf
from typing import TypeVar

from pocketpump.core.pump.programme import Curve, Programme
from pocketpump.core.units.instants import DAY_S, from_seconds, to_seconds

# A date further off than this is not worth a countdown; no pump holds drug that long.
_HORIZON_S = 3_650 * DAY_S
# A level counts as reached this much early, so that rounding cannot carry it over a pause.
_HAIR_ML = 1e-10


@dataclass(frozen=True, slots=True)
class Fill:
    """A refill: from ``at`` on the reservoir holds ``volume_ml`` of ``strength_mcg_per_ml``.

    ``bridged`` says whether the clinic programmed a bridge for a strength change; None,
    nobody knows, counts as whichever of the two empties the pump sooner.
    ``expected_ml`` and ``withdrawn_ml`` are what should have been left of the fill before,
    by the clinic's reckoning, and what was taken out; None where nobody said.
    """

    at: datetime
    volume_ml: float
    strength_mcg_per_ml: float
    bridged: bool | None = False
    id: str = ""
    expected_ml: float | None = None
    withdrawn_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """From ``at`` on the pump runs ``programme``."""

    at: datetime
    programme: Programme
    id: str = ""


Noted = TypeVar("Noted", Fill, Setting)


def minute_of(at: datetime) -> int:
    """Return the minutes since 1970 of an aware instant: what people note has no seconds."""
    return int(to_seconds(at) // 60)


def in_order(noted: Iterable[Noted]) -> tuple[Noted, ...]:
    """Return ``noted`` oldest first, one a minute: of several in one minute the last given counts.

    The one rule for what was noted twice; `pocketpump.core.pump.situation.Situation` goes by it.
    """
    by_minute = {minute_of(one.at): one for one in noted}
    return tuple(by_minute[minute] for minute in sorted(by_minute))


@dataclass(frozen=True, slots=True)
class Segment:
    """A span in which nothing changes but the hour; instants in UTC seconds, ``end_s`` may be inf.

    Flow is rate ÷ ``divisor_mcg_per_ml``; what reaches the body is flow ×
    ``tip_mcg_per_ml`` (None: not known, because the line volume is not).
    ``volume_ml`` and ``pumped_ml`` (since the first fill) are those at ``start_s``; the
    volume runs on below zero here and is cut at zero where it is read.
    """

    start_s: float
    end_s: float
    curve: Curve
    strength_mcg_per_ml: float
    divisor_mcg_per_ml: float
    tip_mcg_per_ml: float | None
    volume_ml: float
    pumped_ml: float
    fill: int
    requested: bool

    def pumped_by(self, at_s: float) -> float:
        """Return the mL pumped from this segment's start until ``at_s``."""
        return self.curve.delivered(self.start_s, at_s) / self.divisor_mcg_per_ml

    def time_to_pump(self, volume_ml: float) -> float:
        """Return the seconds from this segment's start by which ``volume_ml`` is pumped."""
        return self.curve.time_to_deliver(self.start_s, volume_ml * self.divisor_mcg_per_ml)


@dataclass(frozen=True, slots=True)
class Timeline:
    """The whole known past and planned future of one pump; build it with `build_timeline`."""

    segments: tuple[Segment, ...]
    fills: tuple[Fill, ...]

    def segment_at(self, at_s: float) -> Segment | None:
        """Return the segment that holds at a UTC second; None before the first fill."""
        index = bisect_right(self.segments, at_s, key=lambda segment: segment.start_s) - 1
        return self.segments[index] if index >= 0 else None

    def volume_at(self, at_s: float) -> float | None:
        """Return the mL in the reservoir at a UTC second, never below zero; None if unknown."""
        segment = self.segment_at(at_s)
        if segment is None:
            return None
        return max(0.0, segment.volume_ml - segment.pumped_by(at_s))

    def left_of(self, fill: int) -> float:
        """Return the mL left of ``fill`` when the next one was done, never below zero."""
        last = self._own(fill)[-1]
        return max(0.0, last.volume_ml - last.pumped_by(last.end_s))

    def asked_of(self, fill: int) -> float:
        """Return the mL the programme asked of ``fill`` up to the next one, also beyond empty."""
        own = self._own(fill)
        return own[0].volume_ml - own[-1].volume_ml + own[-1].pumped_by(own[-1].end_s)

    def counts_requests(self, fill: int) -> bool:
        """Tell whether boluses on request, counted as all taken, are in what ``fill`` pumped."""
        return any(segment.requested for segment in self._own(fill))

    def _own(self, fill: int) -> list[Segment]:
        return [segment for segment in self.segments if segment.fill == fill]

    def pumped_at(self, at_s: float) -> float:
        """Return the mL the programme has asked for since the first fill."""
        segment = self.segment_at(at_s)
        return 0.0 if segment is None else segment.pumped_ml + segment.pumped_by(at_s)

    def has_pumped(self, fill: int, volume_ml: float) -> float:
        """Return the UTC second by which the programme asked for ``volume_ml`` of ``fill``.

        inf if never. Later fills are left out of account: the answer is when it would happen
        without them.
        """
        own = self._own(fill)
        to_pump = volume_ml - _HAIR_ML
        if to_pump <= 0:
            return own[0].start_s
        if to_pump == inf:
            return inf
        start = own[0].pumped_ml
        index = bisect_left(own, to_pump, key=lambda segment: segment.pumped_ml - start) - 1
        segment = own[index]
        needed = to_pump - (segment.pumped_ml - start)
        return min(segment.end_s, segment.start_s + segment.time_to_pump(needed))

    def dated(self, fill: int, pumped_ml: float, zone: tzinfo) -> datetime | None:
        """Return when ``pumped_ml`` of ``fill`` is asked for, by the wall clock of ``zone``.

        None for never, and for what is more than ten years off. Every date of a fill is made here.
        """
        at_s = self.has_pumped(fill, pumped_ml)
        if at_s == inf or at_s - to_seconds(self.fills[fill].at) > _HORIZON_S:
            return None
        return from_seconds(at_s, zone)
