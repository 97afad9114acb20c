"""One refill as it was entered, and the alarm date that follows from it."""

from dataclasses import dataclass
from datetime import date, tzinfo

from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.timeline import Fill, Setting, minute_of
from pocketpump.core.pump.timeline_builder import build_timeline


@dataclass(frozen=True, slots=True)
class RefillInput:
    """One refill as entered: the fill, the programme and alarm volume it starts with.

    ``fills`` and ``settings`` are all that is known from
    before it, oldest first: after a change of the strength they say what is still in the line of
    ``line_volume_ml`` (None: not known).
    """

    fill: Fill
    programme: Programme
    alarm_volume_ml: float
    zone: tzinfo
    fills: tuple[Fill, ...] = ()
    settings: tuple[Setting, ...] = ()
    line_volume_ml: float | None = None

    @property
    def before(self) -> Fill | None:
        """The refill before this one; None when none is known."""
        return self.fills[-1] if self.fills else None

    @property
    def programme_before(self) -> Programme | None:
        """What ran until this refill; None when not known."""
        return self.settings[-1].programme if self.settings else None

    def alarm_on(self) -> date | None:
        """Return the alarm date the forecast of this refill would show; None for never."""
        # Of a refill moved to an earlier day only what was set before that day counts.
        earlier = (s for s in self.settings if minute_of(s.at) < minute_of(self.fill.at))
        settings = (*earlier, Setting(self.fill.at, self.programme))
        timeline, _ = build_timeline((*self.fills, self.fill), settings, self.line_volume_ml)
        to_pump_ml = self.fill.volume_ml - self.alarm_volume_ml
        alarm_at = timeline.dated(len(timeline.fills) - 1, to_pump_ml, self.zone)
        return None if alarm_at is None else alarm_at.date()
