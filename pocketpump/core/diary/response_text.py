"""What a change of the dose setting was followed by, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from pocketpump.core.diary.check_ins import DiaryEvent
from pocketpump.core.diary.comparison import Comparison
from pocketpump.core.diary.events import event_words
from pocketpump.core.diary.response_sentences import CLEAR, MOVING, UNCLEAR_BY_BOUNDS, UNJUDGED
from pocketpump.core.diary.verdict import (
    CLAIMS,
    FEW_AFTER,
    FEW_BEFORE,
    FEWEST_DAYS,
    FEWEST_SPAN_DAYS,
    LOWER,
    NOT_ENOUGH,
    TOO_ALIKE,
    UNCLEAR,
    Period,
)
from pocketpump.core.messages import LazyText, joined, message, plural_message
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import format_number


@dataclass(frozen=True, slots=True)
class Told:
    """What there is to tell; see `response.Response`, where most of it has the same name.

    ``steps`` are the days of the changes; ``noted_before`` and ``noted_after`` the days noted at
    whatever hour, of ``check_ins`` in all, ``span_before`` how many days the diary goes back before
    the first change; ``judged`` says that a fixed day has come; ``wanted`` the points that must
    show for a number to be told.
    """

    steps: tuple[date, ...]
    scale: str
    verdict: str
    reason: str
    before: Period
    after: Period
    noted_before: int
    span_before: int
    noted_after: int
    check_ins: int
    comparison: Comparison | None
    judged: bool
    next_look_on: date | None
    wanted: float


NOT_THE_CAUSE = message(
    "This says what came after the change, not that the change was the cause. Only your clinic"
    " decides about the dose."
)
"""What belongs in sight beside every response."""


def also_text(happened: Sequence[DiaryEvent]) -> str:
    """Return what else happened in that time; "" when nothing did."""
    if not happened:
        return ""
    told = joined(
        "; ", (joined(", ", (event_words(h.what), date_text(h.at.date()))) for h in happened)
    )
    return message("Also in that time: {happenings}.", happenings=told)


def points_text(points: float) -> str:
    """Return a difference in points as people say it: "1.5 points", "1 point"."""
    number = format_number(abs(points), 1)
    if number.isdigit():
        return plural_message("{count} point", "{count} points", int(number))
    # Note: the number is a fraction, such as 1.5.
    return message("{number} points", number=number)


def response_sentence(told: Told) -> str:
    """Return the verdict in one or two sentences, with the numbers of days."""
    if told.verdict in UNJUDGED:
        return UNJUDGED[told.verdict].filled(what=_what(told), **_looks(told))
    if told.verdict == NOT_ENOUGH:
        return _not_enough(told)
    assert told.comparison is not None  # every other verdict has a number
    shift = told.comparison.shift
    values: dict[str, object] = {"after": _after(told), "counts": _counts(told)}
    if told.verdict in CLAIMS:
        nearest, farthest = sorted((abs(shift.low), abs(shift.high)))
        return CLEAR[told.scale, told.verdict].filled(
            points=points_text(shift.points),
            # Nobody is to read of a change that it is likely 0 or more.
            nearest=format_number(max(nearest, 0.1), 1),
            farthest=format_number(farthest, 1),
            **values,
        )
    if told.verdict != UNCLEAR:
        return MOVING[told.scale, told.verdict].filled(**values)
    lower = higher = False
    if shift.is_bounded:
        lower, higher = (format_number(abs(end), 1) != "0" for end in (shift.low, shift.high))
        values |= {"lower": points_text(shift.low), "higher": points_text(shift.high)}
    shown = message(
        "A change of {points} would most likely have shown.",
        points=points_text(ceil(2 * told.comparison.visible) / 2),
    )
    return joined(" ", (UNCLEAR_BY_BOUNDS[told.scale, lower, higher].filled(**values), shown))


def response_cautions(told: Told) -> tuple[str, ...]:
    """Return what belongs in sight beside the sentence; nothing when nothing does."""
    found: list[str] = []
    if told.comparison is not None and told.comparison.bad_weeks:
        found.append(
            plural_message(
                "The week before the change was worse than the days before it. A bad spell often"
                " eases by itself.",
                "The {count} weeks before the change were worse than the days before them. A bad"
                " spell often eases by itself.",
                told.comparison.bad_weeks,
            )
        )
    elif told.verdict == LOWER or (told.reason == FEW_BEFORE and told.noted_before):
        # A spell about as long as the days before looks like how it always was.
        found.append(
            message("A change often falls in a bad spell, and that often eases by itself.")
        )
    if told.verdict == UNCLEAR and told.comparison is not None and told.comparison.may_be_slow:
        found.append(
            message("The days differ, but a slow change over the whole time would look the same.")
        )
    if told.comparison is not None:
        left_out = told.check_ins - sum(told.comparison.pair.check_ins)
        if left_out:
            found.append(
                plural_message(
                    "{count} check-in is not compared: that time of day, or that part of the week,"
                    " was not noted as often before as after.",
                    "{count} check-ins are not compared: that time of day, or that part of the"
                    " week, was not noted as often before as after.",
                    left_out,
                )
            )
    if told.judged and told.next_look_on is not None and told.verdict != NOT_ENOUGH:
        found.append(_again(told.next_look_on))
    return tuple(found)


def _what(told: Told) -> LazyText:
    first, last = date_text(told.steps[0]), date_text(told.steps[-1])
    if len(told.steps) == 1:
        return message("The change of {day}", day=first)
    return message(
        "The {count} changes from {first} to {last}",
        count=len(told.steps), first=first, last=last,
    )  # fmt: skip


def _after(told: Told) -> LazyText:
    first, last = date_text(told.steps[0]), date_text(told.steps[-1])
    if len(told.steps) == 1:
        # Note: a sentence follows, like "stiffness was lower by about 2 points".
        return message("After the change of {day}", day=first)
    # Note: a sentence follows, like "stiffness was lower by about 2 points".
    return message(
        "After the {count} changes from {first} to {last}, looked at together,",
        count=len(told.steps), first=first, last=last,
    )  # fmt: skip


def _counts(told: Told) -> LazyText:
    return message(
        "({before} days before, {after} days after, {check_ins} check-ins)",
        before=len(told.before.days),
        after=len(told.after.days),
        check_ins=told.before.check_ins + told.after.check_ins,
    )


def _looks(told: Told) -> dict[str, object]:
    return {
        "judged": "" if told.next_look_on is None else date_text(told.next_look_on),
        "noted": plural_message("{count} day", "{count} days", told.noted_after),
        "needed": FEWEST_DAYS,
    }


def _again(day: date) -> LazyText:
    return message(
        "It is looked at once more on {day}; then the answer stands.", day=date_text(day)
    )


def _not_enough(told: Told) -> LazyText:
    values: dict[str, object] = {
        "what": _what(told),
        "before": told.noted_before,
        "after": told.noted_after,
    }
    if told.reason == FEW_BEFORE and told.noted_before < FEWEST_DAYS:
        return message(
            "{what}: not enough to say. Too few days were noted before it: {before}, and {needed}"
            " are needed. More days after it cannot make up for that.",
            needed=FEWEST_DAYS,
            **values,
        )
    if told.reason == FEW_BEFORE:
        return message(
            "{what}: not enough to say. The diary began only {span} days before it, and {needed}"
            " are needed. More days after it cannot make up for that.",
            span=told.span_before,
            needed=FEWEST_SPAN_DAYS,
            **values,
        )
    more: list[str] = []
    if told.reason == FEW_AFTER:
        said = message(
            "{what}: not enough to say. Too few days were noted after it: {after}, and {needed} are"
            " needed.",
            needed=FEWEST_DAYS,
            **values,
        )
        if told.next_look_on is not None:
            more.append(
                plural_message(
                    "{count} day more by {day} would do.",
                    "{count} days more by {day} would do.",
                    FEWEST_DAYS - told.noted_after,
                    day=date_text(told.next_look_on),
                )
            )
        return joined(" ", (said, *more))
    if told.reason == TOO_ALIKE:
        said = message(
            "{what}: not enough to say. Days that follow each other are too alike, so {after} days"
            " count as few.",
            **values,
        )
    else:
        said = message(
            "{what}: not enough to say. The scores go up and down too much from day to day.",
            **values,
        )
    needed = told.comparison.more_days(told.wanted) if told.comparison else None
    if needed:
        more.append(
            plural_message(
                "About {count} day more like these, before and after, would do.",
                "About {count} days more like these, before and after, would do.",
                needed,
            )
        )
    if told.next_look_on is not None:
        more.append(_again(told.next_look_on))
    return joined(" ", (said, *more))
