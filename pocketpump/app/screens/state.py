"""Where the person stands, in one sentence at the head of Today, with what to do about it."""

import flet as ft

from pocketpump.app import theme
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import call_button, notice, quiet_button
from pocketpump.app.screens.heed import first_calls
from pocketpump.app.shell import App
from pocketpump.app.words import EMERGENCY_SIGNS
from pocketpump.core.contacts import call_order, dial_text
from pocketpump.core.outlook import Outlook
from pocketpump.core.state import State
from pocketpump.core.wording import worded
from pocketpump.record.diary import contacts_of


def state_box(app: App[Notebook], state: State, answer: Outlook, *, calls: bool) -> ft.Control:
    """Draw the sentence: plain while nothing is due, else a box with the buttons for it.

    ``calls`` says whether the numbers to call belong here; they may stand above already.
    """
    if state.word == "calm":
        return ft.Semantics(
            content=ft.Text(state.sentence, theme_style=theme.STRONG),
            live_region=True,
            container=True,
            key="state:calm",
        )
    grave = state.is_grave
    below = [*(_calls(app, grave) if calls else ()), *_mended(app, state.word, answer)]
    return notice(EMERGENCY_SIGNS if grave else "", needs_you=grave, key=f"state:{state.word}",
                  heading=state.sentence, below=below)  # fmt: skip


def _calls(app: App[Notebook], grave: bool) -> list[ft.Control]:
    if grave:
        return first_calls(app, emergency_first=False, key="call")
    able = call_order(contacts_of(app.services.record.alive), emergency_first=False)[:1]
    return [
        call_button(c.name, c.phone, dial_text(c.phone), first=False, key=f"call:{c.id}")
        for c in able
    ]


def _mended(app: App[Notebook], word: str, answer: Outlook) -> list[ft.Control]:
    """Return the way to say that things are otherwise by now."""
    if word == "stopped":
        return [
            quiet_button(worded("It runs again? Log the dose"), lambda: app.go("/dose"),
                         icon=ft.Icons.TUNE)
        ]  # fmt: skip
    refill = quiet_button(worded("Had a refill since? Log it"), lambda: app.go("/refill"),
                          icon=ft.Icons.WATER_DROP_OUTLINED)  # fmt: skip
    if word not in ("window", "due", "late-visit", "call"):
        return [refill]
    known = worded("New day? Note it") if word == "late-visit" else worded("Booked? Note the day")
    visit = quiet_button(known, lambda: app.go(f"/refill?id={answer.fill.id}"),
                         icon=ft.Icons.EVENT, key="note the visit")  # fmt: skip
    return [refill, visit] if word == "call" else [visit]
