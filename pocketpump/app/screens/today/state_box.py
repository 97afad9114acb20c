"""Where the person stands, in one sentence at the head of Today, with what to do about it."""

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import call_button, notice
from pocketpump.app.screens.link import link
from pocketpump.app.screens.refills.visit import change_visit, when_and_where
from pocketpump.app.screens.safety.calls import able_contacts, first_calls
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.state import NOW_STATES, State
from pocketpump.core.safety.contacts import dial_text
from pocketpump.core.safety.sign_table import WHY_EMERGENCY_FIRST
from pocketpump.record.facts.away import Away
from pocketpump.record.facts.booked_visit import BookedVisit
from pocketpump.record.facts.circumstances import clinic_open_of


def state_box(
    app: App[Services], state: State, visit: BookedVisit | None, away: Away | None, *, calls: bool
) -> ft.Control:
    """Draw the sentence: plain while nothing is due, else a box with the buttons for it.

    Nothing is calm while a trip keeps from the refill (``away``): then that is what is said.

    ``visit`` is the one that is booked: where it is too late, its time and place are told here.
    ``calls`` says whether the numbers to call belong here; they may stand above already.
    """
    if state.word == "calm" and away is not None:
        return away_box(app, away)
    if state.word == "calm":
        return ft.Semantics(
            content=ft.Text(state.sentence, theme_style=theme.STRONG),
            live_region=True,
            container=True,
            key="state:calm",
        )
    grave = state.is_grave
    is_open = clinic_open_of(app.services.record.alive, app.services.now())
    closed = state.word in NOW_STATES and is_open is False
    numbers = _calls(app, grave, emergency_first=closed) if calls else []
    below = [*numbers, *_mended(app, state.word)]
    is_late = state.word == "late-visit"
    told: list[str] = [WHY_EMERGENCY_FIRST] if closed else []
    if grave:
        told.append(EMERGENCY_SIGNS)
    if is_late and visit is not None:
        told.append(when_and_where(visit))
    return notice(joined(" ", told), needs_you=grave or is_late, key=f"state:{state.word}",
                  heading=state.sentence, below=below)  # fmt: skip


def away_box(app: App[Services], away: Away) -> ft.Control:
    """Draw that a trip keeps from the refill, with the ways to move the visit and the trip."""
    to_clinic = note_visit(app) if away.visit is None else change_visit(app)
    to_trip = link(app, message("Look at this trip"), f"/trip?id={away.trip.id}",
                   ft.Icons.LUGGAGE_OUTLINED, key=f"trip:{away.trip.id}")  # fmt: skip
    return notice("", needs_you=True, key="away", heading=away.sentence, below=[to_clinic, to_trip])


def _calls(app: App[Services], grave: bool, *, emergency_first: bool) -> list[ft.Control]:
    if grave:
        return first_calls(app, emergency_first=emergency_first, key="call")
    able = able_contacts(app, emergency_first=False)[:1]
    return [
        call_button(c.name, c.phone, dial_text(c.phone), first=False, key=f"call:{c.id}")
        for c in able
    ]


def _mended(app: App[Services], word: str) -> list[ft.Control]:
    """Return the way to say that things are otherwise by now."""
    if word == "stopped":
        return [link(app, message("It runs again? Log the dose"), "/dose", ft.Icons.TUNE)]
    refill = link(app, message("Had a refill since? Log it"), "/refill",
                  ft.Icons.WATER_DROP_OUTLINED)  # fmt: skip
    if word not in ("window", "due", "late-visit", "call", "missed", "overdue", "drug-age"):
        return [refill]
    visit = note_visit(app, moved=word == "late-visit")
    return [visit] if word in ("window", "due", "late-visit") else [refill, visit]


def note_visit(app: App[Services], *, moved: bool = False) -> ft.Control:
    """Return the way to note the day that the clinic gives; another day, once it is ``moved``."""
    known = message("New day? Note it") if moved else message("Booked? Note the day")
    return link(app, known, "/visit", ft.Icons.EVENT, key="note the visit")
