"""Backups, copies, tables and the check from the command line."""

import errno
import io
import json
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from pocketpump.cli import main
from pocketpump.exchange.backup.passphrase_strength import strength_of
from pocketpump.record import DiskFiles, MemoryFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.journal.lines import Header, encode_header
from pocketpump.record.journal.migrations import SCHEMA

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)

WORDS = "four small words"


@pytest.fixture
def place(tmp_path, monkeypatch) -> Path:
    """A folder with the demo's record in ``record`` and a passphrase in ``words``."""
    monkeypatch.setenv("POCKETPUMP_RECORD", str(tmp_path / "record"))
    monkeypatch.setenv("TZ", "Europe/Rome")
    with Record.open(DiskFiles(tmp_path / "record"), clock=lambda: NOW) as record:
        record.import_entries(moved_to_now(demo_folder(), NOW))
    (tmp_path / "words").write_text(WORDS + "\n")
    return tmp_path


def run(capsys, *arguments) -> str:
    status = main([str(one) for one in arguments], clock=lambda: NOW)
    captured = capsys.readouterr()
    # How strong a new passphrase is, and nothing else, is said beside the answer.
    said = strength_of(WORDS).sentence + "\n"
    locks = arguments[0] in ("backup", "start-over", "erase") and "--passphrase-file" in arguments
    assert (status, captured.err) == (0, said if locks else "")
    return captured.out


def refused(capsys, *arguments) -> str:
    status = main([str(one) for one in arguments], clock=lambda: NOW)
    captured = capsys.readouterr()
    assert (status, captured.out) == (2, "")
    assert captured.err.count("\n") == 1
    assert captured.err.endswith(".\n")
    return captured.err


def entries_of(folder: Path) -> dict:
    with Record.open(DiskFiles(folder)) as record:
        return {entry.id: entry for entry in record.entries}


def alive_of(folder: Path) -> tuple:
    with Record.open(DiskFiles(folder)) as record:
        return record.alive


@pytest.mark.parametrize("locked", [False, True])
def test_a_backup_restored_elsewhere_is_the_same_record(capsys, place, locked):
    words = ["--passphrase-file", place / "words"] if locked else []
    before = entries_of(place / "record")
    told = json.loads(run(capsys, "backup", place / "b.json", *words, "--json"))
    file = str(place / "b.json")
    assert told == {"file": file, "entries": len(before), "locked": locked, "problems": []}
    note = alive_of(place / "record")[-1]
    assert (note.kind, note.payload) == ("backup", {"entry_count": len(before), "locked": locked})
    restore = ["restore", place / "b.json", *words, "--record", place / "new", "--json"]
    seen = json.loads(run(capsys, *restore, "--preview"))
    assert (seen["added"], seen["preview"]) == (len(before), True)
    assert entries_of(place / "new") == {}
    done = json.loads(run(capsys, *restore))
    assert done == {**seen, "preview": False}
    assert entries_of(place / "new") == before
    assert json.loads(run(capsys, *restore))["added"] == 0


def test_a_wrong_passphrase_is_one_clear_sentence_and_changes_nothing(capsys, place):
    run(capsys, "backup", place / "b.json", "--passphrase-file", place / "words")
    (place / "wrong").write_text("four small word\n")
    before = entries_of(place / "record")
    told = refused(capsys, "restore", place / "b.json", "--passphrase-file", place / "wrong")
    assert "The passphrase does not open this backup" in told
    assert entries_of(place / "record") == before
    (place / "short").write_text("abc")
    assert "at least 8" in refused(
        capsys, "backup", place / "c.json", "--passphrase-file", place / "short")  # fmt: skip
    assert not (place / "c.json").exists()


@pytest.mark.parametrize("begin", [b"\xef\xbb\xbf", b""])
def test_a_passphrase_file_of_any_editor_holds_the_same_passphrase(capsys, place, begin):
    run(capsys, "backup", place / "b.json", "--passphrase-file", place / "words")
    (place / "notepad").write_bytes(begin + b"four small words\r\n")
    restore = ("restore", place / "b.json", "--passphrase-file", place / "notepad")
    assert "already here" in run(capsys, *restore)


def test_entries_of_a_backup_that_cannot_be_read_are_told(capsys, place):
    run(capsys, "backup", place / "b.json")
    body = (place / "b.json").read_bytes().rpartition(b'"sha256":')[0]
    body = body.replace(b'"at":', b'"when":', 1)
    seal = f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()
    (place / "odd.json").write_bytes(body + seal)
    sentence = "1 of the backup's entries cannot be read and were left out."
    assert sentence in run(capsys, "restore", place / "odd.json", "--record", place / "new")
    told = run(capsys, "merge", place / "odd.json", "--record", place / "new", "--json")
    assert json.loads(told)["left_out"] == [sentence]


def test_a_reader_that_stops_listening_is_no_error(place):
    command = f"{sys.executable} -m pocketpump check-record --json --record {place / 'record'}"
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command} | true"], capture_output=True, text=True,
        check=False, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")


def test_a_tampered_or_foreign_file_is_refused(capsys, place):
    run(capsys, "backup", place / "b.json")
    text = (place / "b.json").read_text()
    (place / "t.json").write_text(text.replace("1000.0", "2000.0", 1))
    assert "damaged or changed" in refused(capsys, "restore", place / "t.json")
    assert "not a PocketPump backup" in refused(capsys, "merge", place / "words")
    assert "could not be read" in refused(capsys, "merge", place / "none.json")
    (place / "empty").mkdir()
    assert "no PocketPump record there" in refused(capsys, "merge", place / "empty")
    assert "exists already" in refused(capsys, "backup", place / "b.json")
    assert (place / "b.json").read_text() == text


def test_two_copies_that_lived_apart_are_brought_together_and_the_conflict_explained(capsys, place):
    shutil.copytree(place / "record", place / "phone")
    refill = next(e for e in alive_of(place / "record") if e.kind == "refill")
    for folder, filled in (("record", 19.0), ("phone", 18.0)):
        with Record.open(DiskFiles(place / folder), clock=lambda: NOW) as record:
            record.correct(refill.id, {**refill.payload, "filled_ml": filled})
            record.add("check-in", NOW, "", {"stiffness": 4})
    untouched = {path.name: path.read_bytes() for path in (place / "phone").glob("*.jsonl")}
    told = run(capsys, "merge", place / "phone")
    assert told.startswith("2 added, ")
    assert "was corrected in two ways" in told
    assert "filled (mL)" in told
    assert {p.name: p.read_bytes() for p in (place / "phone").glob("*.jsonl")} == untouched
    run(capsys, "merge", place / "record", "--record", place / "phone")
    assert entries_of(place / "phone") == entries_of(place / "record")
    assert alive_of(place / "phone") == alive_of(place / "record")


def test_what_of_another_folder_is_not_brought_in_is_told(capsys, place):
    other = place / "other"
    shutil.copytree(place / "record", other)
    newer = other / "record-bbbbbbbb-000001.jsonl"
    newer.write_bytes(encode_header(Header(SCHEMA + 1, 1, 0))[0])
    assert "newer PocketPump" in run(capsys, "merge", other, "--preview")
    for path in other.glob("record-*"):
        if path != newer:
            path.unlink()
    assert "newer PocketPump" in refused(capsys, "merge", other)


def test_another_persons_copy_needs_a_word(capsys, place):
    with Record.open(DiskFiles(place / "other"), clock=lambda: NOW) as record:
        record.add("check-in", NOW, "", {"stiffness": 4})
    before = entries_of(place / "record")
    assert "another person's" in refused(capsys, "merge", place / "other")
    assert entries_of(place / "record") == before
    assert "1 would be added" in run(capsys, "merge", place / "other", "--preview")
    run(capsys, "merge", place / "other", "--same-person")
    assert len(entries_of(place / "record")) == len(before) + 1


def test_tables_go_out_and_come_back_as_they_were(capsys, place):
    run(capsys, "export", "csv", place / "tables")
    names = {path.name for path in (place / "tables").iterdir()}
    assert {"pumps.csv", "refills.csv", "dose-settings.csv"} <= names
    assert "tables in that folder already" in refused(capsys, "export", "csv", place / "tables")
    for name in sorted(names):
        assert run(capsys, "import", place / "tables" / name).startswith("0 added")
        run(capsys, "import", place / "tables" / name, "--record", place / "new")
    counted = {e.id: e for e in alive_of(place / "record") if e.removes is None}
    assert {e.id: e for e in alive_of(place / "new")} == counted


def test_past_refills_from_another_spreadsheet_come_in_by_column(capsys, place):
    (place / "old.csv").write_text("When;In;Conc\n3/4/2019;20;2\n5/4/2019;20;2\n")
    columns = ["--column", "day=When", "--column", "filled_ml=In"]
    assert "in two ways" in refused(capsys, "import", place / "old.csv", *columns)
    told = run(capsys, "import", place / "old.csv", *columns, "--dates", "day-first",
               "--strength-unit", "mg/mL", "--zone", "Europe/Rome")  # fmt: skip
    assert told.startswith("2 added")
    first = alive_of(place / "record")[:2]
    assert [f"{e.at:%Y-%m-%d}" for e in first] == ["2019-04-03", "2019-04-05"]
    assert {e.payload["strength_mcg_per_ml"] for e in first} == {2000}
    for bad in ("day=Never", "nothing=When", "day"):
        assert "there is no such" in refused(
            capsys, "import", place / "old.csv", "--column", bad)  # fmt: skip


def test_the_fhir_file_is_a_bundle(capsys, place):
    run(capsys, "export", "fhir", place / "f.json")
    assert json.loads((place / "f.json").read_text())["resourceType"] == "Bundle"


def test_starting_over_needs_its_backup_and_loses_nothing(capsys, place):
    before = entries_of(place / "record")
    (place / "taken.json").write_text("x")
    assert "exists already" in refused(capsys, "start-over", place / "taken.json")
    assert entries_of(place / "record") == before
    run(capsys, "start-over", place / "b.json")
    assert entries_of(place / "record") == {}
    files = MemoryFiles()
    for path in (place / "record").glob("aside-001-*"):
        files.append(path.name.removeprefix("aside-001-"), path.read_bytes())
    assert {e.id for e in Record.open(files).entries} >= set(before)
    run(capsys, "restore", place / "b.json")
    assert entries_of(place / "record") == before
    assert "no record at" in refused(
        capsys, "backup", place / "n.json", "--record", place / "never")  # fmt: skip


def test_what_was_set_aside_comes_back_from_the_records_own_folder(capsys, place):
    before = entries_of(place / "record")
    assert "Nothing was set aside" in refused(capsys, "merge", place / "record")
    run(capsys, "start-over", place / "b.json")
    run(capsys, "merge", place / "record")
    assert set(entries_of(place / "record")) >= set(before)


def test_erasing_needs_a_word_and_a_backup_or_a_no_and_leaves_nothing(capsys, place, monkeypatch):
    before = entries_of(place / "record")
    monkeypatch.setattr("sys.stdin", io.StringIO("yes\n"))
    orders = (
        [],
        [place / "b.json", "--no-backup", "--word", "erase"],
        ["--no-backup"],
        ["--no-backup", "--word", "ease"],
        [place / "words", "--word", "erase"],
    )
    for order in orders:
        status = main(["erase", *map(str, order)], clock=lambda: NOW)
        assert status == 2
    capsys.readouterr()
    assert entries_of(place / "record") == before
    run(capsys, "start-over", place / "a.json")
    run(capsys, "restore", place / "a.json")
    # What start-over moved aside is in no backup of the record.
    told = run(capsys, "erase", place / "b.json", "--no-files", "--word", "erase")
    assert f"They are in {place / 'b.json'}." in told
    left = b"".join(path.read_bytes() for path in (place / "record").iterdir())
    assert len(left) < 1000
    assert not list((place / "record").glob("aside-*"))
    assert entries_of(place / "record") == {}
    run(capsys, "restore", place / "b.json")
    assert entries_of(place / "record") == before


def test_checking_tells_counts_problems_and_rights(capsys, place):
    told = json.loads(run(capsys, "check-record", "--json", "--support", place / "s.json"))
    assert told["sound"]
    assert told["entries"] == len(entries_of(place / "record"))
    assert told["kinds"]["refills"] == 5
    assert "Everything is whole." in run(capsys, "check-record")
    support = json.loads((place / "s.json").read_text())
    assert support["format"] == "pocketpump-support"
    (place / "record").chmod(0o755)
    assert "Other users of this device" in run(capsys, "check-record")


def test_records_of_every_released_version_are_checked_and_backed_up(capsys, place):
    golden = Path(__file__).parents[1] / "record" / "golden"
    for old in sorted(golden.iterdir()):
        shutil.copytree(old, place / old.name)
        run(capsys, "check-record", "--record", place / old.name)
        kept = entries_of(place / old.name)
        assert kept
        run(capsys, "backup", place / f"{old.name}.json", "--record", place / old.name)
        run(capsys, "restore", place / f"{old.name}.json", "--record", place / f"{old.name}-new")
        assert entries_of(place / f"{old.name}-new") == kept


def test_from_a_folder_that_can_only_be_read_a_backup_is_made_and_it_says_so(
    capsys, place, monkeypatch
):
    before = entries_of(place / "record")

    def refuse(_files):
        raise OSError(errno.EROFS, "read-only file system")

    monkeypatch.setattr(DiskFiles, "_hold", refuse)
    told = run(capsys, "backup", place / "b.json")
    assert f"{len(before)} entries are in" in told
    assert "nothing new can be saved" in told
    assert f'"{next(iter(before))}"' in (place / "b.json").read_text()


def test_a_record_that_was_there_and_is_gone_is_missed_by_every_command(capsys, place):
    with Record.open(DiskFiles(place / "record"), clock=lambda: NOW) as record:
        record.add("check-in", NOW, "", {"stiffness": 1})
    shutil.rmtree(place / "record")
    for command in (["dates"], ["backup", place / "b.json"]):
        assert "its files are gone" in refused(capsys, *command)
