"""Letters that no bundled font has, from the font files of the system."""

import os
from dataclasses import replace
from functools import partial
from io import BytesIO
from pathlib import Path
from unicodedata import normalize

import pytest
from card_helpers import TODAY, a_card
from lenders import make_font
from PIL import Image
from pypdf import PdfReader

from pocketpump.exchange.papers.card_files import card_pdf, card_problems
from pocketpump.exchange.papers.drawing import lending
from pocketpump.exchange.papers.drawing.borrowable import is_borrowable
from pocketpump.exchange.papers.drawing.borrowed import BORROWED
from pocketpump.exchange.papers.drawing.canvas import canvas_steps
from pocketpump.exchange.papers.drawing.device_fonts import (
    DeviceFonts,
    font_folders,
    lent_by_fonts,
)
from pocketpump.exchange.papers.drawing.fonts import glyph_of, missing
from pocketpump.exchange.papers.drawing.lending import LentLetter, lent
from pocketpump.exchange.papers.drawing.page import Page, line, width_of
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.drawing.png import to_png
from pocketpump.exchange.papers.drawing.svg import to_svg
from pocketpump.exchange.papers.letter import letter_file, letter_problems
from pocketpump.exchange.papers.tag import tag_file

NAMES = "王芳 שרה ไทย 김민준 ნინო Աննա Ἑλένη Hương"


@pytest.fixture
def borrow():
    """Borrow from a folder, or from whom is given; afterwards from nobody again."""

    def start(lender):
        if isinstance(lender, Path):
            lender = partial(lent_by_fonts, DeviceFonts([lender]))
        lending.lend(lender)

    yield start
    lending.lend(lambda letter: None)


@pytest.fixture
def folder(tmp_path, borrow):
    borrow(tmp_path)
    return tmp_path


def read(pdf):
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def a_page(text="王王"):
    return Page(60, 20, (line(text, 5, 15, 20, width=50),))


@pytest.mark.parametrize("cubic", [False, True])
def test_a_letter_of_a_fonts_file_is_drawn_at_its_size(folder, cubic):
    make_font(folder / "below" / "One.otf", "王", cubic=cubic)
    assert missing("王") == ""
    found, glyph = glyph_of("王")
    assert (found.name, found.width(glyph)) == (BORROWED, pytest.approx(1600 / 2048, abs=0.001))
    assert width_of("王王", 10) == pytest.approx(2 * 1600 / 2048 * 10 * 25.4 / 72, rel=0.001)
    # 1500 of 2048 units are 732 of a thousand; the hole makes it two contours.
    outline = found.outline(glyph)
    assert outline.count("M") == 2
    assert "732" in outline


@pytest.mark.parametrize("cubic", [False, True])
def test_what_is_borrowed_has_ink_and_hole_in_every_kind_of_picture(folder, cubic):
    make_font(folder / "One.ttf", "王", cubic=cubic)
    page = a_page()
    assert read(to_pdf([page], "t")).strip() == "王王"
    assert to_pdf([page], "t") == to_pdf([page], "t")
    assert to_svg(page, "t").count(f'href="#{BORROWED}-u738B"') == 2
    [step] = canvas_steps(page, 10)["steps"]
    assert len(step["letters"]) == 2
    picture = Image.open(BytesIO(to_png(page, 20)))
    em = 20 * 25.4 / 72
    middle, height = 5 + 1500 / 2048 * em / 2, 1500 / 2048 * em
    dark = [picture.getpixel((round(20 * x), round(20 * y))) < 100 for x, y in (
        (middle, 15 - height / 2), (middle, 15 - 0.1 * height), (middle, 15 - 0.9 * height),
        (middle, 15 + 0.1 * height))]  # fmt: skip
    assert dark == [False, True, True, False]


def test_letters_of_several_files_are_one_font_of_a_page(folder):
    make_font(folder / "One.ttf", "王")
    make_font(folder / "Two.ttf", "שרה")
    make_font(folder / "Three.otf", "김", cubic=True)
    pdf = to_pdf([a_page("Anna 王 김"), a_page("שרה")], "t")
    assert {"Anna", "王", "김"} <= set(read(pdf).split())
    assert "שרה" in read(pdf) or "הרש" in read(pdf)
    names = {str(f["/BaseFont"]).split("+")[-1]
             for page in PdfReader(BytesIO(pdf)).pages
             for f in (r.get_object() for r in page["/Resources"]["/Font"].values())}  # fmt: skip
    assert names == {"PocketPumpLatin", BORROWED}


@pytest.mark.parametrize("part", [slice(0, 4), slice(4, None)])
def test_a_persons_name_is_on_every_paper_and_no_problem_is_told(folder, part):
    make_font(folder / "One.ttf", NAMES.replace(" ", ""))
    names = NAMES.split()[part]
    card = replace(a_card(), name=" ".join(names))
    assert card_problems(card, "pdf") == letter_problems(card) == ()
    for pdf in (card_pdf(card, "en", TODAY), letter_file(card, "en", TODAY),
                tag_file(card, "en", TODAY)):  # fmt: skip
        text = normalize("NFC", read(pdf))
        assert "\ufffd" not in text
        for name in names:
            assert name in text or name[::-1] in text


def test_bends_alone_make_a_letter_too(folder):
    def bends(pen):
        pen.qCurveTo((0, 0), (0, 1500), (1500, 1500), (1500, 0), None)
        pen.closePath()

    make_font(folder / "One.ttf", "王", draw=bends)
    assert "王" in read(to_pdf([a_page()], "t"))


@pytest.mark.parametrize("spoilt", [b"", b"no font", b"\0\1\0\0\0\x20" + bytes(99), b"ttcf", None])
def test_a_broken_file_is_passed_over(folder, spoilt):
    whole = make_font(folder / "Whole.ttf", "王").read_bytes()
    (folder / "A.ttf").write_bytes(whole[: len(whole) // 2] if spoilt is None else spoilt)
    assert missing("王") == ""
    assert missing("芳") == "芳"


def test_a_file_whose_letters_alone_are_broken_leaves_them_to_the_next(folder, monkeypatch):
    first = make_font(folder / "A.ttf", "王")
    make_font(folder / "B.ttf", "王")
    data = bytearray(first.read_bytes())
    at = data.index(b"glyf")
    data[at + 8 : at + 12] = b"\x7f\xff\xff\xff"  # where its outlines are said to stand
    first.write_bytes(data)
    assert missing("王") == ""


def test_what_only_looks_like_a_font_is_left_alone(folder):
    os.mkfifo(folder / "Pipe.ttf")
    (folder / "Folder.ttf").mkdir()
    (folder / "Nowhere.ttf").symlink_to(folder / "nothing")
    assert missing("王") == "王"


def test_a_font_of_boxes_or_one_that_may_not_be_embedded_lends_nothing(folder):
    make_font(folder / "Boxes.ttf", "王芳שרה", glyph_of=lambda letter: "box")
    make_font(folder / "Kept.ttf", "王", licence=2)
    assert missing("王ש") == "王ש"
    make_font(folder / "Later.ttf", "王", licence=8)
    lending.lend(partial(lent_by_fonts, DeviceFonts([folder])))
    assert missing("王ש") == "ש"


def test_a_plain_font_comes_before_a_bold_one_and_each_file_is_read_once(folder, monkeypatch):
    for name in ("A Bold.ttf", "B Sans.ttf", "C Thin Italic.ttf"):
        make_font(folder / name, "王" if name != "C Thin Italic.ttf" else "王芳")
    fonts = DeviceFonts([folder])
    assert [path.name[0] for path in fonts.with_letter("王")] == ["B", "A", "C"]
    for path in folder.iterdir():
        path.unlink()
    assert [path.name[0] for path in fonts.with_letter("芳")] == ["C"]


def test_a_lender_that_fails_or_lends_nonsense_costs_no_page(borrow):
    def fails(letter):
        raise MemoryError

    for outline in (None, (), (("moveTo", ((1e9, 0.0),)), ("closePath", ()))):
        borrow(partial(LentLetter, advance=1.0, outline=outline) if outline is not None else fails)
        assert missing("王") == "王"
        assert read(to_pdf([a_page()], "t")).strip() == "\ufffd\ufffd"


def test_a_tone_stands_above_its_vowel(borrow):
    def low(letter):
        box = (("moveTo", ((0.0, 600.0),)), ("lineTo", ((0.0, 800.0),)),
               ("lineTo", ((90.0, 800.0),)), ("closePath", ()))  # fmt: skip
        return LentLetter(letter, 0.0, box)

    borrow(low)
    vowel, tone = lent("\u0e35"), lent("\u0e48")
    assert tone.foot > vowel.top
    assert (vowel.foot, vowel.top) == (600, 800)


@pytest.mark.parametrize("text", ["देवी", "தமிழ்", "বাংলা", "ភាសា", "ਪੰ", "မြန်", "پچ", "ך\u05b0"[1:],
                                  "e\u0301"[1:], "😀☺❤", "\ue000", "\u0378"])  # fmt: skip
def test_what_depends_on_its_neighbours_or_has_colours_is_not_borrowed(text):
    assert not any(map(is_borrowable, text))


def test_names_of_many_scripts_may_be_borrowed():
    assert all(map(is_borrowable, NAMES.replace(" ", "")[:-5] + "ươかなカナㄅ한ሰላምᏣᎳᎩ𠮷ł₪₩ที่ນໍ້າ"))


@pytest.mark.parametrize(
    ("platform", "environment", "folders"),
    [
        ("linux", {"HOME": "/h"}, {"/usr/share/fonts", "/h/.fonts", "/h/.local/share/fonts"}),
        ("darwin", {"HOME": "/h"}, {"/System/Library/Fonts", "/h/Library/Fonts"}),
        ("win32", {"WINDIR": "/w", "LOCALAPPDATA": "/l"},
         {"/w/Fonts", "/l/Microsoft/Windows/Fonts"}),
    ],
)  # fmt: skip
def test_each_system_has_its_folders(platform, environment, folders):
    assert folders <= {path.as_posix() for path in font_folders(platform, environment)}


def test_the_fonts_of_this_machine_lend_what_they_have(borrow):
    if not any(DeviceFonts().with_letter("ש")):
        assert missing("ש") == "ש"
        return
    borrow(None)
    assert missing("שרה") == ""
    text = read(to_pdf([a_page("שרה")], "t"))
    assert "שרה" in text or "הרש" in text
