"""The route of an entry corrected or removed since leads to what counts, never to a new entry."""

import pytest
from screen_hand import OpenTab, at, in_use

WALK = {"name": "Timed walk of 10 m", "value": 12.0, "unit": "s", "lower_is_better": True}
TRIP = {"place": "Rome", "zone": "Europe/Rome", "leaves_on": "2026-04-01",
        "returns_on": "2026-04-09"}  # fmt: skip
CONTACT = {"name": "Clinic", "role": "pump clinic", "phone": "+31201234567", "emergency": False}
# route, kind, payload, the field corrected, its box, the text, what it is then, the button
ENTRIES = {
    "/check-in": ("check-in", {"stiffness": 3}, "note", "field:Note", "worse", "worse",
                  "button:Save"),
    "/happening": ("happening", {"what": "fall"}, "note", "field:Note", "on ice", "on ice",
                   "button:Save the note"),
    "/measure": ("measure", WALK, "value", "field:Value", "15", 15.0, "button:Save the measure"),
    "/contact": ("contact", CONTACT, "name", "field:Name", "Ward", "Ward",
                 "button:Save the number"),
    "/trip-form": ("trip", TRIP, "place", "field:Place", "Ostia", "Ostia",
                   "button:Save the trip"),
    "/refill": ("refill", None, "filled_ml", "field:Filled volume", "19", 19.0,
                "button:Save the refill"),
    "/dose": ("programme", None, "note", "field:Note", "as printed", "as printed",
              "button:Save the dose setting"),
}  # fmt: skip


@pytest.fixture(params=ENTRIES)
def corrected(request):
    """A tab on which an entry was just corrected once, and what was corrected."""
    hand = in_use()
    kind, payload, field, box, text, value, button = ENTRIES[request.param]
    if payload is not None:
        hand.note(kind, "2026-03-19T10:00", payload)
    old = hand.services.newest(kind) or hand.services.of_kind(kind)[-1]
    address = f"{request.param}?id={old.id}"
    tab = OpenTab(hand.services, address)
    tab.type(box, text)
    hand.time = at("2026-03-20T12:05")
    tab.tap(button)
    (one,) = hand.services.of_kind(kind)
    assert one.payload[field] == value
    assert one.replaces == old.id
    return hand, tab, kind, address, one


def test_back_shows_the_newest_version_and_saving_it_adds_nothing(corrected):
    hand, tab, kind, address, one = corrected
    _, _, field, _, text, value, button = ENTRIES[address.split("?")[0]]
    tab.app.go(address)
    assert tab.page.route == address
    assert text in tab.told()
    tab.tap(button)
    (again,) = hand.services.of_kind(kind)
    assert again.payload[field] == value
    assert again.replaces == one.id
    assert again.at == one.at


def test_back_after_a_removal_says_so_and_offers_no_form(corrected):
    hand, tab, _, address, one = corrected
    hand.services.record.remove(one.id)
    tab.app.go(address)
    assert any("was removed, or it is not in this record." in text for text in tab.told())
    assert not [c for c in tab.controls if str(c.key or "").startswith("button:Save")]
    tab.tap("button:See the list")


def test_after_an_undo_both_routes_lead_to_what_counts_again(corrected):
    hand, _, _, _, one = corrected
    hand.services.record.undo(one.id)
    for entry_id in (one.id, one.replaces):
        found = hand.services.newest_version(entry_id)
        assert found is not None
        assert found.id == one.replaces


def test_an_entry_removed_while_its_form_is_open_is_not_added_anew(corrected):
    hand, tab, _, address, one = corrected
    _, _, _, box, text, _, button = ENTRIES[address.split("?")[0]]
    tab.app.go(f"{address.split('?')[0]}?id={one.id}")
    tab.type(box, text)
    hand.services.record.remove(one.id)
    before = hand.services.record.alive
    tab.tap(button)
    assert hand.services.record.alive == before
    assert any("was removed, or it is not in this record." in text for text in tab.told())


def test_what_was_typed_over_one_corrected_elsewhere_meanwhile_stays_and_corrects_the_newest(
    corrected,
):
    hand, tab, kind, address, one = corrected
    path = address.split("?")[0]
    _, _, field, box, text, value, button = ENTRIES[path]
    tab.app.go(f"{path}?id={one.id}")
    tab.type(box, text)
    elsewhere = hand.services.record.correct(one.id, dict(one.payload))
    tab.tap(button)
    (again,) = hand.services.of_kind(kind)
    assert again.replaces == elsewhere.id
    assert again.payload[field] == value


@pytest.mark.parametrize("route", [*ENTRIES, "/trip"])
@pytest.mark.parametrize("entry_id", ["no-such-entry", "pump"])
def test_an_id_of_nothing_or_of_another_kind_leads_to_a_sentence(route, entry_id):
    hand = in_use()
    if entry_id == "pump":
        entry_id = hand.services.newest("pump").id
    tab = OpenTab(hand.services, f"{route}?id={entry_id}")
    before = hand.services.record.alive
    assert any("was removed, or it is not in this record." in text for text in tab.told())
    assert hand.services.record.alive == before
