"""The files of a record, saved from the browser as they are, come in like a backup."""

import asyncio
import base64
import json
from datetime import UTC, datetime

import pytest

from pocketpump.cli import main
from pocketpump.exchange.backup.backup import LARGEST, BackupError
from pocketpump.exchange.backup.encrypted import is_locked, open_backup
from pocketpump.record import Record
from pocketpump.record.errors import NewerRecordError
from pocketpump.record.journal.lines import Header, encode_header
from pocketpump.record.journal.migrations import SCHEMA
from pocketpump.record.journal.slot import COPY_SIZE, COPY_SPACING, DATA_START, to_slot
from pocketpump.record.journal.slots import SlotFiles

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


class Slot:
    """One file of the browser, in memory."""

    def __init__(self) -> None:
        self.data = bytearray()

    def read(self, size, at):
        return bytes(self.data[at : at + size])

    def write(self, data, at):
        self.data.extend(bytes(max(0, at - len(self.data))))
        self.data[at : at + len(data)] = data
        return len(data)

    def truncate(self, size):
        del self.data[size:]
        self.data.extend(bytes(size - len(self.data)))

    def get_size(self):
        return len(self.data)

    def flush(self):
        pass

    def close(self):
        pass


def saved(slots: list[Slot], **changed) -> bytes:
    """What the page writes: see ``page/trouble.js``."""
    files = {
        f"slot-{n:02}": base64.b64encode(s.data).decode() for n, s in enumerate(slots) if s.data
    }
    told = {"format": "pocketpump-files", "version": 1, "written_at": "2026-03-02T08:00:00.000Z",
            "files": files}  # fmt: skip
    return json.dumps({**told, **changed}).encode()


def kept(count: int = 3) -> tuple[list[Slot], tuple]:
    slots = [Slot() for _ in range(6)]
    with Record.open(SlotFiles(slots), clock=lambda: NOW) as record:
        for number in range(count):
            record.add("question", NOW, "Europe/Rome", {"text": f"Ü question {number}?"})
        entries = record.entries
    return slots, entries


def opened(data: bytes):
    assert not is_locked(data)
    return asyncio.run(open_backup(data))


def test_the_files_hold_every_entry():
    slots, entries = kept()
    found = opened(saved(slots))
    assert found.entries == entries
    assert found.written_at == NOW
    assert found.problems == ()


def test_a_file_whose_name_cannot_be_read_is_brought_in_too():
    slots, entries = kept()
    (full,) = [slot for slot in slots if slot.data]
    for copy in range(2):
        full.write(bytes(COPY_SIZE), copy * COPY_SPACING)
    assert opened(saved(slots)).entries == entries


def test_of_two_files_of_one_name_the_newer_one_counts():
    # So they stand when the device stopped after naming the new file, before freeing the old one.
    slots, entries = kept()
    (name,) = SlotFiles(slots).names()
    free = next(slot for slot in slots if not slot.data)
    free.data[:] = to_slot(name, b"older")
    assert opened(saved(slots)).entries == entries
    assert opened(saved(slots[::-1])).entries == entries


def test_what_was_freed_does_not_come_back():
    slots, _ = kept()
    files = SlotFiles(slots)
    for name in files.names():
        files.remove(name)
    with pytest.raises(BackupError, match="no PocketPump record there"):
        opened(saved(slots))


def test_after_erasing_no_slot_holds_a_word_that_was_noted():
    slots, _ = kept()
    files = SlotFiles(slots)
    for name in files.names():  # a copy under a header that nobody can read, and one removed
        files.append("removed", files.read(name))
        files.append("torn", files.read(name))
    files.remove("removed")
    (torn,) = [slot for slot in slots if bytes(slot.data[:COPY_SIZE]).count(b"torn")
               or bytes(slot.data[COPY_SPACING:][:COPY_SIZE]).count(b"torn")]  # fmt: skip
    for copy in range(2):
        torn.write(bytes(COPY_SIZE), copy * COPY_SPACING)
    assert sum(b"question 1?" in slot.data for slot in slots) == 3
    with Record.open(SlotFiles(slots), clock=lambda: NOW) as record:
        record.erase()
        assert not any(b"question" in slot.data for slot in slots)
        record.add("question", NOW, "Europe/Rome", {"text": "New?"})
    with Record.open(SlotFiles(slots)) as record:
        assert [entry.payload["text"] for entry in record.entries] == ["New?"]


def test_a_line_that_was_damaged_costs_itself_alone_and_is_told():
    slots, entries = kept()
    (full,) = [slot for slot in slots if slot.data]
    at = full.data.index(b"question 1?")
    full.data[at] ^= 1
    found = opened(saved(slots))
    assert {one.id for one in found.entries} == {entries[0].id, entries[2].id}
    assert found.problems


def test_an_entry_lost_in_one_file_and_whole_in_another_comes_from_there():
    slots, entries = kept()
    with Record.open(SlotFiles(slots), clock=lambda: NOW) as record:
        record.add("question", NOW, "Europe/Rome", {"text": "Later?"})
        entries = record.entries
    assert opened(saved(slots)).entries == entries


@pytest.mark.parametrize(
    "changed",
    [
        {"version": 0},
        {"version": "1"},
        {"files": None},
        {"files": []},
        {"files": {"slot-00": 5}},
        {"files": {"slot-00": "%%%"}},
        {"written_at": 5},
        {"written_at": "then"},
        {"written_at": "0001-01-01T00:00:00+14:00"},
        {"files": {str(n): "" for n in range(10_000)}},
        {"files": {"slot-00": {"a": {"b": "c"}}}},
    ],
)
def test_a_made_up_file_is_refused_in_one_sentence(changed):
    slots, _ = kept()
    with pytest.raises(BackupError):
        opened(saved(slots, **changed))


def test_half_a_file_is_refused_in_one_sentence():
    slots, _ = kept()
    data = saved(slots)
    for length in (40, 80, 200, len(data) // 2, len(data) - 1):
        with pytest.raises(BackupError):
            opened(data[:length])


def test_a_file_larger_than_any_record_is_refused():
    with pytest.raises(BackupError, match="too large"):
        is_locked(b'{"format":"pocketpump-files"' + bytes(2 * LARGEST))


def test_files_of_a_newer_version_say_so():
    slots, _ = kept()
    with pytest.raises(BackupError, match="newer PocketPump"):
        opened(saved(slots, version=2))
    newer = Slot()
    SlotFiles([newer]).append("record-000001.jsonl", encode_header(Header(SCHEMA + 1, 1, 0))[0])
    assert len(newer.data) > DATA_START
    with pytest.raises(NewerRecordError):
        opened(saved([newer]))


def test_the_command_line_restores_it(tmp_path, capsys):
    slots, entries = kept()
    file = tmp_path / "pocketpump-files-2026-03-02.json"
    file.write_bytes(saved(slots))
    folder = tmp_path / "record"
    assert main(["restore", str(file), "--record", str(folder)]) == 0
    assert "3 added" in capsys.readouterr().out
    from pocketpump.record import DiskFiles

    with Record.open(DiskFiles(folder)) as record:
        assert record.entries == entries
