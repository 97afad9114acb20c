"""The emergency card, full screen: black on white at any time of day, kept awake."""

from datetime import datetime
from functools import partial

import flet as ft

from pocketpump.app.parts import big_button, choice, notice, quiet_button
from pocketpump.app.screens.card.card_view import first_screen, rest_of_card
from pocketpump.app.screens.card.printed import card_of, letter_link
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.language import language_of
from pocketpump.app.screens.saved_files import paper_of, saved_name
from pocketpump.app.server.file_saving import save_file, share_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers import card_files, card_pages
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES, LANGUAGES, phrases
from pocketpump.exchange.papers.card_text import card_text
from pocketpump.exchange.papers.card_words import card_words

_OTHER_SCRIPTS = ("ar", "zh", "ja")
"""Who does not read these finds them by the second name; the bundled fonts draw the first."""


def emergency_card(app: App[Services]) -> list[ft.Control]:
    """Draw the card, then what can be done with it."""
    now = app.services.now()
    made = card_of(app.services, now)
    draft = app.screen_draft("card")
    # The route keeps the choice: who comes to the card anew finds it in the app's language.
    asked = app.query.get("language")
    language = asked if asked in LANGUAGES else language_of(app.services)

    def chosen(code: str) -> None:
        draft["choosing"] = False
        app.go(f"/card?language={code}")
        app.refresh()

    choosing = bool(draft.get("choosing"))
    items = card_words(made, language, now.date())
    # Nothing stands above the card: what a stranger looks for must fit on the first screen.
    controls: list[ft.Control] = [
        first_screen(items, language, app.scale),
        quiet_button(message("Language: {language}", language=_named(language)),
                     partial(put, app, draft, "choosing", not choosing),
                     icon=ft.Icons.TRANSLATE, key="language"),
    ]  # fmt: skip
    if choosing:
        options = [(code, _named(code)) for code in LANGUAGES]
        controls.append(choice(message("Language of the card"), options, language, chosen))
    if not made.name and not made.clinics:
        controls.append(
            notice(
                message("The card does not know your name or your clinic yet: fill in its details.")
            )
        )
    if not made.emergency:
        controls.append(
            notice(message("The card does not know your local emergency number yet: add it under"
                          " whom to call."))
        )  # fmt: skip
    controls.append(rest_of_card(items, made, language, app.scale))
    controls += _actions(app, made, language, now)
    return controls


def _named(code: str) -> str:
    name = phrases(code).name
    if code not in _OTHER_SCRIPTS:
        return name
    # Note: a language's own name, and the one in the app's language: "日本語 (Japanese)".
    return message("{name} ({english})", name=name, english=ENGLISH_NAMES[code])


def _actions(app: App[Services], made: Card, language: str, now: datetime) -> list[ft.Control]:
    today = now.date()

    async def save(ending: str) -> None:
        name = saved_name(app, "card", ending, language)
        paper = paper_of(app.services)
        await save_file(app, name, card_files.card_file(made, ending, language, today, paper))
        # Asked now and not when the screen is drawn: on a phone the fonts' reader comes late.
        for problem in card_files.card_problems(made, ending):
            app.say(problem.sentence)

    async def shared() -> None:
        data = await app.services.png_of(
            card_pages.share_page(made, language, today), card_files.PIXELS_PER_MM
        )
        await share_file(app, saved_name(app, "card", "png", language), data, "image/png")

    async def page() -> None:
        await save("html")

    async def copied() -> None:
        await ft.Clipboard().set(card_text(made, language, today))
        app.say(message("The card's text is copied. Paste it where you want it."))

    controls = [
        big_button(
            message("Print (with wallet card)"),
            lambda: app.go(f"/pages?of=card&language={language}"),
            icon=ft.Icons.PRINT_OUTLINED,
        ),
        link(app, message("Large tag for a wheelchair or a bag"),
             f"/pages?of=tag&language={language}", ft.Icons.LABEL_OUTLINED),
        letter_link(app, language),
        quiet_button(message("Share as a picture"), shared, icon=ft.Icons.SHARE_OUTLINED),
        quiet_button(message("Save as a page"), page, icon=ft.Icons.SAVE_ALT),
        quiet_button(message("Copy as text"), copied, icon=ft.Icons.COPY_OUTLINED),
        link(app, message("For a school or a carer"), "/carer", ft.Icons.SCHOOL_OUTLINED),
        link(app, message("Details on the card"), "/care", ft.Icons.EDIT_OUTLINED),
    ]  # fmt: skip
    return controls
