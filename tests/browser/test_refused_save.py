"""A save that is refused says so where the hand is, moves to the field, and says it aloud."""

from datetime import UTC, datetime

import pytest
from driving import PHONE
from test_clinic_visit import begun_record

HEARD = """() => {
  window.heard = [];
  const look = root => new MutationObserver(changes => {
    for (const change of changes)
      for (const node of change.addedNodes)
        if (node.parentElement?.closest('[aria-live]')) window.heard.push(node.textContent.trim());
  }).observe(root, { childList: true, subtree: true });
  look(document.documentElement);
  for (const host of document.querySelectorAll('*')) if (host.shadowRoot) look(host.shadowRoot);
}"""
"""Keeps what is put into the places that a screen reader speaks of itself."""

ZONE = "Europe/Amsterdam"


@pytest.fixture
def begun(start_server, tmp_path):
    begun_record(tmp_path / "record")
    return start_server("pocketpump", "--no-browser", "--zone", ZONE, record=tmp_path / "record")


BOXES = """(host, words) => [...host.querySelectorAll('*')]
  .filter(e => [e.getAttribute('aria-label') || '',
                ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data)]
               .some(text => text.includes(words)))
  .map(e => { const r = e.getBoundingClientRect(); return [r.top, r.bottom]; })"""


def in_sight(hand, words: str) -> bool:
    """Whether some text with these ``words`` stands wholly between the top and the bar."""
    bar = hand.find("Today").bounding_box()["y"]
    boxes = hand.page.locator("flt-semantics-host").evaluate(BOXES, words)
    return any(top >= 0 and bottom <= bar for top, bottom in boxes)


@pytest.mark.parametrize("button", ["Save the check-in", "Save"])
def test_either_save_button_leads_to_the_answer_that_is_missing(phone, begun, button):
    phone.open(f"{begun.url}#/check-in").see("Stiffness now")
    phone.tap("Add more").see("Side effects")
    phone.page.evaluate(HEARD)
    if button == "Save the check-in":
        phone.tap(button)
    else:
        save = phone.page.get_by_role("button", name="Save", exact=True)
        phone._bring_to_rest(save, "Save")
        phone.page.wait_for_timeout(700)
        save.click()
    reason = "Nothing was saved yet. Tap a number for stiffness."
    phone.until(lambda: in_sight(phone, reason), f"{reason!r} to be in sight")
    phone.screenshot(f"refused-{button}")
    for number in ("0", "10"):
        box = phone.find(number).bounding_box()
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= PHONE[1]
    assert phone.page.evaluate("window.heard").count(reason) == 1
    # The same again is said again.
    phone.page.evaluate("window.heard = []")
    phone.tap("Save the check-in")
    phone.until(
        lambda: reason in phone.page.evaluate("window.heard"),
        "the refusal to be said again",
    )
    phone.until(lambda: in_sight(phone, reason), f"{reason!r} to be in sight")
    phone.look_again().tap("3").miss("Nothing was saved yet").tap("Save the check-in")
    phone.see("The check-in is saved.")


def test_nothing_moves_when_what_was_refused_is_mended(phone, begun):
    phone.open(f"{begun.url}#/check-in").see("Stiffness now")
    spasms = phone.page.get_by_role("button", name="2").last
    phone._bring_to_rest(spasms, "the spasms")
    phone.page.wait_for_timeout(700)
    spasms.click()
    phone.see("How strong?").tap("Save").see("Tap a number for stiffness.").look_again()

    def places() -> list[float]:
        boxes = [phone.find(name).bounding_box() for name in ("severe", "Save", "Add more")]
        return [box["y"] for box in boxes]

    before = places()
    phone.screenshot("refused-check-in")
    phone.tap("3").see("It can be saved now.").screenshot("mended-check-in")
    assert places() == before
    phone.tap("severe").tap("Save").see("The check-in is saved.")


def test_the_box_to_mend_is_in_sight_with_its_reason_and_takes_the_next_letters(phone, begun):
    phone.open(f"{begun.url}#/refill").see("Filled volume")
    phone.type_into("Day of the refill", "soon")
    phone.tap("Save the refill")
    phone.until(lambda: in_sight(phone, "Nothing was saved yet."), "the reason to be in sight")
    box = phone.field("Day of the refill")
    phone.until(
        lambda: box.evaluate("box => box === document.activeElement"), "the box to be entered"
    )
    phone.screenshot("refused-refill")
    assert box.bounding_box()["y"] >= 0
    today = datetime.now(UTC).date().isoformat()
    phone.page.keyboard.press("ControlOrMeta+a")
    phone.page.wait_for_timeout(300)
    # The caret stays while the trouble goes.
    phone.page.keyboard.type(today, delay=40)
    phone.reads("Day of the refill", today)
