"""What a change of the dose setting was followed by, in words, and how that was worked out."""

from collections.abc import Mapping, Sequence

from pocketpump.core.diary import SPASMS, STIFFNESS, Happening
from pocketpump.core.happenings import happening_words
from pocketpump.core.instants import date_text
from pocketpump.core.quantity import format_number
from pocketpump.core.statistics import Shift
from pocketpump.core.timeline import Setting
from pocketpump.core.verdict import (
    CONFIDENCE,
    FEWEST_DAYS,
    HIGHER,
    LOWER,
    SETTLING,
    UNCLEAR,
    Sample,
    verdict_of,
)
from pocketpump.core.wording import Said, joined, worded, worded_count

# About 30 % of a 0-10 stiffness score: from memory, not seen in a source. The scale itself:
# Farrar 2008, Clin Ther (abstract).
MATTERS_PERCENT = 30


def also_text(happened: Sequence[Happening]) -> str:
    """Return what else happened in that time; "" when nothing did."""
    if not happened:
        return ""
    told = joined(
        "; ", (joined(", ", (happening_words(h.what), date_text(h.at.date()))) for h in happened)
    )
    return worded("Also in that time: {happenings}.", happenings=told)


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


def response_sentence(
    setting: Setting, scale: str, before: Sample, after: Sample, shift: Shift | None, verdict: str
) -> str:
    """Return the one sentence that says the response, with the numbers of days."""
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
        return _UNCLEAR[scale, lower, higher].filled(**values)
    nearest, farthest = sorted((abs(shift.low), abs(shift.high)))
    values |= {
        "points": points_text(shift.points),
        "nearest": format_number(nearest, 1),
        "farthest": format_number(farthest, 1),
    }
    return _CLEAR[scale, verdict].filled(**values)


_CLEAR: Mapping[tuple[str, str], Said] = {
    (STIFFNESS, LOWER): worded(
        "After the change of {day} stiffness was lower by about {points}, likely {nearest} to"
        " {farthest} {counts}."
    ),
    (STIFFNESS, HIGHER): worded(
        "After the change of {day} stiffness was higher by about {points}, likely {nearest} to"
        " {farthest} {counts}."
    ),
    (SPASMS, LOWER): worded(
        "After the change of {day} spasms were lower by about {points}, likely {nearest} to"
        " {farthest} {counts}."
    ),
    (SPASMS, HIGHER): worded(
        "After the change of {day} spasms were higher by about {points}, likely {nearest} to"
        " {farthest} {counts}."
    ),
}
_UNCLEAR: Mapping[tuple[str, bool, bool], Said] = {
    (STIFFNESS, True, True): worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, True, False): worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (STIFFNESS, False, True): worded(
        "After the change of {day} there is no clear change in stiffness: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, False, False): worded(
        "After the change of {day} there is no clear change in stiffness {counts}."
    ),
    (SPASMS, True, True): worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, True, False): worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (SPASMS, False, True): worded(
        "After the change of {day} there is no clear change in spasms: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, False, False): worded(
        "After the change of {day} there is no clear change in spasms {counts}."
    ),
}
"""By scale, and by whether lower and higher may be."""


def response_lines(
    scale: str,
    before: Sample,
    after: Sample,
    shift: Shift | None,
    inflation: float,
    also: str,
) -> tuple[str, ...]:
    """Return the working of a response, line by line, ``also`` among them."""
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
        clear = verdict_of(shift, settling=False) != UNCLEAR and scale == STIFFNESS
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
