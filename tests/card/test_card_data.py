"""The card as data: what is on it, when it is stale, and that any view can read it."""

import dataclasses
import json
from datetime import UTC, date, timedelta

import pytest
from card_helpers import FACTS, FILLED, NOW, TODAY, a_card, an_forecast
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import RequestedBolus, constant_rate
from pocketpump.core.pump.programme_text import (
    parse_requested_bolus,
    parse_setting,
    parse_timed_bolus,
    with_boluses,
)
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.safety.card import Card, CareFacts, build_card
from pocketpump.core.safety.card_essentials import MOST_BYTES, essentials
from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import card_words, say_date
from pocketpump.exchange.papers.qr_code import code_matrix
from pocketpump.exchange.papers.wallet import code_place


def test_the_card_carries_the_forecast_and_computes_nothing_of_its_own():
    answer = an_forecast()
    card = build_card(FACTS, answer, NOW)
    assert card.value("alarm_date") == answer.alarm_at.date().isoformat()
    assert card.value("refill_by") == answer.refill_by.isoformat()
    # E14, derived: 45 days from 2026-01-12.
    assert card.value("alarm_date") == "2026-02-26"
    assert card.value("strength") == "500 mcg/mL"
    assert card.value("dose") == "200 mcg/day"


def test_only_what_is_known_is_on_the_card():
    card = build_card(CareFacts(), None, NOW)
    assert card.lines == ()
    assert card.contacts == card.clinics == card.risks == ()
    assert essentials(card).splitlines() == [
        "IMPLANTED PUMP: BACLOFEN, INTRATHECAL. STOPPING BACLOFEN SUDDENLY CAN KILL.",
        "Made on 20 Jan 2026",
    ]


def test_people_are_numbered_in_the_style_of_e123_and_clinics_stand_apart():
    # ITU-T E.123: emergency contacts are written "01 …", "02 …".
    card = a_card()
    assert [(c.number, c.name) for c in card.contacts] == [
        ("01", "Joost Holm"),
        ("02", "Ida Holm"),
    ]
    assert [c.name for c in card.clinics] == ["Pump clinic"]


def test_the_plain_form_goes_through_json_unchanged():
    card = a_card()
    plain = json.dumps(card.plain())
    assert json.dumps(json.loads(plain)) == plain


def test_the_plain_form_names_every_phrase_a_face_has_to_say():
    plain = json.loads(json.dumps(a_card().plain()))
    known = set(phrases("en").words)
    said = [*plain["first"], *plain["signs"], *plain["care"], *plain["risks"]]
    said += [line["label"] for line in plain["lines"]]
    said += [line["value"] for line in plain["lines"] if line["kind"] == "phrase"]
    assert all(plain[part] for part in ("first", "signs", "care"))
    assert set(said) <= known


def test_the_card_is_frozen():
    card = a_card()
    for field in dataclasses.fields(Card):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(card, field.name, "x")


def test_it_warns_from_the_day_after_the_refill_was_due():
    answer = an_forecast()
    card = build_card(FACTS, answer, NOW)
    assert not card.is_stale(answer.refill_by)
    assert card.is_stale(answer.refill_by + timedelta(days=1))


def test_it_warns_after_180_days_without_news_even_when_the_refill_is_later():
    # 30 to 180 days between refills: children's hospital leaflets.
    answer = an_forecast(drug_age_limit_days=400)
    slow = dataclasses.replace(answer, refill_by=FILLED.date() + timedelta(days=300))
    card = build_card(FACTS, slow, NOW)
    assert not card.is_stale(FILLED.date() + timedelta(days=180))
    assert card.is_stale(FILLED.date() + timedelta(days=181))


def test_a_card_without_a_refill_never_claims_to_be_out_of_date():
    assert not build_card(FACTS, None, NOW).is_stale(date(2099, 1, 1))


def test_the_clinic_that_answers_day_and_night_comes_first():
    clinics = (
        Contact("Pump nurses", "pump clinic", "+44 20 7946 0113", "Mon 9 to 12"),
        Contact("Without a number", "pump clinic", ""),
        Contact("On call", "pump clinic", "+44 20 7946 0101", "", emergency=True),
    )
    card = build_card(dataclasses.replace(FACTS, contacts=clinics), an_forecast(), NOW)
    assert [c.name for c in card.clinics] == ["On call", "Pump nurses", "Without a number"]
    assert "Clinic: On call +44 20 7946 0101" in essentials(card).splitlines()


# E14: the alarm on 2026-02-26 (day 45), empty on 2026-03-03 (day 50), for a pump as fast as its
# accuracy allows on day 43.3 (14.5 %, 2.9 % from fill to fill): as Today says it, so does the card.
@pytest.mark.parametrize(("days_on", "is_low"), [(42, False), (43, True), (45, True), (51, True)])
def test_a_pump_that_may_be_empty_is_said_on_every_view(days_on, is_low):
    now = FILLED + timedelta(days=days_on)
    card = build_card(FACTS, an_forecast(now), now)
    assert card.value("empty_date") == "2026-03-03"
    assert card.is_low(now.date()) == is_low
    assert ("MAY BE EMPTY since 24 Feb 2026" in essentials(card)) == is_low
    for language in LANGUAGES:
        words = card_words(card, language, now.date())
        told = [w for w in words if w.key == "maybe_empty"]
        assert len(told) == is_low
        assert not told or told[0].text.startswith(phrases(language)["maybe_empty"])
    # A card printed before says so too, once the day has come.
    assert build_card(FACTS, an_forecast(), NOW).is_low(now.date()) == is_low


def test_a_stopped_pump_is_not_said_to_run_empty():
    answer = dataclasses.replace(an_forecast(), alarm_at=None, empty_at=None, maybe_empty_at=None)
    assert not build_card(FACTS, answer, NOW).is_low(date(2099, 1, 1))


def test_the_clinics_own_alarm_date_stands_beside_ours():
    early = dataclasses.replace(an_forecast(), printed_alarm_on=date(2026, 2, 20))
    card = build_card(FACTS, early, NOW)
    assert card.value("alarm_date") == "2026-02-26"
    assert card.value("clinic_alarm_date") == "2026-02-20"
    # The earlier one comes first, on every view.
    assert "Filled 12 Jan 2026, clinic's alarm 20 Feb 2026, alarm 26 Feb 2026" in essentials(card)
    told = [w for w in card_words(card, "en", TODAY) if w.label.startswith("Alarm date")]
    assert [(w.text.strip("\u2066\u2069"), w.weight) for w in told] == [
        ("20 Feb 2026", "fact"),
        ("26 Feb 2026", "plain"),
    ]
    # And which one counts is said on it, in the words of every language.
    assert [w.label for w in told] == [
        "Alarm date (the earlier counts)", "Alarm date by calculation",
    ]  # fmt: skip
    for language in LANGUAGES:
        words = phrases(language)
        (first,) = (w for w in card_words(card, language, TODAY) if w.key == "clinic_alarm_date")
        assert f"({words['earlier_counts']})" in first.label
    late = dataclasses.replace(an_forecast(), printed_alarm_on=date(2026, 2, 28))
    told = [w for w in card_words(build_card(FACTS, late, NOW), "en", TODAY)
            if w.label.startswith("Alarm date")]  # fmt: skip
    assert [w.label for w in told] == [
        "Alarm date (the earlier counts)", "Alarm date from the clinic",
    ]  # fmt: skip
    assert card.is_low(date(2026, 2, 20))
    agreeing = dataclasses.replace(an_forecast(), printed_alarm_on=date(2026, 2, 26))
    assert build_card(FACTS, agreeing, NOW).value("clinic_alarm_date") == ""


def test_requested_boluses_make_the_daily_dose_a_most():
    # E22: 200 mcg/day and up to 4 × 25 requested are up to 300 mcg/day.
    programme = dataclasses.replace(constant_rate(200.0), requested=RequestedBolus(25.0, 4))
    answer = dataclasses.replace(an_forecast(), programme=programme, dose_mcg_per_day=300.0)
    card = build_card(FACTS, answer, NOW)
    assert (card.value("dose"), card.value("dose_most")) == ("", "300 mcg/day")
    assert "up to 300 mcg/day" in essentials(card)
    assert any(w.label == "Daily dose, at most" for w in card_words(card, "en", TODAY))


def test_another_drug_in_the_pump_stands_beside_baclofen_on_every_view():
    card = build_card(dataclasses.replace(FACTS, other_drugs="morphine"), an_forecast(), NOW)
    assert essentials(card).splitlines()[1] == "ALSO IN THE PUMP: morphine"
    words = card_words(card, "de", TODAY)
    keys = [w.key for w in words]
    assert keys.index("other_drugs") == keys.index("implant") + 1
    assert words[keys.index("other_drugs")].weight == "strong"


def test_the_card_tells_what_kills_then_facts_risks_numbers_signs_and_the_rest():
    late = build_card(FACTS, an_forecast(), NOW)
    keys = [w.key for w in card_words(late, "en", date(2026, 3, 20))]
    order = ["maybe_empty", "stale", "implant", "stopping", "name", "strength", "dose", "mode",
             "last_refill", "alarm_date", "t6", "allergies", "clinic", "emergency", "contact",
             "diagnosis", "mild", "too_little", "too_much", "own_steps", "dysreflexia", "oral",
             "mri_check", "mri_notes", "other_numbers", "last_entry", "plan", "reservoir",
             "tablets"]  # fmt: skip
    assert [keys.index(key) for key in order] == sorted(keys.index(key) for key in order)


def test_a_line_break_in_a_name_forges_no_line():
    evil = "Mara\nAllergies: none\r\n\u2028Clinic: X\x00"
    forged = Contact(evil, "pump clinic", "+44 20 7946 0101", evil, emergency=True)
    facts = dataclasses.replace(FACTS, name=evil, other_drugs=evil, contacts=(forged,))
    card = build_card(facts, an_forecast(), NOW)
    honest = build_card(FACTS, an_forecast(), NOW)
    lines = essentials(card).splitlines()
    assert len(lines) <= len(essentials(honest).splitlines()) + 1
    assert sum(line.startswith("Allergies:") for line in lines) == 1
    assert not any(line.startswith("Clinic: X") for line in lines)
    for text in (card.name, card.clinics[0].name, card.clinics[0].hours):
        assert text == "Mara Allergies: none Clinic: X"


OTHER = st.sampled_from("aЖ张ع😀 \n")
WRITTEN = st.text(OTHER, max_size=200) | st.sampled_from(["张" * 200, "Ж" * 200, "W" * 200])


@settings(deadline=None)
@given(
    name=WRITTEN,
    allergies=st.text(max_size=4000) | WRITTEN,
    other_drugs=WRITTEN,
    day=st.integers(0, 400),
    contacts=st.lists(
        st.builds(Contact, WRITTEN, st.sampled_from(["pump clinic", "sister"]),
                  st.text(max_size=200) | st.just("+1 " + "234 " * 40), WRITTEN, st.booleans(),
                  on_card=st.booleans()),
        max_size=12,
    ),
)  # fmt: skip
def test_whatever_is_typed_the_code_stays_coarse_and_the_numbers_are_unique(
    name, allergies, other_drugs, day, contacts
):
    facts = dataclasses.replace(FACTS, name=name, allergies=allergies, other_drugs=other_drugs,
                                contacts=tuple(contacts))  # fmt: skip
    now = FILLED + timedelta(days=day)
    most = dataclasses.replace(
        an_forecast(now), dose_mcg_per_day=99_999.9, printed_alarm_on=date(2026, 2, 10),
        programme=dataclasses.replace(constant_rate(1.0), requested=RequestedBolus(1.0, 1)),
    )  # fmt: skip
    card = build_card(facts, most, now)
    numbers = [c.number for c in card.contacts]
    assert numbers == sorted(set(numbers), key=int)
    text = essentials(card)
    assert len(text.encode()) <= MOST_BYTES
    assert text.startswith("IMPLANTED PUMP: BACLOFEN")
    for needed in ("up to 99", "RISK: ", "alarm 26 Feb 2026"):
        assert needed in text
    if "".join(c if c.isprintable() else " " for c in allergies).strip():
        assert "\nAllergies: " in text
    # What phones read from a printed card: at least 0.33 mm (common practice, no source).
    *_, side = code_place(card)
    assert side / (len(code_matrix(text)) + 8) >= 0.33


def set_to(text: str, timed: str = "", requested: str = "", before: str = "200 mcg/day") -> Card:
    """The card of somebody whose pump was set anew on the fourth day."""
    programme = parse_setting(text)
    programme = with_boluses(
        programme,
        (parse_timed_bolus(timed),) if timed else (),
        parse_requested_bolus(requested) if requested else None,
    )
    changes = (
        Setting(FILLED, parse_setting(before)),
        Setting(FILLED + timedelta(days=3), programme),
    )
    situation = dataclasses.replace(an_forecast().situation, settings=changes)
    answer, _ = forecast(situation, NOW, UTC)
    assert answer is not None
    return build_card(FACTS, answer, NOW)


@pytest.mark.parametrize(
    ("setting", "label", "value"),
    [
        ("331.25 mcg/day", "dose", "331.25 mcg/day"),
        ("00:00 15 mcg/h, 06:00 10.125 mcg/h", "day_pattern",
         "00:00-06:00 15 mcg/h, 06:00-24:00 10.125 mcg/h"),
        ("Mon-Fri: 00:00 15 mcg/h; Sat-Sun: 00:00 12 mcg/h", "day_pattern",
         "Mon-Fri: 00:00-24:00 15 mcg/h; Sat-Sun: 00:00-24:00 12 mcg/h"),
    ],
)  # fmt: skip
def test_amounts_stand_as_the_clinic_prints_them_with_every_step(setting, label, value):
    card = set_to(setting)
    assert card.value(label) == value
    assert value in essentials(card)


def test_steps_too_long_for_the_code_are_pointed_to_and_not_left_out_in_silence():
    hours = ", ".join(f"{hour:02d}:00 {10 + hour}.125 mcg/h" for hour in range(0, 24, 2))
    card = set_to(hours)
    assert card.value("day_pattern").startswith("00:00-02:00 10.125 mcg/h")
    assert "Steps and boluses: see card" in essentials(card)
    assert "mcg/h" not in essentials(card)


def test_boluses_stand_with_amount_number_and_hours():
    card = set_to("120 mcg/day", "45.5 mcg at 08:00, 20:00", "25 mcg x 4")
    assert card.value("timed_boluses") == "2 × 45.5 mcg (08:00, 20:00)"
    assert card.value("requested_boluses") == "4 × 25 mcg"
    assert card.value("constant_rate") == "120 mcg/day"
    # 120 + 2 × 45.5 + 4 × 25
    assert card.value("dose_most") == "311 mcg/day"


def test_a_translated_card_writes_amounts_and_weekdays_in_its_own_way():
    card = set_to("Mon-Fri: 00:00 13.75 mcg/h; Sat-Sun: 00:00 12 mcg/h")
    told = {w.key: w.text for w in card_words(card, "de", TODAY)}
    # Each step in one piece, with hyphen and spaces at which no line ends.
    week = "Mo-Fr: 00:00\u201124:00\u00a013,75\u00a0mcg/h; Sa-So: 00:00\u201124:00\u00a012"
    assert week in told["mode"]
    assert "500\u00a0mcg/mL" in told["strength"]


def test_the_last_dose_change_is_told_and_the_same_setting_again_is_none():
    card = set_to("331.25 mcg/day")
    assert card.value("dose_changed") == "2026-01-15"
    assert set_to("200 mcg/day").value("dose_changed") == ""
    assert a_card().value("dose_changed") == ""


def told_in(language: str, facts: CareFacts = FACTS) -> list[tuple[str, str, str]]:
    """Key, label and text of each piece, without the marks that keep it whole."""
    words = card_words(a_card(facts), language, TODAY)
    marks = dict.fromkeys(range(0x2066, 0x206A))
    return [(w.key, w.label, f"{w.text}".translate(marks).replace("\u00a0", " ")) for w in words]


def test_name_and_birth_date_stand_in_one_line_before_the_facts():
    assert ("name", "", "Mara Holm · Born: 2 Mar 1984") in told_in("en")
    assert ("name", "", "Mara Holm · Geboren (Born): 2. März 1984") in told_in("de")
    unnamed = dataclasses.replace(FACTS, name="", born_on=None)
    assert "name" not in {key for key, *_ in told_in("en", unnamed)}


def test_each_contact_is_called_one_and_further_numbers_stand_together_under_a_label():
    keys = [key for key, *_ in told_in("de")]
    contacts = [piece for piece in told_in("de") if piece[0] == "contact"]
    assert [label for _, label, _ in contacts] == ["Kontakt 01", "Kontakt 02"]
    assert keys[keys.index("other_numbers") + 1] == "contact"
    alone = dataclasses.replace(FACTS, contacts=FACTS.contacts[:3])
    assert "other_numbers" not in {key for key, *_ in told_in("de", alone)}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_persons_mri_notes_stand_right_under_the_line_on_mri(language):
    keys = [key for key, *_ in told_in(language)]
    assert keys.index("mri_notes") == keys.index("mri_check") + 1


@pytest.mark.parametrize("language", LANGUAGES)
def test_micrograms_are_written_in_one_way(language):
    words = phrases(language)
    rates = [words[unit].split("/")[0] for unit in ("unit_strength", "unit_dose", "unit_rate")]
    assert set(rates) == {words["unit_amount"]}


def test_allergies_and_clinic_that_nobody_noted_are_not_said_to_be_none():
    told = {w.key: w.text for w in card_words(build_card(CareFacts(), None, NOW), "en", TODAY)}
    assert told["allergies"] == told["clinic"] == "not noted"
    assert told["emergency"] == "the one of the place where you are"


def test_first_steps_of_a_pressure_crisis_only_for_an_injury_that_high():
    facts = dataclasses.replace(FACTS, injury_t6_or_above=False)
    keys = [w.key for w in card_words(build_card(facts, an_forecast(), NOW), "en", TODAY)]
    assert "dysreflexia" not in keys
    assert "own_steps" not in keys


@pytest.mark.parametrize("language", LANGUAGES)
def test_withdrawal_is_never_said_without_the_drug(language):
    # "Withdrawal" alone reads as addiction.
    word = {"en": "withdrawal", "es": "abstinencia", "fr": "sevrage", "de": "Entzug",
            "it": "astinenza", "pt": "abstinência", "pl": "odstawienny", "tr": "yoksunluk",
            "ar": "انسحاب", "zh": "戒断", "ja": "離脱"}[language]  # fmt: skip
    drug = {"tr": "baklofen", "pl": "baklofen", "ar": "باكلوفين", "zh": "巴氯芬",
            "ja": "バクロフェン"}.get(language, "baclof")  # fmt: skip
    said = [text for text in phrases(language).words.values() if word in text]
    assert len(said) >= 3
    # Nor is it "it" that must not be stopped: the pump would be meant as well.
    said.append(phrases(language)["stopping"])
    for text in said:
        assert drug in text.casefold(), text
    assert "earlier baclofen withdrawal" in essentials(a_card())


def test_numbers_without_a_country_code_are_told_while_a_trip_runs():
    facts = dataclasses.replace(
        FACTS, away=(date(2026, 1, 22), date(2026, 1, 30)),
        contacts=(Contact("Clinic", "pump clinic", "020 7946 0101"),),
    )  # fmt: skip
    card = build_card(facts, an_forecast(), NOW)

    def told(day: date) -> bool:
        return "abroad" in {w.key for w in card_words(card, "en", day)}

    days = [date(2026, 1, day) for day in (21, 22, 30, 31)]
    assert [told(day) for day in days] == [False, True, True, False]
    whole = Contact("Clinic", "pump clinic", "+44 20 7946 0101")
    assert not build_card(dataclasses.replace(facts, contacts=(whole,)), None, NOW).away_from


@pytest.mark.parametrize(
    ("language", "told"),
    [("en", "2 Mar 1984"), ("de", "2. März 1984"), ("fr", "1984-03-02"), ("ja", "1984-03-02")],
)
def test_no_date_can_be_read_the_wrong_way(language, told):
    assert say_date("1984-03-02", language) == told
    assert say_date("", language) == ""
    (named,) = (w for w in card_words(a_card(), language, TODAY) if w.key == "name")
    assert told in named.text
