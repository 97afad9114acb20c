"""What a change of the dose setting was followed by: before against after, said honestly.

Days are compared, not check-ins: the median of each day. The days right after the change
(settling days) are left out. The effect of an infusion change is full at 24-48 hours
(label); many people and clinics wait 3-5 days before they judge (common practice).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
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
from pocketpump.core.happenings import happening_words
from pocketpump.core.instants import date_text
from pocketpump.core.pattern import Programme
from pocketpump.core.quantity import format_number
from pocketpump.core.statistics import Shift, hodges_lehmann, variance_inflation
from pocketpump.core.timeline import Setting
from pocketpump.core.wording import joined, worded, worded_count

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
    told = joined(
        "; ", (joined(", ", (happening_words(h.what), date_text(h.at.date()))) for h in happened)
    )
    return worded("Also in that time: {happenings}.", happenings=told)


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
    if number.isdigit():
        return worded_count("{count} point", "{count} points", int(number))
    # Note: the number is a fraction, such as 1.5.
    return worded("{number} points", number=number)


def percent_of(shift: Shift, before: float | None) -> float | None:
    """Return the shift in percent of the median before; None where that is 0 or unknown."""
    return None if not before else shift.points / before * 100


def _sentence(
    setting: Setting, scale: str, before: Sample, after: Sample, shift: Shift | None, verdict: str
) -> str:
    values: dict[str, object] = {
        "day": date_text(setting.at.date()),
        "counts": worded(
            "({before} days before, {after} days after, {check_ins} check-ins)",
            before=before.days,
            after=after.days,
            check_ins=before.check_ins + after.check_ins,
        ),
    }
    if verdict == SETTLING:
        return worded("The change of {day} is still settling: too soon to say.", **values)
    if shift is None:
        return worded("The change of {day}: not enough to say {counts}.", **values)
    if verdict == UNCLEAR:
        lower, higher = (format_number(abs(bound), 1) != "0" for bound in (shift.low, shift.high))
        values |= {"lower": points_text(shift.low), "higher": points_text(shift.high)}
        return _UNCLEAR[scale, lower, higher](**values)
    nearest, farthest = sorted((abs(shift.low), abs(shift.high)))
    values |= {
        "points": points_text(shift.points),
        "nearest": format_number(nearest, 1),
        "farthest": format_number(farthest, 1),
    }
    return _CLEAR[scale, verdict](**values)


_CLEAR: Mapping[tuple[str, str], Callable[..., str]] = {
    (STIFFNESS, LOWER): lambda **values: worded(
        "After the change of {day} stiffness was lower by about {points}, likely {nearest} to"
        " {farthest} {counts}.",
        **values,
    ),
    (STIFFNESS, HIGHER): lambda **values: worded(
        "After the change of {day} stiffness was higher by about {points}, likely {nearest} to"
        " {farthest} {counts}.",
        **values,
    ),
    (SPASMS, LOWER): lambda **values: worded(
        "After the change of {day} spasms were lower by about {points}, likely {nearest} to"
        " {farthest} {counts}.",
        **values,
    ),
    (SPASMS, HIGHER): lambda **values: worded(
        "After the change of {day} spasms were higher by about {points}, likely {nearest} to"
        " {farthest} {counts}.",
        **values,
    ),
}
_UNCLEAR: Mapping[tuple[str, bool, bool], Callable[..., str]] = {
    (STIFFNESS, True, True): lambda **values: worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}.",
        **values,
    ),
    (STIFFNESS, True, False): lambda **values: worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {lower} lower, or the same {counts}.",
        **values,
    ),
    (STIFFNESS, False, True): lambda **values: worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {higher} higher, or the same {counts}.",
        **values,
    ),
    (STIFFNESS, False, False): lambda **values: worded(
        "After the change of {day} there is no clear change in stiffness {counts}.",
        **values,
    ),
    (SPASMS, True, True): lambda **values: worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}.",
        **values,
    ),
    (SPASMS, True, False): lambda **values: worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {lower} lower, or the same {counts}.",
        **values,
    ),
    (SPASMS, False, True): lambda **values: worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {higher} higher, or the same {counts}.",
        **values,
    ),
    (SPASMS, False, False): lambda **values: worded(
        "After the change of {day} there is no clear change in spasms {counts}.",
        **values,
    ),
}
"""By scale, and by whether lower and higher may be."""


def _lines(
    scale: str,
    before: Sample,
    after: Sample,
    shift: Shift | None,
    inflation: float,
    also: str,
) -> tuple[str, ...]:
    lines: list[str] = [_side_before(before), _side_after(after)]
    if shift is None:
        lines.append(
            worded(
                "At least {days} days with a check-in are needed on either side.", days=FEWEST_DAYS
            )
        )
    else:
        lines += [
            worded(
                "Shift: the median of all differences between a day after and a day before ="
                " {points} points (Hodges and Lehmann).",
                points=format_number(shift.points, 1),
            ),
            worded(
                "{percent} interval: {low} to {high} points. Days that follow each other are"
                " alike, so its variance was multiplied by {factor}.",
                percent=worded("{number}%", number=f"{CONFIDENCE * 100:.0f}"),
                low=format_number(shift.low, 1),
                high=format_number(shift.high, 1),
                factor=format_number(inflation, 1),
            ),
        ]
        percent = percent_of(shift, before.median)
        clear = _verdict(shift, settling=False) != UNCLEAR and scale == STIFFNESS
        if clear and percent is not None and abs(percent) >= MATTERS_PERCENT:
            lines.append(
                worded(
                    "As a rule of thumb, people tend to feel a change of stiffness by about"
                    " {percent} or more.",
                    percent=worded("{number} %", number=MATTERS_PERCENT),
                )
            )
    if also:
        lines.append(also)
    lines.append(
        worded(
            "This says what came after the change, not that the change was the cause. Only your"
            " clinic decides about the dose."
        )
    )
    return tuple(lines)


def _side_before(sample: Sample) -> str:
    values = _side(sample)
    if not values:
        return worded("Before: no check-in.")
    return worded(
        "Before: {first} to {last}, {days} days, {check_ins} check-ins, median of the days"
        " {median}.",
        **values,
    )


def _side_after(sample: Sample) -> str:
    values = _side(sample)
    if not values:
        return worded("After the settling days: no check-in.")
    return worded(
        "After the settling days: {first} to {last}, {days} days, {check_ins} check-ins, median of"
        " the days {median}.",
        **values,
    )


def _side(sample: Sample) -> dict[str, object]:
    if sample.first is None or sample.last is None or sample.median is None:
        return {}
    return {
        "first": date_text(sample.first),
        "last": date_text(sample.last),
        "days": sample.days,
        "check_ins": sample.check_ins,
        "median": format_number(sample.median, 1),
    }
