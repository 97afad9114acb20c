"""What is to be printed is shown first, page by page; a failure is told in a sentence."""

import asyncio
import io

import flet as ft
import pytest
from PIL import Image
from screen_hand import PagelessApp, at, controls_in

from pocketpump.app.screens.pages import Paper, pages_screen
from pocketpump.app.screens.routes import PAPERS
from pocketpump.core.errors import PocketPumpError, Problem
from pocketpump.exchange.papers.drawing.page import Box, Page, Text

NOW = at("2026-03-20T12:00")
TWO = Paper("A title", "name", (Page(210, 297, (Box(10, 10, 50, 50), Text(10, 90, 12, "Words"))),
                                Page(210, 297, ())), "en")  # fmt: skip


class Opened:
    """An app whose page runs at once what it is given to run."""

    def __init__(self, makers, **asked):
        self.app = PagelessApp(NOW)
        self.app.query = asked
        self.screen = pages_screen(makers)
        self.app.page = self
        self.tasks = 0

    def run_task(self, act, *given):
        self.tasks += 1
        asyncio.run(act(*given))

    def drawn(self):
        self.screen(self.app)
        return list(controls_in(self.screen(self.app)))


def words(controls) -> str:
    return " ".join(str(c.value) for c in controls if isinstance(c, ft.Text))


def test_each_page_is_shown_as_a_picture_of_its_shape():
    opened = Opened({"two": lambda app, asked: TWO}, of="two")
    pictures = [c for c in opened.drawn() if isinstance(c, ft.Image)]
    assert len(pictures) == 2
    image = Image.open(io.BytesIO(pictures[0].src))
    assert image.width / image.height == pytest.approx(210 / 297, rel=0.01)
    # The box is black where it stands, and the paper white beside it.
    scale = image.width / 210
    assert image.getpixel((int(30 * scale), int(30 * scale))) == 0
    assert image.getpixel((int(150 * scale), int(30 * scale))) == 255


def test_pages_are_drawn_once_and_anew_when_the_record_has_changed():
    opened = Opened({"two": lambda app, asked: TWO}, of="two")
    opened.drawn()
    opened.drawn()
    assert opened.tasks == 1
    opened.app.note("happening", "2026-03-01T11:00", {"what": "fall"})
    opened.drawn()
    assert opened.tasks == 2


def test_what_cannot_be_made_is_told_in_its_sentence():
    def refused(app, asked):
        raise PocketPumpError("It is not here yet.")

    assert "It is not here yet." in words(Opened({"no": refused}, of="no").drawn())
    assert "no such paper" in words(Opened({}, of="other").drawn())


def test_letters_the_pages_cannot_show_are_told():
    lost = Paper("T", "n", (Page(50, 50, ()),), "en", (Problem("letters", "Not ไ."),))
    assert "Not ไ." in words(Opened({"a": lambda app, asked: lost}, of="a").drawn())


def test_only_where_printing_is_known_there_is_a_button_for_it():
    opened = Opened({"two": lambda app, asked: TWO}, of="two")
    labels = words(opened.drawn())
    assert "Save as PDF" in labels
    assert "Print" not in labels.split()
    printed = []
    opened.app.services.print_pages = lambda pages, title: printed.append((len(pages), title))
    controls = opened.drawn()
    assert "Print" in words(controls).split()


@pytest.mark.parametrize("name", PAPERS)
def test_every_paper_can_be_made_of_a_record_with_little_in_it(name):
    app = PagelessApp(NOW)
    app.note("pump", "2026-01-01T11:00", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    try:
        paper = PAPERS[name](app, {})
    except PocketPumpError as error:
        assert str(error).endswith(".")
    else:
        assert paper.pages
        assert paper.name.isascii()
