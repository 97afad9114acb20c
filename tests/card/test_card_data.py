"""The card as data: what is on it, when it is stale, and that any face can read it."""

import dataclasses
import json
from datetime import UTC, date, datetime, timedelta

import pytest
from card_helpers import FACTS, FILLED, NOW, a_card, an_outlook
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.card import Card, CareFacts, build_card, card_from_plain, essentials
from pocketpump.core.contacts import Contact
from pocketpump.exchange.phrases import phrases


def test_the_card_carries_the_outlook_and_computes_nothing_of_its_own():
    answer = an_outlook()
    card = build_card(FACTS, answer, NOW)
    assert card.value("alarm_date") == answer.alarm_at.date().isoformat()
    assert card.value("refill_by") == answer.refill_by.isoformat()
    # Trade facts E14: 45 days from 2026-01-12.
    assert card.value("alarm_date") == "2026-02-26"
    assert card.value("strength") == "500 mcg/mL"
    assert card.value("dose") == "200 mcg/day"


def test_only_what_is_known_is_on_the_card():
    card = build_card(CareFacts(), None, NOW)
    assert card.lines == ()
    assert card.contacts == card.clinics == card.risks == ()
    assert essentials(card).splitlines() == [
        "IMPLANTED PUMP: BACLOFEN, INTRATHECAL. STOPPING IT SUDDENLY CAN KILL.",
        "As of 20 Jan 2026",
    ]


def test_people_are_numbered_in_the_style_of_e123_and_clinics_stand_apart():
    # ITU-T E.123: emergency contacts are written "01 …", "02 …".
    card = a_card()
    assert [(c.number, c.name) for c in card.contacts] == [
        ("01", "Joost Holm"),
        ("02", "Ida Holm"),
    ]
    assert [c.name for c in card.clinics] == ["Pump clinic"]


def test_the_card_goes_through_json_and_back_unchanged():
    card = a_card()
    assert card_from_plain(json.loads(json.dumps(card.plain()))) == card


def test_the_plain_form_names_every_phrase_a_face_has_to_say():
    plain = json.loads(json.dumps(a_card().plain()))
    known = set(phrases("en").words)
    said = [*plain["first"], *plain["signs"], *plain["care"], *plain["risks"]]
    said += [line["label"] for line in plain["lines"]]
    said += [line["value"] for line in plain["lines"] if line["kind"] == "phrase"]
    assert len(plain["first"]) == len(plain["signs"]) == 3
    assert set(said) <= known


def test_the_card_is_frozen():
    card = a_card()
    for field in dataclasses.fields(Card):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(card, field.name, "x")


def test_it_warns_from_the_day_after_the_refill_was_due():
    answer = an_outlook()
    card = build_card(FACTS, answer, NOW)
    assert not card.is_stale(answer.refill_by)
    assert card.is_stale(answer.refill_by + timedelta(days=1))


def test_it_warns_after_180_days_without_news_even_when_the_refill_is_later():
    # 30 to 180 days between refills: children's hospital leaflets (trade facts §2).
    answer = an_outlook(drug_age_limit_days=400)
    slow = dataclasses.replace(answer, refill_by=FILLED.date() + timedelta(days=300))
    card = build_card(FACTS, slow, NOW)
    assert not card.is_stale(FILLED.date() + timedelta(days=180))
    assert card.is_stale(FILLED.date() + timedelta(days=181))


def test_a_card_without_a_refill_never_claims_to_be_out_of_date():
    assert not build_card(FACTS, None, NOW).is_stale(date(2099, 1, 1))


@given(
    name=st.text(max_size=60),
    allergies=st.text(max_size=4000),
    contacts=st.lists(
        st.builds(Contact, st.text(max_size=40), st.sampled_from(["clinic", "sister"]),
                  st.text(max_size=30), st.text(max_size=20), st.booleans()),
        max_size=120,
    ),
)  # fmt: skip
def test_whatever_is_typed_the_essentials_stay_short_and_the_numbers_are_unique(
    name, allergies, contacts
):
    facts = dataclasses.replace(FACTS, name=name, allergies=allergies, contacts=tuple(contacts))
    card = build_card(facts, None, datetime(2026, 1, 1, tzinfo=UTC))
    numbers = [c.number for c in card.contacts]
    assert numbers == sorted(set(numbers), key=int)
    # The largest code at correction M holds 2331 bytes (ISO/IEC 18004, version 40-M).
    assert len(essentials(card).encode()) <= 2331
