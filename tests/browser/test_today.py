"""Today in a real browser: the sentence stands first, and a trouble is mended in three taps."""

from datetime import UTC, datetime, timedelta

from driving import DESKTOP, PHONE

from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"
COUNT_TAPS = """() => {
  window.taps = 0;
  window.addEventListener('pointerdown', () => { window.taps += 1; }, true);
}"""


def begun(folder, filled_days_ago: int, **refill) -> None:
    """20 mL of 2000 mcg/mL at 400 mcg/day, unless ``refill`` says otherwise."""
    now = datetime.now(UTC).replace(microsecond=0)
    filled = now - timedelta(days=filled_days_ago)
    with Record.open(DiskFiles(folder), clock=lambda: now) as record:
        record.add("pump", filled, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("programme", filled, ZONE, {"programme": {"days": [[[0, 400 / 24]]]}})
        payload = {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0, **refill}
        record.add("refill", filled, ZONE, payload)


def test_200_typed_for_2000_is_mended_in_three_taps(phone, start_server, tmp_path):
    folder = tmp_path / "record"
    # 18 mL at 400 / 2000 = 0.2 mL/day: 90 days (derived), two of them gone.
    printed = (datetime.now(UTC) + timedelta(days=88)).date().isoformat()
    begun(folder, 2, strength_mcg_per_ml=200.0, printed_alarm_on=printed)
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see("Probably 2000 mcg/mL, not 200 mcg/mL.").screenshot("today-typed")
    phone.page.evaluate(COUNT_TAPS)
    phone.tap("Correct this refill")
    phone.type_into("Strength", "2000")
    phone.tap("Save the refill").see("The refill is corrected.")
    phone.see("By these numbers nothing is due.").miss("Probably").screenshot("today-mended")
    assert phone.page.evaluate("window.taps") <= 3


def test_the_sentence_is_in_sight_before_the_number_at_every_look(new_hand, start_server, tmp_path):
    folder = tmp_path / "record"
    begun(folder, 120)
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    for size in (PHONE, DESKTOP):
        hand = new_hand(size).open(server.url).see("the pump is empty. Call the clinic now")
        words = hand.words()
        assert words.index("the pump is empty") < words.index("past")
        button = hand.find("Had a refill since? Log it")
        button.wait_for(state="attached")
        assert button.bounding_box()["y"] < size[1]
        hand.screenshot(f"today-empty-{size[0]}")
