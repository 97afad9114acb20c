"""The page before the app: a check-in that waits for nothing, and a way on without a yank."""

from __future__ import annotations

import json
import os
import random
import re
import time

import pytest
from driving import Hand
from phone_driving import Phone, Site, private_files, put_demo, record_in, wait_for
from test_glance import PEOPLE, SAVED

from pocketpump.core.safety.card import CareFacts, build_card
from pocketpump.exchange.backup.noted_items import read_noted
from pocketpump.exchange.backup.raw_files import read_raw_files
from pocketpump.record import to_document
from pocketpump.record.entry.checks import is_fit
from pocketpump.web.glance import glance_facts
from pocketpump.web.page_words import PAGE_WORDS

pytestmark = pytest.mark.browser

KILLS = int(os.environ.get("POCKETPUMP_KILLS", "2"))
NEXT_TAP_MS = 800
"""Taps are ignored for a while after something has moved under the finger."""


@pytest.fixture(scope="module")
def address(rebuilt):
    site = Site(rebuilt)
    yield site.url
    site.stop()


@pytest.fixture
def alone(playwright, tmp_path, address):
    """The page with facts, and an app that never comes."""
    phone = Phone(playwright, tmp_path / "profile", service_workers="block")
    page = phone.page()
    page.route(re.compile(r"/worker\.js|/main\.dart\.js"), lambda route: None)
    page.goto(address)
    card = build_card(CareFacts(contacts=PEOPLE), SAVED, SAVED.now)
    page.evaluate("facts => glance.save(facts)", glance_facts(card, SAVED, epoch="an entry"))
    yield page
    phone.close()


def unfold(page) -> None:
    page.locator("#how-is-it").click()
    page.wait_for_timeout(NEXT_TAP_MS)


def tap_number(page, group: str, number: int) -> None:
    field = page.get_by_role("group", name=group)
    field.locator("label").filter(has_text=re.compile(f"^{number}$")).click()


def check_in(page, stiffness: int) -> None:
    unfold(page)
    tap_number(page, "Stiffness now", stiffness)
    page.locator("#check-in-save").click()
    page.get_by_text("The check-in is saved.").wait_for()


def waiting(page) -> list[dict]:
    """What is in the inbox, each read as the app will read it."""
    items = page.evaluate("inboxItems()")
    read, whole = read_noted(json.dumps(items).encode())
    assert whole
    assert all(is_fit(one.entry.kind, one.entry.payload) for one in read)
    return [to_document(one.entry) for one in read]


def kept(page) -> list[int]:
    """The stiffness of the check-ins made since the demo's, in the record on the device."""
    with record_in(private_files(page)) as record:
        assert record.problems == ()
        return [
            one.payload["stiffness"]
            for one in record.alive
            if one.kind == "check-in" and "note" not in one.payload and len(one.payload) == 1
        ]


def test_three_taps_note_a_finished_entry(alone):
    check_in(alone, 7)
    (one,) = waiting(alone)
    assert one["kind"] == "check-in"
    assert one["payload"] == {"stiffness": 7}
    assert one["zone"] == "Europe/Amsterdam"
    assert alone.locator("#check-in").is_hidden()


def test_spasms_are_noted_too_and_can_be_taken_away_again(alone):
    unfold(alone)
    tap_number(alone, "Stiffness now", 3)
    tap_number(alone, "Spasms", 2)
    assert alone.get_by_text(PAGE_WORDS["spasms_2"]).is_visible()
    alone.locator("#check-in label", has_text="–").click()
    assert alone.get_by_text(PAGE_WORDS["spasms_helper"]).is_visible()
    tap_number(alone, "Spasms", 4)
    alone.get_by_role("button", name="Save").click()
    alone.get_by_text("The check-in is saved.").wait_for()
    assert waiting(alone)[0]["payload"] == {"stiffness": 3, "spasms": 4}


def test_without_a_number_nothing_is_noted_and_it_is_said_what_is_missing(alone):
    unfold(alone)
    alone.get_by_role("button", name="Save").click()
    alone.get_by_text("Tap a number for stiffness.").wait_for()
    assert alone.evaluate("inboxItems()") == []
    tap_number(alone, "Stiffness now", 0)
    assert alone.locator("#check-in-wrong").inner_text() == ""


def test_a_hand_that_taps_twice_notes_once(alone):
    unfold(alone)
    tap_number(alone, "Stiffness now", 5)
    save = alone.get_by_role("button", name="Save")
    save.scroll_into_view_if_needed()
    box = save.bounding_box()
    at = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for _ in range(3):
        alone.mouse.click(*at)
    alone.get_by_text("The check-in is saved.").wait_for()
    alone.wait_for_timeout(NEXT_TAP_MS)
    assert len(waiting(alone)) == 1
    assert alone.locator("#check-in").is_hidden(), "the next taps met what had moved there"


def test_undo_takes_back_what_was_noted(alone):
    check_in(alone, 6)
    alone.wait_for_timeout(NEXT_TAP_MS)
    alone.get_by_role("button", name="Undo").click()
    alone.get_by_text("That was taken back.").wait_for()
    one, gone = waiting(alone)
    assert gone["removes"] == one["id"]


@pytest.mark.parametrize(
    "blow",
    [
        "IDBObjectStore.prototype.add = () => { throw new Error('full') }",
        "IDBFactory.prototype.open = () => { throw new Error('not allowed') }",
        """const add = IDBObjectStore.prototype.add;
        IDBObjectStore.prototype.add = function (...given) {
          const request = add.apply(this, given);
          request.onsuccess = () => this.transaction.abort();
          return request;
        }""",
    ],
    ids=["refused", "no database", "undone by the browser"],
)
def test_saved_is_not_said_before_it_is_kept_and_the_answers_stay(alone, blow):
    alone.evaluate(f"() => {{ {blow} }}")
    unfold(alone)
    tap_number(alone, "Stiffness now", 8)
    alone.get_by_role("button", name="Save").click()
    alone.get_by_text(PAGE_WORDS["check_in_not_saved"]).wait_for()
    assert alone.get_by_text("The check-in is saved.").count() == 0
    assert alone.locator("[name=stiffness]:checked").get_attribute("value") == "8"


def test_something_worries_me_shows_whom_to_call_at_once(alone):
    alone.get_by_role("button", name="Something worries me").click()
    calls = alone.locator("#calls")
    assert PAGE_WORDS["emergency_signs"] in calls.inner_text()
    assert calls.locator("a[href^='tel:']").count() > 0


def test_without_a_record_there_is_nothing_to_note(alone):
    alone.evaluate("glance.save(null)")
    assert alone.locator("#ask").is_hidden()
    assert alone.locator("#places").is_hidden()


def test_a_tap_on_the_bar_is_kept_and_said(alone):
    alone.get_by_role("link", name="Diary").click()
    assert alone.get_by_text("Opening Diary…").is_visible()
    assert alone.locator("#places a[aria-current]").inner_text() == "Diary"


def test_the_files_saved_from_the_page_hold_what_waits(alone):
    check_in(alone, 7)
    alone.wait_for_timeout(NEXT_TAP_MS)
    alone.evaluate("trouble.tell('could_not_start')")
    with alone.expect_download() as loading:
        alone.get_by_role("button", name="Save the record's files").click()
    found = read_raw_files(loading.value.path().read_bytes())
    assert [one.payload["stiffness"] for one in found.entries] == [7]


def test_a_slow_start_moves_nothing_under_the_hand_and_keeps_what_is_tapped(alone):
    unfold(alone)
    tap_number(alone, "Stiffness now", 6)
    save = alone.locator("#check-in-save")
    save.scroll_into_view_if_needed()
    before = save.bounding_box()
    alone.evaluate("trouble.tell('takes_long', { passes: true })")
    alone.get_by_text(PAGE_WORDS["takes_long"]).wait_for(state="attached")
    assert save.bounding_box() == before
    alone.locator("#places a", has_text="Diary").click()
    assert alone.evaluate("location.hash") == "#/diary"


def test_who_changes_her_mind_is_not_told_what_no_longer_holds(alone):
    alone.locator("#places a", has_text="Diary").click()
    alone.locator("#places a", has_text="Today").click()
    assert alone.get_by_text("Opening Diary…").count() == 0
    alone.locator("#places a", has_text="Diary").click()
    alone.go_back()
    assert alone.get_by_text("Opening Diary…").count() == 0
    alone.evaluate("glance.appIsReady()")
    assert alone.locator("#all-of-today").is_visible()


# ── with the app behind it ───────────────────────────────────────────────────


def ready(page) -> None:
    """Wait until the app stands behind the page, which is touched now and then and so stays."""
    end = time.monotonic() + 60
    while not page.locator("#all-of-today").is_visible():
        assert time.monotonic() < end, "waited a minute in vain for the app"
        page.locator("#glance-title").click()
        page.wait_for_timeout(500)


def standing(phone, site):
    """The page as it stands, touched, before an app that is there."""
    page = phone.page()
    page.goto(site.url)
    ready(page)
    return page


def test_what_was_noted_before_the_app_came_is_in_the_record_once(used, site):
    page = used.page()
    page.goto(site.url)
    check_in(page, 9)
    ready(page)
    wait_for(page, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
    assert kept(page) == [9]
    page.locator("#all-of-today").click()
    page.locator("#glance").wait_for(state="hidden")
    page.get_by_role("button", name="Undo").wait_for()
    page.close()
    again = used.open(site.url).page
    assert kept(again) == [9]


def test_what_is_noted_while_the_app_stands_behind_comes_in_too(used, site):
    page = standing(used, site)
    check_in(page, 2)
    wait_for(page, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
    assert kept(page) == [2]


def test_a_page_that_was_touched_stays(used, site):
    page = standing(used, site)
    page.wait_for_timeout(2500)
    assert page.locator("#glance").is_visible()


_LATER = [pytest.param(ms, marks=pytest.mark.thorough) for ms in (700, 1500, 2500)]


@pytest.mark.parametrize("after", [0, *_LATER, "ready"])
def test_a_tap_on_the_bar_leads_there_whenever_it_comes(used, site, after):
    page = used.page()
    page.goto(site.url)
    page.locator("#glance-title").click()  # it stays now
    if after == "ready":
        ready(page)
    else:
        page.wait_for_timeout(after)
    page.locator("#places a", has_text="Refills").click()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    page.get_by_role("button", name="Log a refill").wait_for()
    assert page.title().startswith("Refills")


def test_what_is_half_filled_in_goes_on_in_the_app(used, site):
    page = used.page()
    page.goto(site.url)
    unfold(page)
    tap_number(page, "Stiffness now", 6)
    tap_number(page, "Spasms", 1)
    page.get_by_role("link", name="Add more").click()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    page.get_by_role("button", name="Save the check-in").wait_for()
    # Only answers that are there can be taken away.
    page.get_by_role("button", name="No answer: Stiffness now").wait_for()
    page.get_by_role("button", name="No answer: Spasms").wait_for()


def test_the_keyboard_goes_on_where_it_was(used, site):
    page = used.page()
    page.goto(site.url)
    page.locator("#places a", has_text="Diary").focus()
    page.keyboard.press("Enter")
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    wait_for(page, "document.activeElement?.textContent.trim() === 'Diary'", "the focus", 5)


def test_a_page_that_stands_keeps_its_focus_while_the_app_answers(used, site):
    page = standing(used, site)
    page.locator("#all-of-today").focus()
    page.wait_for_timeout(7000)  # two answers at least
    assert page.evaluate("document.activeElement.id") == "all-of-today"


def test_a_tap_while_the_start_takes_long_leads_there(used, site):
    page = used.page()
    page.goto(site.url)
    page.locator("#glance-title").click()
    page.evaluate("trouble.tell('takes_long', { passes: true })")
    page.locator("#places a", has_text="Refills").click()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)
    page.get_by_role("button", name="Log a refill").wait_for()


def test_the_app_behind_the_page_takes_no_key(used, site):
    page = standing(used, site)
    for _ in range(40):
        page.keyboard.press("Tab")
        assert page.evaluate("!document.activeElement?.closest('flutter-view')")


def test_of_another_record_it_is_asked_first(used, site):
    page = used.page()
    page.route("**/worker.js", lambda route: route.abort())
    page.goto(site.url)
    page.evaluate("""putInInbox({ form: 1, epoch: 'another', document: {
      id: crypto.randomUUID(), kind: 'check-in', at: '2026-11-01T10:00:00+01:00', zone: '',
      written_at: '2026-11-01T09:00:00+00:00', payload: { stiffness: 10 } } })""")
    page.close()
    hand = used.open(site.url)
    hand.see("for a record that is no longer here")
    assert kept(hand.page) == []
    hand.tap("Bring in").see("It is in the record.")
    assert kept(hand.page) == [10]
    assert hand.page.evaluate("inboxItems()") == []


def test_erasing_the_record_empties_the_inbox(used, site):
    page = used.page()
    page.route("**/worker.js", lambda route: route.abort())
    page.goto(site.url)
    page.evaluate("putInInbox({ form: 1, epoch: 'another', document: { id: 'x' } })")
    page.close()
    hand = used.open(f"{site.url}#/record")
    hand.tap("I do not want one").see("Write ERASE to erase")
    hand.type_into("Write ERASE to erase", "erase").tap("Erase everything").see("Welcome")
    wait_for(hand.page, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)


def test_no_check_in_is_lost_or_doubled_however_the_browser_is_killed(phone, site):
    """Killed at a random moment around the check-in, from the first tap to the app's first look."""
    put_demo(phone, site)
    phone.open(site.url).page.close()
    rng = random.Random(1)
    saved: list[int] = []
    for number in range(KILLS):
        page = phone.page()
        page.goto(site.url)
        page.locator("#glance-title").click()  # it stays now
        stiffness = number % 11
        said = []
        page.expose_function("heard", lambda one, said=said: said.append(one))
        page.evaluate("""() => {
          const noted = document.getElementById('check-in-noted');
          new MutationObserver(() => noted.textContent && heard(1)).observe(
            noted, { childList: true, subtree: true, characterData: true });
        }""")
        unfold(page)
        tap_number(page, "Stiffness now", stiffness)
        page.locator("#check-in-save").click()
        end = time.monotonic() + rng.choice([0, 0.01, 0.05, 0.3, 1, 3, 6]) * rng.random() * 2
        while time.monotonic() < end:
            page.wait_for_timeout(5)
        was_said = bool(said)
        phone.kill()
        hand = phone.open(site.url)
        wait_for(hand.page, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
        found = kept(hand.page)
        # What was not said to be saved may be there or not, but once.
        allowed = [[*saved, stiffness]] if was_said else [[*saved, stiffness], saved]
        assert found in allowed, (number, was_said)
        saved = found
        hand.page.close()
        phone.close()


# ── two windows ──────────────────────────────────────────────────────────────


def in_another_window(phone, site):
    """The app in one window, and a second one that cannot have the record."""
    first = phone.open(site.url)
    second = phone.page()
    second.goto(site.url)
    second.get_by_role("button", name="Use it here").wait_for(timeout=60_000)
    return first, second


def test_a_second_window_shows_days_and_card_and_takes_a_check_in(used, site):
    first, second = in_another_window(used, site)
    assert "days to refill-by" in second.locator("#glance-facts").inner_text()
    assert second.locator("#glance-card a[href^='tel:']").count() > 0
    check_in(second, 5)
    wait_for(second, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
    assert kept(first.page) == [5]


def test_use_it_here_goes_on_with_what_was_typed_in_the_other(used, site):
    first, second = in_another_window(used, site)
    first.page.bring_to_front()
    first.turn_to(f"{site.url}#/questions", "Questions")
    first.type_into("A question for the next visit", "Half a questi")
    second.bring_to_front()
    second.get_by_role("button", name="Use it here").click()
    second.locator("#glance").wait_for(state="hidden", timeout=60_000)
    first.page.get_by_role("button", name="Use it here").wait_for()
    second.goto(f"{site.url}#/questions")
    Hand(second).reads("A question for the next visit", "Half a questi")


def test_a_window_that_gave_way_still_shows_the_card_and_takes_a_check_in(used, site):
    first, second = in_another_window(used, site)
    second.get_by_role("button", name="Use it here").click()
    second.locator("#glance").wait_for(state="hidden", timeout=60_000)
    page = first.page
    page.bring_to_front()
    page.get_by_role("button", name="Use it here").wait_for()
    page.locator("#ask a", has_text="Show my card").click()
    page.locator("#glance-back").click()
    check_in(page, 3)
    wait_for(second, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
    assert kept(second) == [3]
    page.wait_for_timeout(1500)
    assert page.locator("#glance").is_visible()


# ── what may go wrong around it ──────────────────────────────────────────────


def test_a_dead_app_is_never_put_in_the_place_of_the_page(used, site):
    page = standing(used, site)
    page.evaluate("trouble.failed()")
    page.get_by_text(PAGE_WORDS["stopped_working"]).wait_for()
    page.locator("#places a", has_text="Diary").click()
    page.locator("#places a", has_text="Today").click()
    page.wait_for_timeout(2500)
    assert page.locator("#glance").is_visible()
    assert page.locator("#all-of-today").is_hidden()
    check_in(page, 1)


def test_without_channels_between_windows_it_is_all_the_same(used, site):
    page = used.page()
    page.add_init_script("delete globalThis.BroadcastChannel")
    page.goto(site.url)
    ready(page)
    check_in(page, 4)
    wait_for(page, "inboxItems().then((all) => !all.length)", "the inbox to be empty", 20)
    assert kept(page) == [4]


def test_without_a_database_days_card_and_app_are_there(used, site):
    page = used.page()
    page.add_init_script("IDBFactory.prototype.open = () => { throw new Error('not allowed') }")
    page.goto(site.url)
    assert "days to refill-by" in page.locator("#glance-facts").inner_text()
    page.locator("#glance").wait_for(state="hidden", timeout=60_000)


def test_a_reload_keeps_what_was_tapped(alone):
    unfold(alone)
    tap_number(alone, "Stiffness now", 6)
    alone.reload()
    assert alone.locator("[name=stiffness]:checked").get_attribute("value") == "6"
    assert alone.locator("#check-in").is_visible()


def test_what_is_being_kept_is_not_half_filled_in_too(alone):
    alone.evaluate("""() => {
      window.sent = [];
      python.worker = { postMessage: (one) => window.sent.push(one.kind) };
    }""")
    unfold(alone)
    tap_number(alone, "Stiffness now", 6)
    alone.evaluate("""() => {
      document.getElementById('check-in-save').click();
      checkIn.handOver();
    }""")
    wait_for(alone, "inboxItems().then((all) => all.length === 1)", "it to be kept", 5)
    alone.wait_for_timeout(300)
    assert "begun" not in alone.evaluate("window.sent")


def test_a_keyboard_stays_on_a_number_while_the_page_counts_on(alone):
    alone.locator("#glance-card a").first.focus()
    alone.evaluate("glance.refresh()")
    assert alone.evaluate("document.activeElement.closest('#glance-card') !== null")
