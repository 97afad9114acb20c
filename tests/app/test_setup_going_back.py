"""Going back in the first run opens what was saved there, never a form that adds a second one."""

from datetime import timedelta

import pytest
from screen_hand import PUMP, OpenTab, PagelessApp, at, in_use

from pocketpump.core.units.instants import to_seconds


def type_refill(tab: OpenTab) -> None:
    tab.type("field:Day of the refill", "2026-03-12")
    tab.type("field:Time, about", "09:00")
    tab.type("field:Filled volume", "20")
    tab.type("field:Strength", "500")


@pytest.fixture
def at_step_three():
    """A hand and a tab in the first run, pump and refill just saved."""
    hand = PagelessApp(at("2026-03-20T12:00"))
    tab = OpenTab(hand.services, "/start/pump")
    tab.type("field:Size of the reservoir", "20")
    tab.tap("button:Save the pump")
    type_refill(tab)
    hand.time += timedelta(minutes=3)
    tab.tap("button:Save the refill")
    assert tab.page.route == "/start/dose"
    return hand, tab


def test_back_from_the_dose_shows_the_saved_refill_and_a_save_there_corrects_it(at_step_three):
    hand, tab = at_step_three
    (first,) = hand.services.of_kind("refill")
    hand.time += timedelta(minutes=3)
    tab.app.back()
    assert tab.page.route == "/start/refill"
    assert {"2026-03-12", "09:00", "20", "500"} <= set(tab.told())
    assert any("saved already" in text for text in tab.told())
    tab.type("field:Time, about", "10:30")
    tab.type("field:Filled volume", "18")
    tab.tap("button:Save the refill")
    (refill,) = hand.services.of_kind("refill")
    assert refill.payload["filled_ml"] == 18
    assert refill.replaces == first.id
    assert tab.page.route == "/start/dose"
    tab.type("field:Daily dose", "200")
    tab.tap("button:Save the dose setting")
    (setting,) = hand.services.of_kind("programme")
    assert setting.at == refill.at == at("2026-03-12T10:30")


def test_back_and_on_again_without_a_change_leaves_the_refill_as_it_was(at_step_three):
    hand, tab = at_step_three
    (first,) = hand.services.of_kind("refill")
    for button in ("button:Leave it as it was", "button:Save the refill"):
        hand.time += timedelta(minutes=3)
        tab.app.go("/start/refill")
        tab.tap(button)
        assert tab.page.route == "/start/dose"
        (refill,) = hand.services.of_kind("refill")
        assert to_seconds(refill.at) == to_seconds(first.at)
        assert refill.payload == first.payload


def test_a_pump_mended_in_the_first_run_is_no_other_pump():
    hand = PagelessApp(at("2026-03-20T12:00"))
    tab = OpenTab(hand.services, "/start/pump")
    tab.tap("button:More about the pump")
    tab.type("field:Size of the reservoir", "20")
    tab.type("field:Serial number", "123")
    tab.tap("button:Save the pump")
    type_refill(tab)
    tab.tap("button:Save the refill")
    hand.time += timedelta(minutes=3)
    tab.app.go("/start/pump")
    tab.tap("button:More about the pump")
    tab.type("field:Serial number", "124")
    tab.tap("button:Save the pump")
    (pump,) = hand.services.of_kind("pump")
    assert pump.payload["serial"] == "124"
    tab.app.go("/start/dose")
    tab.type("field:Daily dose", "200")
    tab.tap("button:Save the dose setting")
    answer, problems = hand.services.forecast()
    assert answer is not None
    assert not [one for one in problems if one.code == "new-pump-unfilled"]


def test_back_from_today_shows_the_saved_dose_and_a_save_there_corrects_it(at_step_three):
    hand, tab = at_step_three
    tab.type("field:Daily dose", "200")
    tab.tap("button:Save the dose setting")
    assert tab.page.route == "/today"
    (first,) = hand.services.of_kind("programme")
    hand.time += timedelta(minutes=3)
    tab.app.go("/start/dose")
    tab.type("field:Daily dose", "220")
    tab.tap("button:Save the dose setting")
    (setting,) = hand.services.of_kind("programme")
    assert setting.replaces == first.id
    assert setting.at == first.at
    assert hand.services.forecast()[0].dose_mcg_per_day == pytest.approx(220)


def test_the_pump_s_own_screen_still_adds_an_entry_so_that_a_changed_pump_keeps_its_history():
    hand = in_use()
    tab = OpenTab(hand.services, "/pump")
    tab.type("field:Alarm volume", "3")
    tab.tap("button:Save the pump")
    first, second = hand.services.of_kind("pump")
    assert first.payload == PUMP
    assert second.payload["alarm_volume_ml"] == 3


def test_who_brought_in_older_refills_first_can_still_log_the_last_one_in_the_first_run():
    hand = PagelessApp(at("2026-03-20T12:00"))
    hand.note("pump", "2026-03-20T11:00", PUMP)
    hand.note("refill", "2025-11-01T09:00", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    tab = OpenTab(hand.services, "/start/refill")
    tab.tap("button:Log another refill")
    assert tab.page.route == "/refill"
    type_refill(tab)
    tab.tap("button:Save the refill")
    assert len(hand.services.of_kind("refill")) == 2
