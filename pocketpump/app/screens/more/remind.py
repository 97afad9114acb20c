"""Reminders on this device: the press that allows them, how early, and how much they say."""

from __future__ import annotations

from typing import Any

import flet as ft

from pocketpump.app.device import ALLOWED, ASKABLE, Told
from pocketpump.app.parts import big_button, body, choice, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.device_asking import ask_at_press, offer
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.forecast import Forecast

OFFER = "remind"
_DAYS, _WORDS = "reminder days", "reminder words"
_USUAL = "14"
_NEVER = "never"
_EARLY = (
    ("3", message("3 days before")),
    ("7", message("7 days before")),
    ("14", message("14 days before")),
    ("21", message("21 days before")),
    (_NEVER, message("Do not remind me")),
)
_SAYS = (
    ("plain", message("Nothing of health: A day you noted is near.")),
    ("full", message("What it is: 5 days to refill-by.")),
)


def reminding_of(services: Services) -> dict[str, Any]:
    """Return from how many days before (None: never) there are reminders; whether in full."""
    chosen = services.preferences()
    days, known = chosen.get(_DAYS, _USUAL), {value for value, _ in _EARLY}
    early = int(days if days in known else _USUAL) if days != _NEVER else None
    return {"days": early, "more": chosen.get(_WORDS) == "full"}


def remind(app: App[Services]) -> list[ft.Control]:
    """Draw whether this device reminds, what it can and cannot do, and the choices."""
    device = app.services.device
    told = device.told if device else None
    controls: list[ft.Control] = [_standing(told)]
    if told and told.reminding == ASKABLE:
        controls.append(
            big_button(
                message("Remind me on this phone"),
                lambda: _ask(app),
                icon=ft.Icons.NOTIFICATIONS_NONE,
            )
        )
    if told and told.reminding == ALLOWED:
        controls += _choices(app)
    return [
        *controls,
        section(message("The calendar reminds on every device")),
        body(
            message(
                "Save the calendar file and open it with your calendar: that reminds you by itself,"
                " also while PocketPump is closed. After a refill save it anew."
            )
        ),
        link(app, message("To the calendar file"), "/sheet", ft.Icons.DESCRIPTION_OUTLINED),
        section(message("What each kind of phone can do")),
        *map(body, _KINDS),
    ]


_KINDS = (
    message(
        "Android with Chrome, Edge or another browser of that kind, with PocketPump on the home"
        " screen: it reminds you while it is closed. When, the browser decides, about once or twice"
        " a day. If you seldom open PocketPump, it may not wake it at all."
    ),
    message("iPhone, iPad and Firefox: no reminder comes while PocketPump is closed."),
    message("A computer: a reminder comes while PocketPump is open."),
)


def offer_reminder(app: App[Services], answer: Forecast) -> list[ft.Control]:
    """Draw Today's offer to remind, once the refill is near; nothing where there is none."""
    device = app.services.device
    told = device.told if device else None
    if device is None or told is None or told.reminding != ASKABLE or OFFER in told.closed:
        return []
    if answer.programme.mode == "stopped" or answer.today < answer.call_by:
        return []
    if reminding_of(app.services)["days"] is None:
        return []
    text = message("Shall this phone remind you of the refill?")
    return [offer(app, device, OFFER, text, "/remind", ft.Icons.NOTIFICATIONS_NONE)]


def _standing(told: Told | None) -> ft.Control:
    """Say in a sentence or two whether reminders come here."""
    if told is None:
        return body(message("Here PocketPump cannot remind you by itself."))
    if not told.reminding:
        sentence = message("This browser cannot remind you.")
        if told.kind == "apple" and not told.installed:
            sentence = message(
                "This browser can remind you only once PocketPump is on the home screen."
            )
        return body(sentence)
    if told.reminding == ASKABLE:
        return body(
            message(
                "A reminder comes once a day, from some days before the refill-by date until the"
                " refill is noted. Your phone asks whether that is allowed."
            )
        )
    if told.reminding != ALLOWED:
        return notice(
            message(
                "Reminders of PocketPump are blocked. Allow them in the settings of the browser or"
                " the phone, under notifications, and come back here."
            ),
            needs_you=True,
            key="blocked",
        )
    if told.wakes:
        return notice(
            message(
                "Reminders are allowed. They come while PocketPump is open and, when the browser"
                " wakes it, while it is closed."
            ),
            key="allowed",
        )
    if told.kind == "android" and not told.installed:
        sentence = message(
            "Reminders are allowed, but come only while PocketPump is open. Put it on the home"
            " screen to be reminded while it is closed."
        )
    else:
        sentence = message("Reminders are allowed, but come only while PocketPump is open.")
    return notice(sentence, key="allowed")


def _choices(app: App[Services]) -> list[ft.Control]:
    services = app.services

    def keep(name: str, value: str) -> None:
        if services.preferences().get(name) != value:
            services.prefer(name, value)
        app.refresh()

    now = reminding_of(services)
    days = _NEVER if now["days"] is None else str(now["days"])
    return [
        choice(message("From when on?"), _EARLY, days, lambda value: keep(_DAYS, value),
               helper=message("Before the refill-by date. A booked visit is reminded of two days"
                             " before.")),
        choice(message("What does it say?"), _SAYS, "full" if now["more"] else "plain",
               lambda value: keep(_WORDS, value),
               helper=message("Others may see it on the locked screen.")),
    ]  # fmt: skip


def _ask(app: App[Services]) -> None:
    services = app.services
    if reminding_of(services)["days"] is None:
        services.prefer(_DAYS, _USUAL)
    ask_at_press(
        app,
        "remind",
        message("Remind me on this phone"),
        message("The browser asks next whether PocketPump may show notifications."),
    )
