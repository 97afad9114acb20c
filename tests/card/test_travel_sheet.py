"""The travel sheet: one page for a usual trip, and a longer one is never cut."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from card_helpers import TODAY
from hypothesis import given, settings
from hypothesis import strategies as st
from page_checks import check_lines_apart, check_page, read_back, said, squeezed

from pocketpump.core.pump.programme import (
    RateStep,
    TimedBolus,
    constant_rate,
    day_pattern,
)
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.travel.trip import ClockRow, DrugReach, Stay, Trip
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.drawing.page import Page, Text
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.exchange.papers.travel_sheet import (
    TravelSheet,
    sheet_problems,
    travel_pages,
)
from pocketpump.exchange.papers.travel_words import reach_sentences, step_sentence

STEPS = day_pattern([[RateStep(0, 13.0), RateStep(360, 9.0), RateStep(1200, 13.0)]], 60)
BOLUSES = replace(STEPS, timed=(TimedBolus(45.0, 2, (8 * 60, 22 * 60)),))
WEEK = day_pattern([[RateStep(0, 10.0), RateStep(720, 20.0)]] * 6 + [[RateStep(0, 5.0)]], 60)
FIRST = date(2026, 3, 1)
# New York changes its clocks on 2026-03-08, during the stay (US law: second Sunday of March).
STAYS = (
    Stay(FIRST, "Paris", "Europe/Paris"),
    Stay(date(2026, 3, 5), "New York", "America/New_York"),
    Stay(date(2026, 3, 12), "Tokyo", "Asia/Tokyo"),
    Stay(date(2026, 3, 20), "Kathmandu", "Asia/Kathmandu"),
)
HOME = (
    Contact("Pump clinic", "pump clinic", "+44 20 7946 0101", "24 h", emergency=True),
    Contact("Ward 7", "pump clinic", "+44 20 7946 0105", "Mon to Fri 8 to 16"),
)
UNTIL = date(2026, 4, 6)
REACHES = [
    DrugReach("fine", UNTIL, date(2026, 5, 1), "earliest alarm date"),
    DrugReach("more refills", UNTIL, date(2026, 2, 13), "earliest alarm date", date(2026, 2, 16),
              date(2026, 3, 20), is_due=True),
    DrugReach("do not leave", UNTIL, because="clinic-alarm"),
    DrugReach("cannot tell", UNTIL, because="the pump is noted as stopped"),
]  # fmt: skip


def a_sheet(count=4, programme=BOLUSES, reach=REACHES[1], **more) -> TravelSheet:
    trip = Trip(FIRST, date(2026, 3, 30), STAYS[:count])
    given = {"clinic": "St Invented Hospital, 5th Avenue, +1 212 555 0100", "home": HOME,
             "languages": ("fr", "ja"), **more}  # fmt: skip
    return TravelSheet(trip, reach, programme, **given)


def a_page(stay: Stay, programme=BOLUSES) -> Page:
    """The sheet of one day at one place."""
    trip = Trip(FIRST, FIRST, (replace(stay, from_on=FIRST),))
    (page,) = travel_pages(replace(a_sheet(1, programme), trip=trip), TODAY)
    return page


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("count", [1, 2, 4])
@pytest.mark.parametrize("programme", [STEPS, BOLUSES, WEEK, constant_rate(200.0)])
def test_a_usual_trip_of_up_to_four_places_is_one_page(programme, count, paper, language):
    for reach in REACHES[1:3]:
        told = a_sheet(count, programme, reach)
        (page,) = travel_pages(told, TODAY, locale(language), PAPERS[paper])
        assert (page.width, page.height) == PAPERS[paper]
        check_page(page)
        check_lines_apart(page)


@pytest.mark.parametrize("paper", PAPERS)
def test_all_of_it_is_read_back_from_the_page(paper):
    for count in (1, 3, 4):
        (text,) = read_back(to_pdf(travel_pages(a_sheet(count), TODAY, paper=PAPERS[paper]), ""))
        text = squeezed(text)
        wanted = [*PACKING, *QUESTIONS, *CAUTIONS, *reach_sentences(REACHES[1])]
        wanted += [one.phone for one in HOME] + [stay.place for stay in STAYS[:count]]
        wanted += ["The emergency card in: French, Japanese", "Your clinic at home · Ward 7"]
        letters = set(text)
        for one in wanted:
            # Columns are read across, so a sentence of two lines is looked for word by word.
            assert all(squeezed(word) in text for word in one.split()), one
            assert set(squeezed(one)) <= letters


def test_each_step_is_said_in_plain_words_at_the_hour_there():
    # E37: home UTC+1, carried to UTC-5: six hours earlier by the clock there.
    text = said(a_page(STAYS[1]))
    assert "Your morning step comes at 00:00 there." in text
    assert "Your evening bolus comes at 16:00 there." in text
    assert "The clock there is 6 hours behind the pump's clock." in text
    assert "Your morning step comes at 06:00 there." in said(a_page(STAYS[0]))


def test_several_places_stand_in_columns_with_a_sentence_for_each_step():
    (page,) = travel_pages(a_sheet(4), TODAY)
    text = said(page)
    # Paris, New York before and after its clocks change, Tokyo, and Kathmandu.
    for sentence, times in (
        ("Your morning step comes at 06:00 there.", 1),
        ("Your morning step comes at 00:00 there.", 1),
        ("Your morning step comes at 14:00 there.", 1),
        ("Your morning step comes at 10:45 there.", 1),
        ("Your morning step comes at", 5),
        (" comes at ", 25),
    ):
        assert text.count(sentence) == times, sentence
    assert "The clock there is 4 h 45 min ahead of the pump's clock." in text
    # Each column in the order of the clock there: that of Kathmandu stands alone beside others.
    hours = [t.letters[-12:-7] for t in page.drawn
             if isinstance(t, Text) and t.letters.startswith("Your ")]  # fmt: skip
    assert hours[-5:] == sorted(hours[-5:])
    assert hours[-5:] == ["00:45", "02:45", "04:45", "10:45", "12:45"]


def test_the_hours_stand_in_the_order_of_the_day_there():
    page = a_page(STAYS[2])
    bold = [t for t in page.drawn if isinstance(t, Text) and t.bold]
    hours = [t.letters for t in bold if len(t.letters) == 5 and t.letters[2] == ":"]
    # UTC+9 against the pump's UTC+1.
    assert hours == ["04:00", "06:00", "08:00", "14:00", "16:00"]


@pytest.mark.parametrize(
    ("clock", "name"),
    [("00:00", "night"), ("04:59", "night"), ("05:00", "morning"), ("11:00", "midday"),
     ("14:00", "afternoon"), ("18:00", "evening"), ("22:59", "evening"), ("23:00", "night")],
)  # fmt: skip
def test_an_hour_is_called_by_its_part_of_the_pumps_day(clock, name):
    row = ClockRow(clock, "12:00", 0, "10 mcg/h")
    assert step_sentence(row) == f"Your {name} step comes at 12:00 there."
    assert step_sentence(replace(row, is_bolus=True)) == f"Your {name} bolus comes at 12:00 there."


def test_a_week_is_told_by_the_days_and_the_clock_there_equal_days_together():
    # Six hours behind: Monday's step of 00:00 comes at 18:00 on Sunday.
    trip = Trip(FIRST, date(2026, 3, 7), (replace(STAYS[1], from_on=FIRST),))
    (page,) = travel_pages(replace(a_sheet(1, WEEK), trip=trip), TODAY)
    text = said(page)
    in_order = [
        "Monday to Friday: your step of 12:00 comes at 06:00 there.",
        "Tuesday to Saturday: your step of 00:00 comes at 18:00 there, the day before.",
        "On Saturday, your step of 12:00 comes at 06:00 there.",
        "On Sunday, your step of 00:00 comes at 18:00 on Saturday there.",
        "On Monday, your step of 00:00 comes at 18:00 on Sunday there.",
    ]
    places = [squeezed(text).index(squeezed(sentence)) for sentence in in_order]
    assert places == sorted(places)
    assert text.count("mcg/h") == len(in_order)


def test_of_a_week_only_the_days_of_the_stay_are_printed():
    # A Sunday in New York, six hours behind: the pump's Sunday until 18:00, then its Monday.
    text = said(a_page(STAYS[1], WEEK))
    first = "On Sunday, your step of 00:00 comes at 18:00 on Saturday there."
    then = "On Monday, your step of 00:00 comes at 18:00 on Sunday there."
    assert text.index(first) < text.index(then)
    assert text.count("your step of") == 2


def test_one_day_is_said_once():
    text = said(a_page(STAYS[1]))
    assert "On Sun 1 Mar 2026. As of Tue 20 Jan 2026." in text
    assert "New York (America/New_York), Sun 1 Mar 2026 The clock" in text
    assert "Sun 1 Mar 2026 to" not in text


@pytest.mark.parametrize(
    ("zone", "told"),
    [("Europe/Paris", "The clock there is the same as the pump's clock."),
     ("Europe/Helsinki", "The clock there is 1 hour ahead of the pump's clock."),
     ("Asia/Tokyo", "The clock there is 8 hours ahead of the pump's clock."),
     ("UTC", "The clock there is 1 hour behind the pump's clock."),
     ("America/St_Johns", "The clock there is 4 h 30 min behind the pump's clock.")],
)  # fmt: skip
def test_how_far_the_clocks_are_apart_is_said_in_words(zone, told):
    assert told in said(a_page(Stay(FIRST, "there", zone)))


def test_the_head_of_a_table_stands_again_where_it_goes_on_over_the_page():
    week = day_pattern([[RateStep(60 * h, 10.0 + h + n) for h in range(24)] for n in range(7)], 60)
    pages = travel_pages(a_sheet(1, week), TODAY)
    with_rows = [page for page in pages if "your step of" in said(page)]
    assert len(with_rows) > 2
    for page in with_rows:
        assert "There Pump's clock Begins" in said(page)


def test_without_a_clinic_there_a_line_is_left_to_write_on():
    (page,) = travel_pages(a_sheet(1, clinic=""), TODAY)
    assert "Clinic there, with number:" in said(page)
    assert "Emergency number there:" in said(page)


def test_what_it_cannot_draw_is_told():
    trip = Trip(FIRST, FIRST, (Stay(FIRST, "京", "Asia/Tokyo"),))
    (problem,) = sheet_problems(replace(a_sheet(), trip=trip))
    assert "京" in problem.sentence
    assert sheet_problems(a_sheet()) == ()


# What a field may hold at most: 200 letters a place, 4,000 a clinic.
WIDE = st.text(st.sampled_from("WWWWiÄ -東"), max_size=200)


@settings(max_examples=15, deadline=None)
@given(
    places=st.lists(WIDE, min_size=1, max_size=12),
    clinic=st.text(st.sampled_from("Wi \n"), max_size=4000),
    home=st.lists(st.tuples(WIDE, st.integers(10**5, 10**15)), max_size=20),
    steps=st.integers(1, 48),
    weekly=st.booleans(),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_however_long_the_trip_all_of_it_stands_on_some_page(
    places, clinic, home, steps, weekly, paper
):
    zones = ("Asia/Tokyo", "America/Lima", "Asia/Kathmandu", "Europe/Paris")
    stays = tuple(
        Stay(FIRST + timedelta(days=5 * i), place, zones[i % 4]) for i, place in enumerate(places)
    )
    day = [RateStep(1440 // steps * i, 10.0 + i) for i in range(steps)]
    programme = day_pattern([day] * 6 + [day[:1]] if weekly else [day], 60)
    numbers = tuple(Contact(name, "pump clinic", f"+{phone}") for name, phone in home)
    trip = Trip(FIRST, FIRST + timedelta(days=90), stays)
    pages = travel_pages(
        TravelSheet(trip, REACHES[1], programme, clinic, numbers, ("fr",)), TODAY,
        paper=PAPERS[paper],
    )  # fmt: skip
    for page in pages:
        check_page(page)
    text = squeezed("".join(map(said, pages)))
    assert text.count("W") >= sum(s.place.count("W") for s in stays) + clinic.count("W")
    for one in numbers:
        assert one.phone in text
    assert "clinic'sinstructionscomefirst." in text
