"""The first run: from nothing to a countdown in three steps."""

from collections.abc import Callable

import flet as ft

from pocketpump.app.parts import big_button, body, notice, quiet_button
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.language import choose_language, language_of
from pocketpump.app.screens.pump.dose_form import dose_form
from pocketpump.app.screens.pump.pump import pump_form
from pocketpump.app.screens.refills.refill_form import refill_form
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import CAUTION
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.language.locales import LANGUAGE_NAMES
from pocketpump.record import Entry


def start(app: App[Services]) -> list[ft.Control]:
    """Draw the welcome."""
    return [
        # A record that is not there any more looks like a first start.
        *(
            notice(odd.sentence, needs_you=True, key=odd.code)
            for odd in app.services.record.problems
        ),
        body(
            message(
                "PocketPump keeps what your clinic tells you about your baclofen pump and works out"
                " when it must be refilled."
            )
        ),
        body(message("Have the printout of your last refill ready. Three short steps follow.")),
        big_button(message("Begin"), lambda: app.go("/start/pump"), icon=ft.Icons.ARROW_FORWARD),
        link(app, message("I have a backup"), "/start/copy", ft.Icons.FOLDER_OPEN),
        *_languages(app),
        body(message("What you enter stays on this device. Nothing is sent anywhere."), soft=True),
        body(CAUTION, soft=True),
    ]


def _languages(app: App[Services]) -> list[ft.Control]:
    """Draw the way into every other language, by its own name for whoever reads only that."""

    def speaks(code: str) -> Callable[[], None]:
        return lambda: choose_language(app, code)

    chosen = language_of(app.services)
    return [
        quiet_button(name, speaks(code), icon=ft.Icons.TRANSLATE)
        for code, name in LANGUAGE_NAMES.items()
        if code != chosen
    ]


def start_pump(app: App[Services]) -> list[ft.Control]:
    """Draw step 1."""
    known = _known(app, "pump")
    return [
        body(message("Step 1 of 3."), soft=True),
        *_saved(known),
        *pump_form(app, lambda: app.go("/start/refill"), known, is_step=True),
    ]


def start_refill(app: App[Services]) -> list[ft.Control]:
    """Draw step 2."""
    known = _known(app, "refill")
    another = link(app, message("Log another refill"), "/refill", ft.Icons.ADD)
    return [
        body(message("Step 2 of 3."), soft=True),
        *_saved(known, another),
        *refill_form(app, lambda: app.go("/start/dose"), known, is_step=True),
    ]


def start_dose(app: App[Services]) -> list[ft.Control]:
    """Draw step 3."""
    known = _known(app, "programme")
    return [
        body(message("Step 3 of 3."), soft=True),
        *_saved(known),
        *dose_form(app, lambda: app.go("/today"), known, is_step=True),
    ]


def _known(app: App[Services], kind: str) -> Entry | None:
    """Return what a step has saved: going back to it must never add a second entry."""
    services = app.services
    # What is dated ahead, by a clock put right since, was saved here too.
    return services.newest(kind) or next(reversed(services.of_kind(kind)), None)


def _saved(known: Entry | None, *below: ft.Control) -> list[ft.Control]:
    """Draw what says that a step corrects what it has saved; nothing before it has."""
    if known is None:
        return []
    told = message("This is saved already. What you write here corrects it.")
    return [notice(told, key="saved already", below=below)]
