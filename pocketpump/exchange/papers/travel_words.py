"""What is said of a trip, on the screen and on paper: the drug's reach, the pump's hours."""

from collections.abc import Callable
from datetime import date

from pocketpump.core.messages import message, plural_message
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS
from pocketpump.core.travel.trip import ClockRow, ClockSpan, DrugReach
from pocketpump.core.units.instants import WEEKDAYS, date_text


def reach_sentences(reach: DrugReach) -> tuple[str, ...]:
    """Return in words whether the drug reaches the return; the same on screen and paper."""
    if reach.verdict == "cannot tell":
        return (
            message(
                "Cannot tell whether the drug lasts ({why}). Ask the clinic.", why=reach.because
            ),
        )
    if reach.verdict == "do not leave":
        return (
            message("Do not leave before a refill: call the clinic now."),
            _OVERDUE[reach.because],
            message(
                "If you have left already, call all the same: the clinic can help to find one near."
            ),
            EMERGENCY_SIGNS,
        )
    assert reach.reaches is not None  # every other answer has a day
    # Note: the drug is needed until then.
    until = message(
        "Needed until {day}: the return and your margin.", day=date_text(reach.needed_until)
    )
    sure = message(
        "By the numbers, what is in the pump lasts at least until {day} ({why}).",
        day=date_text(reach.reaches),
        why=reach.because,
    )
    if reach.verdict == "fine":
        lasts = message("By the numbers the drug lasts to the return and your margin.")
        return (lasts, until, sure)
    return tuple(filter(None, (_FIRST[reach.verdict, reach.is_due], *_refill(reach), until, sure)))


_OVERDUE = {
    "empty": message("By these numbers the pump is empty."),
    "maybe-empty": message("By these numbers the pump may be empty."),
    "alarm": message("The alarm date has come."),
    "clinic-alarm": message("The alarm date the clinic printed has come."),
    "drug-age": message("The drug has been in the pump longer than its limit."),
    "overdue": message("The refill-by date is past."),
}
_AWAY = message(
    "This trip needs a refill while you are away, or other days. Talk to the clinic early."
)
_FIRST = {
    ("refill first", False): message(
        "Ask for a refill before you go: without it the drug may not reach the return."
    ),
    ("refill first", True): message("A refill is due before this trip: book it first."),
    ("more refills", True): message(
        "A refill is due before this trip, and it alone does not reach the return. Talk to the"
        " clinic early, and look here again after that refill."
    ),
    ("refill away", False): _AWAY,
    ("refill away", True): _AWAY,
}


def _refill(reach: DrugReach) -> tuple[str, ...]:
    if reach.refill_on is None:
        return ()
    on = date_text(reach.refill_on)
    if reach.is_due:
        day = message("Refill by {day}: the last open day before the drug runs low.", day=on)
    else:
        day = message("The last day the clinic is open before you leave: {day}.", day=on)
    if reach.reaches_then is None:
        return (day,)
    return (
        day,
        message(
            "After a refill like the last one on {day} the drug would last at least until {last}."
            " This supposes the same fill and dose.",
            day=on,
            last=date_text(reach.reaches_then),
        ),
    )


def clock_sentence(row: ClockRow) -> str:
    """Return one hour of the pump in words."""
    if row.weekday is None:
        return _CLOCK[0](row.local_clock, row.what, row.pump_clock)
    day = WEEKDAYS[row.weekday]
    what = message("{weekday} by the pump: {rate}", weekday=day, rate=row.what)
    return _CLOCK[row.day_shift](row.local_clock, what, row.pump_clock)


_CLOCK: dict[int, Callable[[str, str, str], str]] = {
    # Note: {clock} is the time at the place; {what} begins then, a rate or a bolus.
    -2: lambda clock, what, pump: message(
        "{clock}, two days before, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    -1: lambda clock, what, pump: message(
        "{clock}, the day before, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    0: lambda clock, what, pump: message(
        "{clock} there: {what} (pump's clock {pump})", clock=clock, what=what, pump=pump
    ),
    1: lambda clock, what, pump: message(
        "{clock}, the day after, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
    2: lambda clock, what, pump: message(
        "{clock}, two days after, there: {what} (pump's clock {pump})",
        clock=clock, what=what, pump=pump,
    ),
}  # fmt: skip


def step_sentence(row: ClockRow) -> str:
    """Return in plain words when one hour of the pump comes there; of a day that is every day."""
    return _STEPS[_part_of(row), row.is_bolus](row.local_clock)


def _part_of(row: ClockRow) -> str:
    hour = int(row.pump_clock[:2])
    return next(name for until, name in _PARTS if hour < until)


# What people call the hours of the pump's day (own default).
_PARTS = (
    (5, "night"), (11, "morning"), (14, "midday"), (18, "afternoon"), (23, "evening"),
    (24, "night"),
)  # fmt: skip
_STEPS: dict[tuple[str, bool], Callable[[str], str]] = {
    # Note: a step is an hour at which the pump begins another rate; {clock} is the time there.
    ("night", False): lambda clock: message("Your night step comes at {clock} there.", clock=clock),
    ("morning", False): lambda clock: message(
        "Your morning step comes at {clock} there.", clock=clock
    ),
    ("midday", False): lambda clock: message(
        "Your midday step comes at {clock} there.", clock=clock
    ),
    ("afternoon", False): lambda clock: message(
        "Your afternoon step comes at {clock} there.", clock=clock
    ),
    ("evening", False): lambda clock: message(
        "Your evening step comes at {clock} there.", clock=clock
    ),
    ("night", True): lambda clock: message("Your night bolus comes at {clock} there.", clock=clock),
    ("morning", True): lambda clock: message(
        "Your morning bolus comes at {clock} there.", clock=clock
    ),
    ("midday", True): lambda clock: message(
        "Your midday bolus comes at {clock} there.", clock=clock
    ),
    ("afternoon", True): lambda clock: message(
        "Your afternoon bolus comes at {clock} there.", clock=clock
    ),
    ("evening", True): lambda clock: message(
        "Your evening bolus comes at {clock} there.", clock=clock
    ),
}


def shift_sentence(span: ClockSpan) -> str:
    """Return by how much the clock there is apart from the pump's."""
    hours, minutes = divmod(abs(span.shift_minutes), 60)
    if span.shift_minutes == 0:
        return message("The clock there is the same as the pump's clock.")
    if span.shift_minutes > 0:
        if minutes:
            return message(
                "The clock there is {hours} h {minutes} min ahead of the pump's clock.",
                hours=hours, minutes=minutes,
            )  # fmt: skip
        return plural_message(
            "The clock there is {count} hour ahead of the pump's clock.",
            "The clock there is {count} hours ahead of the pump's clock.",
            hours,
        )
    if minutes:
        return message(
            "The clock there is {hours} h {minutes} min behind the pump's clock.",
            hours=hours, minutes=minutes,
        )  # fmt: skip
    return plural_message(
        "The clock there is {count} hour behind the pump's clock.",
        "The clock there is {count} hours behind the pump's clock.",
        hours,
    )


def days_text(first: date, last: date) -> str:
    """Return the days from ``first`` to ``last``; one day is said once."""
    if first == last:
        return date_text(first)
    return message("{first} to {last}", first=date_text(first), last=date_text(last))
