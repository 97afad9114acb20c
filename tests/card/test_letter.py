"""The letter for the border: one page in every language, nothing cut, nothing given away."""

import dataclasses
from datetime import date

import pytest
from card_helpers import FACTS, NOW, TODAY, a_card, an_forecast
from hypothesis import example, given, settings
from hypothesis import strategies as st
from page_checks import check_lines_apart, check_page, read_back, said, squeezed

from pocketpump.core.errors import InputError
from pocketpump.core.safety.card import CareFacts, build_card
from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import say_date
from pocketpump.exchange.papers.drawing.page import Text
from pocketpump.exchange.papers.drawing.writing import on_paper, shaped
from pocketpump.exchange.papers.letter import SAID, letter_file, letter_page, letter_problems
from pocketpump.exchange.papers.paper_size import PAPERS

DOCTOR = ("letter_doctor", "letter_confirm", "letter_carries", "letter_doctor_name",
          "letter_signature", "letter_stamp", "letter_day")  # fmt: skip


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_it_is_one_page_with_every_sentence_whole(language, paper):
    page = letter_page(a_card(), language, TODAY, PAPERS[paper])
    check_page(page)
    check_lines_apart(page)
    assert (page.width, page.height) == PAPERS[paper]
    words = phrases(language)
    keys = ["letter_title", "letter_to", "letter_notes", *DOCTOR]
    keys += [key if key == "stopping" else f"letter_{key}" for key in SAID]
    own = squeezed(said(page, language))
    english = squeezed(said(page, "en"))
    for key in keys:
        assert squeezed(phrases("en")[key]) in english or key in DOCTOR, key
        if words.direction == "rtl":
            for word in words[key].split():
                assert on_paper(shaped(word.strip(".،")), "rtl") in own, key
        else:
            assert squeezed(words[key]) in own, key


@pytest.mark.parametrize("language", LANGUAGES)
def test_whose_it_is_and_whom_to_call_are_read_back_whole(language):
    (text,) = read_back(letter_file(a_card(), language, TODAY))
    born = say_date("1984-03-02", language)
    for wanted in ("Mara Holm", born, "+44 20 7946 0101"):
        assert squeezed(wanted) in squeezed(text)


def test_a_translation_says_that_nobody_reviewed_it_and_the_original_does_not():
    unreviewed = phrases("en")["unreviewed"]
    assert unreviewed in said(letter_page(a_card(), "pl", TODAY))
    assert unreviewed not in said(letter_page(a_card(), "en", TODAY))


def test_it_gives_away_nothing_else_of_the_record():
    text = said(letter_page(a_card(), "en", TODAY))
    for kept in ("200", "500", "Penicillin", "X-1", "as written", "Joost", "T10", "letter board"):
        assert kept not in text


def test_what_is_not_known_can_be_written_by_hand():
    text = said(letter_page(build_card(CareFacts(), None, NOW), "en", TODAY))
    for label in ("Name", "Born", "Pump clinic"):
        assert f"{label}: ____" in text


def test_an_unknown_language_is_one_sentence():
    with pytest.raises(InputError, match='There is no card in "xx"'):
        letter_page(a_card(), "xx", TODAY)


def test_letters_no_font_has_are_told():
    card = build_card(dataclasses.replace(FACTS, name="ไทย"), None, NOW)
    (problem,) = letter_problems(card)
    assert "ไทย" in problem.sentence


@settings(max_examples=15, deadline=None)
@example(name="", clinic="", phone="0" * 38, language="en", paper="a4")
@example(name="", clinic="", phone="0" * 39, language="en", paper="a4")
@given(
    name=st.text(st.sampled_from("WiÄ م東 -"), max_size=200),
    clinic=st.text(st.sampled_from("Wi 東ك"), max_size=200),
    phone=st.text(st.sampled_from("0123456789 "), min_size=3, max_size=39),
    language=st.sampled_from(LANGUAGES),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_however_long_the_names_nothing_leaves_the_page(name, clinic, phone, language, paper):
    facts = CareFacts(name=name, born_on=date(1984, 3, 2),
                      contacts=(Contact(clinic, "pump clinic", f"+{phone}9"),))  # fmt: skip
    page = letter_page(build_card(facts, an_forecast(), NOW), language, TODAY, PAPERS[paper])
    check_page(page)
    check_lines_apart(page)
    number = squeezed(f"+{phone}9")
    # 40 is the longest that is written out (E.164 has 15 digits); a longer one leaves a mark.
    assert (number if len(number) <= 40 else "…") in squeezed(said(page))


def test_the_letter_itself_stays_above_the_doctors_part():
    card = build_card(dataclasses.replace(FACTS, name="W" * 200), an_forecast(), NOW)
    for language in LANGUAGES:
        page = letter_page(card, language, TODAY, PAPERS["letter"])
        head = phrases("en")["letter_doctor"]
        (doctor,) = [t for t in page.drawn if isinstance(t, Text) and t.letters == head]
        notes = [t for t in page.drawn if isinstance(t, Text) and "own notes" in t.letters]
        assert all(t.y < doctor.y for t in notes)


@pytest.mark.parametrize("language", LANGUAGES)
def test_where_the_pump_is_stands_on_it_if_the_record_knows(language):
    (text,) = read_back(letter_file(a_card(), language, TODAY))
    # In the person's own words, and in the English beside it.
    assert squeezed("lower belly, right") in squeezed(text)
    assert "Position: " in text
    unknown = build_card(dataclasses.replace(FACTS, position=""), an_forecast(), NOW)
    (text,) = read_back(letter_file(unknown, language, TODAY))
    assert "Position: " not in text
    odd = build_card(dataclasses.replace(FACTS, position="ไทย"), an_forecast(), NOW)
    (problem,) = letter_problems(odd)
    assert "ไ" in problem.sentence
