"""What is printed of the card: wallet card and full page, tag, letter, and the page for a carer."""

from collections.abc import Mapping
from datetime import datetime

import flet as ft

from pocketpump.app.screens.link import link
from pocketpump.app.screens.pages import Paper
from pocketpump.app.screens.saved_files import paper_of, saved_stem
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.safety.card import Card, build_card
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers import card_files, card_pages, carer_sheet, letter, tag
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES, ORIGINAL, phrases
from pocketpump.record.facts.card_facts import care_of


def card_of(services: Services, now: datetime) -> Card:
    """Return the card of this record at ``now``."""
    return build_card(care_of(services.record.alive, now), services.forecast()[0], now)


def card_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the card to print, in the language that is asked for."""
    now = app.services.now()
    made, language = card_of(app.services, now), asked.get("language", ORIGINAL)
    pages = card_pages.card_pages(made, language, now.date(), paper_of(app.services))
    return Paper(phrases(language)["title"], saved_stem(app, "card", language), tuple(pages),
                 language, card_files.card_problems(made, "pdf"))  # fmt: skip


def tag_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the two tags, in the language that is asked for."""
    now = app.services.now()
    made, language = card_of(app.services, now), asked.get("language", ORIGINAL)
    page = tag.tag_page(made, language, now.date(), paper_of(app.services))
    return Paper(phrases(language)["title"], saved_stem(app, "tag", language), (page,), language,
                 card_files.card_problems(made, "pdf"))  # fmt: skip


def letter_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the letter for border and security staff, in the language that is asked for."""
    now = app.services.now()
    made, language = card_of(app.services, now), asked.get("language", ORIGINAL)
    page = letter.letter_page(made, language, now.date(), paper_of(app.services))
    return Paper(phrases(language)["letter_title"], saved_stem(app, "letter", language), (page,),
                 language, letter.letter_problems(made))  # fmt: skip


def letter_link(app: App[Services], language: str) -> ft.Control:
    """Return the button that leads to the letter in ``language``."""
    words = message("Letter for the border in {language}", language=ENGLISH_NAMES[language])
    route = f"/pages?of=letter&language={language}"
    return link(app, words, route, ft.Icons.MAIL_OUTLINE, key=f"letter:{language}")


def carer_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the page for a school or a carer, with the details that are asked for."""
    services, now = app.services, app.services.now()
    shown = asked.get("show", ",".join(carer_sheet.USUAL_DETAILS)).split(",")
    sheet = carer_sheet.carer_sheet_of(
        care_of(services.record.alive, now), services.forecast()[0], shown
    )
    pages = carer_sheet.carer_pages(sheet, now.date(), app.locale, paper_of(services))
    return Paper(app.translated(carer_sheet.TITLE), saved_stem(app, "carer"), tuple(pages),
                 code_of(app.locale), carer_sheet.carer_problems(sheet))  # fmt: skip
