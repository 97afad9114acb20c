"""What a change of the dose setting was followed by: before against after, said honestly.

Days are compared, not check-ins: the median of each day. The days right after the change
(settling days) are left out. The effect of an infusion change is full at 24-48 hours
(label); many people and clinics wait 3-5 days before they judge (common practice).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from statistics import median

from pocketpump.core.booking import USUAL_SETTLING_DAYS
from pocketpump.core.diary import (
    SPASMS,
    STIFFNESS,
    Happening,
    Reading,
    between,
    daily_medians,
)
from pocketpump.core.instants import date_text
from pocketpump.core.pattern import Programme
from pocketpump.core.quantity import format_number
from pocketpump.core.statistics import Shift, hodges_lehmann, variance_inflation
from pocketpump.core.timeline import Setting

WINDOW_DAYS = 28
"""At most so many days on either side (own choice): long enough to see, short enough to be
about this change."""
FEWEST_DAYS = 7
"""Fewer days with a check-in on either side are not enough to say (own choice)."""
CONFIDENCE = 0.95
# From memory, not seen in a source: trade facts §4 gives about 30 % of a 0-10 stiffness score,
# and names Farrar 2008, Clin Ther (abstract) for the scale.
MATTERS_PERCENT = 30

NOT_ENOUGH, SETTLING, LOWER, HIGHER, UNCLEAR = (
    "not enough", "settling", "lower", "higher", "no clear change",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sample:
    """The days on one side of a change: how many, of how many check-ins, from when to when."""

    days: int
    check_ins: int
    median: float | None
    first: date | None
    last: date | None


@dataclass(frozen=True, slots=True)
class Response:
    """What one change was followed by on one scale.

    ``verdict`` is "not enough", "settling", "lower", "higher" or "no clear change";
    ``shift`` in points (None while there is not enough); ``inflation`` the factor by which
    the likeness of neighbouring days widened the interval; ``sentence`` says it, with
    the numbers of days and check-ins; ``lines`` are the working, among them ``also``, what
    else happened in that time ("" when nothing did).
    """

    setting: Setting
    scale: str
    before: Sample
    after: Sample
    shift: Shift | None
    inflation: float
    verdict: str
    sentence: str
    lines: tuple[str, ...]
    also: str


def changes_of(settings: Iterable[Setting], now: datetime) -> tuple[Setting, ...]:
    """Return the first setting and each that differs from the one before, up to ``now``.

    What is noted again as it was (at a refill, from a printout) is no change.
    """
    found: list[Setting] = []
    for setting in sorted((s for s in settings if s.at <= now), key=lambda s: s.at):
        if not found or not _same(found[-1].programme, setting.programme):
            found.append(setting)
    return tuple(found)


def _same(one: Programme, other: Programme) -> bool:
    if one.mode == other.mode == "constant rate":
        # The pump's clock, set anew, makes no difference to a steady rate.
        other = replace(other, clock_offset_minutes=one.clock_offset_minutes)
    return one == other


def responses(
    settings: Iterable[Setting],
    marks: Sequence[Reading],
    now: datetime,
    *,
    scale: str = STIFFNESS,
    settling_days: int = USUAL_SETTLING_DAYS,
    happenings: Iterable[Happening] = (),
) -> tuple[Response, ...]:
    """Return the response to each change of the setting up to ``now``, oldest first.

    The first setting is no change, and one noted again neither. ``marks`` are all readings of
    ``scale``, in order of time. A side reaches at most `WINDOW_DAYS` and never into another
    change or its settling days. ``happenings`` in that time are told beside the response.
    """
    known = tuple(happenings)
    ordered = changes_of(settings, now)
    settle = timedelta(days=settling_days)
    found = []
    for index, setting in enumerate(ordered[1:], start=1):
        following = ordered[index + 1].at if index + 1 < len(ordered) else now
        window = timedelta(days=WINDOW_DAYS)
        earliest = max(setting.at - window, ordered[index - 1].at + settle)
        begin = setting.at + settle
        end = max(begin, min(begin + window, following))
        before = between(marks, earliest, setting.at)
        after = between(marks, begin, end)
        also = [h for h in known if earliest <= h.at < end]
        found.append(_response(setting, scale, before, after, begin > now, also))
    return tuple(found)


def _response(
    setting: Setting,
    scale: str,
    before: Sequence[Reading],
    after: Sequence[Reading],
    settling: bool,
    happened: Sequence[Happening],
) -> Response:
    days_before, days_after = daily_medians(before), daily_medians(after)
    side, other = _sample(days_before, before), _sample(days_after, after)
    shift, inflation = None, 1.0
    if min(side.days, other.days) >= FEWEST_DAYS:
        values = tuple(days_before.values()), tuple(days_after.values())
        inflation = variance_inflation(values)
        shift = hodges_lehmann(*values, confidence=CONFIDENCE, inflation=inflation)
    verdict = _verdict(shift, settling)
    also = _also(happened)
    return Response(
        setting,
        scale,
        side,
        other,
        shift,
        inflation,
        verdict,
        _sentence(setting, scale, side, other, shift, verdict),
        _lines(scale, side, other, shift, inflation, also),
        also,
    )


def _also(happened: Sequence[Happening]) -> str:
    if not happened:
        return ""
    told = "; ".join(f"{one.what}, {date_text(one.at.date())}" for one in happened)
    return f"Also in that time: {told}."


def _sample(days: dict[date, float], marks: Sequence[Reading]) -> Sample:
    ordered = list(days)
    middle = median(days.values()) if days else None
    first, last = (ordered[0], ordered[-1]) if ordered else (None, None)
    return Sample(len(days), len(marks), middle, first, last)


def _verdict(shift: Shift | None, settling: bool) -> str:
    if shift is None:
        return SETTLING if settling else NOT_ENOUGH
    if shift.low > 0:
        return HIGHER
    return LOWER if shift.high < 0 else UNCLEAR


def points_text(points: float) -> str:
    """Return a difference in points as people say it: "1.5 points", "1 point"."""
    number = format_number(abs(points), 1)
    return f"{number} point" if number == "1" else f"{number} points"


def percent_of(shift: Shift, before: float | None) -> float | None:
    """Return the shift in percent of the median before; None where that is 0 or unknown."""
    return None if not before else shift.points / before * 100


def _sentence(
    setting: Setting, scale: str, before: Sample, after: Sample, shift: Shift | None, verdict: str
) -> str:
    day = date_text(setting.at.date())
    counts = (
        f"({before.days} days before, {after.days} days after,"
        f" {before.check_ins + after.check_ins} check-ins)"
    )
    if verdict == SETTLING:
        return f"The change of {day} is still settling: too soon to say."
    if shift is None:
        return f"The change of {day}: not enough to say {counts}."
    if verdict == UNCLEAR:
        may_be = [
            f"up to {points_text(points)} {word}"
            for points, word in ((shift.low, "lower"), (shift.high, "higher"))
            if format_number(abs(points), 1) != "0"
        ]
        rest = f": it may be {' or '.join(may_be)}, or the same" if may_be else ""
        return f"After the change of {day} there is no clear change in {scale}{rest} {counts}."
    nearest, farthest = sorted((abs(shift.low), abs(shift.high)))
    was = "were" if scale == SPASMS else "was"
    return (
        f"After the change of {day} {scale} {was} {verdict} by about {points_text(shift.points)},"
        f" likely {format_number(nearest, 1)} to {format_number(farthest, 1)} {counts}."
    )


def _lines(
    scale: str,
    before: Sample,
    after: Sample,
    shift: Shift | None,
    inflation: float,
    also: str,
) -> tuple[str, ...]:
    lines = [_side("Before", before), _side("After the settling days", after)]
    if shift is None:
        lines.append(f"At least {FEWEST_DAYS} days with a check-in are needed on either side.")
    else:
        lines += [
            "Shift: the median of all differences between a day after and a day before ="
            f" {format_number(shift.points, 1)} points (Hodges and Lehmann).",
            f"{CONFIDENCE:.0%} interval: {format_number(shift.low, 1)} to"
            f" {format_number(shift.high, 1)} points. Days that follow each other are alike, so"
            f" its variance was multiplied by {format_number(inflation, 1)}.",
        ]
        percent = percent_of(shift, before.median)
        clear = _verdict(shift, settling=False) != UNCLEAR and scale == STIFFNESS
        if clear and percent is not None and abs(percent) >= MATTERS_PERCENT:
            lines.append(
                "As a rule of thumb, people tend to feel a change of stiffness by about"
                f" {MATTERS_PERCENT} % or more."
            )
    if also:
        lines.append(also)
    lines.append(
        "This says what came after the change, not that the change was the cause. Only your"
        " clinic decides about the dose."
    )
    return tuple(lines)


def _side(name: str, sample: Sample) -> str:
    if sample.first is None or sample.last is None or sample.median is None:
        return f"{name}: no check-in."
    return (
        f"{name}: {date_text(sample.first)} to {date_text(sample.last)}, {sample.days} days,"
        f" {sample.check_ins} check-ins, median of the days {format_number(sample.median, 1)}."
    )
