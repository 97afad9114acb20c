"""The clinic sheet on the phone: of what time, whose, on what paper, and the same as on paper."""

import asyncio
from io import BytesIO
from urllib.parse import parse_qsl

import pytest
from pypdf import PdfReader
from screen_hand import controls_in, in_use, texts

from pocketpump.app.screens.refills.clinic_sheet import sheet, sheet_paper
from pocketpump.core.errors import InputError
from pocketpump.core.units.typed_dates import read_day
from pocketpump.exchange.papers.drawing.page import Text
from pocketpump.exchange.papers.sheet import clinic_sheet


@pytest.fixture
def saved(monkeypatch):
    files = {}

    async def save_file(_app, name, content):
        files[name] = content

    monkeypatch.setattr("pocketpump.app.screens.refills.clinic_sheet.save_file", save_file)
    return files


def tap(app, key: str):
    found = next(c for c in controls_in(sheet(app)) if c.key == key)
    while not hasattr(found, "on_click"):
        found = found.content
    return found.on_click()


def test_the_screen_shows_every_section_of_the_sheet():
    app = in_use()
    app.note("check-in", "2026-03-14T09:00", {"stiffness": 4, "side_effects": ["nausea"]})
    app.note("question", "2026-03-15T09:00", {"text": "May I swim?"})
    shown = texts(sheet(app))
    for one in clinic_sheet(app.services.record.alive, app.time, app.services.zone).sections:
        for text in (
            one.title,
            one.lead,
            *one.under,
            *(word for fact in one.facts for word in fact),
        ):
            assert not text or text in shown, text
    assert "• May I swim?" in shown


def test_the_time_looked_back_at_is_chosen():
    app = in_use()
    assert "What happened since Thu 12 Mar 2026" in texts(sheet(app))
    tap(app, "option:28")
    assert "What happened since Sat 21 Feb 2026" in texts(sheet(app))
    tap(app, "option:day")
    # No day is typed yet.
    assert "What happened since Thu 12 Mar 2026" in texts(sheet(app))
    app.draft("sheet")["day"] = "2026-03-01"
    assert "What happened since Sun 1 Mar 2026" in texts(sheet(app))


@pytest.mark.parametrize("typed", ["31 Feb 2026", "soon"])
def test_a_day_that_is_none_is_told_beside_its_field(typed):
    app = in_use()
    app.draft("sheet").update(period="day", day=typed)
    shown = texts(sheet(app))
    with pytest.raises(InputError) as told:
        read_day(typed)
    assert str(told.value) in shown
    assert "What happened since Thu 12 Mar 2026" in shown


def test_a_day_to_come_is_told_and_can_be_mended():
    app = in_use()
    app.draft("sheet").update(period="day", day="2026-04-01")
    shown = texts(sheet(app))
    assert any("cannot begin after today" in text for text in shown)
    assert "2026-04-01" in shown


def test_after_the_refill_of_today_the_time_before_it_is_shown():
    app = in_use()
    app.note("refill", "2026-03-20T10:00", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    assert "What happened since Thu 12 Mar 2026" in texts(sheet(app))


def test_the_name_stands_on_it_once_it_is_ticked(saved):
    app = in_use()
    app.note("care", "2026-01-02T09:00", {"name": "Mara Holm"})
    asyncio.run(tap(app, "button:Save as a web page"))
    assert b"Mara Holm" not in saved["2026-03-20 sheet.html"]
    tap(app, "tick:name")
    asyncio.run(tap(app, "button:Save as a web page"))
    assert b"Mara Holm" in saved["2026-03-20 sheet.html"]


def test_the_size_of_the_paper_is_kept(saved):
    app = in_use()
    tap(app, "option:letter")
    app.drafts.clear()
    asyncio.run(tap(app, "button:Save as PDF"))
    box = PdfReader(BytesIO(saved["2026-03-20 sheet.pdf"])).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (612, 792)


def test_the_pages_to_print_are_those_of_the_sheet_as_it_was_chosen():
    app = in_use()
    app.note("care", "2026-01-02T09:00", {"name": "Mara Holm"})
    tap(app, "option:28")
    tap(app, "tick:name")
    tap(app, "option:letter")
    tap(app, "button:Look at the pages and print")
    asked = dict(parse_qsl(app.route.partition("?")[2]))
    assert asked["of"] == "sheet"
    paper = sheet_paper(app, asked)
    assert (paper.pages[0].width, paper.name) == (215.9, "2026-03-20 sheet")
    first = " ".join(one.letters for one in paper.pages[0].drawn if isinstance(one, Text))
    assert "Mara Holm" in first
    assert "What happened since Sat 21 Feb 2026" in first


@pytest.mark.parametrize("asked", [{}, {"paper": "foo"}])
def test_pages_of_no_size_that_is_known_are_of_the_one_chosen(asked):
    app = in_use()
    assert sheet_paper(app, asked).pages[0].width == 210
    tap(app, "option:letter")
    assert sheet_paper(app, asked).pages[0].width == 215.9
