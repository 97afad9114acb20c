"""The views of the card, measured and read back by other programs than ours."""

import ctypes
import dataclasses
import io
import random
import re
from datetime import UTC, datetime
from html.parser import HTMLParser

import pypdf
import pypdfium2
import pytest
import zxingcpp
from card_helpers import FACTS, NOW, TODAY, a_card, an_forecast
from page_checks import check_page, said
from PIL import Image, ImageDraw

from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme_text import parse_setting
from pocketpump.core.safety.card import CareFacts, build_card
from pocketpump.core.safety.card_essentials import essentials
from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.papers.card_files import card_file, card_pdf, card_problems
from pocketpump.exchange.papers.card_pages import card_pages, full_pages
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import say_date
from pocketpump.exchange.papers.drawing.page import Text, width_of
from pocketpump.exchange.papers.paper_size import LETTER, PAPERS
from pocketpump.exchange.papers.qr_code import code_matrix
from pocketpump.exchange.papers.wallet import BETWEEN, TOP, code_place, wallet_page
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of

POINTS_PER_MM = 72 / 25.4
# ISO/IEC 7810, ID-1: 85.60 × 53.98 mm.
WIDTH, HEIGHT = 85.60 * POINTS_PER_MM, 53.98 * POINTS_PER_MM


def pdf_of(language: str = "en", card=None) -> bytes:
    return card_file(card or a_card(), "pdf", language, TODAY)


def marks_of(pdf: bytes) -> tuple[list[float], list[float]]:
    """The x of the upright marks and the y of the level ones on the first page, in points."""
    content = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].get_contents().get_data().decode("latin-1")
    number = r"(-?[\d.]+)"
    lines = re.findall(rf"{number} {number} m\s+{number} {number} l", content)
    xs = {float(x) for x, _, to_x, _ in lines if x == to_x}
    ys = {float(y) for _, y, _, to_y in lines if y == to_y}
    return sorted(xs), sorted(ys)


def test_the_wallet_card_is_id_1_between_its_marks_and_folds_in_the_middle():
    xs, ys = marks_of(pdf_of())
    assert len(xs) == 3
    assert len(ys) == 2
    left, fold, right = xs
    assert fold - left == pytest.approx(WIDTH, abs=0.01)
    assert right - fold == pytest.approx(WIDTH, abs=0.01)
    assert ys[1] - ys[0] == pytest.approx(HEIGHT, abs=0.01)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_is_of_the_paper_asked_for_and_the_card_id_1_on_each(paper):
    pdf = card_pdf(a_card(), "ar", TODAY, PAPERS[paper])
    # ISO 216: 210 × 297 mm; 8.5 × 11 inches of 72 points.
    wanted = (210 * POINTS_PER_MM, 297 * POINTS_PER_MM) if paper == "a4" else (612.0, 792.0)
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            wanted, abs=0.01
        )
    xs, ys = marks_of(pdf)
    assert [xs[1] - xs[0], xs[2] - xs[1]] == pytest.approx([WIDTH, WIDTH], abs=0.01)
    assert xs[1] == pytest.approx(wanted[0] / 2, abs=0.01)
    assert [ys[1] - ys[0], ys[3] - ys[2]] == pytest.approx([HEIGHT, HEIGHT], abs=0.01)
    for page in card_pages(a_card(), "ar", TODAY, PAPERS[paper]):
        check_page(page)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_whole_card_is_one_page_in_every_language(language, paper):
    now = datetime(2026, 1, 20, 9, tzinfo=UTC)
    entries = moved_to_now(demo_folder(), now)
    situation, _ = situation_of(entries, now)
    answer, _ = forecast(situation, now, UTC)
    for card in (a_card(), build_card(care_of(entries, now), answer, now)):
        (page,) = full_pages(card, language, TODAY, PAPERS[paper])
        check_page(page, edge=12.0)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", ["en", "ar"])
def test_the_html_card_is_printed_on_the_paper_asked_for(language, paper):
    size = PAPERS[paper]
    html = card_file(a_card(), "html", language, TODAY, size).decode()
    pages = re.findall(r"@page\{size:([\d.]+)mm ([\d.]+)mm;", html)
    drawn = re.findall(r'<svg [^>]*width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0', html)
    assert [tuple(map(float, found)) for found in (*pages, drawn[-1])] == [size, size]
    assert f"width:{size.width:g}mm;height:{size.height:g}mm" in html


# Where the phrases are longest; on Letter, which has less room.
@pytest.mark.parametrize("language", ["de", "it"])
def test_what_has_no_room_on_the_full_page_goes_on_over_it(language):
    facts = dataclasses.replace(LONGEST, diagnosis=W, own_steps="sit up " * 500)
    pages = full_pages(build_card(facts, an_forecast(), NOW), language, TODAY, LETTER)
    assert len(pages) > 1
    for page in pages:
        check_page(page, edge=12.0)
    words = phrases(language)
    first, more = (squeezed(said(page, language)) for page in pages[:2])
    for key in ("implant", "stopping", "t6", "strength", "dose", "last_refill", "allergies"):
        assert squeezed(words[key]) in first, key
    assert "+442079460101" in first
    everywhere = first + more + "".join(squeezed(said(page, language)) for page in pages[2:])
    for key in ("too_little", "too_much", "mri_check", "trained", "surgeon", "plan"):
        assert squeezed(words[key]) in everywhere, key


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_drawn_outside_the_card(language):
    page = wallet_page(a_card(), language, TODAY)
    left, right = 210 / 2 - 85.60, 210 / 2 + 85.60
    for thing in page.drawn[1:]:
        if isinstance(thing, Text):
            end = thing.x + width_of(thing.letters, thing.size, thing.language)
            assert left <= thing.x
            assert end <= right
            # The fold is not written over.
            assert not thing.x < 105 < end
            tops = [TOP, TOP + 53.98 + BETWEEN]
            assert any(top < thing.y < top + 53.98 for top in tops)


def wallet_text(card, language: str, day) -> str:
    """What stands on the first wallet card, as our own drawing holds it, one line after another."""
    page = wallet_page(card, language, day)
    drawn = [t for t in page.drawn[1:] if isinstance(t, Text)]
    assert all(t.y <= TOP + 2 * 53.98 + BETWEEN for t in drawn)
    first = [t for t in drawn if t.y <= TOP + 53.98]
    assert all(TOP < t.y < TOP + 53.98 - 0.5 for t in first)
    return " ".join(t.letters for t in first)


def squeezed(text: str) -> str:
    return "".join(c for c in text if not c.isspace())


def test_what_does_not_fit_is_left_out_with_a_sign_and_stands_on_the_full_page():
    facts = dataclasses.replace(FACTS, plan="Call at once. " * 400, tablets="Tablet. " * 600)
    pdf = pypdf.PdfReader(io.BytesIO(pdf_of(card=build_card(facts, an_forecast(), NOW))))
    wallet, first, *more = (page.extract_text() for page in pdf.pages)
    assert squeezed("See the full page.") in squeezed(wallet)
    # The first page keeps the facts and sends on to the next, where the whole text stands.
    assert "Strength: 500" in first
    assert "… » 2" in first
    assert "\ufffd" not in first
    assert squeezed("".join(more)).count(squeezed("Call at once.")) == 400


# What takes seconds is tried in each kind of writing, and in every language in a thorough run.
FEW, SOME, ALL = ("en", "ar", "ja"), (), pytest.mark.thorough

W = "W" * 200
"""The longest a short field may be, in the widest letter."""
LONGEST = dataclasses.replace(
    FACTS, name=W, model=W, serial=W, position=W, tip_level=W, surgeon=W, other_drugs=W,
    mri_notes="W" * 4000, allergies="Penicillin, " + "W" * 3900, tablets="W" * 4000,
    plan="W" * 4000,
    contacts=(
        Contact(W, "local emergency number", "112", W),
        *(Contact(f"{i} {W[:190]}", "pump clinic", "+44 20 7946 0101", W, True) for i in range(4)),
        *(Contact(f"{i} {W[:190]}", W, "+44 20 7946 0102", W, on_card=True) for i in range(9)),
    ),
)  # fmt: skip


@pytest.mark.parametrize(
    ("language", "facts"),
    [
        pytest.param(code, facts, marks=SOME if facts is FACTS or code in FEW else ALL)
        for code in LANGUAGES if code != "ar"
        for facts in (FACTS, LONGEST)
    ],
)  # fmt: skip
def test_the_wallet_card_never_drops_what_must_be_known_first(language, facts):
    # E14: empty on 2026-03-03. The clinic's date makes the dates as many as they can be.
    day = NOW.date().replace(month=4)
    answer = dataclasses.replace(an_forecast(), printed_alarm_on=day.replace(month=2))
    facts = dataclasses.replace(facts, other_drugs=facts.other_drugs or "morphine")
    text = squeezed(wallet_text(build_card(facts, answer, NOW), language, day))
    words = phrases(language)
    for key in ("maybe_empty", "stale", "stale_from", "implant", "stopping", "too_little",
                "too_much", "t6", "communicate", "earlier", "strength", "dose", "last_refill",
                "allergies", "other_drugs", "emergency"):  # fmt: skip
        assert squeezed(words[key]) in text, key
    # The earlier date, by its short name or by whose it is.
    assert any(squeezed(words[key]) in text for key in ("alarm_date", "clinic_alarm_date"))
    assert "+442079460101" in text
    assert "Penicillin" in text
    if facts is not FACTS and facts.name == W:
        assert squeezed(words["more"]) in text


def rendered(pdf: bytes, dpi: int) -> Image.Image:
    return pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72).to_pil().convert("L")


@pytest.mark.parametrize("dpi", [200, 300, 600])
@pytest.mark.parametrize("language", ["en", "ar"])
def test_the_code_is_read_from_the_printed_page(language, dpi):
    found = zxingcpp.read_barcodes(rendered(pdf_of(language), dpi))
    assert {code.text for code in found} == {essentials(a_card())}


# Correction M mends about 15 % of the words (ISO/IEC 18004); a module is an eighth of a word.
@pytest.mark.parametrize("share", [0.01, 0.03, 0.06])
def test_the_code_is_read_when_part_of_it_is_damaged(share):
    dpi = 300
    page = rendered(pdf_of(), dpi)
    matrix = code_matrix(essentials(a_card()))
    left, top, code_side = code_place(a_card())
    module = code_side / (len(matrix) + 8) * dpi / 25.4
    x0 = (105 + left) * dpi / 25.4 + 4 * module
    y0 = (TOP + top) * dpi / 25.4 + 4 * module
    side = len(matrix) * module
    # A scratch or a stain: one square of the damaged share, away from the finder patterns.
    stain = (share * side * side) ** 0.5
    rng = random.Random(7)
    for _ in range(5):
        damaged = page.copy()
        x = x0 + side * rng.uniform(0.35, 0.6)
        y = y0 + side * rng.uniform(0.35, 0.6)
        ImageDraw.Draw(damaged).rectangle((x, y, x + stain, y + stain), fill=255)
        found = zxingcpp.read_barcodes(damaged)
        assert [code.text for code in found] == [essentials(a_card())]


def test_the_code_is_plain_text_and_the_picture_holds_it_too():
    png = card_file(a_card(), "png", "ja", TODAY)
    (code,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(png)))
    assert code.text == essentials(a_card())
    assert "+44 20 7946 0101" in code.text
    assert code.text.isascii()


def test_the_picture_is_a_png_other_programs_open():
    picture = Image.open(io.BytesIO(card_file(a_card(), "png", "ar", TODAY)))
    picture.load()
    assert picture.mode == "L"
    assert picture.width == 1080
    dark = sum(picture.histogram()[:128]) / (picture.width * picture.height)
    assert 0.02 < dark < 0.5


@pytest.mark.parametrize(
    ("language", "ending"),
    [
        pytest.param(code, ending, marks=SOME if ending != "png" or code in FEW else ALL)
        for code in LANGUAGES
        for ending in ("pdf", "html", "txt", "svg", "png")
    ],
)
def test_every_view_comes_in_every_language(language, ending):
    data = card_file(a_card(), ending, language, TODAY)
    assert data[:4] == {"pdf": b"%PDF", "html": b"<!DO", "svg": b"<svg", "png": b"\x89PNG"}.get(
        ending, data[:4]
    )
    assert card_file(a_card(), ending, language, TODAY) == data


def test_the_own_words_stay_as_typed_and_are_marked():
    text = card_file(a_card(), "txt", "de", TODAY).decode()
    line = next(line for line in text.splitlines() if "Penicillin" in line)
    assert line == "Allergien [in den eigenen Worten der Person]: Penicillin (rash)"
    assert "(This translation has not been reviewed. The English original counts.)" in text


def test_a_stale_card_says_so_on_every_view():
    late = an_forecast().refill_by.replace(year=2027)
    for ending in ("txt", "html"):
        fresh = card_file(a_card(), ending, "en", TODAY).decode()
        stale = card_file(a_card(), ending, "en", late).decode()
        assert "may be out of date" not in fresh
        assert "may be out of date" in stale
    pages = pypdf.PdfReader(io.BytesIO(card_file(a_card(), "pdf", "en", late))).pages
    assert all("out of date" in pages[i].extract_text().replace("\n", " ") for i in (0, 1))


def test_an_unknown_ending_or_language_is_one_sentence():
    for ending, language in (("doc", "en"), ("", "en"), ("pdf", "xx")):
        with pytest.raises(InputError) as told:
            card_file(a_card(), ending, language, TODAY)
        assert len(str(told.value).splitlines()) == 1


def test_letters_no_font_has_are_told_and_not_dropped_in_silence():
    card = build_card(CareFacts(name="Анна ไทย"), None, NOW)
    (problem,) = card_problems(card, "pdf")
    # Cyrillic is bundled, Thai is not.
    assert "ไทย" in problem.sentence
    assert "А" not in problem.sentence
    assert card_problems(card, "html") == ()
    assert "Анна ไทย" in card_file(card, "html", "en", TODAY).decode()


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict]] = []
        self.words = ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words += data


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_page_says_its_language_and_direction_and_asks_nobody(language):
    html = card_file(a_card(), "html", language, TODAY).decode()
    reader = Reader()
    reader.feed(html)
    root = dict(reader.tags)["html"]
    assert root == {"lang": language, "dir": "rtl" if language == "ar" else "ltr"}
    assert not re.search(r"(src|href)=[\"']?(https?:)?//", html)
    assert not any(tag in ("script", "link", "iframe") for tag, _ in reader.tags)


def test_typed_markup_stays_text():
    evil = '<script>alert(1)</script>&"'
    facts = dataclasses.replace(
        FACTS, name=evil, allergies=evil, contacts=(Contact(evil, "pump clinic", evil),)
    )
    card = build_card(facts, an_forecast(), NOW)
    for ending in ("html", "svg"):
        assert "<script" not in card_file(card, ending, "en", TODAY).decode()
    assert card_file(card, "pdf", "en", TODAY).startswith(b"%PDF")


@pytest.mark.parametrize("language", ["en", "ar"])
def test_numbers_on_the_page_can_be_tapped(language):
    html = card_file(a_card(), "html", language, TODAY).decode()
    reader = Reader()
    reader.feed(html)
    links = [attributes["href"] for tag, attributes in reader.tags if tag == "a"]
    # RFC 3966: the number without spaces.
    assert links == ["tel:+442079460101", "tel:112", "tel:+442079460102", "tel:+442079460103"]


def test_the_persons_own_words_on_a_contact_stand_in_quotation_marks():
    text = card_file(a_card(), "txt", "de", TODAY).decode()
    assert "“24 h”" in text
    assert "“brother”" in text


def set_sizes(pdf: bytes) -> list[list[tuple[float, str]]]:
    """Per page, the type size and text of every run of letters, by pdfium."""
    pages = []
    for page in pypdfium2.PdfDocument(pdf):
        textpage = page.get_textpage()
        runs = []
        for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT]):
            size = ctypes.c_float()
            pypdfium2.raw.FPDFTextObj_GetFontSize(thing.raw, size)
            length = pypdfium2.raw.FPDFTextObj_GetText(thing.raw, textpage.raw, None, 0)
            buffer = ctypes.create_string_buffer(length)
            pypdfium2.raw.FPDFTextObj_GetText(
                thing.raw,
                textpage.raw,
                ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)),
                length,
            )
            scale = thing.get_matrix().get()[3]
            runs.append((size.value * abs(scale), buffer.raw[: length - 2].decode("utf-16-le")))
        pages.append(runs)
    return pages


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_on_paper_is_smaller_than_7_points_and_all_of_it_is_on_one_page(language):
    pdf = pdf_of(language)
    wallet, *full = set_sizes(pdf)
    assert len(full) == 1
    for runs in (wallet, *full):
        assert min(size for size, _ in runs) >= 6.99
    # The values of the four facts, whole, each at 9 points or more on both pages.
    days = [say_date(day, language) for day in ("2026-01-12", "2026-02-26")]
    for runs in (wallet, *full):
        large = squeezed(" ".join(text for size, text in runs if size >= 9.0))
        for fact in ("500", "200", *days):
            assert squeezed(fact) in large, fact


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_code_is_on_the_first_full_page_too(language):
    page = pypdfium2.PdfDocument(pdf_of(language))[1].render(scale=200 / 72).to_pil().convert("L")
    assert [code.text for code in zxingcpp.read_barcodes(page)] == [essentials(a_card())]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_step_of_the_pattern_is_never_parted_from_its_hours(language):
    steps = "00:00 13.125 mcg/h, 05:30 9 mcg/h, 14:00 11 mcg/h, 20:00 12.5 mcg/h"
    answer = dataclasses.replace(an_forecast(), programme=parse_setting(steps))
    wallet, page = card_pages(build_card(FACTS, answer, NOW), language, TODAY)
    unit, mark = phrases(language)["unit_rate"], phrases(language)["decimal"]
    wanted = [f"00:00\u201105:30 13{mark}125 {unit}", f"05:30\u201114:00 9 {unit}",
              f"14:00\u201120:00 11 {unit}", f"20:00\u201124:00 12{mark}5 {unit}"]  # fmt: skip
    for drawn, least in ((wallet.drawn, 0), (page.drawn, len(wanted))):
        lines = [t.letters.replace("\u00a0", " ") for t in drawn if isinstance(t, Text)]
        whole = [step for step in wanted if any(step in line for line in lines)]
        hours = {step.split(" ")[0] for step in wanted if step.split(" ")[0] in "".join(lines)}
        assert len(whole) >= least
        assert hours == {step.split(" ")[0] for step in whole}


@pytest.mark.parametrize("language", LANGUAGES)
def test_whose_card_it_is_stands_in_the_band_and_the_risks_white_on_black(language):
    born = say_date("1984-03-02", language)
    for page in card_pages(a_card(), language, TODAY):
        white = [t for t in page.drawn if isinstance(t, Text) and t.grey == 1.0]
        band = " ".join(t.letters for t in white if t.y < min(x.y for x in white) + 1)
        assert "Mara Holm" in band
        assert born in band
        assert any("T6" in t.letters or "Th6" in t.letters for t in white)
