"""What a change of the dose setting was followed by: before against after, said honestly.

The days right after the change (settling days) are left out. The effect of an infusion change is
full at 24-48 hours (label); many people and clinics wait 3-5 days before they judge (common
practice). Changes that follow each other too closely to be judged one by one, as in a titration,
are judged together: the days before the first against those after the last.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.diary.check_ins import (
    SCALES,
    STIFFNESS,
    DiaryEvent,
    Reading,
    between,
    daily_medians,
)
from pocketpump.core.diary.comparison import FIRST_LOOK, LAST_LOOK, Caution, Comparison, compared
from pocketpump.core.diary.response_explanation import response_lines
from pocketpump.core.diary.response_text import (
    Told,
    also_text,
    response_cautions,
    response_sentence,
)
from pocketpump.core.diary.stratified import Side
from pocketpump.core.diary.verdict import (
    ALREADY_FALLING,
    ALREADY_RISING,
    FEW_AFTER,
    FEW_BEFORE,
    FEWEST_DAYS,
    FEWEST_SPAN_DAYS,
    FIRST_LOOK_DAYS,
    HIGHER,
    LAST_LOOK_DAYS,
    LOWER,
    NOT_ENOUGH,
    OTHER_HOURS,
    SETTLING,
    TOO_ALIKE,
    TOO_MIXED,
    TOO_SOON,
    UNCLEAR,
    WINDOW_DAYS,
    Period,
)
from pocketpump.core.pump.reminders import USUAL_SETTLING_DAYS
from pocketpump.core.pump.setting_changes import changes_among
from pocketpump.core.pump.timeline import Setting, in_order
from pocketpump.core.statistics.rank_test import Score
from pocketpump.core.statistics.ranks import Shift
from pocketpump.core.units.instants import to_seconds

_WORTH_SEEING = 0.5
"""Where no less than a shift of half the scale would show there is not enough to say (own
choice)."""
_MINUTE = timedelta(minutes=1)
_CAUTIONS = {FIRST_LOOK_DAYS: FIRST_LOOK, LAST_LOOK_DAYS: LAST_LOOK}


@dataclass(frozen=True, slots=True)
class Response:
    """What a change, or a run of changes, was followed by on one scale.

    ``steps`` are the settings of the run, oldest first; mostly one. ``before`` and ``after`` are
    the days compared, or all those noted while ``comparison`` is None and there is no number;
    ``not_compared`` are the days noted that are none of those compared, among them those from the
    first step until the last had settled. ``verdict`` is a
    word of `verdict`, ``reason`` why there is not enough ("" else). ``judged_on`` is the fixed day
    on which the answer was given, ``next_look_on`` the one on which it is given anew; each is None
    when there is none.

    ``sentence`` says the verdict, ``cautions`` what belongs in sight beside it, ``also`` what else
    happened in that time ("" when nothing did) and belongs in sight, too; ``lines`` are the
    working, ``happened`` is what ``also`` tells.
    """

    steps: tuple[Setting, ...]
    scale: str
    before: Period
    after: Period
    not_compared: tuple[Score, ...]
    comparison: Comparison | None
    verdict: str
    reason: str
    judged_on: date | None
    next_look_on: date | None
    sentence: str
    cautions: tuple[str, ...]
    also: str
    lines: tuple[str, ...]
    happened: tuple[DiaryEvent, ...] = ()

    @property
    def setting(self) -> Setting:
        """The last setting of the run: the one whose effect the days after show."""
        return self.steps[-1]

    @property
    def shift(self) -> Shift | None:
        """The shift with its interval, in points; None while there is no number."""
        return None if self.comparison is None else self.comparison.shift


def changes_of(settings: Iterable[Setting], now: datetime) -> tuple[Setting, ...]:
    """Return the first setting and each that differs from the one before, up to ``now``.

    What is noted again as it was (at a refill, from a printout) is no change.
    """
    known = in_order(s for s in settings if to_seconds(s.at) <= to_seconds(now))
    return (*known[:1], *(change.after for change in changes_among(known)))


def runs_of(changes: Sequence[Setting], settling_days: int) -> tuple[tuple[Setting, ...], ...]:
    """Return ``changes`` in order, those together that came before the one before was judged."""
    needed = timedelta(days=settling_days + FIRST_LOOK_DAYS)
    runs: list[list[Setting]] = []
    for change in changes:
        if runs and change.at - runs[-1][-1].at < needed:
            runs[-1].append(change)
        else:
            runs.append([change])
    return tuple(map(tuple, runs))


def responses(
    settings: Iterable[Setting],
    marks: Sequence[Reading],
    now: datetime,
    *,
    scale: str = STIFFNESS,
    settling_days: int = USUAL_SETTLING_DAYS,
    diary_events: Iterable[DiaryEvent] = (),
) -> tuple[Response, ...]:
    """Return the response to each run of changes of the setting up to ``now``, oldest first.

    The first setting is no change, and one noted again neither. ``marks`` are all readings of
    ``scale``, in order of time. A side reaches at most `WINDOW_DAYS` and never into another
    change or its settling days. ``diary_events`` in that time are told beside the response.
    """
    known = tuple(diary_events)
    ordered = changes_of(settings, now)
    resolve = timedelta(days=settling_days)
    runs = runs_of(ordered[1:], settling_days)
    found = []
    for number, run in enumerate(runs):
        free_from = (runs[number - 1][-1] if number else ordered[0]).at + resolve
        ends = runs[number + 1][0].at if number + 1 < len(runs) else None
        looked = _looked(run, free_from, ends, resolve, marks, now)
        also = [h for h in known if h.at < looked.end and (h.until or h.at) >= looked.first]
        found.append(_response(run, scale, looked, also))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Looked:
    """What is looked at: from ``first`` to ``end``, how surely (None: before a look)."""

    first: datetime
    end: datetime
    caution: Caution | None
    settled: bool
    before: Side
    between: Sequence[Reading]
    after: Side
    judged_on: date | None
    next_look_on: date | None

    @property
    def span_before(self) -> int:
        """How many days before the change the first of those noted lies; 0 without any."""
        marks = self.before.marks
        return (self.before.last - marks[0].at.date()).days + 1 if marks else 0


def _looked(
    run: Sequence[Setting],
    free_from: datetime,
    ends: datetime | None,
    resolve: timedelta,
    marks: Sequence[Reading],
    now: datetime,
) -> _Looked:
    """Find the fixed day that counts now, and the readings of either side."""
    begin = run[-1].at + resolve
    looks = {
        days: begin + timedelta(days=days)
        for days in _CAUTIONS
        if ends is None or to_seconds(begin + timedelta(days=days)) <= to_seconds(ends)
    }
    past = [days for days, at in looks.items() if to_seconds(at) <= to_seconds(now)]
    ahead = [at for at in looks.values() if to_seconds(at) > to_seconds(now)]
    first = max(run[0].at - timedelta(days=WINDOW_DAYS), free_from)
    end = looks[past[-1]] if past else max(begin, now)
    last_day = (run[0].at - timedelta(days=1)).date()
    noted = between(marks, first, run[0].at)
    begun = max(first.date(), marks[0].at.date()) if marks else first.date()
    # Whole days, and the day of the change on neither side; a check-in far away may carry a date
    # of the other side.
    earlier = _on_the_wall(m for m in noted if begun <= m.at.date() <= last_day)
    first_day = max(begin.date(), last_day + timedelta(days=2))
    later = _on_the_wall(m for m in between(marks, begin, end) if m.at.date() >= first_day)
    return _Looked(
        first,
        end,
        _CAUTIONS[past[-1]] if past else None,
        to_seconds(begin) <= to_seconds(now),
        Side(earlier, begun, last_day),
        between(marks, run[0].at, begin),
        Side(later, first_day, (end - _MINUTE).date()),
        end.date() if past else None,
        ahead[0].date() if ahead else None,
    )


def _on_the_wall(marks: Iterable[Reading]) -> tuple[Reading, ...]:
    """Return the readings by the clock on the wall alone: what is compared is days and hours.

    Two instants are equal whatever their zones are; two times on the wall are not.
    """
    return tuple(Reading(mark.at.replace(tzinfo=None), mark.value) for mark in marks)


def _response(
    run: tuple[Setting, ...], scale: str, looked: _Looked, also: Sequence[DiaryEvent]
) -> Response:
    highest = SCALES[scale]
    noted = [daily_medians(side.marks) for side in (looked.before, looked.after)]
    comparison = None
    if looked.caution is not None and looked.span_before >= FEWEST_SPAN_DAYS:
        comparison = compared(looked.before, looked.after, highest, looked.caution)
    verdict, reason = _verdict(looked, len(noted[0]), len(noted[1]), comparison, highest)
    check_ins = len(looked.before.marks), len(looked.after.marks)
    if comparison is None:
        before, after = map(_period, noted, check_ins)
        compared_days = set[date]()
    else:
        pair = comparison.pair
        before, after = (_period(pair.daily(side), pair.check_ins[side]) for side in (0, 1))
        compared_days = {score.day for score in (*before.days, *after.days)}
    seen = noted[0] | daily_medians(looked.between) | noted[1]
    told = Told(
        steps=tuple(one.at.date() for one in run),
        scale=scale,
        verdict=verdict,
        reason=reason,
        before=before,
        after=after,
        noted_before=len(noted[0]),
        span_before=looked.span_before,
        noted_after=len(noted[1]),
        check_ins=sum(check_ins),
        comparison=comparison,
        judged=looked.caution is not None,
        next_look_on=looked.next_look_on,
        wanted=highest * _WORTH_SEEING,
    )
    return Response(
        run,
        scale,
        before,
        after,
        tuple(Score(day, value) for day, value in seen.items() if day not in compared_days),
        comparison,
        verdict,
        reason,
        looked.judged_on,
        looked.next_look_on,
        response_sentence(told),
        response_cautions(told),
        also_text(also),
        response_lines(told),
        tuple(also),
    )


def _verdict(
    looked: _Looked, before: int, after: int, found: Comparison | None, highest: float
) -> tuple[str, str]:
    """Return the verdict, and why there is not enough; ``before`` and ``after`` are days noted."""
    if looked.caution is None:
        return (TOO_SOON if looked.settled else SETTLING), ""
    if before < FEWEST_DAYS or looked.span_before < FEWEST_SPAN_DAYS:
        return NOT_ENOUGH, FEW_BEFORE
    if after < FEWEST_DAYS:
        return NOT_ENOUGH, FEW_AFTER
    if found is None:
        return OTHER_HOURS, ""
    if found.shift.low > 0 or found.shift.high < 0:
        return (HIGHER if found.shift.low > 0 else LOWER), ""
    if found.was_moving:
        return (ALREADY_RISING if found.moving > 0 else ALREADY_FALLING), ""
    if found.visible > highest * _WORTH_SEEING:
        return NOT_ENOUGH, TOO_ALIKE if found.alike else TOO_MIXED
    return UNCLEAR, ""


def _period(daily: Mapping[date, float], check_ins: int) -> Period:
    days = tuple(Score(day, value) for day, value in daily.items())
    return Period(days, check_ins, median(daily.values()) if daily else None)
