"""Charts of what changes of the dose were followed by: the days of one, the shifts of all."""

from collections.abc import Mapping, Sequence
from datetime import date, tzinfo
from math import isclose, isfinite

from pocketpump.core.diary.check_ins import SCALES, SPASMS, STIFFNESS, DiaryEvent
from pocketpump.core.diary.events import event_words
from pocketpump.core.diary.response import Response
from pocketpump.core.diary.verdict import (
    ALREADY_FALLING,
    ALREADY_RISING,
    CLAIMS,
    HIGHER,
    LOWER,
    OTHER_HOURS,
    SETTLING,
    TOO_SOON,
    UNCLEAR,
)
from pocketpump.core.messages import joined, localized_number, message, plural_message
from pocketpump.core.pump.dose_steps import percent_text, step_information
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.statistics.ranks import Shift
from pocketpump.core.units.instants import date_text, local_date
from pocketpump.core.units.quantity import entered_number, format_number
from pocketpump.exchange.charts.days import axis_of_days
from pocketpump.exchange.charts.description import (
    PALE,
    Axis,
    Band,
    Chart,
    Dots,
    Interval,
    Line,
    Mark,
    Panel,
    ShiftAxis,
    ShiftRow,
    Shifts,
    scale_of,
)

_WITH_NUMBER = (*CLAIMS, ALREADY_FALLING, ALREADY_RISING, UNCLEAR)
_WORDS = {
    (STIFFNESS, LOWER): message("less stiff by about {points} ({low} to {high})"),
    (STIFFNESS, HIGHER): message("more stiff by about {points} ({low} to {high})"),
    (SPASMS, LOWER): message("fewer spasms by about {points} ({low} to {high})"),
    (SPASMS, HIGHER): message("more spasms by about {points} ({low} to {high})"),
}
_UNCLEAR = message("no clear change ({low} to {high})")
_UNBOUNDED = message("no clear change")
_MOVING = {
    (STIFFNESS, ALREADY_FALLING): message("less stiff, but that had begun before"),
    (STIFFNESS, ALREADY_RISING): message("more stiff, but that had begun before"),
    (SPASMS, ALREADY_FALLING): message("fewer spasms, but that had begun before"),
    (SPASMS, ALREADY_RISING): message("more spasms, but that had begun before"),
}
_ENDS = {
    # Note: the two ends of an axis.
    STIFFNESS: (message("Stiffness"), message("less stiff"), message("more stiff")),
    # Note: the two ends of an axis.
    SPASMS: (message("Spasms"), message("fewer spasms"), message("more spasms")),
}


def periods_chart(response: Response, spoken: str) -> Chart | None:
    """Return the days before a change and after it, a dot a day; None where none were noted.

    The middle of the days before is a line, and where that of the days after likely is a band. What
    is not compared is pale.
    """
    if not response.before.days and not response.after.days:
        return None
    is_compared = response.comparison is not None
    before, after = (
        [(score.day, score.value) for score in side.days] if is_compared else []
        for side in (response.before, response.after)
    )
    pale = [(score.day, score.value) for score in response.not_compared]
    # By the wall clock where each was noted, as the scores: one axis for both.
    steps = [step.at.date() for step in response.steps]
    days = [*steps, *(day for day, _ in (*before, *pale, *after))]
    first, last = min(days), max(days)
    x = axis_of_days(first, last)

    def place(day: date) -> float:
        return (day - first).days + 0.5

    top = float(SCALES[response.scale])
    marks: list[Mark] = []
    likely = _likely(response, top)
    if likely is not None and after:
        marks.append(Band(place(after[0][0]) - 0.5, place(after[-1][0]) + 0.5, *likely))
    if before and response.before.middle is not None:
        middle = response.before.middle
        marks.append(Line(((place(before[0][0]), middle), (x.high, middle))))
    marks.append(Dots(tuple((place(day), score) for day, score in pale), PALE))
    marks.append(Dots(tuple((place(day), score) for day, score in (*before, *after))))
    panel = Panel(message("Before, and after"), scale_of(0, top / 2, top), tuple(marks))
    return Chart(x, (panel,), spoken, cuts=tuple(map(place, steps)))


def shifts_chart(
    pairs: Sequence[tuple[Response, Response]], before: Mapping[str, float], zone: tzinfo
) -> Shifts:
    """Return what the changes were followed by, newest first, ``pairs`` of stiffness and spasms.

    ``before`` is the daily dose (mcg/day) before each change, by its setting's id. Those of which
    there is not enough to say are left to the caller (`is_told`).
    """
    scales = [STIFFNESS]
    if any(spasms.verdict in _WITH_NUMBER for _, spasms in pairs):
        scales.append(SPASMS)
    cautions: dict[str, int] = {}
    rows = tuple(
        _row(pair[: len(scales)], before.get(pair[0].steps[0].id, 0.0), zone, cautions)
        for pair in reversed(pairs)
    )
    axes = tuple(
        _axis(scale, [row.intervals[number] for row in rows]) for number, scale in enumerate(scales)
    )
    told = (joined(", ", (row.label, *filter(None, (_words(row),)))) for row in rows)
    return Shifts(axes, rows, tuple(cautions), joined("; ", told))


def is_told(pair: tuple[Response, Response]) -> bool:
    """Return whether a row says anything of a change: a number, or when there will be one."""
    return any(one.verdict in (*_WITH_NUMBER, SETTLING, TOO_SOON, OTHER_HOURS) for one in pair)


def change_text(dose_before: float, setting: Setting) -> str:
    """Return a change of the dose in numbers: "190 to 210 mcg/day (+10.5 %)"."""
    dose = setting.programme.dose_mcg_per_day
    if isclose(dose, dose_before, rel_tol=1e-3):  # typed with more or fewer digits
        return message("{dose} mcg/day as before, spread otherwise", dose=entered_number(dose))
    percent = percent_text(step_information(dose_before, dose, None).percent)
    return message(
        "{before} to {after} mcg/day ({percent})",
        before=entered_number(dose_before), after=entered_number(dose), percent=percent,
    )  # fmt: skip


def _row(
    pair: Sequence[Response], dose_before: float, zone: tzinfo, cautions: dict[str, int]
) -> ShiftRow:
    """Return the row of one change; what it must be read with is added to ``cautions``."""
    first = pair[0]
    intervals = tuple(map(_interval, pair))
    days = [local_date(step.at, zone) for step in first.steps]
    label = date_text(days[0])
    if len(days) > 1:
        label = message(
            "{count} changes from {first} to {last}",
            count=len(days), first=date_text(days[0]), last=date_text(days[-1]),
        )  # fmt: skip
    detail = change_text(dose_before, first.setting)
    if not any(intervals):
        return ShiftRow(label, detail, intervals, "", _instead(first))
    shown = [one for one, interval in zip(pair, intervals, strict=True) if interval]
    numbers = [
        cautions.setdefault(caution, len(cautions) + 1) for one in shown for caution in one.cautions
    ]
    counts = message(
        "{before} days before, {after} after",
        before=len(shown[0].before.days),
        after=len(shown[0].after.days),
    )
    told = ", ".join(map(str, sorted(set(numbers))))
    return ShiftRow(label, detail, intervals, counts, "", _also(first), told)


def _also(response: Response) -> str:
    """Return what else happened in that time: on which day, or how often if more than once."""
    by_words: dict[str, list[DiaryEvent]] = {}
    for one in response.happened:
        by_words.setdefault(event_words(one.what), []).append(one)
    if not by_words:
        return ""
    told = (
        joined(", ", (words, date_text(found[0].at.date())))
        if len(found) == 1
        else plural_message("{what}, {count} time", "{what}, {count} times", len(found), what=words)
        for words, found in by_words.items()
    )
    return message("Also in that time: {happenings}.", happenings=joined("; ", told))


def _interval(response: Response) -> Interval | None:
    shift = response.shift
    if shift is None or response.verdict not in _WITH_NUMBER:
        return None
    is_claim = response.verdict in CLAIMS
    return Interval(shift.low, shift.points, shift.high, is_claim, _shift_words(response, shift))


def _shift_words(response: Response, shift: Shift) -> str:
    if response.verdict in CLAIMS:
        nearest, farthest = sorted((abs(shift.low), abs(shift.high)))
        return _WORDS[response.scale, response.verdict].filled(
            points=format_number(abs(shift.points), 1),
            # Nobody is to read of a change that it is likely 0 or more.
            low=format_number(max(nearest, 0.1), 1),
            high=format_number(farthest, 1),
        )
    if response.verdict != UNCLEAR:
        return _MOVING[response.scale, response.verdict]
    if not shift.is_bounded:
        return _UNBOUNDED
    return _UNCLEAR.filled(low=_signed(shift.low), high=_signed(shift.high))


def _signed(points: float) -> str:
    number = format_number(abs(points), 1)
    if number == "0":
        return number
    return joined("", ("+" if points > 0 else "−", number))


def _instead(response: Response) -> str:
    if response.verdict == OTHER_HOURS:
        return message("noted at other hours or on other days than before: nothing to compare")
    if response.next_look_on is None:
        return message("too soon to say")
    return message(
        "too soon to say; it can be judged on {day}", day=date_text(response.next_look_on)
    )


def _axis(scale: str, intervals: Sequence[Interval | None]) -> ShiftAxis:
    ends = [end for one in intervals if one for end in (one.low, one.points, one.high)]
    reach = max([1.0, *(abs(end) for end in ends if isfinite(end))])
    top = next((step for step in (1, 2, 3, 4, 6, 8) if step >= reach), SCALES[scale])
    top = min(top, SCALES[scale])
    title, less, more = _ENDS[scale]
    ticks = tuple(
        (value, localized_number(f"{abs(value):g}")) for value in (-top, -top / 2, 0, top / 2, top)
    )
    return ShiftAxis(title, Axis(-top, top, ticks), less, more)


def _words(row: ShiftRow) -> str:
    told = [interval.words for interval in row.intervals if interval]
    return joined(", ", told) if told else row.instead


def _likely(response: Response, top: float) -> tuple[float, float] | None:
    middle, shift = response.before.middle, response.shift
    if middle is None or shift is None or not shift.is_bounded:
        return None
    low, high = max(middle + shift.low, 0.0), min(middle + shift.high, top)
    return min(low, high), max(low, high)
