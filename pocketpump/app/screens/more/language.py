"""Which language the app speaks: chosen by its own name, kept in the record, spoken at once."""

from __future__ import annotations

import flet as ft

from pocketpump.app.parts import choice
from pocketpump.app.services import Notebook
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import worded
from pocketpump.exchange.language.locales import ENGLISH, TONGUES, tongue
from pocketpump.record.facts.situation import preferences_of

PREFERENCE = "language"


def language_of(notebook: Notebook) -> str:
    """Return the code of the language spoken; English until another is chosen."""
    code = preferences_of(notebook.record.alive, notebook.now()).get(PREFERENCE, ENGLISH)
    return code if code in TONGUES else ENGLISH


def choose_language(app: App[Notebook], code: str) -> None:
    """Keep the language with this code as the one chosen, and speak it at once."""
    notebook = app.services
    notebook.save("preference", notebook.now(), {"name": PREFERENCE, "value": code})
    app.speak(tongue(code))


def language_choice(app: App[Notebook]) -> ft.Control:
    """Draw the choice; each language stands by its own name, for whoever reads no other."""
    return choice(
        worded("Language"),
        list(TONGUES.items()),
        language_of(app.services),
        lambda code: choose_language(app, code),
    )
