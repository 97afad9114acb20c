"""The outlook: one frozen answer, at one instant, that every face reads.

Screens, card, command line, calendar and sheet show what stands here; none of them
computes a date of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from math import inf

from pocketpump.core.clinic import ClinicDays
from pocketpump.core.errors import Problem
from pocketpump.core.instants import (
    DAY_S,
    from_seconds,
    local_date,
    to_seconds,
    whole_days,
)
from pocketpump.core.pattern import Programme
from pocketpump.core.timeline import Fill, Setting, Timeline, build_timeline

# ±14.5 % is a common specification of such pumps (common practice, no source).
USUAL_TOLERANCE_PERCENT = 14.5
# 180 days: in-vivo stability study, Neuromodulation 2023 (abstract). The clinic's own wins.
USUAL_DRUG_AGE_LIMIT_DAYS = 180
# Leaflets of one children's hospital ask for 7-10 days (newer) or 3-5 days (older).
USUAL_MARGIN_DAYS = 7
# When to telephone before the refill-by date (own default, no source; editable).
USUAL_LEAD_DAYS = 14
# A date further off than this is not worth a countdown; no pump holds drug that long.
_HORIZON_S = 3_650 * DAY_S


@dataclass(frozen=True, slots=True)
class Pump:
    """What stays the same about the pump between refills; volumes in mL.

    ``felt_low_ml`` is the volume at which this person has felt the pump run low before
    its alarm; ``reading_error_ml`` how far the filled volume may be off as read.
    """

    alarm_volume_ml: float
    reservoir_ml: float | None = None
    tolerance_percent: float = USUAL_TOLERANCE_PERCENT
    drug_age_limit_days: int = USUAL_DRUG_AGE_LIMIT_DAYS
    line_volume_ml: float | None = None
    felt_low_ml: float | None = None
    reading_error_ml: float = 0.0


@dataclass(frozen=True, slots=True)
class Habits:
    """How the person and the clinic plan: margin and lead in days, open days."""

    margin_days: int = USUAL_MARGIN_DAYS
    lead_days: int = USUAL_LEAD_DAYS
    clinic_days: ClinicDays = field(default_factory=ClinicDays)


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything the outlook is computed from, besides the instant.

    ``printed_alarm_on`` is the alarm date on the clinic's newest printout since the last
    fill, ``printed_at`` when that was handed out.
    """

    pump: Pump
    fills: tuple[Fill, ...]
    settings: tuple[Setting, ...]
    habits: Habits = field(default_factory=Habits)
    printed_alarm_on: date | None = None
    printed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is known at ``now``; instants carry the zone asked for, None means "never" or "unknown".

    ``alarm_earliest`` and ``alarm_latest`` bound the alarm by the pump's tolerance, the
    reading error and, with requested boluses, by all or none being used. ``refill_by`` is
    the last sensible day and ``refill_by_because`` names what set it: "alarm date",
    "clinic's alarm date", "drug-age limit" or "felt volume".
    """

    now: datetime
    fill: Fill
    programme: Programme
    flow_ml_per_day: float
    dose_mcg_per_day: float
    volume_now_ml: float
    alarm_at: datetime | None
    alarm_earliest: datetime | None
    alarm_latest: datetime | None
    empty_at: datetime | None
    drug_age_limit_at: datetime
    felt_low_at: datetime | None
    printed_alarm_on: date | None
    refill_by: date
    refill_by_because: str
    call_by: date
    problems: tuple[Problem, ...]
    situation: Situation
    timeline: Timeline

    @property
    def today(self) -> date:
        """The calendar date at ``now``."""
        return self.now.date()

    @property
    def days_to_refill_by(self) -> int:
        """Calendar days from today to the refill-by date; below zero when it is past."""
        return (self.refill_by - self.today).days

    @property
    def days_to_alarm(self) -> int | None:
        """Whole days to the alarm, rounded down; below zero when past, None when never."""
        return None if self.alarm_at is None else whole_days(self.now, self.alarm_at)

    @property
    def printed_is_old(self) -> bool:
        """Whether the dose was changed after the clinic printed its alarm date."""
        printed_at = self.situation.printed_at
        if self.printed_alarm_on is None or printed_at is None:
            return False
        start_s, end_s = to_seconds(printed_at), to_seconds(self.now)
        return any(start_s < to_seconds(s.at) <= end_s for s in self.situation.settings)

    @property
    def state(self) -> str:
        """One word for where we stand: stopped, empty, alarm, overdue, due, call or calm."""
        if self.programme.mode == "stopped":
            return "stopped"
        if self.volume_now_ml <= 0 or self._reached(self.empty_at):
            return "empty"
        if self._reached(self.alarm_at):
            return "alarm"
        if self.days_to_refill_by <= 0:
            return "overdue" if self.days_to_refill_by < 0 else "due"
        return "call" if self.today >= self.call_by else "calm"

    def _reached(self, instant: datetime | None) -> bool:
        # As seconds: two datetimes of one zone compare by the wall clock, which repeats an hour.
        return instant is not None and to_seconds(self.now) >= to_seconds(instant)


def outlook(
    situation: Situation, now: datetime, zone: tzinfo
) -> tuple[Outlook | None, tuple[Problem, ...]]:
    """Return the outlook at ``now`` on the calendar of ``zone``, and what is missing or odd.

    The outlook is None, and a problem says what to enter, while there is no refill or no
    dose setting up to ``now``. Settings later than ``now`` are taken as planned.
    """
    now_s = to_seconds(now)
    fills = [fill for fill in situation.fills if to_seconds(fill.at) <= now_s]
    missing = _missing(situation, fills)
    if missing:
        return None, missing
    pump = situation.pump
    timeline, problems = build_timeline(fills, situation.settings, pump.line_volume_ml)
    sparing = timeline
    if any(setting.programme.requested for setting in situation.settings):
        # The pump lasts longest when no bolus is requested; the plan counts them all.
        sparing, _ = build_timeline(fills, situation.settings, pump.line_volume_ml, 0.0)
    segment = timeline.segment_at(now_s)
    assert segment is not None  # a fill up to now begins a segment
    fill = timeline.fills[-1]
    last = len(fills) - 1
    share = pump.tolerance_percent / 100

    def instant(line: Timeline, level_ml: float, factor: float = 1.0) -> datetime | None:
        return _dated(line.reaches_volume(last, level_ml, factor), to_seconds(fill.at), zone)

    alarm_ml, error_ml = pump.alarm_volume_ml, pump.reading_error_ml
    alarm_at = instant(timeline, alarm_ml)
    felt_low_at = None if pump.felt_low_ml is None else instant(timeline, pump.felt_low_ml)
    limit_at = _limit(fill, pump.drug_age_limit_days, zone)
    refill_by, because = _refill_by(situation, fill, alarm_at, felt_low_at, limit_at, zone)
    habits = situation.habits
    call_by = habits.clinic_days.last_open_day(refill_by - timedelta(days=habits.lead_days))
    programme = _programme_at(situation.settings, now_s)
    if pump.reservoir_ml is not None and fill.volume_ml > pump.reservoir_ml:
        problems += (
            Problem(
                "overfull",
                f"The last refill of {fill.volume_ml:g} mL is more than the reservoir's"
                f" {pump.reservoir_ml:g} mL: look at both numbers again.",
                (fill.id,),
            ),
        )
    answer = Outlook(
        now=now.astimezone(zone),
        fill=fill,
        programme=programme,
        flow_ml_per_day=programme.dose_mcg_per_day / segment.divisor_mcg_per_ml,
        dose_mcg_per_day=programme.dose_mcg_per_day,
        volume_now_ml=timeline.volume_at(now_s) or 0.0,
        alarm_at=alarm_at,
        alarm_earliest=instant(timeline, alarm_ml + error_ml, 1 + share),
        alarm_latest=instant(sparing, max(0.0, alarm_ml - error_ml), 1 - share),
        empty_at=instant(timeline, 0.0),
        drug_age_limit_at=limit_at,
        felt_low_at=felt_low_at,
        printed_alarm_on=situation.printed_alarm_on,
        refill_by=refill_by,
        refill_by_because=because,
        call_by=call_by,
        problems=problems,
        situation=situation,
        timeline=timeline,
    )
    return answer, problems


def _missing(situation: Situation, fills: Sequence[Fill]) -> tuple[Problem, ...]:
    if not fills:
        later = "up to now" if situation.fills else "yet"
        return (Problem("no-refill", f"There is no refill {later}: enter the last one."),)
    if not situation.settings:
        return (Problem("no-setting", "There is no dose setting yet: enter the daily dose."),)
    return ()


def _programme_at(settings: Sequence[Setting], now_s: float) -> Programme:
    ordered = sorted(settings, key=lambda setting: to_seconds(setting.at))
    current = ordered[0]
    for setting in ordered:
        if to_seconds(setting.at) <= now_s:
            current = setting
    return current.programme


def _dated(at_s: float, filled_s: float, zone: tzinfo) -> datetime | None:
    if at_s == inf or at_s - filled_s > _HORIZON_S:
        return None
    return from_seconds(at_s, zone)


def _limit(fill: Fill, days: int, zone: tzinfo) -> datetime:
    # Counted on the calendar, as the pharmacy's label does, at the hour of the refill.
    filled = fill.at.astimezone(zone)
    wall = filled.replace(tzinfo=None) + timedelta(days=days)
    return from_seconds(wall.replace(tzinfo=zone).timestamp(), zone)


def _refill_by(
    situation: Situation,
    fill: Fill,
    alarm_at: datetime | None,
    felt_low_at: datetime | None,
    limit_at: datetime,
    zone: tzinfo,
) -> tuple[date, str]:
    margin = timedelta(days=situation.habits.margin_days)
    candidates = [(local_date(limit_at, zone), "drug-age limit")]
    if alarm_at is not None:
        candidates.append((local_date(alarm_at, zone) - margin, "alarm date"))
    if situation.printed_alarm_on is not None:
        candidates.append((situation.printed_alarm_on - margin, "clinic's alarm date"))
    if felt_low_at is not None:
        candidates.append((local_date(felt_low_at, zone), "felt volume"))
    # On a tie the first word wins, so that the computed alarm date is named before others.
    order = ["alarm date", "clinic's alarm date", "drug-age limit", "felt volume"]
    day, because = min(candidates, key=lambda c: (c[0], order.index(c[1])))
    open_day = situation.habits.clinic_days.last_open_day(day)
    # Nobody can come back before the refill itself was done.
    return max(open_day, local_date(fill.at, zone)), because
