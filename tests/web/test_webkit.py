"""The phone app in a second engine: it starts, logs a refill, and has it after a new start."""

import shutil
import time
from pathlib import Path

import pytest
from webkit_driving import WebKit, webkit_missing

pytestmark = pytest.mark.thorough

LENT = Path(__file__).with_name("lent_handles.js")


def test_it_starts_logs_a_refill_and_keeps_it_in_webkit(serve, built, tmp_path):
    if missing := webkit_missing():
        pytest.skip(missing)
    lent = tmp_path / "lent"
    shutil.copytree(built, lent)
    (worker,) = lent.glob("r-*/worker.js")
    worker.write_text(LENT.read_text() + worker.read_text())
    site, profile = serve(lent), tmp_path / "profile"

    hand = WebKit(profile).open(site.url).see("Welcome")
    try:
        hand.tap("Begin").see("Your pump").tap("20 mL").tap("Save the pump")
        hand.see("Your last refill").type_into("Filled volume", "20")
        hand.type_into("Strength", "0.5 mg/mL").tap("Save the refill")
        hand.see("Your dose setting").type_into("Daily dose", "200")
        hand.tap("Since the last refill").tap("Save the dose setting").see("refill-by")
        time.sleep(2)  # the lent handles write later than they say
    finally:
        hand.close()

    hand = WebKit(profile).open(site.url).see("refill-by")
    try:
        hand.tap("Refills").see("20 mL").see("500 mcg/mL")
    finally:
        hand.close()


def test_without_files_to_keep_webkit_says_so_before_anything_is_typed(serve, built, tmp_path):
    if missing := webkit_missing():
        pytest.skip(missing)
    hand = WebKit(tmp_path / "profile").open(serve(built).url)
    try:
        hand.see("This browser window keeps no files")
    finally:
        hand.close()
