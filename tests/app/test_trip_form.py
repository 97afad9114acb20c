"""A trip: the zone that is looked for while it is typed, and the sheet of the trip asked for."""

import pytest
from screen_hand import OpenTab, in_use

from pocketpump.app.screens.more.trip import travel_paper
from pocketpump.core.errors import InputError
from pocketpump.exchange.papers.drawing.page import Text

UNKNOWN = "I do not know the time zone"
CHOOSE = "Choose the time zone."


def told(tab) -> str:
    return " ".join(tab.told())


def test_a_city_half_typed_is_not_scolded_while_there_is_a_zone_to_choose():
    tab = OpenTab(in_use().services, "/trip-form")
    tab.type("field:Time zone", "Rom")
    tab.tap("button:Save the trip")
    assert any(one.key == "zone1:Europe/Rome" for one in tab.controls)
    assert UNKNOWN not in told(tab)
    # It is told once, above the button, and nothing is saved.
    assert told(tab).count(CHOOSE) == 1
    assert not tab.app.services.of_kind("trip")
    tab.tap("zone1:Europe/Rome")
    assert CHOOSE not in told(tab)
    assert UNKNOWN not in told(tab)


def test_a_city_nobody_knows_is_still_told():
    tab = OpenTab(in_use().services, "/trip-form")
    tab.type("field:Time zone", "Nowhere at all")
    tab.tap("button:Save the trip")
    assert UNKNOWN in told(tab)


def a_trip(app, place, when="2026-03-20T11:00"):
    return app.note("trip", when, {"place": place, "zone": "Europe/Rome",
                    "leaves_on": "2026-04-10", "returns_on": "2026-04-20"})  # fmt: skip


def sheet(app, **asked) -> str:
    made = travel_paper(app, asked)
    return " ".join(t.letters for page in made.pages for t in page.drawn if isinstance(t, Text))


def test_a_trip_that_is_not_noted_any_more_is_not_replaced_by_another():
    app = in_use()
    with pytest.raises(InputError, match=r"No trip is noted yet\."):
        travel_paper(app, {})
    first, second = a_trip(app, "Ostia"), a_trip(app, "Lucca", "2026-03-20T11:30")
    assert "Lucca" in sheet(app)
    assert "Ostia" in sheet(app, id=first.id)
    corrected = app.services.record.correct(first.id, {**first.payload, "place": "Fano"})
    assert "Fano" in sheet(app, id=first.id)
    app.services.record.remove(corrected.id)
    refill = app.services.of_kind("refill")[0]
    for gone in (first.id, corrected.id, "unknown", refill.id):
        with pytest.raises(InputError, match=r"This trip is not noted any more"):
            travel_paper(app, {"id": gone})
    assert "Lucca" in sheet(app, id=second.id)
