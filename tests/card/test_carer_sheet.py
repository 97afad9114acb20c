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
from pocketpump.core.safety.sign_rules import NO_DELIVERY
from pocketpump.core.safety.sign_table import (
    CORD,
    EMERGENCY_SIGNS,
    ON_THE_SIDE,
    SIGNS,
    TOO_LITTLE,
    TOO_MUCH,
    UNANSWERED,
    Urgency,
)
from pocketpump.core.safety.signs import assess
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.carer_sheet import (
    DETAILS,
    EARLY_BEHIND,
    LEFT_OUT,
    USUAL_DETAILS,
    CarerSheet,
    carer_file,
    carer_pages,
    carer_problems,
    carer_sheet_of,
)
from pocketpump.exchange.papers.drawing.page import Text
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
    "position": "lower belly, right",
    "allergies": "Penicillin (rash)",
    "steps": "Sit me up, then look at the catheter.",
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
    for kept in ("X-1", "as written", "Neighbour", "letter board", "vitamin", "T10"):
        assert kept not in text


NO_INJURY = dataclasses.replace(FACTS, injury_t6_or_above=False)


@pytest.mark.parametrize(
    ("facts", "shown", "language", "paper"),
    [(FACTS, DETAILS, "en", "a4"), (NO_INJURY, DETAILS, "en", "letter"),
     (NO_INJURY, (), "de", "a4"), (FACTS, (), "en", "letter"), (FACTS, (), "de", "a4")],
)  # fmt: skip
def test_it_is_one_page(facts, shown, language, paper):
    sheet = carer_sheet_of(facts, an_forecast(), shown)
    (page,) = carer_pages(sheet, TODAY, locale(language), PAPERS[paper])
    assert (page.width, page.height) == PAPERS[paper]
    check_page(page)
    check_lines_apart(page)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("paper", PAPERS)
def test_where_it_needs_two_sides_the_first_has_all_that_cannot_wait(language, paper):
    spoken = locale(language)
    sheet = dataclasses.replace(a_sheet(DETAILS), plan="As the clinic wrote it. " * 12)
    front, back = carer_pages(sheet, TODAY, spoken, PAPERS[paper])
    for page in (front, back):
        check_page(page)
        check_lines_apart(page)
        # The last line is set a tenth smaller.
        assert min(one.size for one in page.drawn if isinstance(one, Text)) > 0.9 * 8.49
    text = squeezed(said(front))
    for sign in SIGNS:
        if sign.urgency >= Urgency.NOW:
            assert squeezed(text_in(sign.words, spoken)) in text, sign.id
    for wanted in ("112", TOLD["clinic"], TOLD["people"], TOLD["steps"]):
        assert squeezed(wanted) in text
    assert squeezed(text_in(ON_THE_SIDE, spoken)) in text
    assert squeezed(text_in(UNANSWERED[Urgency.NOW][0], spoken)) in text
    assert squeezed(text_in(EARLY_BEHIND, spoken)) in text


def test_every_sign_of_the_table_stands_on_the_page_or_is_left_out_with_its_reason():
    text = squeezed(text_of(a_sheet()))
    assert set(LEFT_OUT) <= {sign.id for sign in SIGNS}
    for sign in SIGNS:
        assert (squeezed(sign.words) in text) is (sign.id not in LEFT_OUT), sign.id
        if sign.id in LEFT_OUT:
            assert sign.urgency is Urgency.NEXT_VISIT
            assert LEFT_OUT[sign.id]


TITLES = {
    "little": "Could be too little baclofen",
    "fever": "Could be infection, or too little baclofen",
    "much": "Could be too much baclofen",
    "inside": "Could be infection, or a leak of spinal fluid",
    "pump": "The pump, or the skin over it",
    "cord": "Could be a rise of blood pressure after a cord injury",
}


def groups() -> dict[str, str]:
    """What stands under each title of the page, squeezed."""
    text = squeezed(text_of(a_sheet())).split("Earlysigns")[1].split("Numberstocall")[0]
    starts = sorted((text.index(squeezed(title)), name) for name, title in TITLES.items())
    ends = [start for start, _ in starts[1:]] + [len(text)]
    return {name: text[start:end] for (start, name), end in zip(starts, ends, strict=True)}


def test_a_sign_that_could_be_several_things_stands_under_each():
    found = groups()
    wanted = {
        TOO_LITTLE: "little", TOO_MUCH: "much", CORD: "cord",
    }  # fmt: skip
    for sign in SIGNS:
        if sign.urgency >= Urgency.NOW or sign.id in LEFT_OUT or sign.subject == "pump":
            continue
        for cause, name in wanted.items():
            assert (squeezed(sign.words) in found[name]) is (cause in sign.could_be), sign.id
    fever = squeezed("Fever")
    assert fever in found["little"]
    assert fever in found["fever"]
    assert squeezed("An infection and too little baclofen can look the same.") in found["fever"]
    for sign in ("stiff neck", "light hurts", "bad headache", "headache upright", "back fluid",
                 "back pain"):  # fmt: skip
        assert squeezed(words_of(sign)) in found["inside"], sign


def words_of(sign: str) -> str:
    (row,) = [one for one in SIGNS if one.id == sign]
    return row.words


def test_what_is_measured_comes_last_and_only_by_those_who_can():
    text = squeezed(text_of(a_sheet()))
    for sign in ("pressure", "high pressure"):
        told = squeezed(words_of(sign))
        assert text.count(told) == text.count(told + squeezed(" (if you can measure it)"))
    little, much = groups()["little"], groups()["much"]
    for group in (little, much):
        assert group.endswith(squeezed(words_of("pressure") + " (if you can measure it)"))


def test_every_sign_is_under_its_urgency():
    (text,) = read_back(carer_file(a_sheet(), TODAY))
    danger, rest = text.split("Cord injury at T6", 1)
    now, early = rest.split("Call the pump clinic now, day or night", 1)[1].split("Early signs", 1)
    assert "Danger: call 112 at once" in danger
    for sign in SIGNS:
        if sign.urgency is Urgency.EMERGENCY:
            assert all(word in danger for word in sign.words.split()), sign.id
            assert squeezed(sign.words) not in squeezed(early), sign.id
        if sign.urgency is Urgency.NOW:
            assert all(word in now for word in sign.words.split()), sign.id
            assert squeezed(sign.words) not in squeezed(early), sign.id


def test_the_most_dangerous_pattern_is_the_first_under_danger_with_the_number():
    pattern = (
        "If stiffness comes back fast together with fever, confusion or a racing pulse, it could"
        " be baclofen withdrawal: call 112."
    )
    start = "Danger: call 112 at once"
    assert squeezed(start + pattern) in squeezed(text_of(a_sheet()))
    unknown = text_of(carer_sheet_of(CareFacts(), None))
    start = "Danger: call the emergency number at once"
    assert squeezed(start + EMERGENCY_SIGNS) in squeezed(unknown)


def test_a_cord_injury_at_t6_or_above_has_its_signs_and_first_steps_when_it_is_noted():
    told = (
        "Cord injury at T6 or above",
        "This person's own steps come first: Sit me up, then look at the catheter.",
        "sit the person up, lower the legs, loosen what is tight",
        "Call even when it passes",
    )
    text = squeezed(text_of(a_sheet()))
    assert [one for one in told if squeezed(one) not in text] == []
    for facts, shown in ((NO_INJURY, DETAILS), (FACTS, ())):
        text = squeezed(text_of(carer_sheet_of(facts, None, shown)))
        assert [one for one in told if squeezed(one) in text] == []
    # Held to the rules of the core.
    t6 = {"T6": "a cord injury"}
    for signs in (
        ["pounding head"], ["bad headache"], ["headache", "flushing"], ["headache", "sweating"],
        ["flushing", "sweating"], ["high pressure"],
    ):  # fmt: skip
        assert assess(signs, t6).urgency is Urgency.EMERGENCY, signs
    for sign in ("flushing", "sweating", "pressure", "distress"):
        assert assess([sign], t6).urgency is Urgency.NOW, sign


@pytest.mark.parametrize(
    "sign", ["stiffness back", "itch", "sweating", "fast pulse", "sleepy", "loose", "dizzy",
             "vomiting", "soft alarm", "pump hit", "red skin"],
)  # fmt: skip
def test_early_signs_of_too_little_and_too_much_and_of_the_pump_are_named(sign):
    (text,) = read_back(carer_file(a_sheet(), TODAY))
    early = text.split("Early signs", 1)[1].split("Numbers to call")[0]
    (row,) = [one for one in SIGNS if one.id == sign]
    assert all(word in early for word in row.words.split())


@pytest.mark.parametrize("doubt", sorted(NO_DELIVERY))
def test_two_early_signs_without_delivery_are_the_emergency_the_page_says(doubt):
    # Held to the rules of the core: what the page tells is what the app would answer.
    assert assess(["itch", "sweating"], {doubt: "it is so"}).urgency is Urgency.EMERGENCY
    told = "Pump empty or stopped, alarm date past, refill missed or an urgent alarm: two signs"
    assert squeezed(told) in squeezed(text_of(a_sheet()))


def test_what_to_do_until_help_comes():
    text = squeezed(text_of(a_sheet()))
    for wanted in ("Do not leave the person alone.", ON_THE_SIDE,
                   "Have the emergency card ready, if you have it, and show it.",
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
    text = " ".join(map(said, carer_pages(a_sheet(DETAILS), TODAY, Loud())))
    for own in ("Mara Holm", "Joost Holm", "Ida Holm", "brother", "mother", FACTS.plan, "24 h"):
        assert own in text
        text = text.replace(own, "")
    for own in (*(TOLD[one] for one in ("position", "allergies", "steps")), "Pump clinic", "mcg"):
        text = text.replace(own, "")
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


def test_a_number_too_long_to_be_written_out_leaves_a_mark():
    # Of 41 digits; E.164 has 15.
    people = (Contact("Nils Invented", "brother", "+" + "9" * 41, on_card=True),)
    assert "…" in text_of(dataclasses.replace(a_sheet(), people=people))
    assert "…" not in text_of(a_sheet())
