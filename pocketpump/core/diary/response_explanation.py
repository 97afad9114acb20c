"""How the response to a change was worked out, line by line."""

from pocketpump.core.diary.check_ins import STIFFNESS
from pocketpump.core.diary.comparison import Comparison
from pocketpump.core.diary.response_text import Told
from pocketpump.core.diary.verdict import CLAIMS, FEWEST_DAYS, FEWEST_SPAN_DAYS, NOT_ENOUGH, Period
from pocketpump.core.messages import LazyText, message, plural_message
from pocketpump.core.statistics.ranks import Shift
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import format_number

# About 30 % of a 0-10 stiffness score: from memory, not seen in a source. The scale itself:
# Farrar 2008, Clin Ther (abstract).
MATTERS_PERCENT = 30


def percent_of(shift: Shift, before: float | None) -> float | None:
    """Return the shift in percent of the median before; None where that is 0 or unknown."""
    return None if not before else shift.points / before * 100


def response_lines(told: Told) -> tuple[str, ...]:
    """Return the working of a response, line by line."""
    lines: list[str] = [_side_before(told.before), _side_after(told.after)]
    if told.comparison is None:
        lines.append(
            message(
                "At least {days} days with a check-in are needed before and after, at the same"
                " times of day, and a diary that began {span} days before.",
                days=FEWEST_DAYS,
                span=FEWEST_SPAN_DAYS,
            )
        )
    elif told.verdict != NOT_ENOUGH:
        lines += _working(told, told.comparison)
    return tuple(lines)


def _working(told: Told, found: Comparison) -> list[str]:
    caution = found.caution
    step = found.step
    lines: list[str] = [
        _ranks_line(found),
        message(
            "With a slow rise or fall over the whole time taken off (interrupted time series), the"
            " step at the change is {points} points, {percent} interval {low} to {high}.",
            points=format_number(step.points, 1),
            percent=_percent(1 - 2 * caution.tail),
            low=format_number(step.low, 1),
            high=format_number(step.high, 1),
        ),
        message(
            "Both must lie on one side of 0 to be told as a change: {low} to {high} points in all.",
            low=format_number(found.shift.low, 1),
            high=format_number(found.shift.high, 1),
        )
        if found.shift.is_bounded
        else message(
            "Both must lie on one side of 0 to be told as a change. In all no bound could be"
            " given: the days left to compare are too few, or too alike."
        ),
    ]
    if found.bad_weeks:
        lines.append(
            plural_message(
                "The same without the week before the change is within that.",
                "The same without up to {count} weeks before the change is within that.",
                found.bad_weeks,
            )
        )
    percent = percent_of(found.shift, told.before.middle)
    clear = told.verdict in CLAIMS and told.scale == STIFFNESS
    if clear and percent is not None and abs(percent) >= MATTERS_PERCENT:
        lines.append(
            message(
                "As a rule of thumb, people tend to feel a change of stiffness by about"
                " {percent} or more.",
                percent=message("{number} %", number=MATTERS_PERCENT),
            )
        )
    return lines


def _ranks_line(found: Comparison) -> str:
    ranks, factor = found.ranks.shift, format_number(found.ranks.factor, 1)
    points = format_number(ranks.points, 1)
    if not ranks.is_bounded:
        return message(
            "Scores of the same time of day and the same part of the week are compared by ranks"
            " (Mann and Whitney; van Elteren). Shift: {points} points. No bound could be given: the"
            " days are too few, or too alike (variance multiplied by {factor}).",
            points=points,
            factor=factor,
        )
    return message(
        "Scores of the same time of day and the same part of the week are compared by ranks"
        " (Mann and Whitney; van Elteren). Shift: {points} points, {percent} interval {low} to"
        " {high}. Days that follow each other are alike, so its variance was multiplied by"
        " {factor}.",
        points=points,
        percent=_percent(found.caution.confidence),
        low=format_number(ranks.low, 1),
        high=format_number(ranks.high, 1),
        factor=factor,
    )


def _percent(share: float) -> LazyText:
    return message("{number}%", number=f"{share * 100:.0f}")


def _side_before(period: Period) -> str:
    values = _side(period)
    if not values:
        return message("Before: no check-in.")
    return message(
        "Before: {first} to {last}, {days} days, {check_ins} check-ins, median of the days"
        " {median}.",
        **values,
    )


def _side_after(period: Period) -> str:
    values = _side(period)
    if not values:
        return message("After the settling days: no check-in.")
    return message(
        "After the settling days: {first} to {last}, {days} days, {check_ins} check-ins, median of"
        " the days {median}.",
        **values,
    )


def _side(period: Period) -> dict[str, object]:
    if period.middle is None:
        return {}
    return {
        "first": date_text(period.days[0].day),
        "last": date_text(period.days[-1].day),
        "days": len(period.days),
        "check_ins": period.check_ins,
        "median": format_number(period.middle, 1),
    }
