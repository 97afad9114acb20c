"""What was in the pump, what it pumped and what reached the body, exact and event by event.

A timeline is a chain of segments. Within one segment the programme, the drug in the
reservoir and the drug at the catheter tip stay the same, so volume and dose follow in
closed form from the programme's `Curve`.

The line (tubing and catheter) is a first-in, first-out queue of plugs: after a strength
change the old drug still has to be pumped out before the new one arrives. With the
clinic's bridge the pump runs as if the strength at the tip were the strength, so the dose
stays right; without it the flow follows the new strength at once.
"""

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import inf

from pocketpump.core.errors import Problem
from pocketpump.core.instants import to_seconds
from pocketpump.core.pattern import Curve, Programme, curve_of
from pocketpump.core.wording import worded

# Less than this in the line is a crumb of floating-point arithmetic, not drug.
_CRUMB_ML = 1e-9
# Below the resolution of a float that counts seconds since 1970.
_TICK_S = 1e-6
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

    def counts_requests(self, fill: int) -> bool:
        """Tell whether boluses on request, counted as all taken, are in what ``fill`` pumped."""
        return any(segment.requested for segment in self._own(fill))

    def _own(self, fill: int) -> list[Segment]:
        return [segment for segment in self.segments if segment.fill == fill]

    def pumped_at(self, at_s: float) -> float:
        """Return the mL the programme has asked for since the first fill."""
        segment = self.segment_at(at_s)
        return 0.0 if segment is None else segment.pumped_ml + segment.pumped_by(at_s)

    def reaches_body_mcg_per_h(self, at_s: float) -> float | None:
        """Return the mcg an hour leaving the catheter tip; None if the line volume is unknown."""
        segment = self.segment_at(at_s)
        if segment is None or segment.tip_mcg_per_ml is None:
            return None
        if self.volume_at(at_s) == 0.0:
            return 0.0
        flow = segment.curve.rate_at(at_s) / segment.divisor_mcg_per_ml
        return flow * segment.tip_mcg_per_ml * 3_600

    def reached_body_mcg(self, start_s: float, end_s: float) -> float | None:
        """Return the mcg that left the catheter tip between two seconds while drug was there."""
        total = 0.0
        for segment in self.segments:
            begin, end = max(start_s, segment.start_s), min(end_s, segment.end_s)
            if end <= begin:
                continue
            if segment.tip_mcg_per_ml is None:
                return None
            dry = segment.start_s + segment.time_to_pump(max(0.0, segment.volume_ml))
            end = min(end, max(begin, dry))
            pumped = segment.curve.delivered(begin, end) / segment.divisor_mcg_per_ml
            total += pumped * segment.tip_mcg_per_ml
        return total

    def reaches_volume(self, fill: int, level_ml: float) -> float:
        """Return the UTC second at which fill ``fill`` is down to ``level_ml``; inf if never."""
        return self.has_pumped(fill, self.fills[fill].volume_ml - level_ml)

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


def build_timeline(
    fills: Sequence[Fill],
    settings: Sequence[Setting],
    line_volume_ml: float | None = None,
    requested_share: float = 1.0,
) -> tuple[Timeline, tuple[Problem, ...]]:
    """Return the timeline of ``fills`` and ``settings`` (any order) and what was odd about them.

    Of fills at one instant the last one given counts; :attr:`Timeline.fills` has only that.

    ``requested_share`` is how much of the requested boluses to count, 0 none to 1 all.
    Without fills or settings the timeline is empty.
    """
    by_instant = {to_seconds(fill.at): fill for fill in fills}
    ordered_fills = tuple(by_instant[at_s] for at_s in sorted(by_instant))
    ordered_settings = sorted(settings, key=lambda setting: to_seconds(setting.at))
    if not ordered_fills or not ordered_settings:
        return Timeline((), ordered_fills), ()
    problems = _same_minute(fills, ordered_fills)
    first = ordered_fills[0]
    if to_seconds(ordered_settings[0].at) > to_seconds(first.at):
        problems.append(
            Problem(
                "setting-after-fill",
                worded(
                    "The first dose setting is later than the first refill, so it is counted from"
                    " that refill on."
                ),
                (ordered_settings[0].id,),
            )
        )
    walker = _Walker(line_volume_ml, requested_share, ordered_settings[0].programme)
    events: list[tuple[float, int, Fill | Setting]] = [
        *((to_seconds(setting.at), 0, setting) for setting in ordered_settings),
        *((to_seconds(fill.at), 1, fill) for fill in ordered_fills),
    ]
    # At one instant the setting comes first: a fill then starts under the new programme.
    events.sort(key=lambda event: event[:2])
    for at_s, _, event in events:
        walker.advance(at_s)
        if isinstance(event, Fill):
            problems.extend(walker.fill(event))
        else:
            walker.run(event.programme)
    walker.advance(inf)
    return Timeline(tuple(walker.segments), ordered_fills), tuple(problems)


def _same_minute(given: Sequence[Fill], counted: Sequence[Fill]) -> list[Problem]:
    if len(given) == len(counted):
        return []
    doubled = tuple(fill.id for fill in given if fill not in counted)
    return [
        Problem(
            "refill-twice",
            worded(
                "Two refills are noted for the same minute and only the one noted last counts:"
                " remove the other one under Refills."
            ),
            doubled,
        )
    ]


class _Walker:
    """Walks the events in order and cuts the time between them into segments."""

    def __init__(
        self, line_volume_ml: float | None, requested_share: float, programme: Programme
    ) -> None:
        self.segments: list[Segment] = []
        self._line_volume_ml = line_volume_ml
        self._requested_share = requested_share
        self.run(programme)
        self._now_s = 0.0
        self._fill = -1
        self._strength = 0.0
        self._volume_ml = 0.0
        self._pumped_ml = 0.0
        self._bridged = False
        self._strength_changed = False
        self._line: deque[tuple[float, float]] = deque()

    def run(self, programme: Programme) -> None:
        """Take in a dose setting at the instant last advanced to."""
        self._curve = curve_of(programme, self._requested_share)
        self._requested = programme.requested is not None and self._requested_share > 0

    def fill(self, fill: Fill) -> tuple[Problem, ...]:
        """Take in a refill at the instant last advanced to."""
        changed = self._fill >= 0 and fill.strength_mcg_per_ml != self._strength
        problems: tuple[Problem, ...] = ()
        if self._fill < 0 and self._line_volume_ml is not None:
            # What was in the line before the first entry is not known; the same drug is
            # the only assumption that does not invent a strength change.
            self._line.append((self._line_volume_ml, fill.strength_mcg_per_ml))
        if changed:
            self._strength_changed = True
            stronger = fill.strength_mcg_per_ml > self._strength
            # Old weak drug at a bridge's pace, or old strong drug without one: more flow.
            self._bridged = stronger if fill.bridged is None else fill.bridged
            if fill.bridged is None:
                problems = (
                    Problem(
                        "bridge-unknown",
                        worded(
                            "It is not known whether the clinic programmed a bridge for the new"
                            " strength, so the earlier date is counted: ask the clinic."
                        ),
                        (fill.id,),
                    ),
                )
            if self._line_volume_ml is None:
                problems += (
                    Problem(
                        "line-volume-unknown",
                        worded(
                            "The strength changed but the line volume is not known, so how long"
                            " the old drug stays in the line cannot be computed, and with a"
                            " bridge the alarm comes some days earlier than told: ask the clinic"
                            " for it."
                        ),
                        (fill.id,),
                    ),
                )
        self._fill += 1
        self._strength = fill.strength_mcg_per_ml
        self._volume_ml = fill.volume_ml
        return problems

    def advance(self, until_s: float) -> None:
        """Cut segments from the present instant until ``until_s``."""
        while self._fill >= 0 and self._now_s < until_s:
            old_in_line = any(strength != self._strength for _, strength in self._line)
            segment = self._segment(until_s, old_in_line)
            pumped_ml = inf
            if old_in_line:
                pumped_ml = self._line[0][0]
                arrives_s = self._now_s + segment.time_to_pump(pumped_ml)
                if arrives_s <= self._now_s + _TICK_S:
                    self._line.popleft()
                    continue
                segment = replace(segment, end_s=min(until_s, arrives_s))
            self.segments.append(segment)
            if segment.end_s < inf:
                self._pump(min(pumped_ml, segment.pumped_by(segment.end_s)))
            self._now_s = segment.end_s
        self._now_s = until_s

    def _segment(self, until_s: float, old_in_line: bool) -> Segment:
        if self._line_volume_ml is None:
            # One strength ever since the first fill needs no line volume to be known.
            tip = None if self._strength_changed else self._strength
        else:
            tip = self._line[0][1] if self._line else self._strength
        bridging = self._bridged and old_in_line
        return Segment(
            start_s=self._now_s,
            end_s=until_s,
            curve=self._curve,
            strength_mcg_per_ml=self._strength,
            divisor_mcg_per_ml=tip if bridging and tip is not None else self._strength,
            tip_mcg_per_ml=tip,
            volume_ml=self._volume_ml,
            pumped_ml=self._pumped_ml,
            fill=self._fill,
            requested=self._requested,
        )

    def _pump(self, volume_ml: float) -> None:
        self._volume_ml -= volume_ml
        self._pumped_ml += volume_ml
        if self._line_volume_ml is None:
            return
        if self._line and self._line[-1][1] == self._strength:
            self._line[-1] = (self._line[-1][0] + volume_ml, self._strength)
        else:
            self._line.append((volume_ml, self._strength))
        left = volume_ml
        while left > 0 and self._line:
            plug_ml, strength = self._line[0]
            if plug_ml - left > _CRUMB_ML:
                self._line[0] = (plug_ml - left, strength)
                return
            self._line.popleft()
            left -= plug_ml
