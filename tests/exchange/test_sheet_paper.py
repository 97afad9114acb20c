"""The clinic sheet on paper and as a web page: all of it is there, large enough and inside."""

import random
from datetime import UTC, date, timedelta
from html.parser import HTMLParser
from io import BytesIO
from unicodedata import normalize
from xml.etree import ElementTree

import pytest
from exchange_records import NOW, Notes, usual
from loud import Loud
from pypdf import PdfReader
from test_histories import random_history
from test_sheet import everything, told, with_a_diary

from pocketpump.core.errors import InputError
from pocketpump.exchange.charts.description import Shifts
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.drawing.flow import SMALLEST
from pocketpump.exchange.papers.drawing.page import Box, Dot, Page, Rule, Text, width_of
from pocketpump.exchange.papers.paper_size import PAPERS, PaperSize
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_parts import Sheet
from pocketpump.exchange.papers.sheet_pdf import LOST, sheet_pages, sheet_pdf

SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
WORDS = (
    "Gąska źle śpi i ćwiczy", "Şişman ağaç ıslak", "الساقان متيبستان في الصباح", "痙攣が強い 剂量",
    "Straßenbahn — 3 × täglich", "a" * 90, "one\ntwo\n\nthree", "", "Когда?",
)  # fmt: skip


def pdf_text(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.links: list[str] = []

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_starttag(self, tag, attrs) -> None:
        self.links += [value for name, value in attrs if name in ("src", "href")]


def html_words(content: bytes) -> _Words:
    parser = _Words()
    parser.feed(content.decode())
    return parser


def texts_of(sheet: Sheet) -> list[str]:
    """Everything that is said on the sheet, what its pictures show in words among it."""
    found = [sheet.title, sheet.person, sheet.made, sheet.caution]
    for one in sheet.sections:
        found += [one.title, one.lead, *one.under, *one.lines]
        found += [word for fact in one.facts for word in fact]
        found += [cell for row in one.table.rows for cell in row] if one.table else []
        if isinstance(one.picture, Shifts):
            found += one.picture.cautions
            for row in one.picture.rows:
                found += [row.label, row.detail, row.counts, row.instead, row.note]
                found += [interval.words for interval in row.intervals if interval]
        elif one.picture is not None:
            found += [panel.title for panel in one.picture.panels]
    return [text for text in found if text]


def edges(pages: list[Page]) -> None:
    """Hold every text to its least size, and all that is drawn to the page."""
    for page in pages:
        for thing in page.drawn:
            if isinstance(thing, Text):
                assert thing.size >= SMALLEST
                right = thing.x + width_of(thing.letters, thing.size, thing.language)
                assert thing.x >= 8, thing
                assert right <= page.width - 8, thing
                assert 8 < thing.y < page.height - 8, thing
            elif isinstance(thing, Rule):
                assert 8 < min(thing.x, thing.to_x) <= max(thing.x, thing.to_x) < page.width - 8
            elif isinstance(thing, Dot):
                assert 8 < thing.x < page.width - 8
                assert 8 < thing.y < page.height - 8
            else:
                assert thing.x >= 8
                assert thing.x + thing.width <= page.width - 8
                assert thing.y + thing.height <= page.height - 8


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("make", [told, everything, with_a_diary, usual])
def test_paper_and_page_hold_everything_on_the_sheet(make, paper):
    sheet = clinic_sheet(make().entries, NOW, UTC, named=True)
    read = " ".join(pdf_text(sheet_pdf(sheet, paper=paper)).split())
    page = " ".join(" ".join(html_words(sheet_html(sheet)).words).split())
    for text in texts_of(sheet):
        for word in text.replace("−", "–").split():
            assert word in read, text
        assert " ".join(text.split()) in page
    edges(sheet_pages(sheet, None, paper))


@pytest.mark.parametrize("paper", SIZES)
def test_the_pages_are_of_the_size_asked_for(paper):
    content = sheet_pdf(clinic_sheet(told().entries, NOW, UTC), paper=paper)
    box = PdfReader(BytesIO(content)).pages[0].mediabox
    wide, high = (side / 72 * 25.4 for side in (float(box.width), float(box.height)))
    assert (wide, high) == pytest.approx(SIZES[paper], abs=0.1)
    assert PAPERS[paper] == PaperSize(*SIZES[paper])


def words_at(sheet: Sheet, *words: str) -> list[tuple[float, float]]:
    """How far down the first page each of the texts begins, and how large it is."""
    page = sheet_pages(sheet)[0]
    placed = [one for one in page.drawn if isinstance(one, Text)]
    return [next((one.y, one.size) for one in placed if one.letters.startswith(word))
            for word in words]  # fmt: skip


def test_a_glance_at_the_first_page_gives_dose_change_what_followed_and_what_is_asked():
    notes = with_a_diary().note("question", "2026-02-13", {"text": "May I swim?"})
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    found = words_at(sheet, "220 mcg/day", "500 mcg/mL", "May I swim?", "Sun 11 Jan 2026: 200 to",
                     "less stiff by", "What happened since")  # fmt: skip
    # The dose before all, then from the top down in this order.
    assert [y for y, _ in found] == sorted(y for y, _ in found)
    sizes = [size for _, size in found]
    assert sizes[0] == max(one.size for one in sheet_pages(sheet)[0].drawn if isinstance(one, Text))
    assert sizes[0] > sizes[3] > sizes[4] > SMALLEST
    tables = pdf_text(sheet_pdf(sheet)).split("Dose settings")
    assert "What happened since" in tables[0]


def long_lines(page: Page) -> list[Box]:
    """The lines to write on."""
    return [one for one in page.drawn if isinstance(one, Box) and one.width > 70 > one.height * 350]


def test_without_a_question_there_are_two_lines_to_write_on():
    sheet = clinic_sheet(usual().entries, NOW, UTC)
    page = sheet_pages(sheet)[0]
    ((none, _),) = words_at(sheet, "None noted.")
    lines = [one.y for one in long_lines(page) if none < one.y < none + 20]
    assert len(lines) == 2
    assert sheet_html(sheet).count(b'class="room"') == 2


@pytest.mark.parametrize("name", [None, "Ayşe"])
def test_name_and_birth_date_are_left_to_be_filled_in_unless_they_are_printed(name):
    notes = everything()
    sheet = clinic_sheet(notes.entries, NOW, UTC, named=name is not None)
    page = sheet_pages(sheet, locale("de"))[0]
    texts = {one.letters for one in page.drawn if isinstance(one, Text)}
    words = html_words(sheet_html(sheet)).words
    assert ("Name" in texts) == ("Name" in words) == (name is None)
    assert ("Born on" in words) == (name is None)


def test_each_question_has_room_to_write_and_so_has_the_foot_of_the_first_page():
    page = sheet_pages(clinic_sheet(told().entries, NOW, UTC))[0]
    asked = next(one for one in page.drawn if isinstance(one, Text) and "swim" in one.letters)
    assert any(4 < one.y - asked.y < 10 for one in long_lines(page))
    assert "Room to write" in pdf_text(sheet_pdf(clinic_sheet(told().entries, NOW, UTC)))


@pytest.mark.parametrize("seed", range(16))
def test_nothing_is_small_and_nothing_beyond_the_edges_of_random_records(seed):
    history = random_history(seed)
    rng = random.Random(seed)
    last = max(history.instants)
    for _ in range(rng.choice([0, 5, 60])):
        at = last - timedelta(hours=rng.randint(0, 2_000))
        history.add("check-in", at, {
            "stiffness": rng.randint(0, 10), "spasms": rng.randint(0, 4), "severity": 2,
            "pain": rng.randint(0, 10), "note": rng.choice(WORDS), "sedatives": True,
            "side_effects": [rng.choice(["nausea", *WORDS[:5]])], "worries": ["itch"],
        })  # fmt: skip
    for kind, field in (("question", "text"), ("happening", "what")):
        for _ in range(rng.choice([0, 2, 9])):
            history.add(kind, last, {field: rng.choice(WORDS)[:80] or "fall"})
    history.add("care", last, {"name": rng.choice(WORDS[:5]), "born_on": "1950-01-02"})
    try:
        sheet = clinic_sheet(history.record.alive, last.astimezone(history.zone), history.zone,
                             named=True)  # fmt: skip
    except InputError:
        return  # there was no setting yet
    for paper in SIZES:
        for language in (None, locale("de"), Loud()):
            edges(sheet_pages(sheet, language, paper))


def test_the_page_loads_nothing_and_keeps_markup_as_text():
    notes = everything().note("question", "2026-02-13", {"text": "<script>alert(1)</script> & so"})
    content = sheet_html(clinic_sheet(notes.entries, NOW, UTC))
    read = html_words(content)
    assert read.links == []
    for loaded in (b"<script", b"@import", b"url("):
        assert loaded not in content
    assert "<script>alert(1)</script> & so" in read.words
    assert len(content) < 60_000


def test_the_pictures_of_the_page_are_drawings_with_words_for_who_cannot_see_them():
    page = sheet_html(clinic_sheet(with_a_diary().entries, NOW, UTC)).decode()
    drawings = [f"<svg{part.split('</svg>')[0]}</svg>" for part in page.split("<svg")[1:]]
    assert len(drawings) >= 3
    for drawing in drawings:
        root = ElementTree.fromstring(drawing)
        assert root.get("aria-label")
        _, _, width, height = map(float, root.get("viewBox").split())
        for rect in root.iter("rect"):
            assert 0 <= float(rect.get("x")) <= width
            assert 0 <= float(rect.get("y")) + float(rect.get("height")) <= height + 0.1


def ten_years() -> Notes:
    notes = told()
    for year in range(2016, 2026):
        for month in range(1, 13, 3):
            day = f"{year}-{month:02d}-02"
            notes.note("refill", day, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
            notes.note("programme", day, {"programme": {"days": [[[0, 8.0 + month / 10]]]}})
    return notes


def test_ten_years_fit_on_two_pages():
    sheet = clinic_sheet(ten_years().entries, NOW, UTC)
    assert len(sheet_pages(sheet)) == 2
    whole = clinic_sheet(ten_years().entries, NOW, UTC, date(2016, 1, 1))
    pages = sheet_pages(whole)
    edges(pages)
    # The head of a table stands on every page it goes on over.
    for page in pages[1:]:
        heads = [one.letters for one in page.drawn if isinstance(one, Text) and one.bold]
        assert heads


def test_a_long_story_goes_on_over_the_pages_and_nothing_is_cut_off():
    notes = told()
    for day in range(1, 20):
        notes.note(
            "happening", f"2026-02-{day:02d}", {"what": "fall", "note": f"word{day}\n" * 300}
        )
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    content = sheet_pdf(sheet)
    edges(sheet_pages(sheet))
    text = pdf_text(content)
    for day in range(1, 20):
        assert text.count(f"word{day} ") + text.count(f"word{day}\n") >= 300
    pages = PdfReader(BytesIO(content)).pages
    assert f"Page {len(pages)} of {len(pages)}" in pages[-1].extract_text()


def test_a_question_as_long_as_can_be_kept_is_printed_whole():
    notes = told().note("question", "2026-02-13", {"text": "Donaudampfschiffahrts " * 180})
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    edges(sheet_pages(sheet))
    assert pdf_text(sheet_pdf(sheet)).count("Donaudampfschiffahrts") == 180


def test_names_and_notes_of_many_scripts_come_back_as_written():
    notes = usual().note("care", "2025-12-01", {"name": "Łukasz Żółć / Çağrı İğdır"})
    notes.note("happening", "2026-02-01", {"what": "fall", "note": "Gąska źle śpi; ağrı yok"})
    read = pdf_text(sheet_pdf(clinic_sheet(notes.entries, NOW, UTC, named=True)))
    for words in ("Łukasz Żółć / Çağrı İğdır", "Gąska źle śpi; ağrı yok"):
        assert words in read
    assert LOST not in read


def test_chinese_and_arabic_come_back_too():
    notes = usual().note("care", "2025-12-01", {"name": "小明"})
    notes.note("question", "2026-02-11", {"text": "هل يمكنني السباحة؟"})
    read = pdf_text(sheet_pdf(clinic_sheet(notes.entries, NOW, UTC, named=True)))
    assert "小明" in read
    # Joined letters are read back as letters; whether turned round depends on the reader.
    plain = normalize("NFKC", read)
    for word in ("يمكنني", "السباحة"):
        assert word in plain or word[::-1] in plain
    assert LOST not in read


def test_letters_no_font_has_are_admitted_on_paper_and_whole_on_the_page():
    notes = told().note("question", "2026-02-13", {"text": "ጤና ይስጥልኝ?"})
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    assert LOST in " ".join(pdf_text(sheet_pdf(sheet)).split())
    assert "ጤና ይስጥልኝ?" in html_words(sheet_html(sheet)).words
    assert LOST not in pdf_text(sheet_pdf(clinic_sheet(told().entries, NOW, UTC)))
