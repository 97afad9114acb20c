"""Files that leave the app: names that sort and give nothing away, and the paper chosen."""

import re
from pathlib import Path
from urllib.parse import parse_qsl

import pytest
from loud import Loud
from screen_hand import OpenTab, controls_in, in_use

from pocketpump.app.screens import saved_files
from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.more.trip import trip
from pocketpump.app.screens.routes import PAPERS
from pocketpump.app.screens.saved_files import paper_name, saved_name, table_name
from pocketpump.core.messages import text_in
from pocketpump.exchange.papers.drawing.page import Text
from pocketpump.exchange.papers.paper_size import A4, LETTER
from pocketpump.exchange.tables.tables import TABLES

KINDS = tuple(saved_files._NAMES)
# What a name must not give away, as far as it is a word of ours.
TELLING = re.compile(
    "pump|baclofen|clinic|refill|dose|drug|emergency|medic|patient|stiff|spasm|diary|fhir", re.I
)
SCREENS = Path(saved_files.__file__).parent


def prefer(app, name, value):
    app.note("preference", "2026-03-20T11:00", {"name": name, "value": value})


def tap(screen, app, key):
    (button,) = [c for c in controls_in(screen(app)) if c.key == key]
    button.on_click()


def paper(app, route):
    """The paper to which a button leads, made as the screen of pages makes it."""
    address, _, asked = route.partition("?")
    assert address == "/pages"
    given = dict(parse_qsl(asked))
    return PAPERS[given["of"]](app, given)


def text_of(made):
    letters = (t.letters for p in made.pages for t in p.drawn if isinstance(t, Text))
    return " ".join(letters).replace("\u00a0", " ")


def names(app):
    kept = [saved_name(app, kind, "pdf", "de") for kind in KINDS]
    kept += [table_name(app, kind) for kind in TABLES]
    return [*kept, paper_name(app, "2026-03-20", "printout of the pump.JPG", "image/jpeg")]


def test_every_name_begins_with_the_day_and_gives_nothing_away():
    found = names(in_use())
    assert len(set(found)) == len(found)
    for name in found:
        assert name.startswith("2026-03-20 "), name
        assert not TELLING.search(name), name
        assert re.fullmatch(r"[\w .-]+\.\w+", name), name


def test_a_name_says_what_it_is_once_that_is_chosen():
    app = in_use()
    prefer(app, "file names", "full")
    assert saved_name(app, "card", "pdf", "de") == "2026-03-20 pump emergency card de.pdf"
    assert saved_name(app, "locked backup", "json") == "2026-03-20 pump backup locked.json"
    assert table_name(app, "refill") == "2026-03-20 refills.csv"
    assert paper_name(app, "2026-02-01", "printout.jpg", "image/jpeg") == "2026-02-01 printout.jpg"
    assert paper_name(app, "2026-02-01", "2026-02-01 a.jpg", "image/jpeg") == "2026-02-01 a.jpg"
    for name in names(app)[:-1]:
        assert name.startswith("2026-03-20 ")


def test_a_locked_backup_says_so_in_either_name():
    app = in_use()
    assert saved_name(app, "locked backup", "json") != saved_name(app, "backup", "json")
    assert "locked" in saved_name(app, "locked backup", "json")


def test_names_are_of_the_language_spoken():
    app = in_use()
    app.translated = lambda text: text_in(text, Loud())
    assert saved_name(app, "card", "pdf", "de") == "2026-03-20 CARD de.pdf"


def test_every_paper_is_named_so():
    app = in_use()
    app.note("trip", "2026-03-20T11:00", {"place": "Rome", "zone": "Europe/Rome",
             "leaves_on": "2026-04-10", "returns_on": "2026-04-20"})  # fmt: skip
    for name, make in PAPERS.items():
        called = make(app, {}).name
        assert called.startswith("2026-03-20 "), name
        assert not TELLING.search(called), name


def test_names_sort_by_the_day():
    first, second = in_use("2026-09-30T12:00"), in_use("2026-10-01T12:00")
    # The last is named by the day on which it was kept.
    assert max(names(first)[:-1]) < min(names(second)[:-1])


def test_no_screen_makes_up_a_name_of_its_own():
    for source in SCREENS.rglob("*.py"):
        for call in re.findall(r"save_file\(app,\s*([^)]*)", source.read_text()):
            named = re.match(r"(saved_name|paper_name|name)\b|f\"{paper\.name}", call)
            assert named, (source, call)


@pytest.mark.parametrize(("chosen", "wanted"), [("", A4), ("letter", LETTER), ("a3", A4)])
def test_tag_and_letter_come_from_the_card_on_the_paper_chosen(chosen, wanted):
    app = in_use()
    app.query = {"language": "fr"}
    prefer(app, "paper size", chosen or "a4")
    tap(emergency_card, app, "button:Large tag for a wheelchair or a bag")
    tag = paper(app, app.route)
    tap(emergency_card, app, "letter:fr")
    letter = paper(app, app.route)
    assert (tag.name, letter.name) == ("2026-03-20 tag fr", "2026-03-20 letter fr")
    for made in (tag, letter):
        (page,) = made.pages
        assert (page.width, page.height) == wanted
        assert made.language == "fr"
    assert "pompe médicale" in text_of(letter)


@pytest.mark.parametrize(("chosen", "wanted"), [("a4", A4), ("letter", LETTER)])
def test_the_cards_pages_are_made_for_the_paper_chosen(chosen, wanted):
    app = in_use()
    prefer(app, "paper size", chosen)
    made = paper(app, "/pages?of=card&language=de")
    assert len(made.pages) > 1
    assert {(page.width, page.height) for page in made.pages} == {wanted}


def test_a_trip_has_its_sheet_and_the_letter_in_the_languages_of_its_cards():
    app = in_use()
    trips = {
        code: app.note("trip", "2026-03-20T11:00", {
            "place": place, "zone": "Europe/Rome", "leaves_on": "2026-04-10",
            "returns_on": "2026-04-20", "languages": (code and [code]) or None})
        for code, place in (("it", "Rome"), ("", "Paris"))
    }  # fmt: skip
    app.query = {"id": trips["it"].id}
    tap(trip, app, "letter:it")
    assert paper(app, app.route).language == "it"
    tap(trip, app, "button:Travel sheet")
    made = paper(app, app.route)
    assert made.name == "2026-03-20 trip"
    assert "Rome" in text_of(made)
    assert "Paris" not in text_of(made)
    app.query = {"id": trips[""].id}
    tap(trip, app, "letter:en")
    assert paper(app, app.route).language == "en"


def carer_tab(**care):
    """A tab on the screen of the page for a carer, and what its page says once it is shown."""
    app = in_use()
    app.note("care", "2026-03-20T11:00", {
        "name": "Mara Holm", "born_on": "1984-03-02", "allergies": "Latex", **care})  # fmt: skip
    tab = OpenTab(app.services, "/more")
    tab.app.go("/carer")

    def shown() -> str:
        tab.tap("button:Show the page")
        text = text_of(paper(app, tab.page.route))
        tab.app.back()
        return text

    return tab, shown


def test_the_page_for_a_carer_holds_what_is_ticked():
    tab, shown = carer_tab()
    text = shown()
    assert "Mara Holm" in text
    assert "Latex" in text
    assert "200 mcg/day" not in text
    tab.tap("tick:name")
    tab.tap("tick:dose")
    tab.app.refresh()
    text = shown()
    assert "Mara Holm" not in text
    assert "2 Mar 1984" in text
    assert "200 mcg/day" in text
    for name in ("name", "born", "allergies", "position", "clinic", "people", "plan"):
        tab.tap(f"tick:{name}")
    text = shown()
    assert "1984" not in text
    assert "Latex" not in text
    assert "mcg" not in text


@pytest.mark.parametrize("leave", ["shown", "back"])
def test_what_was_ticked_for_one_page_for_a_carer_is_not_ticked_for_the_next(leave):
    tab, shown = carer_tab()
    tab.tap("tick:dose")
    if leave == "shown":
        assert "200 mcg/day" in shown()
    else:
        tab.app.back()
        tab.app.go("/carer")
    assert "mcg" not in shown()


def test_first_steps_are_offered_where_the_record_has_the_injury():
    for has_it in (False, True):
        tab, shown = carer_tab(injury_t6_or_above=has_it, own_steps="Sit me up.")
        assert any(one.key == "tick:steps" for one in tab.controls) is has_it
        assert ("Sit me up." in shown()) is has_it
    tab.tap("tick:steps")
    assert "Sit me up." not in shown()


@pytest.mark.parametrize("name", ["card", "tag", "letter", "carer"])
def test_what_a_paper_cannot_draw_is_told_with_it(name):
    app = in_use()
    app.note("care", "2026-03-20T11:00", {"name": "ไทย"})
    assert any("ไทย" in problem.sentence for problem in PAPERS[name](app, {}).problems)


@pytest.mark.parametrize(
    "own",
    ["scan.baclofen pump", "a/../../x.pdf", "con.p:d?f*", "x." + "z" * 190, "foo.pdf ", "b.jpeg\n",
     "..", "x.\u202efdp", "C:\\a|b<c>.png", "", " "],
)  # fmt: skip
@pytest.mark.parametrize("full", [False, True])
def test_a_papers_own_name_cannot_spoil_the_files(own, full):
    app = in_use()
    if full:
        prefer(app, "file names", "full")
    name = paper_name(app, "2026-02-01", own, "application/pdf")
    assert re.fullmatch(r"2026-02-01 [^\\/:*?\"<>|\x00-\x1f\u202a-\u202e]{1,100}\.pdf", name)
    assert full or name == "2026-02-01 paper.pdf"
