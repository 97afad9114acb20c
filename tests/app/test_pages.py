"""What is to be printed is shown first, page by page; a failure is told in a sentence."""

import asyncio
import io

import flet as ft
import pytest
from PIL import Image
from screen_hand import PagelessApp, at, controls_in

from pocketpump.app.screens.pages import Paper, pages_screen
from pocketpump.app.screens.routes import PAPERS, ROUTES
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


class Slow(Opened):
    """An app whose page runs what it is given only when told to."""

    def __init__(self, makers, **asked):
        super().__init__(makers, **asked)
        self.waiting = []

    def run_task(self, act, *given):
        self.waiting.append((act, given))

    def run(self, number):
        act, given = self.waiting[number]
        asyncio.run(act(*given))


def titled(title):
    return Paper(title, title, (Page(50, 50, ()),), "en")


def test_a_slow_paper_does_not_come_up_in_the_place_of_another():
    slow = Slow({"slow": lambda *_: titled("Slow"), "quick": lambda *_: titled("Quick")}, of="slow")
    slow.screen(slow.app)
    slow.app.query = {"of": "quick"}
    slow.screen(slow.app)
    slow.run(1)
    slow.run(0)
    pictures = [c for c in controls_in(slow.screen(slow.app)) if isinstance(c, ft.Image)]
    assert [one.semantics_label.split(":")[0] for one in pictures] == ["Quick"]


def test_a_paper_made_earlier_is_made_anew():
    days = []
    opened = Opened({"a": lambda app, asked: days.append(app.time) or titled("A")}, of="a")
    opened.drawn()
    opened.app.time = at("2026-03-21T12:00")
    opened.drawn()
    assert days == [NOW, at("2026-03-21T12:00")]


def test_trying_again_tries_again():
    tries = []

    def second(app, asked):
        tries.append(1)
        if len(tries) == 1:
            raise PocketPumpError("Not yet.")
        return titled("Now")

    opened = Opened({"a": second}, of="a")
    [button] = [c for c in opened.drawn() if c.key == "try again"]
    next(c for c in controls_in([button]) if getattr(c, "on_click", None)).on_click()
    assert any(isinstance(c, ft.Image) for c in opened.drawn())


def test_of_very_many_pages_the_first_are_shown_and_that_is_said():
    many = Paper("T", "n", (Page(50, 50, ()),) * 40, "en")
    controls = Opened({"a": lambda *_: many}, of="a").drawn()
    assert sum(isinstance(c, ft.Image) for c in controls) == 12
    assert "The first 12 of 40 pages" in words(controls)


@pytest.mark.parametrize(
    ("of", "place", "up"),
    [("card", "/card", "/card"), ("tag", "/card", "/card"), ("letter", "/card", "/card"),
     ("carer", "/card", "/carer"), ("sheet", "/refills", "/sheet"), ("travel", "/more", "/trips"),
     ("nothing", "/card", "/card")],
)  # fmt: skip
def test_a_paper_lights_the_place_from_which_it_is_reached(of, place, up):
    here = ROUTES["/pages"].asked({"of": of})
    assert (here.place, here.up) == (place, up)
    assert ROUTES["/sheet"].asked({"of": of}) == ROUTES["/sheet"]
    # What is up there is a screen of that same place.
    assert ROUTES[up].place == place
