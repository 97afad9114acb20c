"""Where the person stands and what comes next: one state and one sentence for every view.

A forecast can stand in a handful of ways, each from its own instant or day on. They are
listed gravest first; the first that holds is the one to tell. A page without Python is given
the whole list and goes through it in the same manner, so it says the same as time passes.

The order is our own, on the safe side (no source): what may already keep drug from the body
stands before what is only planned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, TypedDict, Unpack

from pocketpump.core.messages import joined, message
from pocketpump.core.pump.situation_problems import UNFILLED
from pocketpump.core.units.instants import date_text, to_seconds

if TYPE_CHECKING:
    from pocketpump.core.pump.forecast import Forecast

WORDS = (
    "stopped", "empty", "urgent-alarm", "maybe-empty", "alarm", "clinic-alarm", "missed",
    "drug-age", "overdue", "window", "due", "late-visit", "call", "new-pump", "calm",
)  # fmt: skip
"""Every word for a state, stable for programs."""

NOW_STATES = frozenset({"stopped", "empty", "urgent-alarm", "maybe-empty", "alarm", "clinic-alarm"})
"""States in which the clinic is called now, and another number where it does not answer."""
GRAVE_STATES = NOW_STATES | {"missed", "drug-age", "overdue"}
"""States in which the clinic is called today or sooner; told together with the emergency signs."""

_IF_IT_SOUNDS = message("If the alarm sounds before that, call at once.")


@dataclass(frozen=True, slots=True)
class State:
    """One way things can stand: ``word`` of `WORDS`, and a ``sentence`` or a few.

    It holds once ``from_at`` and the day ``from_on`` are reached (None: always were), up to
    the end of the day ``until_on`` (None: for ever).
    """

    word: str
    sentence: str
    from_at: datetime | None = None
    from_on: date | None = None
    until_on: date | None = None

    @property
    def is_grave(self) -> bool:
        """Whether it belongs to `GRAVE_STATES`."""
        return self.word in GRAVE_STATES

    def holds(self, now: datetime) -> bool:
        """Return whether it holds at ``now``, whose own date is the day it is there."""
        # As seconds: two datetimes of one zone compare by the wall clock, which repeats an hour.
        return (
            (self.from_at is None or to_seconds(now) >= to_seconds(self.from_at))
            and (self.from_on is None or now.date() >= self.from_on)
            and (self.until_on is None or now.date() <= self.until_on)
        )


class Known(TypedDict, total=False):
    """What is known beside a forecast, as `states` takes it."""

    next_visit_on: date | None
    missed_on: date | None
    rebooked: bool
    urgent_alarm: bool


def state_now(answer: Forecast, **known: Unpack[Known]) -> State:
    """Return how things stand at the forecast's instant; see `states`."""
    return first_holding(states(answer, **known), answer.now)


def first_holding(every: Sequence[State], at: datetime) -> State:
    """Return the gravest of `states` that holds at the aware instant ``at``."""
    return next(one for one in every if one.holds(at))


def states(
    answer: Forecast,
    *,
    next_visit_on: date | None = None,
    missed_on: date | None = None,
    rebooked: bool = True,
    urgent_alarm: bool = False,
) -> tuple[State, ...]:
    """Return every way in which ``answer`` can stand from its instant on, gravest first.

    ``next_visit_on`` is the visit the clinic has given, ``missed_on`` the day of a missed
    refill after which no refill is noted, ``rebooked`` whether the visit was noted after it was
    missed, ``urgent_alarm`` whether one was heard that the clinic has not looked into. The last
    one always holds.
    """
    if answer.programme.mode == "stopped":
        text = message("The pump is noted as stopped. If your clinic did not stop it, call now.")
        if answer.volume_now_ml <= 0:
            text = joined(" ", (text, message("By these numbers it is empty.")))
        return (State("stopped", text),)
    in_time = next_visit_on is not None and next_visit_on <= answer.refill_by
    booked_on = next_visit_on if in_time else None
    every = (
        *_drug_in_doubt(answer, urgent_alarm=urgent_alarm),
        *_missed(missed_on, booked_on if rebooked else None),
        *_past_its_day(answer),
        *_alarm_may_come(answer, booked_on),
        *_visit(answer, next_visit_on),
        *_to_plan(answer),
    )
    unfilled = next((one.sentence for one in answer.problems if one.code == UNFILLED), "")
    if not unfilled:
        return every
    # Nothing is calm by the numbers of a fill that another pump has taken the place of.
    return tuple(
        replace(one, word="new-pump", sentence=unfilled) if one.word == "calm" else one
        for one in every
    )


def _drug_in_doubt(answer: Forecast, *, urgent_alarm: bool) -> list[State]:
    """Return what may already keep drug from the body."""
    found = []
    if answer.volume_now_ml <= 0 or answer.empty_at is not None:
        text = message("By these numbers the pump is empty. Call the clinic now, day or night.")
        found.append(State("empty", text, from_at=answer.empty_at))
    if urgent_alarm:
        text = message("The pump gave an urgent alarm. Call the clinic now, day or night.")
        found.append(State("urgent-alarm", text))
    if answer.maybe_empty_at is not None and answer.alarm_at is not None:
        both = message(
            "By these numbers the alarm date, {day}, has come and the pump may be empty. Call the"
            " clinic now, day or night.",
            day=date_text(answer.alarm_at.date()),
        )
        later = max(answer.alarm_at, answer.maybe_empty_at, key=to_seconds)
        found.append(State("alarm", both, from_at=later))
    if answer.maybe_empty_at is not None:
        text = message("By these numbers the pump may be empty. Call the clinic now, day or night.")
        found.append(State("maybe-empty", text, from_at=answer.maybe_empty_at))
    if answer.alarm_at is not None:
        text = message(
            "By these numbers the alarm date, {day}, has come. Call the clinic now.",
            day=date_text(answer.alarm_at.date()),
        )
        found.append(State("alarm", text, from_at=answer.alarm_at))
    if answer.printed_in_force is not None:
        text = message(
            "The alarm date the clinic printed, {day}, has come. Call the clinic now.",
            day=date_text(answer.printed_in_force),
        )
        found.append(State("clinic-alarm", text, from_on=answer.printed_in_force))
    return found


def _missed(missed_on: date | None, booked_on: date | None) -> list[State]:
    if missed_on is None:
        return []
    text = message("A refill was missed and none is noted since. Call the clinic today.")
    # A new day in time answers it, until that day is over.
    again_on = _day_after(booked_on) if booked_on and booked_on > missed_on else None
    return [State("missed", text, from_on=again_on)]


def _past_its_day(answer: Forecast) -> list[State]:
    past_on = _day_after(answer.refill_by)
    by, limit_on = date_text(answer.refill_by), answer.drug_age_limit_at.date()
    both = message(
        "The refill-by date, {day}, is past, and the alarm may come any day now. Call the clinic"
        " today; if the alarm sounds, call at once.",
        day=by,
    )
    old = message(
        "The drug has been in the pump longer than its limit, {day}. Call the clinic today.",
        day=date_text(limit_on),
    )
    past = message("The refill-by date, {day}, is past. Call the clinic today.", day=by)
    opened = answer.alarm_earliest
    return [
        *([] if opened is None else [State("overdue", both, from_at=opened, from_on=past_on)]),
        State("drug-age", old, from_on=_day_after(limit_on)),
        State("overdue", past, from_on=past_on),
    ]


def _alarm_may_come(answer: Forecast, booked_on: date | None) -> list[State]:
    """Return the window of the alarm, and the refill-by date itself."""
    found = []
    by = date_text(answer.refill_by)
    if answer.alarm_earliest is not None:
        if booked_on is not None:
            text = message(
                "The alarm may come any day now. Your refill is booked for {day}: if the alarm"
                " sounds before, call the clinic at once.",
                day=date_text(booked_on),
            )
            found.append(State("window", text, answer.alarm_earliest, until_on=booked_on))
        text = message(
            "The alarm may come any day now, and the refill is due by {day}. Call the clinic today"
            " if it is not booked; if the alarm sounds, call at once.",
            day=by,
        )
        found.append(State("window", text, answer.alarm_earliest))
    if booked_on == answer.refill_by:
        text = message("Your refill is booked for today, its last sensible day.")
    else:
        text = message("The refill is due today. Call the clinic now if it is not booked.")
    found.append(State("due", text, from_on=answer.refill_by))
    return found


def _day_after(day: date) -> date:
    return min(day, date.max - timedelta(days=1)) + timedelta(days=1)


def late_visit(visit_on: date, refill_by: date) -> str:
    """Return what is to be said of a visit after the refill-by date; "" where it is in time."""
    if visit_on <= refill_by:
        return ""
    return message(
        "The visit on {day} is after the refill-by date, {refill_by}. Call the clinic for an"
        " earlier one.",
        day=date_text(visit_on),
        refill_by=date_text(refill_by),
    )


def _visit(answer: Forecast, visit_on: date | None) -> list[State]:
    """Return what the visit that the clinic has given asks for: on time, too late, or past."""
    zone = answer.now.tzinfo
    if visit_on is None or visit_on <= answer.fill.at.astimezone(zone).date():
        return []
    day = date_text(visit_on)
    late = late_visit(visit_on, answer.refill_by)
    if late:
        return [State("late-visit", _with_alarm(answer, late, visit_on), until_on=visit_on)]
    until = message(
        "Your refill is booked for {day}. Until then nothing is due by these numbers.", day=day
    )
    past = message(
        "The visit of {day} is past and no refill is noted since. Log the refill, or call the"
        " clinic.",
        day=day,
    )
    return [
        State(
            "calm",
            message("Your refill is booked for today."),
            from_on=visit_on,
            until_on=visit_on,
        ),
        State("calm", _with_alarm(answer, until, visit_on), until_on=visit_on),
        State("call", past, from_on=_day_after(visit_on)),
    ]


def _to_plan(answer: Forecast) -> list[State]:
    call = message(
        "Time to call the clinic and book the refill. It is due by {day}.",
        day=date_text(answer.refill_by),
    )
    calm = message(
        "By these numbers nothing is due. Call the clinic by {day} to book the refill.",
        day=date_text(answer.call_by),
    )
    return [
        State("call", _with_alarm(answer, call, answer.refill_by), from_on=answer.call_by),
        State("calm", _with_alarm(answer, calm, answer.refill_by)),
    ]


def _with_alarm(answer: Forecast, text: str, until: date) -> str:
    """Return ``text``, with what to do should the alarm come before ``until``."""
    opened = answer.alarm_earliest
    return text if opened is None or opened.date() > until else joined(" ", (text, _IF_IT_SOUNDS))
