"""The phone app follows the browser into another time zone while it is open."""

import json
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from driving import FLAGS, PHONE, Hand
from phone_driving import Phone, chromium_path, private_files, put_demo

from pocketpump.core.units.instants import date_text

pytestmark = pytest.mark.browser

# Always a calendar day apart: UTC+14 and UTC-10 (or -9).
EAST, WEST = "Pacific/Kiritimati", "America/Adak"


class Travelling(Phone):
    """A browser whose zone can be changed while it runs, as a carried device does."""

    @property
    def context(self):
        if self._context is None:
            self._context = self._playwright.chromium.launch_persistent_context(
                str(self._profile),
                executable_path=chromium_path(),
                args=FLAGS,
                viewport={"width": PHONE[0], "height": PHONE[1]},
                locale="en-GB",
                reduced_motion="reduce",
            )
        return self._context


def today_in(zone: str) -> str:
    return date_text(datetime.now(UTC).astimezone(ZoneInfo(zone)).date())


def worked_out_in(page) -> int:
    """The offset of the facts that stand on the device for the page, in hours."""
    facts = json.loads(private_files(page)["glance.json"])
    return datetime.fromisoformat(facts["computed_at"]).utcoffset().total_seconds() // 3600


def test_an_open_app_dates_by_the_zone_it_was_carried_to(playwright, rebuilt, serve, tmp_path):
    phone = Travelling(playwright, tmp_path / "profile")
    site = serve(rebuilt)
    try:
        put_demo(phone, site)
        hand = Hand(phone.page())
        device = phone.context.new_cdp_session(hand.page)
        device.send("Emulation.setTimezoneOverride", {"timezoneId": EAST})
        # The form of what happened begins with today.
        hand.open(site.url + "#/happening").see(today_in(EAST))
        assert worked_out_in(hand.page) == 14
        device.send("Emulation.setTimezoneOverride", {"timezoneId": WEST})
        hand.page.wait_for_timeout(1100)  # the app asks for the zone once a second
        hand.page.evaluate("window.dispatchEvent(new Event('blur'))")
        hand.page.evaluate("window.dispatchEvent(new Event('focus'))")
        hand.see(today_in(WEST))
        hand.until(lambda: worked_out_in(hand.page) < 0, "the page to have the facts of the West")
    finally:
        phone.close()
