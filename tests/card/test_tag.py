"""The tag: A6 between its cut marks, nothing below 9 points, numbers and facts never cut."""

import dataclasses
import io

import pypdfium2
import pytest
import zxingcpp
from card_helpers import FACTS, NOW, TODAY, a_card, an_forecast
from page_checks import check_lines_apart, check_page, said, squeezed

from pocketpump.core.safety.card import build_card
from pocketpump.core.safety.card_essentials import essentials
from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.exchange.papers.card_words import say_date
from pocketpump.exchange.papers.drawing.page import Page, Rule, Text, width_of
from pocketpump.exchange.papers.drawing.writing import on_paper, shaped
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.exchange.papers.tag import tag_file, tag_page, tag_tops

SIGNS = ("tag_too_little", "tag_too_much", "tag_call")
W = "W" * 200
LONGEST = dataclasses.replace(
    FACTS, name=W, other_drugs="morphine " + W[:180], allergies="Penicillin, " + "W" * 3900,
    contacts=(
        Contact(W, "local emergency number", "112", W),
        *(Contact(f"{i} {W[:190]}", "pump clinic", "+44 20 7946 0101", W, True) for i in range(4)),
        *(Contact(f"{i} {W[:190]}", W, "+44 20 7946 0102", W, on_card=True) for i in range(9)),
    ),
)  # fmt: skip


def upper(page: Page) -> Page:
    """What stands on the upper tag."""
    top = tag_tops((page.width, page.height))[0]
    drawn = [t for t in page.drawn if isinstance(t, Text) and top <= t.y <= top + 105.0]
    return dataclasses.replace(page, drawn=tuple(drawn))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_two_tags_of_a6_stand_on_one_page_within_their_marks(language, paper):
    page = tag_page(a_card(), language, TODAY, PAPERS[paper])
    check_page(page, smallest=9.0)
    check_lines_apart(page)
    upright = {r.x for r in page.drawn if isinstance(r, Rule) and r.x == r.to_x}
    level = sorted({r.y for r in page.drawn if isinstance(r, Rule) and r.y == r.to_y})
    # ISO 216, A6: 148 × 105 mm.
    assert max(upright) - min(upright) == pytest.approx(148.0)
    assert [level[1] - level[0], level[3] - level[2]] == pytest.approx([105.0, 105.0])
    for thing in page.drawn[1:]:
        if isinstance(thing, Text):
            assert min(upright) + 3 <= thing.x
            end = thing.x + width_of(thing.letters, thing.size, thing.language)
            assert end <= max(upright) - 1
            assert any(a < thing.y < b - 1.5 for a, b in (level[:2], level[2:]))


def alarm_is_named(words, text: str) -> bool:
    """Tell whether the earlier alarm date stands there, by its short name or by whose it is."""
    return any(squeezed(words[key]) in text for key in ("alarm_date", "clinic_alarm_date"))


@pytest.mark.parametrize("facts", [FACTS, LONGEST], ids=["usual", "longest"])
@pytest.mark.parametrize("language", [code for code in LANGUAGES if code != "ar"])
def test_the_facts_the_risks_and_the_numbers_are_never_left_out(language, facts):
    # E14: empty on 2026-03-03. The clinic's date makes the dates as many as they can be.
    day = TODAY.replace(month=4)
    answer = dataclasses.replace(an_forecast(), printed_alarm_on=day.replace(month=2))
    page = tag_page(build_card(facts, answer, NOW), language, day)
    check_page(page, smallest=9.0)
    check_lines_apart(page)
    words = phrases(language)
    text = squeezed(said(upper(page)))
    for key in ("title", "maybe_empty", "stale", "implant", "stopping", "t6", "communicate",
                "earlier", "strength", "dose", "last_refill", "allergies",
                "emergency"):  # fmt: skip
        assert squeezed(words[key]) in text, key
    assert alarm_is_named(words, text)
    for whole in ("+442079460101", "112", "Penicillin", "1984"):
        assert whole in text, whole
    if facts is LONGEST:
        assert "…" in text
        # A tag comes without a page.
        assert squeezed(words["more"]) not in text
    else:
        assert "Mara" in text


@pytest.mark.parametrize("language", ["en", "de", "it", "ja"])
def test_that_the_pump_may_be_empty_is_as_large_as_the_facts(language):
    page = upper(tag_page(a_card(), language, TODAY.replace(month=4)))
    warned = squeezed(phrases(language)["maybe_empty"])
    line = next(t for t in page.drawn if squeezed(t.letters) and squeezed(t.letters) in warned)
    fact = next(t for t in page.drawn if phrases(language)["strength"] in t.letters)
    assert line.size >= fact.size


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_four_facts_can_be_read_at_arms_length(language):
    # Larger than everything around them: 12 points or more with a usual card.
    page = tag_page(a_card(), language, TODAY)
    large = squeezed(" ".join(t.letters for t in upper(page).drawn if t.size >= 12.0))
    days = [say_date(day, language) for day in ("2026-01-12", "2026-02-26")]
    for fact in ("500", "200", *days):
        assert squeezed(fact) in large, fact


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_signs_and_what_to_do_stand_on_it_in_type_to_be_read_at_arms_length(language, paper):
    page = upper(tag_page(a_card(), language, TODAY, PAPERS[paper]))
    assert min(t.size for t in page.drawn) >= 9.0
    if language == "ar":
        signs = [on_paper(shaped(word), "rtl") for key in SIGNS
                 for word in phrases("ar")[key].strip(".").split()]  # fmt: skip
        assert all(word.strip("؟،.") in squeezed(said(page)) for word in signs)
    else:
        for key in SIGNS:
            assert squeezed(phrases(language)[key]) in squeezed(said(page)), key


def test_a_translated_tag_has_the_original_as_its_second():
    page = tag_page(a_card(), "ja", TODAY)
    assert phrases("en")["unreviewed"] not in said(upper(page))
    assert squeezed(phrases("ja")["unreviewed"]) in squeezed(said(upper(page)))
    assert phrases("en")["title"] in said(page)


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", ["en", "ar"])
def test_both_codes_are_read_from_the_printed_page(language, paper, dpi):
    pdf = pypdfium2.PdfDocument(io.BytesIO(tag_file(a_card(), language, TODAY, PAPERS[paper])))
    found = zxingcpp.read_barcodes(pdf[0].render(scale=dpi / 72).to_pil().convert("L"))
    assert [code.text for code in found] == [essentials(a_card())] * 2
