"""The note of what was saved, with its Undo, goes along for the step of the save and one back."""

import pytest
from screen_hand import OpenTab, in_use

SAID = "The refill is corrected."


@pytest.fixture
def corrected():
    """A tab at Today, a refill just corrected; and the address of its form."""
    hand = in_use()
    (refill,) = hand.services.of_kind("refill")
    address = f"/refill?id={refill.id}"
    # As in a browser, a route has come only some time after it was gone to.
    tab = OpenTab(hand.services, address, slow=True)
    tab.type("field:Filled volume", "19")
    tab.tap("button:Save the refill")
    tab.arrive()
    assert tab.page.route == "/today"
    assert SAID in tab.told()
    return hand, tab, address


def go(tab: OpenTab, route: str) -> None:
    """Move as the browser does: the app is only told."""
    tab.going = route
    tab.arrive()


def test_one_step_back_the_note_is_still_there_and_its_undo_takes_the_correction_back(corrected):
    hand, tab, address = corrected
    go(tab, address)
    assert SAID in tab.told()
    tab.tap("notice:Undo")
    (refill,) = hand.services.of_kind("refill")
    assert refill.payload["filled_ml"] == 20
    assert "That was taken back." in tab.told()
    assert "20" in tab.told()


def test_one_step_on_or_two_steps_back_it_is_gone(corrected):
    _, tab, address = corrected
    go(tab, address)
    go(tab, "/refills")
    assert SAID not in tab.told()


def test_elsewhere_it_is_gone_and_does_not_come_back(corrected):
    _, tab, address = corrected
    go(tab, "/diary")
    assert SAID not in tab.told()
    go(tab, address)
    assert SAID not in tab.told()


def test_back_and_forth_it_is_gone(corrected):
    _, tab, address = corrected
    go(tab, address)
    go(tab, "/today")
    assert SAID not in tab.told()


def test_a_note_that_was_closed_does_not_come_back(corrected):
    _, tab, address = corrected
    tab.tap("notice:Close")
    go(tab, address)
    assert SAID not in tab.told()
