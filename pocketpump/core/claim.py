"""One refill as it was entered, and the alarm date that follows from it."""

from dataclasses import dataclass
from datetime import date, tzinfo
from math import inf

from pocketpump.core.instants import from_seconds, local_date
from pocketpump.core.pattern import Programme
from pocketpump.core.timeline import Fill, Setting
from pocketpump.core.timeline_walk import build_timeline


@dataclass(frozen=True, slots=True)
class Claim:
    """One refill as entered: the fill, the programme and alarm volume it starts with.

    ``before`` and ``line_volume_ml`` matter only after a strength change, and
    ``programme_before`` is what ran until this refill; None when not known.
    """

    fill: Fill
    programme: Programme
    alarm_volume_ml: float
    zone: tzinfo
    before: Fill | None = None
    programme_before: Programme | None = None
    line_volume_ml: float | None = None

    def alarm_on(self) -> date | None:
        """Return the computed alarm date; None when the pump would never get there."""
        fills = [self.fill] if self.before is None else [self.before, self.fill]
        first = self.before or self.fill
        settings = [Setting(first.at, self.programme_before or self.programme)]
        settings.append(Setting(self.fill.at, self.programme))
        timeline, _ = build_timeline(fills, settings, self.line_volume_ml)
        at_s = timeline.reaches_volume(len(fills) - 1, self.alarm_volume_ml)
        start_s = self.fill.at.timestamp()
        if at_s == inf or at_s - start_s > 3_650 * 86_400:
            return None
        return local_date(from_seconds(at_s, self.zone), self.zone)
