"""The signs ticked for a check-in that is not saved yet, each with when it was ticked.

A tick counts for what to do until the person takes it away. After some hours nobody knows
whether the sign is still there: then it is asked about, and not saved as of now unasked.
"""

from collections.abc import Callable, Collection, Mapping
from datetime import datetime, timedelta
from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import check_boxes, notice, quiet_button
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.safety.sign_table import SIGNS, TOO_MUCH
from pocketpump.core.safety.signs import sign_words
from pocketpump.core.units.instants import instant_text

ASK_AFTER = timedelta(hours=6)
"""Signs of withdrawal may begin within 12 hours (label; Coffey 2002; Saulino 2016): half of that,
own choice."""
DRAFT = "check-in:"
"""The form of a new check-in; the warning signs put their ticks into it."""
FIELD = "worries"
SEDATIVES = "sedatives"
"""Kept beside the signs: whether alcohol, sedatives or sleeping pills were taken."""

_TOO_MUCH = frozenset(sign.id for sign in SIGNS if TOO_MUCH in sign.could_be)
_SEDATIVES_TAKEN = message("Alcohol, sedatives or sleeping pills were taken.")


def toggle(form: Form, sign: str, now: datetime) -> None:
    """Tick ``sign`` as of ``now``, or take its tick away."""
    ticked = _ticked(form)
    if sign in ticked:
        del ticked[sign]
    else:
        ticked[sign] = now.isoformat()
    form.put(FIELD, ticked)


def open_signs(app: App[Services], noted: Mapping[str, datetime]) -> None:
    """Show the warning signs with those ``noted`` ticked besides, each as of when it was noted."""
    draft: dict[str, Any] = app.draft(DRAFT)
    moments = {sign: at.isoformat() for sign, at in noted.items()}
    draft[FIELD] = moments | dict(draft.get(FIELD) or {})
    app.go("/signs")


def clear_button(form: Form) -> ft.Control:
    """Return the button that takes every tick away."""

    def clear() -> None:
        form.put(SEDATIVES, "")
        form.put(FIELD, {})

    return quiet_button(message("Clear all"), clear, icon=ft.Icons.CLEAR_ALL)


def asks_for_sedatives(ticked: Collection[str]) -> bool:
    """Return whether one of the ``ticked`` signs could be too much drug."""
    return not _TOO_MUCH.isdisjoint(ticked)


def sedatives_tick(form: Form) -> ft.Control:
    """Draw the question about what adds to the drug."""
    taken = form.text(SEDATIVES) == "yes"
    return check_boxes(
        message("Was any of this taken?"),
        [(SEDATIVES, message("Alcohol, sedatives or sleeping pills taken"))],
        [SEDATIVES] if taken else [],
        lambda _: form.put(SEDATIVES, "" if taken else "yes"),
    )


def with_sedatives(
    present: Mapping[str, str], ticked: Collection[str], *, taken: bool
) -> dict[str, str]:
    """Return the circumstances ``present`` and, if ``taken`` and it counts, the sedatives."""
    counts = taken and asks_for_sedatives(ticked)
    return {**present, **({SEDATIVES: _SEDATIVES_TAKEN} if counts else {})}


def question(form: Form, clock: Callable[[], datetime]) -> list[ft.Control]:
    """Draw what is asked about old ticks, with its two answers; nothing without old ticks.

    ``clock`` tells the wall clock here.
    """
    now = clock()
    ticked = _ticked(form)
    moments = {sign: datetime.fromisoformat(at) for sign, at in ticked.items()}
    old = [sign for sign, at in moments.items() if now - at > ASK_AFTER]
    if not old:
        return []
    last = max(moments[sign] for sign in old).astimezone(now.tzinfo)

    def still() -> None:
        form.put(FIELD, ticked | dict.fromkeys(old, clock().isoformat()))

    text = message(
        "You noted this on {instant}: {signs}. Still there?",
        instant=instant_text(last),
        signs=sign_words(old),
    )
    return [
        notice(text, needs_you=True, key="old ticks"),
        quiet_button(message("Yes, still there"), still, icon=ft.Icons.CHECK),
        clear_button(form),
    ]


def _ticked(form: Form) -> dict[str, str]:
    """Return the signs ticked, in the order of ticking, and when each was."""
    return dict(form.value(FIELD))
