"""The fault campaign: whatever fails, whatever was acknowledged is there, nothing is invented."""

import random
from collections import Counter

import pytest
from record_faults import KINDS, Dead, Disk, FaultyFiles, copy_of
from record_helpers import CHECK_IN, NOON, Ticking, codes, counted_ids, note

from pocketpump.core.errors import PocketPumpError
from pocketpump.record import MemoryFiles, Record, to_document
from pocketpump.record.journal import tinydb_storage

FAULTS: Counter[str] = Counter()


@pytest.fixture(autouse=True)
def _folds_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tinydb_storage, "FOLD_AFTER", 5)


class Life:
    """A person using the record over several sessions, who knows what was acknowledged."""

    def __init__(self, disk: Disk, kind: str = "", fail_at: int = 0) -> None:
        self.files = FaultyFiles(disk, kind, fail_at)
        self.attempted: set[str] = set()
        self.acknowledged: dict[str, dict] = {}
        self.clock = Ticking()
        self.next_id = counted_ids("e")

    def make_id(self) -> str:
        fresh = self.next_id()
        self.attempted.add(fresh)
        return fresh

    def live(self) -> None:
        try:
            for _ in range(3):
                self.session()
        except Dead:
            pass

    def session(self) -> None:
        try:
            record = Record.open(self.files, clock=self.clock, make_id=self.make_id)
        except PocketPumpError:
            return
        draft = ("check-in", NOON, "Europe/Berlin", CHECK_IN)
        first = self.save(lambda: [record.add(*draft)])
        self.save(lambda: record.add_many([draft, draft]))
        for entry in first:
            corrected = self.save(lambda: [record.correct(entry.id, {"stiffness": 9})])  # noqa: B023
            for newer in corrected:
                self.save(lambda: [record.remove(newer.id)])  # noqa: B023
        record.close()

    def save(self, act) -> list:
        try:
            entries = list(act())
        except PocketPumpError:
            return []
        self.acknowledged |= {entry.id: to_document(entry) for entry in entries}
        return entries


def check_after(life: Life, disk: Disk) -> None:
    healthy = FaultyFiles(disk)
    record = Record.open(healthy, clock=life.clock, make_id=counted_ids("later"))
    seen = {entry.id: to_document(entry) for entry in record.entries}
    assert {one: seen.get(one) for one in life.acknowledged} == life.acknowledged
    assert set(seen) <= life.attempted
    assert not {"damaged", "record missing"} & set(codes(record)), "only a torn end may be told"
    added = record.add("check-in", NOON, "", {"stiffness": 1})
    record.close()
    again = Record.open(FaultyFiles(disk))
    assert [e.id for e in again.entries] == [*seen, added.id]
    assert not {"torn end", "damaged", "read only"} & set(codes(again))


def shared_disk() -> tuple[Disk, dict[str, dict]]:
    """A folder in which another device and a sync program have written; and what they did."""
    disk, told = Disk(), {}
    disk.writer = "0123abcd"
    for name, text in (("89abcdef", "there"), ("0123abcd", "a copy")):
        files = MemoryFiles()
        files.writer = name
        with Record.open(files, clock=Ticking(), make_id=counted_ids(text)) as record:
            for number in range(3):
                entry = note(record, f"{text} {number}")
                told[entry.id] = to_document(entry)
        (file,) = files.names()
        kept = file if text == "there" else file.replace(".jsonl", " (conflicted copy).jsonl")
        disk.seen[kept] = disk.durable[kept] = files.read(file)
    return disk, told


@pytest.mark.parametrize("kind", KINDS)
def test_no_entry_of_another_device_or_copy_is_lost_when_any_one_call_fails(kind: str) -> None:
    disk, told = shared_disk()
    clean = Life(disk)
    clean.live()
    beside = dict(shared_disk()[0].seen)
    for fail_at in range(1, clean.files.calls + 1):
        disk, told = shared_disk()
        life = Life(disk, kind, fail_at)
        life.attempted |= told.keys()
        life.live()
        life.acknowledged |= told
        if kind == "device gone":
            life.files.fail_at = 0
        check_after(life, disk)
        assert {name: disk.seen.get(name) for name in beside} == beside
        FAULTS[kind] += 1


@pytest.mark.parametrize("kind", KINDS)
def test_no_acknowledged_entry_is_lost_when_any_one_call_fails(kind: str) -> None:
    clean = Life(Disk())
    clean.live()
    assert len(clean.acknowledged) == 15  # and three removals of the earlier versions
    for fail_at in range(1, clean.files.calls + 1):
        disk = Disk()
        life = Life(disk, kind, fail_at)
        life.live()
        if kind == "device gone":
            life.files.fail_at = 0
        check_after(life, disk)
        FAULTS[kind] += 1


def test_every_torn_prefix_of_the_last_save_keeps_all_saves_before_it() -> None:
    files = MemoryFiles()
    record = Record.open(files, clock=Ticking(), make_id=counted_ids("e"))
    kept = [note(record, text).id for text in ("one", "two")]
    name = record_file(files)
    whole_before = files.size(name)
    last = note(record, "three").id
    for length in range(whole_before, files.size(name) + 1):
        torn = copy_of(files)
        torn.truncate(name, length)
        reopened = Record.open(torn, make_id=counted_ids("x"))
        seen = [entry.id for entry in reopened.entries]
        whole = length >= files.size(name) - 1  # at most the newline is missing
        assert seen == ([*kept, last] if whole else kept)
        is_torn = whole_before < length and not whole
        assert codes(reopened) == (["torn end"] if is_torn else [])
        if is_torn:
            cut = [torn.read(one) for one in torn.names() if one.startswith("cut-")]
            assert cut == [files.read(name)[whole_before:length]]
        note(reopened, "four")
        assert len(Record.open(torn).entries) == len(seen) + 1
        FAULTS["torn"] += 1


@pytest.mark.parametrize("folded", [False, True])
def test_one_flipped_bit_costs_at_most_the_line_it_is_in_and_is_always_told(folded: bool) -> None:
    files = MemoryFiles()
    for _ in range(2 if folded else 1):
        record = Record.open(files, clock=Ticking(), make_id=counted_ids("e"))
        if not record.entries:
            whole = {note(record, f"text {number}").id for number in range(6)}
    name = record_file(files)
    assert name.endswith("2.jsonl") == folded
    data = files.read(name)
    chance = random.Random(7)
    for place in range(len(data)):
        flipped = bytearray(data)
        flipped[place] ^= 1 << chance.randrange(8)
        bad = copy_of(files)
        bad.truncate(name, 0)
        bad.append(name, bytes(flipped))
        reopened = Record.open(bad)
        seen = {entry.id for entry in reopened.entries}
        assert seen <= whole
        if folded:
            assert seen == whole, "the generation before holds them all"
        else:
            broken_newline = data[place : place + 1] == b"\n"
            assert len(whole - seen) <= 1 + broken_newline
        unchanged_but_newline = place == len(data) - 1
        assert codes(reopened) or unchanged_but_newline
        originals = [bad.read(one) for one in bad.names() if one.startswith(("damaged", "cut"))]
        assert any(bytes(flipped).endswith(kept) for kept in originals) or unchanged_but_newline
        assert {entry.id for entry in Record.open(bad).entries} == seen
        FAULTS["flip"] += 1


def test_the_campaign_was_no_smaller_than_a_thousand_faults() -> None:
    if len(FAULTS) < len(KINDS) + 2:
        pytest.skip("counts only when the whole file runs in one process")
    print(f"\nfaults: {sum(FAULTS.values())} {dict(FAULTS)}")
    assert sum(FAULTS.values()) >= 1000


def record_file(files: MemoryFiles) -> str:
    return max(name for name in files.names() if name.startswith("record-"))
