"""Before erasing it is said what no backup holds, and the files can be kept as they are."""

import asyncio
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from pocketpump.cli import main
from pocketpump.exchange.backup.encrypted import open_backup
from pocketpump.exchange.backup.raw_files import _files_in
from pocketpump.exchange.backup.record_check import not_in_backup
from pocketpump.record import DiskFiles, MemoryFiles, Record
from pocketpump.record.journal.lines import Header, encode_header
from pocketpump.record.journal.migrations import SCHEMA

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


def save(folder: Path, text: str) -> None:
    with Record.open(DiskFiles(folder), clock=lambda: NOW) as record:
        record.add("question", NOW, "", {"text": text})


def own(folder: Path) -> Path:
    return max(folder.glob("record-*.jsonl"))


def damage(folder: Path) -> None:
    save(folder, "lost?")
    path = own(folder)
    path.write_bytes(path.read_bytes().replace(b"lost?", b"lust?"))
    Record.open(DiskFiles(folder)).close()  # mended; what was damaged is set aside


def tear(folder: Path) -> None:
    save(folder, "torn?")
    path = own(folder)
    path.write_bytes(path.read_bytes()[:-9])
    Record.open(DiskFiles(folder)).close()


def not_an_entry(folder: Path) -> None:
    with Record.open(DiskFiles(folder)) as record:
        record._table.insert({"neither": "an entry"})


def of_a_newer_version(folder: Path) -> None:
    data = encode_header(Header(SCHEMA + 1, 1, 0))[0]
    (folder / "record-bbbbbbbb-000001.jsonl").write_bytes(data)


def damaged_elsewhere(folder: Path) -> None:
    save(folder, "more?")
    data = own(folder).read_bytes().replace(b"kept?", b"kupt?")
    (folder / "record-bbbbbbbb-000001.jsonl").write_bytes(data)


def torn_elsewhere(folder: Path) -> None:
    data = own(folder).read_bytes()
    (folder / "record-bbbbbbbb-000001.jsonl").write_bytes(data.replace(b"kept?", b"kupt?"))


def set_aside(folder: Path) -> None:
    with Record.open(DiskFiles(folder), clock=lambda: NOW) as record:
        record.start_over()
    save(folder, "begun again")


def name_of(one: object) -> str:
    return getattr(one, "__name__", "")


ODD = {
    damage: "damaged",
    tear: "damaged",
    not_an_entry: "cannot read",
    of_a_newer_version: "cannot read",
    damaged_elsewhere: "damaged",
    torn_elsewhere: "damaged",
    set_aside: "moved aside",
}


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.setenv("POCKETPUMP_RECORD", str(tmp_path / "record"))
    save(tmp_path / "record", "kept?")
    return tmp_path / "record"


def files_in(folder: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in folder.iterdir() if one.name != "in-use.lock"}


def erase(*arguments: object) -> int:
    return main(["erase", *map(str, arguments)], clock=lambda: NOW)


@pytest.mark.parametrize(
    ("happen", "said"), ODD.items(), ids=lambda one: getattr(one, "__name__", "")
)
def test_what_no_backup_holds_is_said_before_anything_is_erased(
    capsys, folder, tmp_path, happen, said
):
    happen(folder)
    before = files_in(folder)
    assert erase(tmp_path / "b.json", "--word", "erase") == 2
    told = capsys.readouterr().err
    assert said in told
    assert "--files" in told
    assert before.items() <= files_in(folder).items()
    assert not (tmp_path / "b.json").exists()
    assert erase(tmp_path / "b.json", "--word", "erase") == 2, "and said again"


@pytest.mark.parametrize("happen", ODD, ids=name_of)
def test_the_files_can_be_kept_as_they_are_byte_for_byte(capsys, folder, tmp_path, happen):
    happen(folder)
    before = files_in(folder)
    place = tmp_path / "files.json"
    with Record.open(MemoryFiles.copy_of(folder)) as record:
        held = {entry.id for entry in record.entries}
    assert erase(tmp_path / "b.json", "--files", place, "--word", "erase", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["files"] == str(place)
    assert told["not_in_backup"]
    assert b"kept?" not in b"".join(files_in(folder).values())
    kept = Record.open(_unpacked(place))
    assert {entry.id for entry in kept.entries} >= held
    found = asyncio.run(open_backup(place.read_bytes()))
    assert {entry.id for entry in found.entries} == held
    inside = _unpacked(place)
    for name, data in before.items():
        assert inside.read(name) == data or name.startswith("record-")


def _unpacked(place: Path) -> MemoryFiles:
    files = MemoryFiles()
    for name, data in _files_in(json.loads(place.read_bytes())["files"]).items():
        files.append(name, data)
    return files


@pytest.mark.parametrize("order", [["--no-files"], ["--no-backup"]])
def test_who_wants_none_of_it_is_not_held_up(capsys, folder, tmp_path, order):
    damage(folder)
    place = [] if "--no-backup" in order else [tmp_path / "b.json"]
    assert erase(*place, *order, "--word", "erase") == 0
    assert capsys.readouterr().err == ""


def test_who_is_asked_for_the_word_is_told_first(capsys, folder, tmp_path, monkeypatch):
    damage(folder)
    said = []

    def answer(prompt: str) -> str:
        said.append(capsys.readouterr().err)
        return "erase"

    monkeypatch.setattr("builtins.input", answer)
    assert erase(tmp_path / "b.json") == 0
    assert "damaged" in said[0]


def test_a_whole_record_is_erased_as_ever(capsys, folder, tmp_path, monkeypatch):
    (folder / "a shopping list.txt").write_text("nothing of ours")
    with Record.open(DiskFiles(folder)) as record:
        assert not_in_backup(record) == ()
        assert "a shopping list.txt" not in record.files_as_they_are()
    monkeypatch.setattr("sys.stdin", io.StringIO("erase\n"))
    assert erase(tmp_path / "b.json") == 0
    assert capsys.readouterr().err == ""
