"""The phone app in a second engine: it starts, logs a refill, and has it after a new start.

WebKitGTK 2.50 has no synchronous access handles ("Backend does not support this operation"):
what is kept here is kept through ``late_handles.js``.
"""

import pytest
from webkit_driving import WebKit, webkit_missing

pytestmark = pytest.mark.thorough


def test_it_starts_logs_a_refill_and_keeps_it_in_webkit(serve, built, tmp_path):
    if missing := webkit_missing():
        pytest.skip(missing)
    site, profile = serve(built), tmp_path / "profile"

    hand = WebKit(profile).open(site.url).see("Welcome")
    try:
        hand.tap("Begin").see("Your pump").type_into("Size of the reservoir", "20").tap(
            "Save the pump"
        )
        hand.see("Your last refill").type_into("Filled volume", "20")
        hand.type_into("Strength", "0.5 mg/mL").tap("Save the refill")
        hand.see("Your dose setting").type_into("Daily dose", "200")
        hand.tap("Since the last refill").tap("Save the dose setting").see("refill-by")
    finally:
        hand.close()

    hand = WebKit(profile).open(site.url).see("refill-by")
    try:
        hand.tap("Refills").see("20 mL").see("500 mcg/mL")
    finally:
        hand.close()
