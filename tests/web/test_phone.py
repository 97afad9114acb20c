"""The phone app in a real Chromium: built, served, used, cut off, killed and renewed."""

import gzip
import json
import os
import shutil
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from phone_driving import ZONE, Phone, offline_ready, private_files, record_in

import pocketpump
from pocketpump.cli import main
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.safety.card import build_card
from pocketpump.core.units.instants import date_text, zone_named
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import situation_of
from pocketpump.web import python_runtime
from pocketpump.web.build import build
from pocketpump.web.glance import glance_facts

pytestmark = pytest.mark.browser

THOROUGH = os.environ.get("POCKETPUMP_THOROUGH") == "1"
KILLS = int(os.environ.get("POCKETPUMP_KILLS", "2"))
FILLED_DAYS_AGO = 10


def printed_date() -> date:
    # 20 mL, alarm at 2 mL, 0.4 mL/day: 45 days (derived).
    filled_on = date.today() - timedelta(days=FILLED_DAYS_AGO)  # noqa: DTZ011 the device's own day
    return filled_on + timedelta(days=45)


def set_up(hand) -> None:
    """Enter a pump, a refill and a dose, as on the first day."""
    filled_on = printed_date() - timedelta(days=45)
    hand.see("Welcome").tap("Begin").see("Your pump").type_into("Size of the reservoir", "20").tap(
        "Save the pump"
    )
    hand.see("Your last refill").type_into("Day of the refill", filled_on.isoformat())
    hand.type_into("Time", "09:00").type_into("Filled volume", "20")
    hand.type_into("Strength", "0.5 mg/mL").tap("Save the refill")
    hand.see("Your dose setting").type_into("Daily dose", "200")
    hand.tap("Since the last refill").tap("Save the dose setting").see("refill-by")


def ask(hand, text: str) -> None:
    """Save a question for the clinic, and wait until the app says that it is saved."""
    hand.type_into("A question for the next visit", text).tap("Save the question")
    hand.see("The question is saved.")


def foreign(phone: Phone) -> list[str]:
    return [url for url in phone.requests
            if not url.startswith(("http://127.0.0.1:", "data:", "blob:"))]  # fmt: skip


def test_first_day_then_offline_with_the_same_dates_as_the_core(phone, serve, built):
    site = serve(built)
    hand = phone.open(site.url)
    set_up(hand)
    hand.see(date_text(printed_date())).screenshot("web-today")
    assert not [text for text in phone.said if "without the snapshot" in text]

    files = private_files(hand.page)
    facts = json.loads(files["glance.json"])
    with record_in(files) as record:
        situation, problems = situation_of(record.alive)
    assert problems == ()
    worked_out = datetime.fromisoformat(facts["computed_at"])
    answer, _ = forecast(situation, worked_out, zone_named(ZONE))
    assert answer is not None
    card = build_card(care_of(record.alive), answer, worked_out.astimezone(zone_named(ZONE)))
    usual = {"days": 14, "more": False}
    assert facts == json.loads(
        json.dumps(glance_facts(card, answer, remind=usual, epoch=facts["epoch"]))
    )
    assert facts["alarm_on"] == printed_date().isoformat()
    assert json.loads(hand.page.evaluate("localStorage.getItem('pocketpump.glance')")) == facts

    # Another tab of the same browser may not write beside this one, and says so first.
    second = phone.page()
    second.goto(site.url)
    second.get_by_role("button", name="Use it here").wait_for(timeout=60_000)
    assert second.locator("#glance").is_visible()
    second.close()

    offline_ready(hand.page)
    site.stop()
    phone.close()
    hand = phone.open(site.url)
    hand.see("refill-by").see(date_text(printed_date()))
    hand.tap("Refills").see("20 mL")
    assert foreign(phone) == []


def questions(page) -> list[str]:
    """The questions kept on the device, as this machine's Python reads them."""
    with record_in(private_files(page)) as record:
        assert record.problems == ()
        return [entry.payload["text"] for entry in record.alive if entry.kind == "question"]


def test_what_was_called_saved_is_there_after_the_browser_was_killed(phone, serve, built):
    site = serve(built)
    url = f"{site.url}#/questions"
    hand = phone.open(url)
    offline_ready(hand.page)
    site.stop()
    phone.close()
    asked = []
    for number in range(KILLS):
        hand = phone.open(url)
        assert questions(hand.page) == asked
        asked.append(f"Question {number}.")
        ask(hand, asked[-1])
        phone.kill()
    hand = phone.open(url).see(asked[-1])
    assert questions(hand.page) == asked


def test_a_new_version_waits_for_consent_and_keeps_everything(phone, serve, built, rebuilt):
    site = serve(built)
    hand = phone.open(f"{site.url}#/questions")
    ask(hand, "May I swim?")
    offline_ready(hand.page)
    site.stop()
    newer = serve(rebuilt, port=site.port)
    hand.page.close()
    hand = phone.open(f"{newer.url}#/about")
    hand.see("PocketPump is a notebook").miss("The newer PocketPump")
    button = hand.page.get_by_role("button", name="Use it now")
    button.wait_for(state="visible", timeout=60_000)
    hand.miss("The newer PocketPump").screenshot("web-new-version")
    hand.turn_to(f"{newer.url}#/questions", "Questions")
    hand.type_into("A question", "Half a question")
    with hand.page.expect_event("load", timeout=60_000):
        button.click()
    hand.see("May I swim?").reads("A question", "Half a question")
    hand.turn_to(f"{newer.url}#/about", "About").see("The newer PocketPump")
    offline_ready(hand.page)
    newer.stop()
    hand.page.close()
    hand = phone.open(f"{newer.url}#/questions").see("May I swim?")
    assert len(hand.page.evaluate("caches.keys()")) == 1


@pytest.mark.thorough
def test_a_damaged_snapshot_only_makes_the_start_slower(phone, serve, built, tmp_path):
    damaged = tmp_path / "damaged"
    shutil.copytree(built, damaged)
    (snapshot,) = damaged.glob("r-*/python/snapshot.bin.gz")
    data = bytearray(snapshot.read_bytes())
    data[len(data) // 2] ^= 1
    snapshot.write_bytes(bytes(data))
    phone.open(serve(damaged).url).see("Welcome")
    assert [text for text in phone.said if "without the snapshot" in text]


@pytest.mark.thorough
def test_it_runs_under_a_path_without_node_and_its_shortcuts_lead_there(
    phone, serve, tmp_path, capsys, monkeypatch
):
    out = tmp_path / "app"
    monkeypatch.setattr(python_runtime, "node", lambda: None)
    assert main(["web", str(out), "--base-url", "/my/pump/"]) == 0
    told = capsys.readouterr().out
    assert "Node was not found" in told
    assert "first visit, gzip -9" in told
    assert not list(out.rglob("snapshot*"))

    site = serve(out, base="/my/pump/")
    shortcuts = json.loads((out / "manifest.webmanifest").read_text())["shortcuts"]
    assert {s["url"] for s in shortcuts} >= {"/my/pump/#/refill", "/my/pump/#/today"}
    hand = phone.open(f"{site.url}#/refill").see("A refill").see("Filled volume")
    offline_ready(hand.page)
    elsewhere = [url for url in phone.requests
                 if url.startswith("http") and not url.startswith(site.url)]  # fmt: skip
    assert elsewhere == []
    scopes = hand.page.evaluate(
        "navigator.serviceWorker.getRegistrations().then(all => all.map(one => one.scope))"
    )
    assert scopes == [site.url]


def test_nothing_of_the_building_machine_is_in_the_release(built):
    own = [str(Path(pocketpump.__file__).parent), str(built.parent)]
    for path in built.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            data = gzip.decompress(data) if path.suffix == ".gz" else data
            assert [name for name in own if name.encode() in data] == [], path.name


@pytest.mark.skipif(not THOROUGH, reason="half a minute of building; POCKETPUMP_THOROUGH=1 runs it")
def test_two_builds_are_equal_to_the_byte(built: Path, tmp_path: Path):
    again = tmp_path / "again"
    build(again)
    names = sorted(str(path.relative_to(built)) for path in built.rglob("*") if path.is_file())
    assert names == sorted(str(p.relative_to(again)) for p in again.rglob("*") if p.is_file())
    assert [n for n in names if (built / n).read_bytes() != (again / n).read_bytes()] == []
