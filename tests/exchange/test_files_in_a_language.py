"""Sheets and calendar in another language; in English not one byte is another."""

import re
from dataclasses import replace
from datetime import UTC, date, timedelta
from html.parser import HTMLParser
from io import BytesIO

import pytest
from exchange_records import NOW, Notes, usual
from icalendar import Calendar
from loud import English, Loud
from pypdf import PdfReader

from pocketpump.core.messages import text_in
from pocketpump.core.pump.programme import RateStep, TimedBolus, day_pattern
from pocketpump.core.safety.contacts import Contact
from pocketpump.core.travel.trip import ClockRow, DrugReach, Stay, Trip
from pocketpump.exchange.backup.backup_due import BackupState, say_state
from pocketpump.exchange.backup.import_preview import preview
from pocketpump.exchange.calendar.record_calendar import calendar_of
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_pdf import sheet_pdf
from pocketpump.exchange.papers.travel_sheet import TITLE, TravelSheet, travel_pages
from pocketpump.exchange.papers.travel_week_words import week_sentence
from pocketpump.exchange.papers.travel_words import clock_sentence, reach_sentences

UNITS = re.compile(r"\b(mcg/mL|mcg/h|mcg|mL)\b")


def told() -> Notes:
    """A record with something for every part of the sheet; what is typed is MIXED so."""
    notes = usual()
    notes.note("refill", "2026-02-08", {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0})
    notes.note("programme", "2026-01-11", {"programme": {"days": [[[0, 220 / 24]]]}})
    days = {"days": [[[0, 10.5], [480, 8.25]]]}
    notes.note("programme", "2026-02-09", {"programme": days, "printed_alarm_on": "2026-02-28"})
    for day, dose in enumerate((230, 240, 250, 260), 10):
        notes.note("programme", f"2026-02-{day}", {"programme": {"days": [[[0, dose / 24]]]}})
    notes.note("programme", "2026-02-19", {"programme": days})
    # Still to come, so that there is something to be cleared up.
    notes.note("programme", "2026-03-02", {"programme": days})
    notes.note("happening", "2026-02-10", {"what": "fall", "note": "TYPED"})
    notes.note("question", "2026-02-11", {"text": "MAY I?"})
    for number in range(72):
        day = (date(2025, 12, 10) + timedelta(days=number)).isoformat()
        score = 6 if number < 35 else 3.5
        notes.note("check-in", day, {"stiffness": score, "spasms": 2, "worries": ["itch"]})
    return notes


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.code = ""
        self._styled = False

    def handle_starttag(self, tag, attrs) -> None:
        self._styled = tag == "style"
        self.code = self.code or dict(attrs).get("lang", "")

    def handle_data(self, data: str) -> None:
        if not self._styled and data.strip():
            self.words.append(data)


def page(content: bytes) -> _Words:
    parser = _Words()
    parser.feed(content.decode())
    return parser


def paper(content: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in PdfReader(BytesIO(content)).pages).split())


def small(text: str) -> bool:
    """Tell whether there is a word in small letters left in it."""
    return re.search("[a-z]", UNITS.sub("", text)) is not None


def test_every_text_of_the_clinic_sheet_is_said_in_the_language():
    sheet = clinic_sheet(told().entries, NOW, UTC)
    titles = [section.title for section in sheet.sections]
    assert len(titles) == 10
    words = page(sheet_html(sheet, Loud())).words
    assert [one for one in words if small(one)] == []
    assert "CLINIC SHEET" in words
    assert "DAY 10.2." in words
    assert "FALL: TYPED" in words
    assert "0,84" in words
    assert not small(paper(sheet_pdf(sheet, Loud())))


def test_what_the_person_typed_stays_as_typed_on_the_clinic_sheet():
    notes = told().note("question", "2026-02-12", {"text": "Clinic sheet"})
    notes.note("happening", "2026-02-12", {"what": "Refills", "note": "Coming up"})
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    words = page(sheet_html(sheet, Loud())).words
    assert [one for one in words if small(one)] == ["Clinic sheet", "Refills: Coming up"]


def test_the_pages_of_a_long_sheet_are_counted_in_the_language():
    notes = told()
    for _ in range(80):
        notes.note("happening", "2026-02-12", {"what": "fall", "note": "LONG " * 40})
    content = sheet_pdf(clinic_sheet(notes.entries, NOW, UTC), Loud())
    assert "PAGE 1 OF" in paper(content)


def test_letters_that_cannot_be_printed_are_admitted_in_the_language():
    notes = told().note("question", "2026-02-13", {"text": "ጤና?"})
    content = sheet_pdf(clinic_sheet(notes.entries, NOW, UTC), Loud())
    assert "LETTERS THAT CANNOT BE PRINTED HERE" in paper(content)


def events(content: bytes) -> list:
    return Calendar.from_ical(content.decode()).walk("VEVENT")


@pytest.mark.parametrize("full", [False, True])
def test_the_calendar_is_said_in_the_language_and_moves_the_same_events(full):
    entries = told().record.entries
    _, english = calendar_of(entries, NOW, UTC, full_titles=full)
    _, loud = calendar_of(entries, NOW, UTC, full_titles=full, locale=Loud())
    assert len(events(loud)) >= 3
    for before, after in zip(events(english), events(loud), strict=True):
        (alarm,) = after.walk("VALARM")
        for text in (after["SUMMARY"], after["DESCRIPTION"], alarm["DESCRIPTION"]):
            assert not small(str(text)), text
        assert str(after["SUMMARY"]) == str(before["SUMMARY"]).upper()
        for name in ("UID", "SEQUENCE", "DTSTART", "DTEND", "CLASS"):
            assert before[name].to_ical() == after[name].to_ical()


def a_travel_sheet() -> TravelSheet:
    week = [[RateStep(0, 5.5), RateStep(480, 7.5)], *[[RateStep(0, 4.0)]] * 6]
    programme = replace(day_pattern(week, 60), timed=(TimedBolus(45.0, 1, (22 * 60,)),))
    stays = (
        Stay(date(2026, 3, 1), "Rome", "Europe/Rome"),
        Stay(date(2026, 3, 10), "Far away", "Pacific/Kiritimati"),
    )
    trip = Trip(date(2026, 3, 1), date(2026, 3, 20), stays)
    reach = DrugReach("fine", date(2026, 3, 22), date(2026, 4, 1), "")
    home = Contact("Home clinic", "pump clinic", "123", "at night")
    return TravelSheet(trip, reach, programme, "A clinic there", (home,), ("de", "ja"))


def travel_sheet(spoken=None) -> bytes:
    pages = travel_pages(a_travel_sheet(), date(2026, 1, 1), spoken)
    return to_pdf(pages, text_in(TITLE, spoken), code_of(spoken))


def test_the_travel_sheet_is_said_in_the_language_and_what_was_typed_stays():
    text = paper(travel_sheet(Loud()))
    typed = ("Home clinic · at night", "A clinic there", "Rome", "Far away", "Europe/",
             "Pacific/Kiritimati")  # fmt: skip
    for own in typed:
        assert own in text
        text = text.replace(own, "")
    assert not small(text)
    assert "THE EMERGENCY CARD IN: GERMAN, JAPANESE" in text
    assert "5,5 mcg/h" in text


REACHES = [
    DrugReach("cannot tell", date(2026, 3, 20), because=""),
    *(
        DrugReach("do not leave", date(2026, 3, 20), because=b)
        for b in ("empty", "alarm", "overdue")
    ),
    *(
        DrugReach(verdict, date(2026, 3, 20), date(2026, 3, 1), "", date(2026, 2, 2), then, is_due)
        for then in (None, date(2026, 5, 5))
        for verdict, is_due in (
            ("fine", False), ("refill first", False), ("refill first", True),
            ("more refills", True), ("refill away", False), ("refill away", True),
        )
    ),
]  # fmt: skip


@pytest.mark.parametrize("reach", REACHES)
def test_whether_the_drug_lasts_is_said_in_the_language(reach):
    for sentence in reach_sentences(reach):
        assert not small(text_in(sentence, Loud())), sentence
        assert text_in(sentence, English()) == str.__str__(sentence)


@pytest.mark.parametrize("shift", [-2, -1, 0, 1, 2])
@pytest.mark.parametrize("weekday", [None, 0])
def test_an_hour_of_the_pump_is_said_in_the_language(shift, weekday):
    sentence = clock_sentence(ClockRow("22:00", "03:00", shift, "TYPED", weekday))
    assert not small(text_in(sentence, Loud()))
    assert text_in(sentence, English()) == str.__str__(sentence)


@pytest.mark.parametrize("shift", [-2, -1, 0, 1, 2])
@pytest.mark.parametrize("days", [[0], [0, 1, 2], range(7), [5, 6, 1]])
@pytest.mark.parametrize("is_bolus", [True, False])
def test_an_hour_of_the_pumps_week_is_said_in_the_language(shift, days, is_bolus):
    row = ClockRow("22:00", "03:00", shift, "TYPED", 0, is_bolus)
    sentence = week_sentence(row, days)
    assert not small(text_in(sentence, Loud()))
    assert text_in(sentence, English()) == str.__str__(sentence)


def test_in_english_every_byte_is_the_same_as_from_a_language_that_is_english():
    notes = told()
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    assert sheet_html(sheet, English()) == sheet_html(sheet)
    assert sheet_pdf(sheet, English()) == sheet_pdf(sheet)
    for full in (False, True):
        _, plain = calendar_of(notes.record.entries, NOW, UTC, full_titles=full)
        _, said = calendar_of(notes.record.entries, NOW, UTC, full_titles=full, locale=English())
        assert plain == said
    assert travel_sheet(English()) == travel_sheet()


def test_a_file_names_its_language_for_what_reads_it_aloud():
    sheet = clinic_sheet(told().entries, NOW, UTC)
    assert page(sheet_html(sheet)).code == "en"
    assert page(sheet_html(sheet, locale("de"))).code == "de"
    for german in (
        sheet_pdf(sheet, locale("de")),
        travel_sheet(locale("de")),
    ):
        assert PdfReader(BytesIO(german)).trailer["/Root"]["/Lang"] == "de"
    assert PdfReader(BytesIO(sheet_pdf(sheet))).trailer["/Root"]["/Lang"] == "en"


def test_what_another_copy_brings_is_said_in_the_language():
    notes = usual()
    refill = notes.record.alive[-1]
    copy = replace(refill, payload={**refill.payload, "filled_ml": 18.5, "bridged": True})
    found = preview(notes.entries, [copy], UTC)
    assert found.conflicts
    for sentence in found.conflicts:
        assert not small(text_in(sentence, Loud())), text_in(sentence, Loud())
        assert text_in(sentence, English()) == str.__str__(sentence)
    counts = preview((), notes.entries, UTC).counts
    assert [text_in(words, Loud()) for words, _ in counts] == ["PUMP", "REFILLS", "DOSE SETTING"]


@pytest.mark.parametrize("days", [None, 0, 1, 2])
@pytest.mark.parametrize("since", [0, 1, 2])
def test_how_things_stand_with_backups_is_said_in_the_language(days, since):
    made = None if days is None else NOW - timedelta(days=days)
    sentence = say_state(BackupState(made, since, True), NOW)
    assert not small(text_in(sentence, Loud()))
    assert text_in(sentence, English()) == str.__str__(sentence)
