"""The signs ticked for a check-in that is not saved yet, each with when it was ticked.

A tick counts for what to do until the person takes it away. After some hours nobody knows
whether the sign is still there: then it is asked about, and not saved as of now unasked.
"""

from datetime import datetime, timedelta

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.parts import notice, quiet_button
from pocketpump.core.instants import instant_text
from pocketpump.core.signs import sign_words
from pocketpump.core.wording import worded

ASK_AFTER = timedelta(hours=6)
"""Signs of withdrawal may begin within 12 hours (trade facts §5): half of that, own choice."""
FIELD = "worries"


def toggle(form: Form, sign: str, now: datetime) -> None:
    """Tick ``sign`` as of ``now``, or take its tick away."""
    ticked = _ticked(form)
    if sign in ticked:
        del ticked[sign]
    else:
        ticked[sign] = now.isoformat()
    form.put(FIELD, ticked)


def clear_button(form: Form) -> ft.Control:
    """Return the button that takes every tick away."""
    return quiet_button(worded("Clear all"), lambda: form.put(FIELD, {}), icon=ft.Icons.CLEAR_ALL)


def question(form: Form, now: datetime) -> list[ft.Control]:
    """Draw what is asked about old ticks, with its two answers; nothing without old ticks."""
    ticked = _ticked(form)
    moments = {sign: datetime.fromisoformat(at) for sign, at in ticked.items()}
    old = [sign for sign, at in moments.items() if now - at > ASK_AFTER]
    if not old:
        return []
    last = max(moments[sign] for sign in old).astimezone(now.tzinfo)

    def still() -> None:
        form.put(FIELD, ticked | dict.fromkeys(old, now.isoformat()))

    text = worded(
        "You ticked this on {instant}: {signs}. Still there?",
        instant=instant_text(last),
        signs=sign_words(old),
    )
    return [
        notice(text, needs_you=True, key="old ticks"),
        quiet_button(worded("Yes, still there"), still, icon=ft.Icons.CHECK),
        clear_button(form),
    ]


def _ticked(form: Form) -> dict[str, str]:
    """Return the signs ticked, in the order of ticking, and when each was."""
    return dict(form.value(FIELD))
