"""What is noted on the opening page becomes an entry once, in whatever way it is delivered."""

import json
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.app.inbox import Inbox, epoch_of
from pocketpump.app.services import Services
from pocketpump.record import Record, to_document
from pocketpump.record.entry.entries import new_entry, new_removals
from pocketpump.record.errors import NotSavedError
from pocketpump.record.journal.files import MemoryFiles

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)


def ids():
    number = 0
    while True:
        number += 1
        yield str(UUID(int=number, version=4))


def check_in(number: int, minutes: int = 0):
    fresh = str(UUID(int=1000 + number, version=4))
    at = NOW + timedelta(minutes=minutes)
    return new_entry("check-in", at, "Europe/Rome", {"stiffness": number % 11}, now=at,
                     make_id=lambda: fresh)  # fmt: skip


def begun() -> Record:
    record = Record.open(MemoryFiles(), clock=lambda: NOW, make_id=ids().__next__)
    record.add("preference", NOW, "", {"name": "language", "value": "en"})
    return record


def told(entries, epoch: str) -> str:
    items = [{"form": 1, "epoch": epoch, "document": to_document(one)} for one in entries]
    return json.dumps(items)


def opened(record: Record):
    dropped: list[str] = []
    return Inbox(record, lambda ids: dropped.extend(["all"] if ids is None else ids)), dropped


def check_ins(record: Record):
    return [entry.id for entry in record.alive if entry.kind == "check-in"]


def test_a_finished_entry_is_brought_in_as_it_is_and_then_let_go():
    record = begun()
    inbox, dropped = opened(record)
    one = check_in(4)
    inbox.take(told([one], epoch_of(record)))
    assert record.alive[-1] == one
    assert dropped == [one.id]
    assert inbox.told() == (one,)
    assert inbox.told() == ()


@given(st.lists(st.lists(st.integers(0, 5), max_size=4), max_size=8))
def test_however_often_and_in_whatever_parts_it_comes_each_is_in_once(deliveries):
    record = begun()
    inbox, dropped = opened(record)
    for numbers in deliveries:
        inbox.take(told([check_in(n) for n in numbers], epoch_of(record)))
    wanted = {check_in(n).id for numbers in deliveries for n in numbers}
    assert sorted(check_ins(record)) == sorted(wanted)
    assert set(dropped) == wanted
    assert inbox.problem == ""


def test_what_was_undone_stays_undone_when_it_comes_again():
    record = begun()
    inbox, _ = opened(record)
    one = check_in(4)
    inbox.take(told([one], epoch_of(record)))
    record.undo(one.id)
    inbox.take(told([one], epoch_of(record)))
    assert check_ins(record) == []


@pytest.mark.parametrize("parts", [(0, 1), (0, 0, 1, 1)], ids=["together", "twice"])
def test_an_undo_on_the_page_comes_after_what_it_takes_back(parts):
    record = begun()
    inbox, _ = opened(record)
    one = check_in(4)
    (gone,) = new_removals([one], now=NOW, make_id=lambda: str(UUID(int=7, version=4)))
    inbox.take(told([(one, gone)[at] for at in parts], epoch_of(record)))
    assert check_ins(record) == []


def test_what_was_noted_for_another_record_is_shown_and_not_brought_in():
    record = begun()
    inbox, dropped = opened(record)
    inbox.take(told([check_in(4)], "another"))
    assert check_ins(record) == []
    assert dropped == []
    assert [item.entry.id for item in inbox.foreign] == [check_in(4).id]
    assert [entry.id for entry in inbox.bring_foreign()] == [check_in(4).id]
    assert check_ins(record) == dropped == [check_in(4).id]
    assert inbox.foreign == ()


def test_what_belongs_to_no_record_can_be_deleted():
    inbox, dropped = opened(begun())
    inbox.take(told([check_in(4)], "another"))
    inbox.drop_foreign()
    assert dropped == [check_in(4).id]
    assert inbox.foreign == ()


def test_a_record_begun_anew_is_another():
    record = begun()
    before = epoch_of(record)
    record.start_over()
    assert epoch_of(record) == ""
    record.add("preference", NOW, "", {"name": "language", "value": "en"})
    assert epoch_of(record) not in ("", before)


def test_a_record_that_cannot_be_written_keeps_it_waiting_and_says_so():
    record = begun()
    inbox, dropped = opened(record)

    def full(_entries):
        raise NotSavedError

    real, record.import_entries = record.import_entries, full
    inbox.take(told([check_in(4)], epoch_of(record)))
    assert dropped == []
    assert inbox.problem == str(NotSavedError())
    record.import_entries = real
    inbox.take(told([check_in(4)], epoch_of(record)))
    assert dropped == [check_in(4).id]
    assert inbox.problem == ""


def services_of(record: Record):
    inbox, dropped = opened(record)
    return Services(record, lambda: NOW, "Europe/Rome", inbox=inbox), inbox, dropped


def test_erasing_leaves_nothing_of_what_waited():
    services, inbox, dropped = services_of(begun())
    inbox.take(told([check_in(4)], "another"))
    services.erase()
    assert (inbox.foreign, inbox.problem, inbox.new) == ((), "", ())
    assert dropped == ["all"]


def test_starting_over_deletes_nothing_that_was_called_saved():
    record = begun()
    services, inbox, dropped = services_of(record)

    def full(_entries):
        raise NotSavedError

    real, record.import_entries = record.import_entries, full
    inbox.take(told([check_in(4)], epoch_of(record)))
    record.import_entries = real
    services.start_over()
    assert dropped == []
    assert [item.entry.id for item in inbox.foreign] == [check_in(4).id]
    assert inbox.problem == ""


def test_what_a_backup_has_brought_already_is_not_asked_about():
    record = begun()
    inbox, dropped = opened(record)
    record.import_entries([check_in(4)])
    inbox.take(told([check_in(4)], "another"))
    assert inbox.foreign == ()
    assert dropped == [check_in(4).id]


@pytest.mark.parametrize(
    "text",
    ["", "null", "{}", "[1]", '[{"epoch": "x"}]', '[{"epoch": "x", "document": {}}]', "[" * 5000],
)
def test_what_cannot_be_read_is_told_and_nothing_is_dropped(text):
    inbox, dropped = opened(begun())
    inbox.take(text)
    assert "cannot be read" in inbox.problem
    assert dropped == []


def test_values_that_cannot_be_right_are_told_and_the_others_come_in():
    record = begun()
    inbox, dropped = opened(record)
    good, bad = check_in(4), to_document(check_in(5))
    bad["payload"]["stiffness"] = 99
    items = json.loads(told([good], epoch_of(record)))
    items.append({"form": 1, "epoch": epoch_of(record), "document": bad})
    inbox.take(json.dumps(items))
    assert check_ins(record) == dropped == [good.id]
    assert "cannot be read" in inbox.problem
