"""Backup and copies in a real browser: made, lost, brought back; nobody else gets in."""

import json
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from pocketpump.exchange.backup.raw_files import read_raw_files

DEMO = Path(__file__).parents[2] / "demo" / "record"
WORDS = "four small words"
WRITTEN = sum('"entries"' in line for file in DEMO.glob("*.jsonl") for line in file.open())


def download(hand, button: str, path: Path) -> Path:
    hand.find(button).wait_for(state="attached")
    with hand.page.expect_download() as waiting:
        hand.tap(button)
    waiting.value.save_as(path)
    return path


def choose(hand, button: str, path: Path) -> None:
    hand.find(button).wait_for(state="attached")
    with hand.page.expect_file_chooser() as waiting:
        hand.tap(button)
    waiting.value.set_files(path)


def counts(record: Path) -> dict:
    done = subprocess.run(
        [sys.executable, "-m", "pocketpump", "check-record", "--record", str(record), "--json"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(done.stdout)


def kill(server) -> None:
    server.process.send_signal(signal.SIGKILL)
    server.process.wait(10)


def with_demo_record(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "kept"))


def test_a_locked_backup_brings_everything_to_a_new_device(phone, desktop, start_server, tmp_path):
    old = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    phone.open(old.url).see("There is no backup yet").tap("Make a backup")
    phone.see("Lock the file?").tap("Yes, with a passphrase")
    phone.type_into("Passphrase", "abc").see("This passphrase is weak")
    phone.tap("Show: Passphrase").see("Hide: Passphrase")
    box = phone.field("Passphrase")
    phone.until(lambda: box.evaluate("b => b === document.activeElement"), "the caret to be back")
    # It goes on where it was: nothing is chosen that the next letter would replace.
    phone.page.keyboard.type("d")
    phone.until(lambda: box.input_value() == "abcd", "the box to hold all letters")
    phone.tap("Hide: Passphrase").see("Show: Passphrase")
    phone.type_into("Passphrase", WORDS).see("This passphrase is fair")
    phone.type_into("The same again", WORDS + "x").screenshot("backup-passphrase")
    phone.tap("Make the backup").see("The two passphrases differ")
    phone.look_again().type_into("The same again", WORDS).miss("The two passphrases differ")
    kept = download(phone, "Make the backup", tmp_path / "backup.json")
    phone.see(f"The backup with {WRITTEN} entries is made and locked").see(
        "Everything is in your last backup."
    )
    phone.screenshot("backup-made")
    assert json.loads(kept.read_text())["format"] == "pocketpump-backup-locked"
    choose(phone, "Check a backup file", kept)
    phone.type_into("Passphrase of this file", WORDS).tap("Open it")
    phone.see(f"is whole. It holds {WRITTEN} entries: all that is here.")
    phone.tap("Today").see("refill-by").miss("There is no backup yet")

    new = start_server("pocketpump", "--no-browser", record=tmp_path / "new")
    desktop.open(new.url).see("Welcome").tap("I have a backup")
    choose(desktop, "Choose a file", kept)
    desktop.type_into("Passphrase", WORDS + "?").tap("Open it")
    desktop.see("The passphrase does not open this backup")
    desktop.type_into("Passphrase", WORDS).tap("Open it")
    desktop.see("What it would add").see("Refills").screenshot("bring-in-preview")
    desktop.tap("Bring it in").see(f"{WRITTEN} entries were brought in.").see("refill-by")
    kill(new)
    kill(old)
    assert counts(tmp_path / "new")["entries"] == WRITTEN
    assert counts(old.record)["entries"] == WRITTEN + 1  # and the note that a backup was made
    assert phone.foreign == desktop.foreign == []


def test_a_spoilt_file_is_told_and_a_wrong_copy_can_be_undone(phone, start_server, tmp_path):
    server = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    other = tmp_path / "other"
    (tmp_path / "table.csv").write_text("date,volume,strength\n2019-04-03,40 mL,500 mcg/mL\n")
    for arguments in (["import", tmp_path / "table.csv"], ["backup", tmp_path / "other.json"]):
        subprocess.run([sys.executable, "-m", "pocketpump", *map(str, arguments), "--record",
                        str(other)], check=True)  # fmt: skip
    spoilt = tmp_path / "spoilt.json"
    spoilt.write_text((tmp_path / "other.json").read_text().replace("40.0", "20.0"))

    phone.open(server.url + "#/merge").see("Choose a backup file")
    choose(phone, "Choose a file", spoilt)
    phone.see("damaged or changed after it was written")
    choose(phone, "Choose another file", tmp_path / "other.json")
    phone.see("It could be another person's.").miss("Bring it in")
    # Today is drawn after the message: its button is another one then.
    phone.tap("Yes").tap("Bring it in").see("1 entry was brought in.").see("refill-by")
    phone.tap("Undo").see("That was taken back.")
    phone.open(server.url + "#/record").see("Your record is whole").screenshot("my-record")
    kill(server)
    assert counts(server.record)["kinds"]["refills"] == 5


@pytest.mark.thorough
def test_past_refills_come_in_by_column_and_tables_go_out(phone, start_server, tmp_path):
    server = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    table = tmp_path / "past.csv"
    table.write_text("Date,Filled (mL),Strength\n3/4/2019,20,0.5\n15/6/2019,20,0.5\n")
    phone.open(server.url + "#/tables").see("Save for a spreadsheet")
    refills = download(phone, "Refills", tmp_path / "refills.csv")
    assert refills.read_text("utf-8-sig").count("\n") == 6
    assert "strength (mcg/mL)" in refills.read_text("utf-8-sig")
    bundle = json.loads(download(phone, "FHIR file", tmp_path / "fhir.json").read_text())
    assert bundle["resourceType"] == "Bundle"
    choose(phone, "Choose a table", table)
    phone.see("Row 2 was left out").tap("mg/mL").miss("Row 2 was left out")
    phone.see("What it would add").tap("Bring it in").see("2 entries were brought in.")
    kill(server)
    assert counts(server.record)["kinds"]["refills"] == 7


@pytest.mark.thorough
def test_a_long_table_shows_how_far_it_is_and_stops_when_told(phone, start_server, tmp_path):
    server = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    table = tmp_path / "past.csv"
    days = [f"{2000 + n // 336 % 20}-{n // 28 % 12 + 1:02}-{n % 28 + 1:02}" for n in range(200_000)]
    rows = "".join(f"{day},20,500\n" for day in days)
    table.write_text("Date,Filled (mL),Strength (mcg/mL)\n" + rows)
    phone.open(server.url + "#/tables").see("Save for a spreadsheet")
    choose(phone, "Choose a table", table)
    phone.see("Read the table").screenshot("table-long")
    phone.tap("Read the table").see("Reading row").screenshot("table-reading")
    phone.tap("Stop").see("Stopped. Nothing was added.").see("Read the table")
    kill(server)
    assert counts(server.record)["kinds"]["refills"] == 5


@pytest.mark.thorough
def test_starting_over_waits_for_a_file_that_was_read_again(phone, start_server, tmp_path):
    server = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    phone.open(server.url + "#/record").see("Check a backup file").miss("Begin an empty")
    phone.tap("Back up, then start over")
    kept = download(phone, "Make the backup", tmp_path / "b.json")
    phone.see("Everything is in your last backup.").tap("Back")
    # A file was made, but nobody has seen it.
    phone.see("Check a backup file").miss("Begin an empty").screenshot("start-over-not-yet")
    phone.tap("Back up, then start over")
    choose(phone, "Check a backup file", kept)
    phone.see("all that is here").tap("Back")
    phone.see("Begin an empty record?").tap("Yes").tap("Start over").see("Welcome")
    assert any(path.name.startswith("aside-001") for path in server.record.iterdir())
    phone.open(server.url + "#/record").tap("Bring it back").see("What it would add")
    phone.tap("Bring it in").see("refill-by")
    kill(server)
    assert counts(server.record)["kinds"]["refills"] == 5


@pytest.mark.thorough
def test_everything_is_erased_after_the_word_alone(phone, start_server, tmp_path):
    server = start_server("pocketpump", "--no-browser", record=with_demo_record(tmp_path))
    phone.open(server.url + "#/record").see("And a backup?").miss("Write ERASE to erase")
    phone.tap("I want to keep a backup").see("Check a backup file").miss("Write ERASE to erase")
    phone.tap("I do not want one").see("Write ERASE to erase").tap("Erase everything")
    phone.see("Nothing was erased").screenshot("erase")
    phone.type_into("Write ERASE to erase", "erase").tap("Erase everything").see("Welcome")
    phone.see("Everything was erased from this device.")
    kill(server)
    assert counts(server.record)["entries"] == 0
    assert not [path for path in server.record.iterdir() if path.name.startswith("aside-")]


@pytest.mark.thorough
def test_what_no_backup_holds_is_said_before_erasing(phone, start_server, tmp_path):
    folder = with_demo_record(tmp_path)
    newest = max(folder.glob("record-*"))
    newest.write_bytes(newest.read_bytes()[:-9])  # the last line is torn, and set aside
    server = start_server("pocketpump", "--no-browser", record=folder)
    phone.open(server.url + "#/record").tap("I want to keep a backup")
    phone.see("in no backup that is made here")
    kept = download(phone, "Save the files as they are", tmp_path / "files.json")
    phone.screenshot("erase-not-in-backup")
    kill(server)
    assert len(read_raw_files(kept.read_bytes()).entries) == counts(server.record)["entries"]


def test_without_the_key_the_browser_sees_a_closed_door(new_hand, start_server):
    server = start_server("pocketpump", "demo", "--no-browser")
    stranger = new_hand()
    bare = re.sub(r"\?key=.*", "", server.url)
    assert stranger.page.goto(bare).status == 403
    assert "PocketPump is closed here" in stranger.page.content()
    ours = new_hand().open(server.url).see("refill-by")
    assert "key=" not in ours.page.url
