"""From fills and settings to the timeline: a walk through the events that cuts the segments.

The line (tubing and catheter) is a first-in, first-out queue of plugs: after a strength
change the old drug still has to be pumped out before the new one arrives. With the
clinic's bridge the pump runs as if the strength at the tip were the strength, so the dose
stays right; without it the flow follows the new strength at once.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf

from pocketpump.core.errors import Problem
from pocketpump.core.messages import message
from pocketpump.core.pump.programme import Programme, curve_of
from pocketpump.core.pump.timeline import Fill, Segment, Setting, Timeline, in_order
from pocketpump.core.units.instants import to_seconds

# Less than this in the line is a crumb of floating-point arithmetic, not drug.
_CRUMB_ML = 1e-9
# Below the resolution of a float that counts seconds since 1970.
_TICK_S = 1e-6
LARGEST_LINE_ML = 1.0
"""The most that tubing and catheter together are taken to hold, mL, while nobody knows: a few
tenths is usual (own rule, on the safe side; no source)."""


LINE_UNKNOWN = "line-volume-unknown"
"""The code of the problem that a strength changed in a line of unknown volume."""


def build_timeline(
    fills: Sequence[Fill],
    settings: Sequence[Setting],
    line_volume_ml: float | None = None,
    requested_share: float = 1.0,
) -> tuple[Timeline, tuple[Problem, ...]]:
    """Return the timeline of ``fills`` and ``settings`` (any order) and what was odd about them.

    Of several in one minute the last one given counts (`in_order`); :attr:`Timeline.fills` has
    only that.

    ``requested_share`` is how much of the requested boluses to count, 0 none to 1 all.
    Without fills or settings the timeline is empty.
    """
    ordered_fills, ordered_settings = in_order(fills), in_order(settings)
    if not ordered_fills or not ordered_settings:
        return Timeline((), ordered_fills), ()
    problems: list[Problem] = []
    first = ordered_fills[0]
    if to_seconds(ordered_settings[0].at) > to_seconds(first.at):
        problems.append(
            Problem(
                "setting-after-fill",
                message(
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


def still_open(
    problems: Iterable[Problem], timeline: Timeline, line_volume_ml: float | None, now_s: float
) -> Iterator[Problem]:
    """Yield ``problems`` without those about old drug in the line that no date depends on any more.

    The bridge and, with one, the line volume say how much of a fill was pumped with the old drug
    in the line: the date depends on that until a refill with a line that was pumped through
    before it. Without a bridge the line volume only says what reaches the body, up to
    ``now_s``. A line of unknown volume is taken for the largest there may be.
    """
    line_ml = LARGEST_LINE_ML if line_volume_ml is None else line_volume_ml
    fills = {fill.id: fill for fill in timeline.fills}
    for problem in problems:
        if problem.code in ("bridge-unknown", LINE_UNKNOWN):
            changed = fills[problem.ids[0]]
            asked_s = now_s if changed.bridged is False else to_seconds(timeline.fills[-1].at)
            pumped_ml = timeline.pumped_at(asked_s) - timeline.pumped_at(to_seconds(changed.at))
            if pumped_ml >= line_ml - _CRUMB_ML:
                continue
        yield problem


def _unknown(fill: Fill, *, line_known: bool, stronger: bool) -> Iterator[Problem]:
    """Yield what is not known of the change of strength at ``fill``."""
    if fill.bridged is None:
        sentence = (
            message(
                "It is not known whether the clinic programmed a bridge for the new strength, so"
                " the earlier date is counted: ask the clinic."
            )
            if line_known
            else message(
                "It is not known whether the clinic programmed a bridge for the new strength: ask"
                " the clinic."
            )
        )
        yield Problem("bridge-unknown", sentence, (fill.id,))
    if not line_known:
        # With a bridge a weaker drug in the line is pumped faster than what is told counts.
        sentence = (
            message(
                "The strength changed but the line volume is not known, so how long the old drug"
                " stays in the line cannot be computed, and with a bridge the alarm comes some days"
                " earlier than told: ask the clinic for it."
            )
            if stronger and fill.bridged is not False
            else message(
                "The strength changed but the line volume is not known, so how long the old drug"
                " stays in the line cannot be computed: ask the clinic for it."
            )
        )
        yield Problem(LINE_UNKNOWN, sentence, (fill.id,))


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
        # What is still to be pumped until a line of unknown volume surely holds one drug only.
        self._in_doubt_ml = 0.0
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
            stronger = fill.strength_mcg_per_ml > self._strength
            # Old weak drug at a bridge's pace, or old strong drug without one: more flow.
            self._bridged = stronger if fill.bridged is None else fill.bridged
            known = self._line_volume_ml is not None
            problems = tuple(_unknown(fill, line_known=known, stronger=stronger))
            if not known:
                self._in_doubt_ml = LARGEST_LINE_ML
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
            if old_in_line or self._in_doubt_ml:
                pumped_ml = self._line[0][0] if old_in_line else self._in_doubt_ml
                arrives_s = self._now_s + segment.time_to_pump(pumped_ml)
                if arrives_s <= self._now_s + _TICK_S:
                    if old_in_line:
                        self._line.popleft()
                    self._in_doubt_ml = 0.0
                    continue
                segment = replace(segment, end_s=min(until_s, arrives_s))
            self.segments.append(segment)
            if segment.end_s < inf:
                self._pump(min(pumped_ml, segment.pumped_by(segment.end_s)))
            self._now_s = segment.end_s
        self._now_s = until_s

    def _segment(self, until_s: float, old_in_line: bool) -> Segment:
        if self._line_volume_ml is None:
            # With one strength all along the line no volume needs to be known.
            tip = None if self._in_doubt_ml else self._strength
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
            left_ml = self._in_doubt_ml - volume_ml
            self._in_doubt_ml = left_ml if left_ml > _CRUMB_ML else 0.0
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
