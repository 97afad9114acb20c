"""Letters that a browser draws, traced for paper; Pillow draws here in its place."""

from io import BytesIO

import pytest
from lenders import UNITS, make_font
from PIL import Image, ImageDraw, ImageFont
from pypdf import PdfReader

from pocketpump.exchange.papers.drawing import lending
from pocketpump.exchange.papers.drawing.fonts import missing
from pocketpump.exchange.papers.drawing.page import Page, line
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.web.drawn_letters import PLACED, Drawing, lender


class Browser:
    """Draws with one font; what that has not as a box, with the letter's number if ``digits``."""

    def __init__(self, file, letters, *, digits=False):
        self.font = ImageFont.truetype(str(file), PLACED.size, layout_engine=ImageFont.Layout.BASIC)
        self.letters = letters
        self.digits = digits
        self.asked = []

    def __call__(self, text, at):
        self.asked.append(text)
        image = Image.new("L", (at.side, at.side))
        pen = ImageDraw.Draw(image)
        x = at.x
        for letter in text:
            if letter in self.letters:
                pen.text((x, at.y), letter, 255, self.font, "ls")
                x += self.font.getlength(letter)
            else:
                number = f"{ord(letter):04X}"
                wide = 20 * len(number)
                pen.rectangle((x + 4, at.y - 80, x + wide, at.y), outline=255, width=4)
                if self.digits:
                    pen.text((x + 10, at.y - 20), number, 255, anchor="ls")
                x += wide + 6
        return Drawing(x - at.x, image.tobytes())


@pytest.fixture
def borrow():
    yield lambda browser: lending.lend(lender(browser))
    lending.lend(lambda letter: None)


@pytest.fixture
def font(tmp_path):
    return make_font(tmp_path / "One.ttf", "王ก芳")


def corners(found):
    return [point for _, points in found.outline for point in points]


def test_a_drawn_letter_is_as_large_as_its_font_says(font, borrow):
    borrow(Browser(font, "王芳"))
    found = lending.lent("王")
    side = 1500 / UNITS * 1000
    assert found.advance == pytest.approx(1600 / UNITS, abs=0.01)
    assert [step for step, _ in found.outline].count("closePath") == 2
    assert [x for x, _ in (min(corners(found)), max(corners(found)))] == [
        pytest.approx(0, abs=8), pytest.approx(side, abs=8)]  # fmt: skip
    assert (found.foot, found.top) == (pytest.approx(0, abs=8), pytest.approx(side, abs=8))
    pdf = to_pdf([Page(60, 20, (line("王芳", 5, 15, 20, width=50),))], "t")
    assert PdfReader(BytesIO(pdf)).pages[0].extract_text().strip() == "王芳"


@pytest.mark.parametrize("digits", [False, True])
def test_a_box_for_what_the_phone_has_not_is_no_letter(font, borrow, digits):
    borrow(Browser(font, "王", digits=digits))
    assert missing("王芳𠮷ש") == "芳𠮷ש"


def test_a_mark_is_drawn_on_a_letter_that_is_taken_away_again(tmp_path, borrow):
    def mark(pen):
        pen.moveTo((-400, 1600))
        for point in [(-400, 1750), (-100, 1750), (-100, 1600)]:
            pen.lineTo(point)
        pen.closePath()

    bare = Browser(make_font(tmp_path / "Base.ttf", "ก"), "ก")
    mark_alone = Browser(make_font(tmp_path / "Mark.ttf", "\u0e35", draw=mark), "\u0e35")
    plain = bare("ก", PLACED)

    def draw(text, at):
        if len(text) == 1:
            return bare(text, at)
        shift = round(plain.advance)
        ink = mark_alone("\u0e35", at).alpha
        rows = (ink[i : i + at.side] for i in range(0, at.side**2, at.side))
        moved = b"".join((bytes(shift) + row)[: at.side] for row in rows)
        return Drawing(plain.advance, bytes(map(max, plain.alpha, moved)))

    borrow(draw)
    found = lending.lent("\u0e35")
    assert found.advance == 0
    assert found.foot == pytest.approx(1600 / UNITS * 1000, abs=8)
    assert min(corners(found))[0] == pytest.approx(-400 / UNITS * 1000, abs=8)


@pytest.mark.parametrize("alpha", [0, 255])
def test_where_pictures_may_not_be_read_nothing_is_lent(borrow, alpha):
    borrow(lambda text, at: Drawing(90.0, bytes([alpha]) * at.side**2))
    assert missing("王") == "王"


def test_a_phone_without_such_a_canvas_lends_nothing(borrow):
    def no_canvas(text, at):
        raise RuntimeError("OffscreenCanvas is not defined")

    borrow(no_canvas)
    assert missing("王") == "王"
