"""The parts in a real browser: typing, tapping, moving, and what a screen reader gets."""

import re

import pytest
from driving import DESKTOP, PHONE, SMALL_PHONE

# Every part as the real screens use it is driven by the other files.
pytestmark = pytest.mark.thorough


def test_it_starts_named_zoomable_and_asks_nobody_else(phone, gallery):
    phone.open(gallery).see("How is it now?")
    page = phone.page
    assert page.locator("html").get_attribute("lang").startswith("en")
    assert "user-scalable=no" not in page.locator("meta[name=viewport]").get_attribute("content")
    assert page.get_by_role("heading", level=1, name="Today").count() == 1
    assert page.get_by_role("img", name=re.compile("14.2 mL of 20 mL left")).count() == 1
    assert phone.foreign == []


@pytest.mark.parametrize("size", [PHONE, DESKTOP, SMALL_PHONE], ids=["phone", "desktop", "small"])
def test_every_target_is_large_enough_and_apart(new_hand, gallery, size):
    hand = new_hand((size[0], 2000)).open(gallery)  # tall: nothing is cut by the scroll
    for place in ("Today", "Diary", "Refills", "Card", "More"):
        hand.tap(place)
        hand.page.wait_for_timeout(300)
        boxes = [b.bounding_box() for b in hand.page.get_by_role("button").all()]
        boxes += [b.bounding_box() for b in hand.page.get_by_role("textbox").all()]
        small = [box for box in boxes if box and min(box["width"], box["height"]) < 56 - 0.5]
        # The five places share a narrow window; their height and their gaps stay.
        assert [box for box in small if box["height"] < 56 - 0.5] == []
        assert small == [] or size == SMALL_PHONE


def test_fast_typing_loses_no_letter_while_the_screen_grows(phone, gallery):
    phone.open(gallery).tap("Diary")
    text = "Grey pump 4711 at Dr Owl, left side"
    phone.type_into("Name of the pump", text)
    box = phone.field("Name of the pump")
    assert box.evaluate("box => box === document.activeElement")
    phone.page.keyboard.press("Home")
    phone.page.keyboard.type("My ", delay=1)
    phone.reads("Name of the pump", "My " + text)
    phone.tap("Today").tap("Diary").reads("Name of the pump", "My " + text)


def test_a_stepper_is_typed_and_stepped_and_says_what_is_wrong(phone, gallery):
    phone.open(gallery).tap("Diary")
    phone.tap("More: Daily dose").reads("Daily dose", "200.5")
    phone.type_into("Daily dose", "12x").see("This is not a number.")
    phone.type_into("Daily dose", "12").miss("This is not a number.")
    phone.tap("Less: Daily dose").reads("Daily dose", "11.5")


def test_a_second_tap_at_once_is_ignored(phone, gallery):
    phone.open(gallery).tap("Diary")
    phone.tap("More: Daily dose")
    phone.find("More: Daily dose").click()
    phone.page.wait_for_timeout(400)
    phone.reads("Daily dose", "200.5")
    phone.tap("More: Daily dose").reads("Daily dose", "201")


def test_a_day_is_said_with_its_weekday(phone, gallery):
    phone.open(gallery).tap("Diary")
    phone.type_into("Day of the refill", "26 feb 2026").see("Thu 26 Feb 2026")
    phone.tap("One day later: Day of the refill").see("Fri 27 Feb 2026")
    phone.tap("15 minutes later: Time").reads("Time", "14:45")


def test_a_choice_is_exclusive(phone, gallery):
    phone.open(gallery).tap("Refills").tap("Day pattern")
    phone.see("chosen\nDay pattern")
    assert "chosen\nConstant rate" not in phone.words()


def test_a_message_stays_and_can_be_undone(phone, gallery):
    phone.open(gallery).tap("Diary").tap("Save").see("Saved: check-in")
    saved = int(re.search(r"Saved so far: (\d+)", phone.words())[1])
    phone.page.wait_for_timeout(1500)
    phone.see("Saved: check-in").tap("Undo").see("Taken back.")
    phone.see(f"Saved so far: {saved - 1}.")
    phone.tap("Close").miss("Taken back.")


def test_back_and_forward_follow_the_route(phone, gallery):
    phone.open(gallery).tap("Diary").tap("Refills")
    page = phone.page
    phone.until(lambda: page.url.endswith("#/choices"), "the route to change")
    page.go_back()
    page.get_by_role("heading", level=1, name="How is it now?").wait_for(state="attached")
    page.go_back()
    page.get_by_role("heading", level=1, name="Today").wait_for(state="attached")
    page.go_forward()
    page.get_by_role("heading", level=1, name="How is it now?").wait_for(state="attached")


def test_a_link_opens_its_screen_and_its_question(phone, gallery):
    phone.open(gallery + "#/bare?id=7").see("'id': '7'")
    assert phone.page.get_by_role("button", name="Diary").count() == 0
    phone.tap("Back").see("How is it now?")


def test_an_unknown_route_shows_today(phone, gallery):
    phone.open(gallery + "#/nowhere").see("14.2 mL of 20 mL left")


def test_two_tabs_share_one_record(new_hand, gallery):
    one, two = new_hand(PHONE).open(gallery), new_hand(DESKTOP).open(gallery)
    one.tap("Diary").tap("Save").see("Saved: check-in")
    count = re.search(r"Saved so far: (\d+)", one.words())[1]
    two.tap("Diary").see(f"Saved so far: {count}.")
    one.tap("Undo").see("Taken back.")


def test_the_rail_takes_over_in_a_wide_window(phone, gallery):
    def left_edge() -> float:
        box = phone.find("More").bounding_box()
        return box["x"] if box else -1

    phone.open(gallery).see("How is it now?")
    phone.page.set_viewport_size({"width": 1280, "height": 800})
    phone.until(lambda: 0 <= left_edge() < 200, "the rail")
    phone.page.set_viewport_size({"width": 390, "height": 844})
    phone.until(lambda: left_edge() > 200, "the bar")


def test_the_working_unfolds_and_folds(phone, gallery):
    phone.open(gallery).tap("How was this worked out?").see("= 0.4 mL/day")
    phone.tap("How was this worked out?").miss("= 0.4 mL/day")


def test_the_keyboard_alone_is_enough(phone, gallery):
    phone.open(gallery).tap("Diary")
    phone.field("Name of the pump").click()
    phone.page.wait_for_timeout(600)

    def focus() -> str:
        return phone.page.evaluate(
            "(document.activeElement.ariaLabel ?? document.activeElement.innerText ?? '')"
        )

    for name in ("Less: Daily dose", "Daily dose", "More: Daily dose"):
        phone.page.keyboard.press("Tab")
        phone.until(lambda name=name: focus().startswith(name), f"the focus on {name}")
    phone.page.keyboard.press("Enter")
    phone.see("More: Daily dose, now 200.5 mcg a day")
    assert focus().startswith("More: Daily dose")


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_pictures(new_hand, gallery, size, dark):
    hand = new_hand(size, dark=dark).open(gallery)
    look = f"{size[0]}-{'dark' if dark else 'light'}"
    for place in ("Today", "Diary", "Refills", "Card"):
        hand.tap(place).screenshot(f"{look}-{place}")


def test_text_at_double_size_loses_nothing(new_hand, gallery):
    hand = new_hand(SMALL_PHONE).open(gallery).tap("More").tap("Larger text")
    for place in ("Today", "Diary", "Refills", "Card"):
        hand.tap(place).screenshot(f"320-double-{place}")
        hand.page.wait_for_timeout(300)
        for button in hand.page.get_by_role("button").all():
            box = button.bounding_box()
            assert box["x"] >= -0.5
            assert box["x"] + box["width"] <= 320.5
