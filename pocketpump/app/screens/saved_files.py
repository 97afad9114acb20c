"""How files that leave the app are called, and on which paper they are printed.

A name begins with the day, so that names sort, and says nothing about health unless that was
chosen: others may see a list of downloads.
"""

import re
from collections.abc import Mapping

import flet as ft

from pocketpump.app.parts import choice
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.papers.paper_size import PAPERS, PaperSize
from pocketpump.exchange.tables.tables import TABLES, file_name

NAMES_PREFERENCE, PAPER_PREFERENCE = "file names", "paper size"
FULL = "full"
_PAPERS = (
    # Note: the size of the paper in Europe and most of the world.
    ("a4", message("A4")),
    # Note: the size of the paper in America.
    ("letter", message("Letter")),
)
_NAMES: Mapping[str, tuple[str, str]] = {
    # Note: names of files, of the letters a to z alone: first one that says nothing about health,
    # then what the file is.
    "card": (message("card"), message("pump emergency card")),
    "tag": (message("tag"), message("pump tag")),
    "letter": (message("letter"), message("pump letter")),
    "carer": (message("page"), message("pump page for a carer")),
    "sheet": (message("sheet"), message("clinic sheet")),
    "travel": (message("trip"), message("pump travel sheet")),
    "calendar": (message("dates"), message("pump dates")),
    "backup": (message("notes"), message("pump backup")),
    "locked backup": (message("notes locked"), message("pump backup locked")),
    "files": (message("notes files"), message("pump record files")),
    "support": (message("support"), message("pump record support")),
    "fhir": (message("exchange"), message("pump FHIR")),
}


_ENDINGS = {
    "image/png": ".png", "image/jpeg": ".jpg", "image/webp": ".webp", "application/pdf": ".pdf",
}  # fmt: skip
# What a system keeps out of names, and what is not seen or turns the order of letters round.
_NO_NAME = re.compile(r'[\\/:*?"<>|\x00-\x1f\x7f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]+')
_LONGEST = 100


def saved_name(app: App[Services], what: str, ending: str, detail: str = "") -> str:
    """Return the name of a file made now, as `saved_stem` has it, with its ``ending``."""
    return f"{saved_stem(app, what, detail)}.{ending}"


def saved_stem(app: App[Services], what: str, detail: str = "") -> str:
    """Return the name of a file made now, without an ending; ``what`` is a key of the table.

    ``detail`` tells apart files of one kind and day, like a language's code.
    """
    word = app.translated(_NAMES[what][_is_full(app.services)])
    return " ".join(filter(None, (_today(app), word, detail)))


def table_name(app: App[Services], kind: str) -> str:
    """Return the name of the table of the entries of one kind."""
    if _is_full(app.services):
        return f"{_today(app)} {file_name(kind)}"
    number = list(TABLES).index(kind) + 1
    return f"{_today(app)} {app.translated(message('table {number}', number=number))}.csv"


def paper_name(app: App[Services], day: str, own: str, kind: str) -> str:
    """Return the name of a paper of the clinic, kept on ``day`` under its ``own`` name.

    ``day`` is a date in ISO 8601, ``kind`` the media type by what is in the file: an ending
    that was typed or came from elsewhere may say anything.
    """
    name = app.translated(message("paper"))
    if _is_full(app.services):
        cleaned = _NO_NAME.sub(" ", own.rpartition(".")[0] or own).removeprefix(day)
        name = " ".join(cleaned.split())[:_LONGEST].strip(" .") or name
    return f"{day} {name}{_ENDINGS.get(kind, '')}"


def paper_chosen(services: Services) -> str:
    """Return the paper to print on, a name of `PAPERS`; A4 until another is chosen."""
    chosen = services.preferences().get(PAPER_PREFERENCE, "")
    return chosen if chosen in PAPERS else "a4"


def paper_of(services: Services) -> PaperSize:
    """Return the paper to print on, width and height in mm."""
    return PAPERS[paper_chosen(services)]


def paper_choice(app: App[Services]) -> ft.Control:
    """Draw the choice of the paper; it is kept when it is made, for all that is printed."""

    def keep(name: str) -> None:
        app.services.prefer(PAPER_PREFERENCE, name)
        app.refresh()

    return choice(
        message("Size of the paper"), _PAPERS, paper_chosen(app.services), keep, in_row=True
    )


def _is_full(services: Services) -> bool:
    return services.preferences().get(NAMES_PREFERENCE) == FULL


def _today(app: App[Services]) -> str:
    return app.services.now().date().isoformat()
