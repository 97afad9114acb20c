"""The page for a school or a carer: one page, of the sign table, with what was chosen alone."""

import dataclasses
from datetime import date

import pytest
from card_helpers import FACTS, TODAY, an_forecast
from hypothesis import given, settings
from hypothesis import strategies as st
from loud import Loud
from page_checks import check_lines_apart, check_page, read_back, said, squeezed

from pocketpump.core.messages import text_in
from pocketpump.core.safety.card import CareFacts
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS, ON_THE_SIDE, SIGNS, Urgency
from pocketpump.core.safety.signs import assess
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.carer_sheet import (
    DETAILS,
    USUAL_DETAILS,
    CarerSheet,
    carer_file,
    carer_pages,
    carer_problems,
    carer_sheet_of,
)
from pocketpump.exchange.papers.paper_size import PAPERS


def a_sheet(shown=USUAL_DETAILS) -> CarerSheet:
    return carer_sheet_of(FACTS, an_forecast(), shown)


def text_of(sheet: CarerSheet) -> str:
    return " ".join(map(said, carer_pages(sheet, TODAY)))


TOLD = {
    "name": "Mara Holm",
    "born": "2 Mar 1984",
    "clinic": "+44 20 7946 0101",
    "people": "+44 20 7946 0102",
    "plan": "Call the clinic day and night.",
    "dose": "200 mcg/day",
}


@pytest.mark.parametrize("detail", DETAILS)
def test_each_detail_is_there_only_when_it_is_chosen(detail):
    without = text_of(a_sheet([d for d in DETAILS if d != detail]))
    alone = text_of(a_sheet([detail]))
    assert TOLD[detail] in alone
    for name, told in TOLD.items():
        assert (told in without) is (name != detail), name
        assert (told in alone) is (name == detail), name


def test_the_dose_is_left_out_unless_asked_for():
    assert set(DETAILS) - set(USUAL_DETAILS) == {"dose"}
    assert "mcg" not in text_of(a_sheet())


def test_nothing_else_of_the_record_is_on_it():
    text = text_of(a_sheet(DETAILS))
    for kept in ("Penicillin", "X-1", "as written", "Neighbour", "letter board", "vitamin", "T10"):
        assert kept not in text


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("shown", [(), USUAL_DETAILS, DETAILS])
def test_it_is_one_page(shown, paper, language):
    (page,) = carer_pages(a_sheet(shown), TODAY, locale(language), PAPERS[paper])
    assert (page.width, page.height) == PAPERS[paper]
    check_page(page)
    check_lines_apart(page)


def test_every_sign_that_is_an_emergency_is_under_the_emergency_number():
    (text,) = read_back(carer_file(a_sheet(), TODAY))
    danger, rest = text.split("Early signs", 1)
    assert "Danger: call 112 at once" in danger
    for sign in SIGNS:
        if sign.urgency is Urgency.EMERGENCY:
            assert all(word in danger for word in sign.words.split()), sign.id
            assert squeezed(sign.words) not in squeezed(rest), sign.id
    assert squeezed(EMERGENCY_SIGNS) in squeezed(danger)


@pytest.mark.parametrize(
    "sign", ["stiffness back", "itch", "sweating", "fast pulse", "sleepy", "loose", "dizzy",
             "vomiting", "urgent alarm", "soft alarm", "pump hit", "red skin"],
)  # fmt: skip
def test_early_signs_of_too_little_and_too_much_and_of_the_pump_are_named(sign):
    (text,) = read_back(carer_file(a_sheet(), TODAY))
    early = text.split("Early signs", 1)[1].split("Numbers to call")[0]
    (row,) = [one for one in SIGNS if one.id == sign]
    assert all(word in early for word in row.words.split())


@pytest.mark.parametrize("doubt", ["urgent alarm", "missed refill"])
def test_two_early_signs_while_delivery_is_in_doubt_are_the_emergency_the_page_says(doubt):
    # Held to the rules of the core: what the page tells is what the app would answer.
    ticked = ["itch", "sweating"] + (["urgent alarm"] if doubt == "urgent alarm" else [])
    holds = {"missed refill": "a refill was missed"} if doubt == "missed refill" else {}
    assert assess(ticked, holds).urgency is Urgency.EMERGENCY
    assert "two of the signs of too little are an emergency" in text_of(a_sheet())


def test_what_to_do_until_help_comes():
    text = squeezed(text_of(a_sheet()))
    for wanted in ("Do not leave the person alone.", ON_THE_SIDE,
                   "Have the emergency card ready, and show it.",
                   "Give no extra tablets, unless the clinic's written plan says so."):  # fmt: skip
        assert squeezed(wanted) in text


def test_the_emergency_number_comes_first():
    text = text_of(a_sheet(DETAILS))
    numbers = text.split("Numbers to call", 1)[1]
    found = [numbers.index(n) for n in ("112", TOLD["clinic"], TOLD["people"])]
    assert found == sorted(found)


def test_numbers_nobody_noted_can_be_written_by_hand():
    text = text_of(carer_sheet_of(CareFacts(), None))
    assert "Danger: call the emergency number at once" in text
    for label in ("Emergency number:", "Pump clinic, with number:", "Family, with number:"):
        assert label in text


def test_it_is_said_in_the_language_and_what_was_typed_stays():
    (page,) = carer_pages(a_sheet(DETAILS), TODAY, Loud())
    text = said(page)
    for own in ("Mara Holm", "Joost Holm", "Ida Holm", "brother", "mother", FACTS.plan, "24 h"):
        assert own in text
        text = text.replace(own, "")
    text = text.replace("Pump clinic", "").replace("mcg", "")
    assert not any(letter.islower() for letter in text), text
    assert text_in("HELP", Loud()) == "HELP"


def test_letters_no_font_has_are_told():
    sheet = dataclasses.replace(a_sheet(), name="ไทย")
    (problem,) = carer_problems(sheet)
    assert "ไทย" in problem.sentence
    assert carer_problems(a_sheet()) == ()


WIDE = st.text(st.sampled_from("WWWWiÄ -東"), max_size=200)


@settings(max_examples=15, deadline=None)
@given(
    name=WIDE,
    plan=st.text(st.sampled_from("Wi \n"), max_size=4000),
    people=st.lists(st.tuples(WIDE, WIDE, st.integers(10**5, 10**15)), max_size=20),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_however_much_is_chosen_nothing_is_cut(name, plan, people, paper):
    numbers = tuple(Contact(n, role, f"+{phone}") for n, role, phone in people)
    sheet = CarerSheet(numbers[:1], name, date(1984, 3, 2), "", numbers, numbers, plan)
    pages = carer_pages(sheet, TODAY, paper=PAPERS[paper])
    for page in pages:
        check_page(page)
    text = squeezed("".join(map(said, pages)))
    for one in numbers:
        assert one.phone in text
    assert text.count("W") >= name.count("W") + plan.count("W")
    assert "clinic'sinstructionscomefirst." in text
