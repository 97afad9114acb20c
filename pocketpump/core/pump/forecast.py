"""The forecast: one frozen answer, at one instant, that every view reads.

Screens, card, command line, calendar and sheet show what stands here; none of them
computes a date of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from functools import reduce
from math import inf

from pocketpump.core.errors import Problem
from pocketpump.core.pump.delivery_ratio import (
    DeliveryRatio,
    learn_ratio,
    pumped_band,
    residuals_of,
)
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.refill_by import (
    ALARM_DATE,
    CLINIC_DATE,
    DRUG_AGE,
    EMPTY_DATE,
    FELT_VOLUME,
    OWN_PACE,
    last_sensible_day,
)
from pocketpump.core.pump.situation import Habits, Pump, Situation
from pocketpump.core.pump.situation_problems import amounts_to_look_at, missing, noted_oddly
from pocketpump.core.pump.state import state_now
from pocketpump.core.pump.timeline import Fill, Timeline
from pocketpump.core.pump.timeline_builder import (
    LARGEST_LINE_ML,
    LINE_UNKNOWN,
    build_timeline,
    still_open,
)
from pocketpump.core.units.instants import (
    from_seconds,
    local_date,
    to_seconds,
    whole_days,
)

_INSTANTS = (
    "alarm_at", "alarm_earliest", "alarm_latest", "empty_at", "empty_earliest", "maybe_empty_at",
    "felt_low_at", "paced_alarm_at", "drug_age_limit_at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is known at ``now``; instants carry the zone asked for, None means "never" or "unknown".

    ``alarm_earliest`` and ``alarm_latest`` are the 95 % window of the alarm, from the flow
    accuracy, the reading error, what past refills taught (``ratio``), with requested boluses all
    or none being used, and after a strength change every line there may be; it always holds
    ``alarm_at``. ``empty_earliest`` is when the pump is empty at the fast edge of the same 95 %,
    ``maybe_empty_at`` when for a pump whose flow accuracy is as entered: from then on Today says
    so. ``paced_alarm_at`` is when the alarm comes at this pump's own pace, None before a refill
    has shown it.
    ``refill_by`` is the last sensible day and ``refill_by_because`` the word of
    `pocketpump.core.pump.refill_by` for what set it. The pump's own pace can only bring it forward.
    ``situation`` is as of the pump that the fill is in.
    ``call_by`` is no later either than it would be had no refill taught anything, and
    ``call_untaught`` whether that is what set it.
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
    empty_earliest: datetime | None
    maybe_empty_at: datetime | None
    drug_age_limit_at: datetime
    felt_low_at: datetime | None
    printed_alarm_on: date | None
    paced_alarm_at: datetime | None
    ratio: DeliveryRatio
    refill_by: date
    refill_by_because: str
    call_by: date
    call_untaught: bool
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
        return self.situation.changed_since_printed

    @property
    def printed_in_force(self) -> date | None:
        """The alarm date the clinic printed, while it can be no later than the alarm really is.

        More drug a day since then only brings the alarm forward, so the date still counts; after a
        lower dose it is of another setting. None without one.
        """
        return None if self.situation.lowered_since_printed else self.printed_alarm_on

    @property
    def earlier_alarm_on(self) -> date | None:
        """The earlier of the computed and the clinic's alarm date; None when there is neither."""
        computed_on = None if self.alarm_at is None else self.alarm_at.date()
        known = [day for day in (computed_on, self.printed_in_force) if day is not None]
        return min(known, default=None)

    @property
    def state(self) -> str:
        """One word of `pocketpump.core.pump.state`, with no visit and no missed refill known."""
        return state_now(self).word


def forecast(
    situation: Situation, now: datetime, zone: tzinfo
) -> tuple[Forecast | None, tuple[Problem, ...]]:
    """Return the forecast at ``now`` on the calendar of ``zone``, and what is missing or odd.

    The forecast is None, and a problem says what to enter, while there is no refill or no
    dose setting up to ``now``. What is dated later than ``now`` is told and counts from then on;
    only the ``planned`` settings of the situation are counted ahead. Of a refill noted twice that
    note counts by which refill-by is earlier, and no other date is later than by another note.
    """
    situation = situation.until(now)
    fill, programme = situation.fill_at(now), situation.programme_at(now)
    if fill is None or programme is None:
        return None, missing(situation, zone)
    odd = tuple(noted_oddly(situation, zone))
    answers = [
        _of_reading(one, now, zone, odd)
        for one in situation.readings()
        if one.programme_at(now) is not None
    ]
    answer = reduce(_no_later, answers, min(answers, key=_earliness))
    return answer, answer.problems


def _earliness(answer: Forecast) -> tuple[date, float, date]:
    alarm_s = inf if answer.alarm_at is None else to_seconds(answer.alarm_at)
    return answer.refill_by, alarm_s, answer.call_by


def _no_later(answer: Forecast, other: Forecast) -> Forecast:
    """Return ``answer`` with no date later than in ``other``."""
    earlier = {name: _earlier((getattr(answer, name), getattr(other, name))) for name in _INSTANTS}
    first = min((answer, other), key=lambda one: one.call_by)
    return replace(
        answer,
        **earlier,  # type: ignore[arg-type]
        call_by=first.call_by,
        call_untaught=first.call_untaught,
    )


def _of_reading(
    situation: Situation, now: datetime, zone: tzinfo, odd: tuple[Problem, ...]
) -> Forecast:
    """Return the forecast with one note of each refill."""
    now_s = to_seconds(now)
    fill, programme = situation.fill_at(now), situation.programme_at(now)
    assert fill is not None  # asked by the one who calls
    assert programme is not None
    # While another pump has no refill of its own, what is counted is still the fill before it.
    situation = situation.with_pump_of(fill.at)
    pump = situation.pump
    settings = (*situation.settings, *situation.planned)
    timeline, found = build_timeline(situation.fills, settings, pump.line_volume_ml)
    problems = (
        *odd,
        *still_open(found, timeline, pump.line_volume_ml, now_s),
    )
    sparing = timeline
    if any(setting.programme.requested for setting in settings):
        # The pump lasts longest when no bolus is requested; the plan counts them all.
        sparing, _ = build_timeline(situation.fills, settings, pump.line_volume_ml, 0.0)
    hasty = timeline
    if any(problem.code == LINE_UNKNOWN for problem in found):
        # It is empty soonest when a bridge pumps old, weaker drug out of the longest line.
        hasty, _ = build_timeline(situation.fills, settings, LARGEST_LINE_ML)
    segment = timeline.segment_at(now_s)
    assert segment is not None  # a fill up to now begins a segment
    last = len(timeline.fills) - 1
    alarm_at = timeline.dated(last, fill.volume_ml - pump.alarm_volume_ml, zone)
    lessons = residuals_of(timeline, situation.pump_since)
    ratio = learn_ratio(lessons, pump.tolerance_percent, pump.reading_error_ml)
    untaught = learn_ratio((), pump.tolerance_percent, pump.reading_error_ml)
    to_pump_ml = fill.volume_ml - pump.alarm_volume_ml
    earliest_ml, latest_ml = _alarm_band(pump, fill, ratio)

    def soonest(pumped_ml: float) -> datetime | None:
        return _earlier(line.dated(last, pumped_ml, zone) for line in (timeline, hasty))

    def may_be_empty(ratio: DeliveryRatio) -> datetime | None:
        fastest_ml, _ = pumped_band(ratio, fill.volume_ml, pump.reading_error_ml)
        return soonest(min(fastest_ml, fill.volume_ml))

    empty_earliest = may_be_empty(ratio)
    # The plan allows for pumps further off than that; nearly all of them are not, and "may be
    # empty, call now" weeks before a visit that is in time would be heard no longer when it counts.
    as_entered = learn_ratio(lessons, pump.tolerance_percent, pump.reading_error_ml, wider=1.0)
    maybe_empty_at = may_be_empty(as_entered)
    if maybe_empty_at is not None and empty_earliest is not None:
        maybe_empty_at = max(maybe_empty_at, empty_earliest, key=to_seconds)
    if ratio.taught:
        # But never after it is empty at the pace this pump has shown.
        paced_empty_at = timeline.dated(last, fill.volume_ml / ratio.mean, zone)
        maybe_empty_at = _earlier((maybe_empty_at, paced_empty_at))
    paced_alarm_at = timeline.dated(last, to_pump_ml / ratio.mean, zone) if ratio.taught else None
    felt_low_at = None
    if pump.felt_low_ml is not None:
        # A pump that delivers more than it is told gets there sooner.
        pace = max(1.0, ratio.mean) if ratio.taught else 1.0
        felt_low_at = timeline.dated(last, (fill.volume_ml - pump.felt_low_ml) / pace, zone)
    limit_at = _limit(fill, pump.drug_age_limit_days, zone)
    habits = situation.habits
    margin = timedelta(days=habits.margin_days)

    def day(instant: datetime | None, margin: timedelta = timedelta(0)) -> date | None:
        return None if instant is None else local_date(instant, zone) - margin

    printed_on = situation.printed_alarm_on
    is_old = situation.lowered_since_printed
    deadlines = {
        ALARM_DATE: day(alarm_at, margin),
        # A date printed before the dose was lowered is of another setting.
        CLINIC_DATE: None if printed_on is None or is_old else printed_on - margin,
        OWN_PACE: day(paced_alarm_at, margin),
        # A long fill has a wide window: no margin of days reaches over it.
        EMPTY_DATE: day(empty_earliest, timedelta(days=1)),
        DRUG_AGE: day(limit_at),
        FELT_VOLUME: day(felt_low_at, margin),
    }
    filled_on = local_date(fill.at, zone)
    refill_by, because = last_sensible_day(deadlines, habits.clinic_days, filled_on)
    earliest = soonest(earliest_ml)
    call_by = _call_by(refill_by, day(earliest), habits, filled_on)
    # Refills that agree make the window narrower; that must not put the call off.
    deadlines[EMPTY_DATE] = day(may_be_empty(untaught), timedelta(days=1))
    untaught_by, _ = last_sensible_day(deadlines, habits.clinic_days, filled_on)
    untaught_ml, _ = _alarm_band(pump, fill, untaught)
    untaught_call_by = _call_by(untaught_by, day(soonest(untaught_ml)), habits, filled_on)
    problems += tuple(amounts_to_look_at(pump, fill, ratio))
    return Forecast(
        now=now.astimezone(zone),
        fill=fill,
        programme=programme,
        flow_ml_per_day=programme.dose_mcg_per_day / segment.divisor_mcg_per_ml,
        dose_mcg_per_day=programme.dose_mcg_per_day,
        volume_now_ml=timeline.volume_at(now_s) or 0.0,
        alarm_at=alarm_at,
        alarm_earliest=earliest,
        alarm_latest=sparing.dated(last, latest_ml, zone),
        empty_at=timeline.dated(last, fill.volume_ml, zone),
        empty_earliest=empty_earliest,
        maybe_empty_at=maybe_empty_at,
        drug_age_limit_at=limit_at,
        felt_low_at=felt_low_at,
        printed_alarm_on=printed_on,
        paced_alarm_at=paced_alarm_at,
        ratio=ratio,
        refill_by=refill_by,
        refill_by_because=because,
        call_by=min(call_by, untaught_call_by),
        call_untaught=untaught_call_by < call_by,
        problems=problems,
        situation=situation,
        timeline=timeline,
    )


def _earlier(instants: Iterable[datetime | None]) -> datetime | None:
    return min((at for at in instants if at is not None), key=to_seconds, default=None)


def _call_by(
    refill_by: date, alarm_earliest_on: date | None, habits: Habits, filled_on: date
) -> date:
    call_on = refill_by - timedelta(days=habits.lead_days)
    if alarm_earliest_on is not None:
        # A long fill has a wide window: call before it opens, however late refill-by may be.
        call_on = min(call_on, alarm_earliest_on)
    # A short fill leaves less than the lead: the call is then due from the refill on.
    return max(filled_on, habits.clinic_days.last_day_to_call(call_on))


def _alarm_band(pump: Pump, fill: Fill, ratio: DeliveryRatio) -> tuple[float, float]:
    """Return the programmed mL between which the alarm comes, 95 %, the computed ones within."""
    to_pump_ml = fill.volume_ml - pump.alarm_volume_ml
    earliest_ml, latest_ml = pumped_band(ratio, to_pump_ml, pump.reading_error_ml)
    # However the volume was read, the pump is empty when all of it is pumped.
    latest_ml = min(latest_ml, pumped_band(ratio, fill.volume_ml, 0.0)[1])
    # A slow pump must not make an early date look impossible, nor a fast one a late date.
    return min(earliest_ml, to_pump_ml), max(latest_ml, to_pump_ml)


def _limit(fill: Fill, days: int, zone: tzinfo) -> datetime:
    # Counted on the calendar, as the pharmacy's label does, at the hour of the refill.
    filled = fill.at.astimezone(zone)
    wall = filled.replace(tzinfo=None) + timedelta(days=days)
    return from_seconds(wall.replace(tzinfo=zone).timestamp(), zone)
