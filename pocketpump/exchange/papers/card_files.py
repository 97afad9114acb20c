"""The card as a file, by the ending of its name."""

from collections.abc import Callable, Mapping
from datetime import date

from pocketpump.core.errors import InputError, Problem, shown
from pocketpump.core.messages import message
from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_html import card_html
from pocketpump.exchange.papers.card_pages import card_pages, share_page
from pocketpump.exchange.papers.card_phrases import phrases
from pocketpump.exchange.papers.card_text import card_text
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.drawing.png import to_png
from pocketpump.exchange.papers.drawing.svg import to_svg
from pocketpump.exchange.papers.paper_size import A4, PaperSize

PIXELS_PER_MM = 10.0
"""Of the picture to share: some 1,000 pixels across, sharp on any phone."""


def _svg(card: Card, language: str, today: date, _: PaperSize) -> bytes:
    return to_svg(share_page(card, language, today), phrases(language)["title"]).encode()


_WRITERS: Mapping[str, Callable[[Card, str, date, PaperSize], bytes]] = {
    "html": lambda card, code, today, paper: card_html(card, code, today, paper).encode(),
    "txt": lambda card, code, today, _: card_text(card, code, today).encode(),
    "svg": _svg,
    "png": lambda card, code, today, _: to_png(share_page(card, code, today), PIXELS_PER_MM),
}
ENDINGS = ("pdf", *_WRITERS)
FOR_A_PAPER = ("pdf", "html")
"""Views that are printed on a paper of a size."""
DRAWN = ("pdf", "svg", "png")
"""Views that can show only letters of the bundled fonts."""


def card_pdf(card: Card, language: str, today: date, paper: PaperSize = A4) -> bytes:
    """Return the pages to print; raises `InputError` for an unknown language."""
    pages = card_pages(card, language, today, paper)
    return to_pdf(pages, phrases(language)["title"], language)


def card_file(card: Card, ending: str, language: str, today: date, paper: PaperSize = A4) -> bytes:
    """Return the card as a file of this kind, one of `ENDINGS`; raises `InputError`.

    What is printed from it is made for ``paper``.
    """
    if ending.lower() == "pdf":
        return card_pdf(card, language, today, paper)
    writer = _WRITERS.get(ending.lower())
    if writer is None:
        kinds = ", ".join(f".{kind}" for kind in ENDINGS)
        raise InputError(
            message(
                'A card cannot be written as ".{ending}": choose from {kinds}.',
                ending=shown(ending),
                kinds=kinds,
            )
        )
    return writer(card, language, today, paper)


def card_problems(card: Card, ending: str) -> tuple[Problem, ...]:
    """Return what of the person's own words a drawn card cannot show."""
    if ending.lower() not in DRAWN:
        return ()
    people = [
        f"{c.name}{c.role}{c.phone}{c.hours}"
        for c in (*card.clinics, *card.emergency, *card.contacts)
    ]
    own = "".join([card.name, *people, *(line.value for line in card.lines)])
    return undrawable(own, message("Use the HTML or the text card for them."))
