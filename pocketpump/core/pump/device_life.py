"""How long the pump itself lasts: its battery and motor, not the drug in it."""

from dataclasses import dataclass
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from pocketpump.core.messages import message

# 5 to 7 years by flow rate (own default, no source: the clinic's figure counts).
LIFE_YEARS = (5, 7)
# Mean 55 months in one series (its report was not seen); told beside the window, not computed
# with.
MEAN_MONTHS_IN_ONE_SERIES = 55
# Days left after the pump's own replacement notice (own default, no source: ask the clinic).
DAYS_AFTER_NOTICE = 90
# Plan a replacement at least 3 months ahead (Boster 2016).
PLAN_MONTHS_AHEAD = 3
# Told on Today so many days before the day to plan by (own default, no source).
_NEAR_DAYS = 60


@dataclass(frozen=True, slots=True)
class DeviceReading:
    """What the clinic read from the pump on ``read_on``: months left, or its notice's date."""

    read_on: date
    months_left: float | None = None
    notice_on: date | None = None


@dataclass(frozen=True, slots=True)
class DeviceLife:
    """The pump's age and end. ``ends_by`` is the earliest day on which it may end.

    ``because`` names what set it: "replacement notice", "clinic's reading" or "usual life".
    ``life_from`` and ``life_to`` bound the usual life, None without an implant date.
    """

    today: date
    implanted_on: date | None
    life_from: date | None
    life_to: date | None
    reading: DeviceReading | None
    ends_by: date
    plan_by: date
    because: str

    @property
    def days_left(self) -> int:
        """Days from today to ``ends_by``; below zero when it is past."""
        return (self.ends_by - self.today).days

    @property
    def is_near(self) -> bool:
        """Whether the replacement should be told of now."""
        return self.today >= self.plan_by - timedelta(days=_NEAR_DAYS)


def device_life(
    implanted_on: date | None, readings: tuple[DeviceReading, ...], today: date
) -> DeviceLife | None:
    """Return how long the pump is likely to last; None while nothing is known of it.

    The pump's own notice outweighs a reading, and the newest reading the usual life. What
    was read before ``implanted_on`` is of the pump that was there before.
    """
    life_from = life_to = None
    if implanted_on is not None:
        life_from, life_to = (implanted_on + relativedelta(years=y) for y in LIFE_YEARS)
    known = sorted(
        (r for r in readings if r.read_on <= today and _is_of_this_pump(r, implanted_on)),
        key=lambda r: r.read_on,
    )
    notices = [r for r in known if r.notice_on is not None]
    counted = [r for r in known if r.months_left is not None]
    reading = notices[-1] if notices else counted[-1] if counted else None
    if reading is not None and reading.notice_on is not None:
        ends_by = reading.notice_on + timedelta(days=DAYS_AFTER_NOTICE)
        because, plan_by = message("replacement notice"), reading.notice_on
    elif reading is not None and reading.months_left is not None:
        # Whole months, rounded down: planned rather too early than too late.
        ends_by = reading.read_on + relativedelta(months=int(reading.months_left))
        because = message("clinic's reading")
        plan_by = ends_by - relativedelta(months=PLAN_MONTHS_AHEAD)
    elif life_from is not None:
        ends_by = life_from
        because = message("usual life")
        plan_by = ends_by - relativedelta(months=PLAN_MONTHS_AHEAD)
    else:
        return None
    return DeviceLife(today, implanted_on, life_from, life_to, reading, ends_by, plan_by, because)


def _is_of_this_pump(reading: DeviceReading, implanted_on: date | None) -> bool:
    if implanted_on is None:
        return True
    # A notice may be written down late: the day it was given says whose it is.
    return reading.read_on >= implanted_on and (reading.notice_on or implanted_on) >= implanted_on
