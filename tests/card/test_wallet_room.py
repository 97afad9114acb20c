"""The wallet card, however much is to be said: all within its edge, what comes first never out."""

import dataclasses

import pytest
from card_helpers import FACTS, NOW, an_forecast
from page_checks import squeezed

from pocketpump.core.pump.programme_text import parse_setting
from pocketpump.core.safety.card import build_card
from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import STEP_LABELS, mode
from pocketpump.exchange.papers.drawing.page import MM_PER_POINT, Text
from pocketpump.exchange.papers.wallet import BETWEEN, TOP, wallet_page

HEIGHT = 53.98
DESCENDER = 0.25
"""The depth of a p or g below its baseline, in type sizes."""
CLINIC = "Universitätsklinikum Heidelberg, Klinik für Neurochirurgie"
TWO = "+49 6221 56 0 / +49 6221 56 36300"
DAY, LATE = NOW.date(), NOW.date().replace(month=4)
"""On the later day the pump may be empty (E14) and the card is old."""


def wallet_card(name=FACTS.name, drugs="morphine 5 mg/mL, clonidine 60 mcg/mL", clinic=CLINIC,
                phone=TWO, emergency="112", allergies="Penicillin, latex, codeine, iodine contrast",
                day=DAY):  # fmt: skip
    """Three risks, another drug, a clinic, an emergency number and somebody near."""
    facts = dataclasses.replace(
        FACTS, name=name, other_drugs=drugs, allergies=allergies,
        contacts=(
            Contact("Emergency", "local emergency number", emergency),
            Contact(clinic, "pump clinic", phone, "Mo-Fr 8-16"),
            Contact(name, "brother", "+49 170 1234567 / +49 6221 123456", "after 17:00",
                    on_card=True),
        ),
    )  # fmt: skip
    # The clinic's date makes the dates as many as they can be.
    printed = DAY.replace(month=2) if day == LATE else None
    return build_card(facts, dataclasses.replace(an_forecast(), printed_alarm_on=printed), NOW)


def check_wallet(card, language: str, day, *numbers: str) -> None:
    page = wallet_page(card, language, day)
    copies = (language,) if language == "en" else (language, "en")
    fold = page.width / 2
    texts = [t for t in page.drawn[1:] if isinstance(t, Text) and t.letters.strip()]
    for i, code in enumerate(copies):
        top = TOP + i * (HEIGHT + BETWEEN)
        mine = [t for t in texts if i == 0 or t.y > top]
        mine = [t for t in mine if i == len(copies) - 1 or t.y < top + HEIGHT + BETWEEN / 2]
        for text in mine:
            assert text.size >= 7.0 - 1e-6, text
            assert text.y + DESCENDER * text.size * MM_PER_POINT <= top + HEIGHT, text
        front = squeezed(" ".join(t.letters for t in mine if t.x < fold))
        words = phrases(code)
        keys = ["implant", "stopping", "t6", "communicate", "earlier", "strength", "dose",
                "last_refill", "allergies", "clinic", "emergency", "other_drugs"]  # fmt: skip
        keys += ["maybe_empty"] if card.is_low(day) else ["stale"] if card.is_stale(day) else []
        if code != "ar":  # Its letters are joined on paper.
            for key in keys:
                assert squeezed(words[key]) in front, (code, key)
        for whole in ("Peni", "500", "200", *numbers):
            assert squeezed(whole) in front, (code, whole)


@pytest.mark.parametrize("language", LANGUAGES)
def test_two_numbers_of_the_clinic_push_nothing_over_the_edge(language):
    check_wallet(wallet_card(day=LATE), language, LATE, TWO, "112")


@pytest.mark.parametrize("language", ["it", "pl", "fr"])
def test_short_names_leave_no_less_room(language):
    card = wallet_card("Anna Meyer", "morphine", "Clinic", day=LATE)
    check_wallet(card, language, LATE, TWO, "112")


W = "W" * 200
NUMBERS = ["112", "+49 (0) 6221 56-36300 ext. 1234", "112 / 911 / 999",
           "112 (mobile: +49 6221 19222)", TWO, "1" * 40]  # fmt: skip


# The longest at once, what lies between in a thorough run.
@pytest.mark.parametrize(
    "emergency",
    [n if n == NUMBERS[-1] else pytest.param(n, marks=pytest.mark.thorough) for n in NUMBERS],
)
@pytest.mark.parametrize("day", [DAY, LATE], ids=["in time", "late"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_ever_drawn_over_the_edge(language, day, emergency):
    long = W if emergency in (NUMBERS[-1], TWO) else CLINIC
    card = wallet_card(long, long, long, NUMBERS[-1], emergency, "Penicillin, latex and " + W, day)
    check_wallet(card, language, day, NUMBERS[-1], emergency)


@pytest.mark.parametrize("language", LANGUAGES)
def test_that_the_pump_may_be_empty_is_as_large_as_the_facts(language):
    front = front_of(wallet_card(day=LATE), language, LATE)
    # What stands below the title: the warning is the first.
    warned = min((t for t in front if t.y > TOP + 6.2), key=lambda t: t.y)
    assert warned.size >= 1.3 * 7.0 - 1e-6
    assert warned.size == max(t.size for t in front if t.y > TOP + 6.2)


def test_of_a_number_that_fits_in_no_line_the_card_says_where_it_is():
    card = wallet_card("Anna Meyer", "", "Clinic", emergency="ask for 112 at the desk " * 4)
    told = squeezed(" ".join(t.letters for t in front_of(card, "en", DAY)))
    assert squeezed("Local emergency number: …") in told
    assert squeezed("See the full page.") in told


STEPS = "00:00 13.125 mcg/h, 05:30 9 mcg/h, 14:00 11 mcg/h, 20:00 12.5 mcg/h"
WEEK = ("Mon: 00:00 8.25 mcg/h, 06:00 12.5 mcg/h, 12:00 9.75 mcg/h; Tue-Sun: 00:00 7 mcg/h,"
        " 06:00 11.125 mcg/h, 12:00 8.5 mcg/h, 18:00 10.25 mcg/h")  # fmt: skip


@pytest.mark.parametrize("steps", [STEPS, WEEK])
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_pattern_is_told_whole_or_only_named(language, steps):
    answer = dataclasses.replace(an_forecast(), programme=parse_setting(steps))
    card = build_card(FACTS, answer, NOW)
    told = " ".join(t.letters for t in front_of(card, language, DAY)).replace("\u00a0", " ")
    assert "…" not in told
    hours = "\u2011"
    rates = told.count(f" {phrases(language)['unit_rate']}")
    assert rates in (0, told.count(hours))
    whole = mode_steps(card, language)
    assert rates in (0, whole)
    if not rates and language != "ar":
        assert squeezed(phrases(language)["day_pattern"]).lower() in squeezed(told).lower()


@pytest.mark.parametrize("language", ["it", "pl"])
def test_that_the_pump_is_stopped_is_never_left_out(language):
    card = wallet_card(W, W, W, NUMBERS[-1], NUMBERS[-1], "Penicillin, latex and " + W, LATE)
    lines = [
        dataclasses.replace(line, value="stopped") if line.label == "mode" else line
        for line in card.lines
        if line.label not in STEP_LABELS
    ]
    card = dataclasses.replace(card, lines=tuple(lines))
    check_wallet(card, language, LATE, NUMBERS[-1])
    told = squeezed(" ".join(t.letters for t in front_of(card, language, LATE)))
    assert squeezed(phrases(language)["stopped"]) in told


def front_of(card, language: str, day) -> list[Text]:
    page = wallet_page(card, language, day)
    return [t for t in page.drawn[1:]
            if isinstance(t, Text) and t.x < page.width / 2 and t.y < TOP + HEIGHT]  # fmt: skip


def mode_steps(card, language: str) -> int:
    return sum(w.text.count("\u2011") for w in mode(card, phrases(language)))
