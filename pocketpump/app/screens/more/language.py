"""Which language the app speaks: chosen by its own name, kept in the record, spoken at once."""

from __future__ import annotations

import flet as ft

from pocketpump.app.parts import choice
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.language.locales import ENGLISH, LANGUAGE_NAMES, locale

PREFERENCE = "language"


def language_of(services: Services) -> str:
    """Return the code of the language spoken; English until another is chosen."""
    code = services.preferences().get(PREFERENCE, ENGLISH)
    return code if code in LANGUAGE_NAMES else ENGLISH


def choose_language(app: App[Services], code: str) -> None:
    """Keep the language with this code as the one chosen, and speak it at once."""
    app.services.prefer(PREFERENCE, code)
    app.speak(locale(code))


def language_choice(app: App[Services]) -> ft.Control:
    """Draw the choice; each language stands by its own name, for whoever reads no other."""
    return choice(
        message("Language"),
        list(LANGUAGE_NAMES.items()),
        language_of(app.services),
        lambda code: choose_language(app, code),
    )
