"""The card, its details, the pump's life and a trip, by what a screen reader finds."""

from datetime import date, timedelta
from pathlib import Path

import pytest

ZONE = "Europe/Amsterdam"


@pytest.mark.thorough
def test_the_card_speaks_other_languages_with_the_original_beside(phone, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    phone.open(server.url).see("refill-by").tap("Card").see("Stopping baclofen suddenly can kill.")
    phone.see("Contact 01: \u2068Joost Holm").screenshot("card-en")
    for tapped, words in (
        ("Deutsch", "Plötzliches Absetzen von Baclofen"),
        ("العربية (Arabic)", "إيقاف الباكلوفين فجأة"),
        ("中文 (Chinese)", "突然停用巴氯芬可能致命"),
        ("日本語 (Japanese)", "バクロフェンを急に止めると"),
    ):
        phone.tap("Language:").tap(tapped).see(words)
        phone.see("This translation has not been reviewed.")
        phone.see("Stopping baclofen suddenly can kill.")
        phone.page.wait_for_timeout(700)
        phone.screenshot(f"card-{tapped}")
    assert phone.foreign == []


FIRST_SCREEN = ("BACLOFEN", "Stopping baclofen suddenly can kill", "2000 mcg/mL", "256 mcg/day",
                "00:00\u201106:00 13 mcg/h", "Last refill", "Alarm date", "T6 or above",
                "Penicillin", "+44 20 7946 0101", "112", "+44 20 7946 0102")  # fmt: skip


def test_a_stranger_finds_everything_on_the_first_screen(phone, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    phone.open(server.url + "#/card").see("Stopping baclofen suddenly can kill")
    phone.page.wait_for_timeout(700)
    ends = phone.page.evaluate(
        """() => [...document.querySelectorAll('flt-semantics')].map(node => {
          const own = [node.getAttribute('aria-label'), ...[...node.childNodes]
            .map(child => child.nodeType === 3 ? child.data : child.tagName === 'SPAN'
              ? child.textContent : '')].filter(Boolean).join(' ');
          const box = node.getBoundingClientRect();
          return [own.replace(/[\u2066-\u2069]/g, '').replace(/\u00a0/g, ' '), box.bottom,
                  box.height];
        }).filter(([own]) => own)"""
    )
    for wanted in FIRST_SCREEN:
        found = [bottom for own, bottom, _ in ends if wanted in own]
        assert found, wanted
        # Without scrolling, on a phone of 390 x 844.
        assert min(found) <= 844, wanted
    heights = [height for own, _, height in ends if "7946" in own]
    assert min(heights) >= 56


def test_the_card_stays_lit_and_can_be_taken_along(new_hand, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    hand = new_hand((390, 3600))
    hand.page.add_init_script(
        """window.lit = [];
        if (navigator.wakeLock) {
          const ask = navigator.wakeLock.request.bind(navigator.wakeLock);
          navigator.wakeLock.request = (kind) => ask(kind).then((lock) => {
            window.lit.push('on');
            lock.addEventListener('release', () => window.lit.push('off'));
            return lock;
          });
        }"""
    )
    hand.open(server.url).tap("Card").see("Stopping baclofen suddenly can kill.")

    def lit() -> str:
        return hand.page.evaluate("window.lit.join()")

    hand.until(lambda: lit() == "on", "for the screen to be kept lit")
    # This Chromium has no sheet to share with, so the picture is downloaded too.
    for name, beginning in (("Share as a picture", b"\x89PNG"), ("Save as a page", b"<!DO")):
        with hand.page.expect_download() as download:
            hand.tap(name)
        assert Path(download.value.path()).read_bytes()[:4] == beginning
    hand.tap("Copy as text").see("The card's text is copied.")
    hand.tap("Print (with").see("Page 2 of 2")
    hand.until(lambda: lit() == "on,off", "for the screen to be let go")
    with hand.page.expect_download() as download:
        hand.tap("Save as PDF")
    assert Path(download.value.path()).read_bytes()[:4] == b"%PDF"
    hand.tap("Back").see("Stopping baclofen suddenly can kill.")


def test_what_is_written_under_details_stands_on_the_card(phone, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    phone.open(server.url + "#/care").tap("Whom to call")
    phone.tap("Add someone else").see("Who is it?").tap("Save the number")
    phone.see("Write whom you reach there.").type_into("Name", "Nils Invented")
    # Ofcom keeps 020 7946 0000 to 0999 for drama.
    phone.type_into("Telephone", "+44 20 7946 0199").tap("Yes").tap("Save the number")
    phone.see("Nils Invented: the number is saved.")
    phone.open(server.url + "#/card").see("Contact 03: \u2068Nils Invented")
    phone.screenshot("card-third-contact")


def test_a_photo_is_kept_and_something_else_is_refused(phone, start_server, tmp_path):
    from PIL import Image

    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    picture, text = tmp_path / "page.png", tmp_path / "page.txt"
    Image.new("L", (300, 400), 200).save(picture)
    text.write_text("no picture")
    phone.open(server.url + "#/papers").see("Nothing is kept yet.")
    for path, said in ((text, "is no picture or PDF"), (picture, "The picture is kept")):
        with phone.page.expect_file_chooser() as chooser:
            phone.tap("Add a photo or scan")
        chooser.value.set_files(path)
        phone.see(said)
    phone.see("page.png").screenshot("papers")


def test_a_replacement_notice_reaches_today(phone, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    phone.open(server.url + "#/device").see("Usual end").screenshot("device")
    phone.type_into("Day of the replacement notice", date.today().isoformat())  # noqa: DTZ011
    phone.tap("Save the reading").see("What the clinic read is saved.")
    # About 90 days after the notice (common practice, no source).
    phone.tap("Today").see("about 90 days are left").screenshot("today-notice")


def test_a_trip_beyond_the_window_asks_for_a_refill_first(phone, start_server):
    server = start_server("pocketpump", "--no-browser", "--zone", "UTC")
    today = date.today()  # noqa: DTZ011
    phone.open(server.url).tap("Begin").type_into("Size of the reservoir", "20").tap(
        "Save the pump"
    ).see("Your last refill")
    phone.type_into("Day of the refill", (today - timedelta(days=2)).isoformat())
    phone.type_into("Filled volume", "20").type_into("Strength", "500")
    phone.tap("Save the refill").see("Your dose setting")
    phone.type_into("Daily dose", "200").tap("Since the last refill").tap("Save the dose setting")
    phone.see("refill-by").tap("More").tap("Trips").tap("Plan a trip")
    phone.type_into("Place", "Honolulu")
    phone.type_into("Leaving on", (today + timedelta(days=20)).isoformat())
    phone.type_into("Time zone", "honolulu")
    phone.page.wait_for_timeout(800)  # a button just drawn ignores taps for half a second
    phone.tap("Pacific")
    phone.type_into("Home again on", (today + timedelta(days=40)).isoformat())
    phone.tap("Save the trip").see("Ask for a refill before you go")
    phone.screenshot("trip")


def test_a_trip_moves_the_hours_of_the_pattern_to_the_clock_there(phone, start_server):
    server = start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE)
    phone.open(server.url + "#/trips").see("Montreal").tap("Look at this trip")
    phone.see("The pump's hours in Montreal").see("there: 12 mcg/h (pump's clock 20:00)")
    phone.screenshot("trip-hours")
