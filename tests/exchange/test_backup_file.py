"""Backups: readable, whole, checked; and ten thousand damaged ones, of which none gets through."""

import asyncio
import base64
import json
import random
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest
from exchange_helpers import NOW, RememberingCipher, copies
from jsonschema import Draft202012Validator

from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.exchange.backup import backup
from pocketpump.exchange.backup.backup import BackupError, read_backup, write_backup
from pocketpump.exchange.backup.cipher import NotOpenedError
from pocketpump.exchange.backup.encrypted import is_locked, make_backup, open_backup
from pocketpump.exchange.backup.record_check import check_up
from pocketpump.exchange.papers import attachment
from pocketpump.exchange.papers.attachment import check_room
from pocketpump.record import Entry, MemoryFiles, Record, to_document

SCHEMA = json.loads((Path(__file__).parents[2] / "docs/backup.schema.json").read_text())
GOLDEN = Path(__file__).parent / "golden"
WORDS = "four small words here"
CIPHER = RememberingCipher()


def made(entries, words: str = "") -> bytes:
    return asyncio.run(make_backup(entries, NOW, words, CIPHER))


def opened(data: bytes, words: str = "") -> tuple[Entry, ...]:
    return asyncio.run(open_backup(data, words, CIPHER)).entries


@pytest.fixture(scope="module")
def entries():
    return copies(11)[0].entries


@pytest.mark.parametrize("seed", range(25))
def test_a_backup_brings_back_every_entry_and_nothing_else(seed):
    held = copies(seed)[0]
    for words in ("", WORDS):
        data = made(held.entries, words)
        assert opened(data, words) == held.entries
        fresh = Record.open(MemoryFiles())
        fresh.import_entries(opened(data, words))
        assert fresh.alive == held.alive
        Draft202012Validator(SCHEMA).validate(json.loads(data))
        assert is_locked(data) == bool(words)


def test_a_plain_backup_needs_nothing_but_a_json_reader(entries):
    told = json.loads(made(entries).decode("utf-8"))
    assert told["entries"] == [to_document(entry) for entry in entries]
    assert told["entry_count"] == len(entries)


def test_its_seal_is_what_the_schema_says(entries):
    data = made(entries)
    before, _, last = data.rpartition(b'"sha256":')
    assert json.loads(last[: last.index(b"\n")]) == sha256(before).hexdigest()


def test_a_mail_programs_line_ends_change_nothing(entries):
    assert opened(made(entries).replace(b"\n", b"\r\n")) == entries


def test_a_locked_backup_shows_nothing_of_what_is_in_it(entries):
    data = made(entries, WORDS)
    inside = base64.b64decode(json.loads(data)["data"])
    for secret in (b"refill", b"payload", b"entries", entries[0].id.encode()):
        assert secret not in data
        assert secret not in inside
    # Fresh salt and nonce every time: the same record never looks the same twice.
    assert made(entries, WORDS) != made(entries, WORDS)


def test_a_wrong_or_missing_passphrase_is_told_clearly(entries):
    data = made(entries, WORDS)
    with pytest.raises(NotOpenedError, match="passphrase does not open"):
        opened(data, WORDS.upper())
    with pytest.raises(InputError, match="write its passphrase"):
        opened(data)
    with pytest.raises(InputError, match="at least 8"):
        made(entries, "short")


@pytest.mark.parametrize(
    ("member", "value"),
    [("rounds", 1000), ("rounds", 10**9), ("rounds", 600_000.0), ("rounds", True),
     ("cipher", "none"), ("key", "MD5"), ("salt", ""), ("nonce", "AAAA"), ("data", ""),
     ("data", 5), ("salt", None), ("extra", 1)],
)  # fmt: skip
def test_a_locked_file_cannot_be_weakened_or_take_the_device_hostage(entries, member, value):
    told = json.loads(made(entries, WORDS))
    told[member] = value
    with pytest.raises(NotOpenedError):
        opened(json.dumps(told).encode(), WORDS)


def test_parts_of_two_locked_files_cannot_be_mixed(entries):
    first, second = (json.loads(made(entries, WORDS)) for _ in range(2))
    for member in ("salt", "nonce", "data"):
        with pytest.raises(NotOpenedError):
            opened(json.dumps({**first, member: second[member]}).encode(), WORDS)


def test_a_newer_backup_is_refused_kindly(entries):
    data = made(entries)
    for old, new in ((b'"version":1', b'"version":2'), (b'"schema":1', b'"schema":99')):
        body = data.replace(old, new).rpartition(b'"sha256":')[0]
        newer = body + f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()
        with pytest.raises(BackupError, match="newer PocketPump"):
            read_backup(newer)
    locked = made(entries, WORDS).replace(b'"version": 1', b'"version": 2')
    with pytest.raises(BackupError, match="newer PocketPump"):
        opened(locked, WORDS)


@pytest.mark.parametrize(
    "data",
    [b"", b"{}", b"[]", b"null", b"PK\x03\x04", b"\xff\xfe", b"[" * 100_000, b'{"a":' * 5_000,
     b'{"format":"pocketpump-support"}', b"\x00" * 1000, b'{"format":["pocketpump-backup"]}'],
)  # fmt: skip
def test_another_file_is_told_apart(data):
    for words in ("", WORDS):
        with pytest.raises(BackupError, match="not a PocketPump backup"):
            opened(data, words)


@pytest.mark.parametrize("words", ["", "golden words for ever"])
def test_backups_of_every_released_version_open_for_ever(words):
    name = "locked" if words else "plain"
    kept = sorted(GOLDEN.glob(f"*/{name}.json"))
    assert kept
    for path in kept:
        found = opened(path.read_bytes(), words)
        assert [entry.payload.get("filled_ml") for entry in found] == [40.0, 39.5, None]
        assert found[1].replaces == found[0].id


def sealed(body: bytes) -> bytes:
    return body + f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()


def test_a_file_made_to_fill_the_memory_is_refused_before_it_is_taken_apart(entries, monkeypatch):
    body = made(entries).rpartition(b'"sha256":')[0]
    parts = sum(map(body.count, (b",", b"[", b"{")))
    bomb = body.replace(b'"entries":[', b'"entries":[' + b"[]," * 9_000)
    monkeypatch.setattr(backup, "MOST_PARTS", parts + 1_000)
    assert opened(sealed(body)) == entries
    monkeypatch.setattr(json, "loads", lambda _: pytest.fail("it was taken apart"))
    with pytest.raises(BackupError, match="more than a PocketPump backup can"):
        opened(sealed(bomb))
    with pytest.raises(BackupError, match="damaged"):
        opened(bomb + b'"sha256":"' + b"0" * 64 + b'"\n}\n')
    begin = b'{"format":"pocketpump-backup-locked"'
    for filled in (b',"data":[' + b"[]," * 9_000 + b"0]}", b',"a":""' * 9_000 + b"}"):
        with pytest.raises(NotOpenedError):
            opened(begin + filled, WORDS)


def test_a_record_too_large_for_a_backup_is_told_as_that(entries, monkeypatch):
    monkeypatch.setattr(backup, "LARGEST", 500)
    with pytest.raises(BackupError, match="too large for one backup file: 1 of 1 MB"):
        made(entries)


def test_a_hundred_and_seventy_scans_fit_into_a_backup():
    scan = {"name": "a.pdf", "media_type": "application/pdf", "data": "QUJD" * 102_400}
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    first = record.add("attachment", NOW, "", scan)
    kept = tuple(replace(first, id=f"{first.id}-{number}") for number in range(170))
    assert len(write_backup(kept, NOW)) > 170 * 400 * 1024


def test_papers_are_refused_and_told_of_before_no_backup_could_hold_them(monkeypatch):
    scan = {"name": "a.pdf", "media_type": "application/pdf", "data": "QUJD" * 1000}
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.add_many([("attachment", NOW, "", scan)] * 3)
    check_room(record.entries, scan)
    monkeypatch.setattr(attachment, "MOST_PAPERS", 15_999)
    with pytest.raises(InputError, match="1 of 1 MB"):
        check_room(record.entries, scan)
    told = check_up(record, NOW, UTC)
    assert told.codes == ("papers fill up",)
    assert attachment.MOST_PAPERS < backup.LARGEST


@pytest.mark.parametrize(
    ("words", "sentence"),
    [(" " * 20, "at least 8 letters"), ("   short   ", "at least 8 letters"),
     ("four small \ud800 words", "broken character")],
)  # fmt: skip
def test_a_passphrase_that_is_none_is_refused_in_one_sentence(entries, words, sentence):
    with pytest.raises(InputError, match=sentence):
        made(entries, words)
    if "\ud800" in words:
        with pytest.raises(InputError, match=sentence):
            opened(made(entries, WORDS), words)


def spoil(data: bytes, other: bytes, chance: random.Random) -> tuple[str, bytes]:
    """Return what was done to a backup, and the file afterwards."""
    kind = chance.choice(["flip", "cut", "byte", "doubled", "dropped", "swapped", "zeros", "mixed",
                          "number", "appended", "member"])  # fmt: skip
    place, end = sorted(chance.sample(range(len(data) + 1), 2))
    spoilt = bytearray(data)
    if kind == "flip":
        spoilt[min(place, len(data) - 1)] ^= 1 << chance.randrange(8)
    elif kind == "byte":
        spoilt[min(place, len(data) - 1)] = chance.randrange(256)
    elif kind == "cut":
        del spoilt[place:]
    elif kind == "dropped":
        del spoilt[place : min(end, place + 40)]
    elif kind == "doubled":
        spoilt[end:end] = data[place:end]
    elif kind == "swapped":
        lines = data.split(b"\n")
        first, second = (chance.randrange(len(lines)) for _ in range(2))
        lines[first], lines[second] = lines[second], lines[first]
        spoilt = bytearray(b"\n".join(lines))
    elif kind == "zeros":
        spoilt[place:end] = bytes(end - place)
    elif kind == "mixed":
        spoilt[place:] = other[place:]
    elif kind == "number":
        digits = [number for number, byte in enumerate(data) if 0x30 <= byte <= 0x39]
        spoilt[chance.choice(digits)] = chance.choice(b"0123456789")
    elif kind == "appended":
        spoilt += chance.randbytes(chance.randint(1, 9))
    else:
        told = json.loads(data)
        told[chance.choice(list(told))] = chance.choice([None, 0, -1, "", [], {}, True, 1e300])
        spoilt = bytearray(json.dumps(told).encode())
    return kind, bytes(spoilt)


def test_of_ten_thousand_damaged_backups_none_is_taken_for_whole(entries):
    chance = random.Random(20260302)
    others = copies(12)[1].entries
    plain, locked = (made(entries), made(others)), (made(entries, WORDS), made(others, WORDS))
    counted: Counter[str] = Counter()
    sentences: Counter[str] = Counter()
    for number in range(10_000):
        words = WORDS if number % 2 else ""
        data, other = locked if words else plain
        kind, spoilt = spoil(data, other, chance)
        counted[kind] += 1
        try:
            found = opened(spoilt, words)
        except PocketPumpError as error:
            sentences[str(error)] += 1
            continue
        # What still opens is whole: the change was in white space, or undid itself.
        assert found == entries or (kind == "mixed" and found == others)
        sentences["opened, whole"] += 1
    print(f"\nfuzzed backups: {counted.total()} {dict(counted)}\n{sentences}")
    assert counted.total() == 10_000
    assert sentences["opened, whole"] < 1_000
    assert all(sentence.endswith((".", "whole")) and len(sentence) < 200 for sentence in sentences)


def test_a_plain_backup_is_refused_after_any_single_flipped_bit(entries):
    data = made(entries[:2])
    for place in range(len(data) - 1):
        for bit in range(8):
            spoilt = bytearray(data)
            spoilt[place] ^= 1 << bit
            with pytest.raises(BackupError):
                read_backup(bytes(spoilt))


def test_the_writer_checks_what_it_wrote(entries, monkeypatch):
    monkeypatch.setattr(backup, "to_document", lambda entry: {**to_document(entry), "zone": "UTC"})
    different = [entry for entry in entries if entry.zone != "UTC"]
    assert different
    with pytest.raises(BackupError, match="could not be checked"):
        write_backup(different, datetime(2026, 3, 2, tzinfo=UTC))
