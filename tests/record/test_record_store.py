"""The record as the rest of PocketPump uses it."""

import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from record_helpers import CHECK_IN, NOON, Ticking, codes, counted_ids, note, notes

from pocketpump.core.errors import InputError
from pocketpump.record import (
    Entry,
    MemoryFiles,
    NotSavedError,
    Record,
    from_document,
    record_folder,
    to_document,
)
from pocketpump.record.history.history import resolve
from pocketpump.record.journal.migrations import SCHEMA

GOLDEN = Path(__file__).parent / "golden"


def test_what_was_added_is_there_after_opening_again(place) -> None:
    with place.record() as record:
        added = record.add("check-in", NOON, "Europe/Berlin", CHECK_IN)
        assert record.entries == record.alive == (added,)
    with place.record() as record:
        assert record.entries == (added,)
        assert record.entries[0].at.utcoffset() == timedelta(hours=1)


def test_a_refused_payload_leaves_the_record_as_it_was(place) -> None:
    with place.record() as record:
        good = ("check-in", NOON, "", {"stiffness": 1})
        with pytest.raises(InputError) as caught:
            record.add_many([good, ("check-in", NOON, "", {"stiffness": 99})])
        assert caught.value.field == "stiffness"
        assert record.entries == ()


def test_a_correction_keeps_kind_instant_and_zone_unless_told(place) -> None:
    with place.record() as record:
        first = note(record, "one")
        second = record.correct(first.id, {"stiffness": 2, "note": "two"})
        assert (second.kind, second.at, second.zone) == (first.kind, first.at, first.zone)
        third = record.correct(second.id, {"stiffness": 2}, at=NOON + timedelta(1), zone="UTC")
        assert (third.at, third.zone, third.replaces) == (NOON + timedelta(1), "UTC", second.id)
        assert record.alive == (third,)
        assert len(record.entries) == 3


def test_undoing_corrections_walks_back_through_the_versions(place) -> None:
    with place.record() as record:
        first = note(record, "one")
        second = record.correct(first.id, {"stiffness": 2, "note": "two"})
        third = record.correct(second.id, {"stiffness": 2, "note": "three"})
        record.undo(third.id)
        assert notes(record) == ["two"]
        record.undo(second.id)
        assert notes(record) == ["one"]
        record.undo(first.id)
        assert notes(record) == []


def test_removing_a_corrected_entry_does_not_bring_its_earlier_version_back(place) -> None:
    with place.record() as record:
        second = record.correct(note(record, "one").id, {"stiffness": 2, "note": "two"})
        removal = record.remove(second.id)
        assert notes(record) == []
        assert removal.removes == second.id
        back = record.undo(removal.id)
        assert notes(record) == ["two"]
        record.undo(back.id)
        assert notes(record) == []
        record.undo(record.alive[-1].id)
        assert notes(record) == ["two"]
        record.undo(second.id)
        assert notes(record) == ["one"]
    with place.record() as record:
        assert notes(record) == ["one"]
        assert codes(record) == []


def test_removing_a_removal_is_undoing_it(place) -> None:
    with place.record() as record:
        removal = record.remove(note(record, "one").id)
        record.remove(removal.id)
        assert notes(record) == ["one"]


def test_an_entry_just_added_to_a_settled_record_can_be_removed_and_corrected(place) -> None:
    with place.record() as record:
        assert record.alive == ()
        record.remove(note(record, "one").id)
        assert record.problems == ()
        record.correct(note(record, "two").id, {"stiffness": 3, "note": "three"})
        assert notes(record) == ["three"]


def test_what_does_not_count_any_more_cannot_be_changed_and_says_why(place) -> None:
    with place.record() as record:
        first = note(record, "one")
        second = record.correct(first.id, {"stiffness": 2})
        for act in (record.remove, record.undo, lambda one: record.correct(one, CHECK_IN)):
            with pytest.raises(InputError, match="changed since"):
                act(first.id)
            with pytest.raises(InputError, match="not in the record"):
                act("nowhere")
        removal = record.remove(second.id)
        with pytest.raises(InputError, match="already taken back"):
            record.undo(second.id)
        with pytest.raises(InputError, match="removal cannot be changed"):
            record.correct(removal.id, {})
        assert len(record.entries) == 4


def two_phones() -> tuple[Record, Record]:
    here = Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("here"))
    later = Ticking(datetime(2026, 4, 1, tzinfo=UTC))
    there = Record.open(MemoryFiles(), clock=later, make_id=counted_ids("there"))
    return here, there


def test_two_phones_agree_after_bringing_each_other_s_entries_in_and_again_adds_nothing() -> None:
    here, there = two_phones()
    shared = note(here, "shared")
    there.import_entries(here.entries)
    here.correct(shared.id, {"stiffness": 1, "note": "from here"})
    there.correct(shared.id, {"stiffness": 2, "note": "from there"})
    note(there, "only there")
    assert len(here.import_entries(there.entries).added) == 2
    assert len(there.import_entries(here.entries).added) == 1
    assert here.alive == there.alive
    assert notes(here) == ["from there", "only there"]
    assert codes(here) == codes(there) == ["conflict"]
    again = here.import_entries(there.entries)
    assert (again.added, again.settled, again.known, again.problems) == ((), (), 4, ())


def test_undoing_one_of_two_rival_corrections_settles_the_conflict() -> None:
    here, there = two_phones()
    shared = note(here, "shared")
    there.import_entries(here.entries)
    here.correct(shared.id, {"stiffness": 1, "note": "from here"})
    loser = here.entries[-1]
    there.correct(shared.id, {"stiffness": 2, "note": "from there"})
    here.import_entries(there.entries)
    here.undo(loser.id)
    assert codes(here) == []
    assert notes(here) == ["from there"]


def test_one_id_with_two_contents_ends_the_same_on_both_phones_and_after_reopening(place) -> None:
    document = to_document(note(Record.open(MemoryFiles(), make_id=lambda: "same"), "x"))
    one = from_document({**document, "zone": "Asia/Tokyo"})
    other = from_document({**document, "zone": "Africa/Cairo"})
    shown = set()
    for first, second in ((one, other), (other, one)):
        with Record.open(MemoryFiles()) as record:
            record.import_entries([first])
            record.import_entries([second])
            assert codes(record) == ["same id"]
            shown.add(tuple((e.id, e.zone) for e in record.alive))
            assert {e.zone for e in record.entries} == {"Asia/Tokyo", "Africa/Cairo"}
    assert len(shown) == 1
    with place.record() as record:
        record.import_entries([one])
        assert record.import_entries([other]).settled == (other,)
    with place.record() as record:
        assert tuple((e.id, e.zone) for e in record.alive) in shown
        assert len(record.entries) == 2
        assert codes(record) == ["same id"]
        record.correct(record.alive[0].id, {"stiffness": 2})
        assert codes(record) == []
    with place.record() as record:
        assert [e.payload["stiffness"] for e in record.alive] == [2]
        assert codes(record) == []


def test_absorbing_keeps_kinds_from_a_newer_version_and_leaves_unfit_payloads_out(place) -> None:
    document = to_document(note(Record.open(MemoryFiles()), "x"))
    newer = from_document({**document, "id": "n", "kind": "hologram", "payload": {"z": 1}})
    unfit = from_document({**document, "id": "u", "payload": {"stiffness": "very"}})
    with place.record() as record:
        imported = record.import_entries([newer, unfit])
        assert imported.added == (newer,)
        assert [(p.code, p.ids) for p in imported.problems] == [("unfit", ("u",))]
    with place.record() as record:
        assert record.alive == (newer,)


def test_the_entry_that_a_reference_waited_for_is_linked_when_it_comes(place) -> None:
    source = Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("s"))
    first = note(source, "one")
    second = source.correct(first.id, {"stiffness": 1, "note": "two"})
    with place.record() as record:
        record.import_entries([second])
        assert codes(record) == ["missing entry"]
        record.import_entries([first])
        assert codes(record) == []
        assert notes(record) == ["two"]


def test_documents_that_are_not_entries_are_told_of_and_stay_in_the_file(place) -> None:
    with place.record() as record:
        record._table.insert({"not": "an entry"})
        note(record, "one")
    for _ in range(2):
        with place.record() as record:
            assert notes(record) == ["one"]
            assert codes(record) == ["not understood"]
            assert len(record._table) == 2


def test_a_failed_save_leaves_entries_and_alive_as_they_were(monkeypatch) -> None:
    files = MemoryFiles()
    record = Record.open(files)
    first = note(record, "one")

    def refuse(_name):
        raise OSError(5, "refused")

    monkeypatch.setattr(files, "sync", refuse)
    with pytest.raises(NotSavedError):
        record.correct(first.id, {"stiffness": 2})
    assert record.entries == record.alive == (first,)


def test_several_threads_may_add_at_once(place) -> None:
    with place.record() as record:

        def work(number: int) -> None:
            for part in range(20):
                note(record, f"{number}-{part}")

        threads = [threading.Thread(target=work, args=(n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(record.alive) == 80
    with place.record() as record:
        assert len(set(notes(record))) == 80


def test_the_golden_record_of_schema_1_is_read_for_ever() -> None:
    files = MemoryFiles()
    for path in sorted(GOLDEN.glob("schema-1/*.jsonl")):
        files.append(path.name, path.read_bytes())
    with Record.open(files) as record:
        # Its dose setting is from before the form of one was settled: nothing ever computed with
        # it. It stays, and is told of instead of being shown.
        assert codes(record) == ["unreadable"]
        assert [one.entry.id for one in record.unread] == ["golden-00003"]
        assert "golden-00003" in {entry.id for entry in record.entries}
        assert [(e.kind, e.id) for e in record.alive] == [
            ("pump", "golden-00001"),
            ("refill", "golden-00002"),
            ("check-in", "golden-00005"),
            ("removal", "golden-00007"),
        ]
        assert notes(record) == ["deuxième ✓"]
        pump = next(e for e in record.alive if e.kind == "pump")
        assert pump.payload["reservoir_ml"] == 20
        assert pump.at == datetime(2026, 1, 12, 9, tzinfo=UTC)
    assert SCHEMA == 1, "a new schema needs its own golden record beside this one"


def test_the_folder_is_the_one_named_in_the_environment_or_the_user_s_own(tmp_path) -> None:
    assert record_folder({"POCKETPUMP_RECORD": str(tmp_path)}) == tmp_path
    assert record_folder({"POCKETPUMP_RECORD": "~/x"}) == Path.home() / "x"
    for nothing in ({}, {"POCKETPUMP_RECORD": " "}):
        folder = record_folder(nothing)
        assert folder.is_absolute()
        assert "pocketpump" in str(folder)


class LikeAList(RuleBasedStateMachine):
    """A record against a plain list of entries, settled from scratch each time."""

    def __init__(self) -> None:
        super().__init__()
        self.files = MemoryFiles()
        self.clock, self.make_id = Ticking(), counted_ids("e")
        self.model: list[Entry] = []

    @initialize()
    def open(self) -> None:
        self.record = Record.open(self.files, clock=self.clock, make_id=self.make_id)

    def take(self, act) -> None:
        before = len(self.record.entries)
        try:
            act()
        except InputError:
            assert len(self.record.entries) == before
        self.model += self.record.entries[before:]

    @rule(minutes=st.integers(-90, 90), stiffness=st.integers(0, 11))
    def add(self, minutes, stiffness) -> None:
        at = NOON + timedelta(minutes=minutes)
        self.take(lambda: self.record.add("check-in", at, "", {"stiffness": stiffness}))

    @precondition(lambda self: self.model)
    @rule(data=st.data(), stiffness=st.integers(0, 10))
    def correct(self, data, stiffness) -> None:
        one = data.draw(st.sampled_from(self.model)).id
        self.take(lambda: self.record.correct(one, {"stiffness": stiffness}))

    @precondition(lambda self: self.model)
    @rule(data=st.data())
    def remove_and_maybe_undo(self, data) -> None:
        one = data.draw(st.sampled_from(self.model)).id
        shown = [e for e in self.record.alive if e.removes is None]
        taken = len(self.record.entries)
        self.take(lambda: self.record.remove(one))
        removed = len(self.record.entries) > taken
        if removed and data.draw(st.booleans()):
            removal = self.record.entries[taken]
            self.take(lambda: self.record.undo(removal.id))
            assert [e for e in self.record.alive if e.removes is None] == shown

    @precondition(lambda self: self.model)
    @rule(data=st.data())
    def undo(self, data) -> None:
        one = data.draw(st.sampled_from(self.model)).id
        self.take(lambda: self.record.undo(one))

    @rule()
    def reopen(self) -> None:
        self.record.close()
        self.open()

    @rule()
    def absorb_itself(self) -> None:
        assert self.record.import_entries(self.model).added == ()

    @invariant()
    def same(self) -> None:
        assert list(self.record.entries) == self.model
        expected = resolve(self.model)
        assert self.record.alive == expected.alive
        assert self.record.problems == expected.problems


LikeAList.TestCase.settings = settings(max_examples=60, stateful_step_count=25, deadline=None)
test_any_course_of_events_gives_what_settling_a_plain_list_gives = LikeAList.TestCase
