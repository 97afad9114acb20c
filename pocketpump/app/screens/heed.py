"""What was noted lately and still asks for a call: it must not vanish behind "saved"."""

from datetime import timedelta

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import call_button, notice, quiet_button
from pocketpump.app.screens.signs import advice_on
from pocketpump.app.shell import App
from pocketpump.core.contacts import call_order, dial_text
from pocketpump.core.happenings import sign_of
from pocketpump.core.sign_table import SIGNS, Urgency
from pocketpump.core.signs import Advice
from pocketpump.core.wording import joined, worded
from pocketpump.record.diary import contacts_of, happenings_of, since
from pocketpump.record.situation import newest

# Long enough for the clinic to have answered (own choice, no source).
_STILL = timedelta(hours=48)


def noted_advice(notebook: Notebook) -> Advice | None:
    """Return what the newest check-in and the unanswered happenings of two days ask for.

    A later check-in takes the place of the one before; answering a happening closes it. None
    when nothing asks for a call today or sooner.
    """
    now = notebook.now()
    lately = since(notebook.record.alive, now - _STILL)
    check_in = newest(lately, "check-in")
    worries = check_in.payload.get("worries") if check_in else None
    noted = list(worries) if isinstance(worries, (list, tuple)) else []
    noted += [sign_of(one.what) for one in happenings_of(lately) if not one.follow_up_done]
    known = {sign.id for sign in SIGNS}
    signs = [sign for sign in noted if sign in known]
    if not signs:  # most days: then nothing has to be worked out
        return None
    advice = advice_on(notebook, signs)
    return advice if advice is not None and advice.urgency >= Urgency.TODAY else None


def heed(app: App[Notebook]) -> list[ft.Control]:
    """Draw the call that what was noted lately asks for; nothing when it asks for none."""
    advice = noted_advice(app.services)
    if advice is None:
        return []
    noted = worded("By what you noted: {headline}", headline=advice.headline)
    text = joined(" ", (noted, *advice.do))
    return [
        notice(text, needs_you=True, key="heed"),
        *first_calls(app, emergency_first=advice.calls_emergency, key="heed"),
        quiet_button(worded("It is better: check in again"), lambda: app.go("/check-in"),
                     icon=ft.Icons.FAVORITE_OUTLINE),
    ]  # fmt: skip


def first_calls(app: App[Notebook], *, emergency_first: bool, key: str) -> list[ft.Control]:
    """Draw the two numbers to call first; the way to set them if there is none."""
    able = call_order(contacts_of(app.services.record.alive), emergency_first=emergency_first)
    return [
        call_button(c.name, c.phone, dial_text(c.phone), first=n == 0, key=f"{key}:{c.id}")
        for n, c in enumerate(able[:2])
    ] or [
        quiet_button(
            worded("Set numbers to call"), lambda: app.go("/contacts"), icon=ft.Icons.CONTACTS
        )
    ]
