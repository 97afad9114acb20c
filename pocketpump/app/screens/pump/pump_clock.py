"""The pump's clock beside the one on the wall, for settings in which the hour matters."""

from collections.abc import Callable
from datetime import datetime, timedelta

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import time_field
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_text import clock_text
from pocketpump.core.units.typed_dates import read_time

_DAY_MIN = 1_440
_QUARTER = 15


def clock_fields(
    form: Form, programme: Programme | None, clock: Callable[[], datetime]
) -> list[ft.Control]:
    """Draw the question what the pump's clock shows; nothing when the hour does not matter.

    ``clock`` tells the wall clock here: the two are compared when the answer is begun.
    """
    if not _by_clock(programme):
        return []

    def typed(text: str) -> None:
        now = clock()
        form.pin("clock_now", str(now.hour * 60 + now.minute))
        form.put("clock", text)

    return [
        time_field(
            message(
                "The pump's clock when it is {clock} here",
                clock=clock_text(int(form.text("clock_now"))),
            ),
            form.text("clock"),
            typed,
            now=clock().time(),
            helper=message(
                "The same, unless the pump was set in another time zone or before the"
                " clocks changed. It does not move by itself."
            ),
            error=form.error("clock"),
        )
    ]


def clock_offset(form: Form, programme: Programme | None, at: datetime, now: datetime) -> int:
    """Return the minutes by which the pump's clock is ahead of UTC.

    An empty answer is the clock here at ``at``, or, in a correction, the one noted before.
    """
    here = _offset(at)
    if not _by_clock(programme):
        return here
    if not form.text("clock").strip():
        return int(form.text("offset") or here)
    try:
        shown = read_time(form.text("clock"))
    except InputError as error:
        form.fail("clock", str(error))
        return here
    # The two clocks differ by whole quarters of an hour in every zone on Earth.
    apart = shown.hour * 60 + shown.minute - int(form.text("clock_now"))
    apart = (apart + _DAY_MIN // 2) % _DAY_MIN - _DAY_MIN // 2
    # The clocks were compared now, not at the change: summer time may lie between.
    return _offset(now) + round(apart / _QUARTER) * _QUARTER


def _offset(instant: datetime) -> int:
    return int((instant.utcoffset() or timedelta(0)).total_seconds() // 60)


def _by_clock(programme: Programme | None) -> bool:
    if programme is None:
        return False
    varies = len({step.rate_mcg_per_hour for day in programme.days for step in day}) > 1
    return varies or any(bolus.start_minutes for bolus in programme.timed)
