"""Letters: every phrase in the bundled fonts, Arabic joined and from right to left."""

import json

import pytest
from bidi.algorithm import get_display
from card_helpers import TODAY, a_card
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.exchange.papers.card_pages import card_pages, share_page
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import card_words
from pocketpump.exchange.papers.drawing.fonts import NAMES, asset_folder, glyph_of, missing
from pocketpump.exchange.papers.drawing.page import Text, broken, width_of
from pocketpump.exchange.papers.drawing.writing import LTR, isolated, on_paper, shaped

FONTS = asset_folder("fonts")
PATHS = {name: FONTS / f"{name}.ttf" for name in NAMES}
LETTERS = {name: set(TTFont(path).getBestCmap()) for name, path in PATHS.items()}
RTL = [code for code in LANGUAGES if phrases(code).direction == "rtl"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_letter_of_every_phrase_is_in_a_bundled_font(language):
    # fontTools reads the fonts' own character maps; ours is not asked.
    text = "".join(phrases(language).words.values()) + phrases(language).name
    everywhere = set().union(*LETTERS.values())
    assert {c for c in text if ord(c) not in everywhere} == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_shape_that_is_drawn_is_in_its_font(language):
    pages = [*card_pages(a_card(), language, TODAY), share_page(a_card(), language, TODAY)]
    drawn = [t for page in pages for t in page.drawn if isinstance(t, Text)]
    assert drawn
    for text in drawn:
        for letter in text.letters:
            assert letter != "\ufffd"
            assert ord(letter) in LETTERS[glyph_of(letter, text.language)[0].name]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_phrase_and_says_whether_it_was_reviewed(language):
    words = phrases(language)
    assert set(words.words) == set(phrases("en").words)
    assert all(text.strip() for text in words.words.values())
    data = json.loads((asset_folder("phrases") / f"{language}.json").read_text("utf-8"))
    assert data["reviewed"] == ("original" if language == "en" else "no")


@pytest.mark.parametrize("language", [code for code in LANGUAGES if code != "en"])
def test_each_translated_phrase_has_its_original_beside_it(language):
    english = set(phrases("en").words.values())
    for item in card_words(a_card(), language, TODAY):
        translated = item.text in phrases(language).words.values() or item.label
        if translated and item.key not in ("contact", "name"):
            assert item.original
            assert set(item.original.split(": ")) <= english or item.original in english


def test_the_fonts_stay_small():
    assert sum(path.stat().st_size for path in PATHS.values()) < 300_000
    assert (FONTS / "OFL.txt").read_text().count("SIL OPEN FONT LICENSE") >= 1


def test_arabic_letters_are_joined():
    # Unicode, Arabic presentation forms B: beh initial, seen medial … are not U+0628.
    joined = shaped("بسم")
    assert joined == "\ufe91\ufeb4\ufee2"
    # Lam and alef are one letter.
    assert shaped("لا") == "\ufefb"


@pytest.mark.parametrize("language", RTL)
def test_right_to_left_agrees_with_another_implementation(language):
    # python-bidi follows UAX #9; both get the same joined letters.
    for text in phrases(language).words.values():
        one_line = shaped(text)
        assert on_paper(one_line, "rtl") == get_display(one_line, base_dir="R")


LETTER = st.sampled_from("ابجد سלה abT 0123456789 ,.:+-%/·، ")


@given(st.text(LETTER, max_size=25), st.sampled_from(["ltr", "rtl"]))
def test_any_line_agrees_with_another_implementation(text, direction):
    theirs = get_display(text, base_dir="R" if direction == "rtl" else "L")
    assert on_paper(text, direction) == theirs


def test_a_telephone_number_reads_the_right_way_in_arabic():
    label = shaped("العيادة")
    line = on_paper(f"{label}: {isolated('+44 20 7946 0101', LTR)}", "rtl")
    assert "+44 20 7946 0101" in line
    assert line.endswith(label[::-1])


@given(
    st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=200),
    st.floats(10, 200),
    st.sampled_from(LANGUAGES),
)
def test_breaking_lines_loses_no_letter_and_keeps_the_width(text, width, language):
    lines = broken(text, 10.0, width, language)
    kept = "".join(lines)
    for letter in set(shaped(text)) - set(" \u2066\u2067\u2068\u2069\u2028\u2029\x85"):
        assert kept.count(letter) >= shaped(text).count(letter) or letter.isspace()
    for line in lines:
        assert width_of(line, 10.0, language) <= width + 1e-6 or len(line) <= 2


def test_what_no_font_has_is_named_once():
    assert missing("aไไb") == "ไ"
