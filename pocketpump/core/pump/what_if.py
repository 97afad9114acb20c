"""What the dates would be with other numbers: the same forecast, asked of another situation.

It answers "when"; it never says which numbers are right.
"""

from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.same_refill import is_one_refill
from pocketpump.core.pump.situation import Situation
from pocketpump.core.pump.timeline import Fill, Setting


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The numbers to try; None leaves one as it is. Volumes in mL, strength in mcg/mL."""

    programme: Programme | None = None
    filled_ml: float | None = None
    strength_mcg_per_ml: float | None = None
    alarm_volume_ml: float | None = None

    @property
    def refilled(self) -> bool:
        """Whether the change takes a refill: another volume or strength can come no other way."""
        return self.filled_ml is not None or self.strength_mcg_per_ml is not None

    @property
    def is_none(self) -> bool:
        """Whether everything stays as it is."""
        return self == WhatIf()


def what_if(
    situation: Situation, change: WhatIf, now: datetime, zone: tzinfo
) -> tuple[Forecast, Forecast] | None:
    """Return the forecast now and the forecast if ``change`` were made now; None without a first.

    Another programme or alarm volume counts from ``now`` on. Another volume or strength
    counts as a refill at ``now``, with or without a bridge, whichever ends sooner. A date
    printed by the clinic was made for the numbers as they are, so it is left out of the second
    forecast.
    """
    present, _ = forecast(situation, now, zone)
    if present is None:
        return None
    if change.is_none:
        return present, present
    pump, fills, settings = situation.pump, situation.refill_notes, situation.settings
    if change.alarm_volume_ml is not None:
        pump = replace(pump, alarm_volume_ml=change.alarm_volume_ml)
    if change.programme is not None:
        settings = (*settings, Setting(now, change.programme))
    if change.refilled:
        refill = Fill(
            now,
            present.fill.volume_ml if change.filled_ml is None else change.filled_ml,
            change.strength_mcg_per_ml or present.fill.strength_mcg_per_ml,
            # Nobody has been asked about a bridge for a refill that was not done.
            bridged=None,
        )
        # One of today, noted already, is tried with the other numbers.
        fills = (*(one for one in fills if not is_one_refill(one, refill)), refill)
    tried = replace(
        situation,
        pump=pump,
        fills=fills,
        settings=settings,
        noted_twice=(),
        printouts=(),
    )
    answer, _ = forecast(tried, now, zone)
    return None if answer is None else (present, answer)
