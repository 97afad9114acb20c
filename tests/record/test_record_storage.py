"""TinyDB on the journal behaves as TinyDB does, and is the same after opening again."""

import json

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from tinydb import TinyDB, where
from tinydb.storages import MemoryStorage
from tinydb.table import Document

from pocketpump.core.errors import InputError
from pocketpump.record import MemoryFiles
from pocketpump.record.journal.tinydb_storage import EntryTable, JournalStorage, RecordDB

TABLES = st.sampled_from(["_default", "one", "two"])
VALUES = st.sampled_from([0, 1, 1.0, True, None, "x", [1, [2]], {"deep": {"er": 1}}])
DOCUMENTS = st.dictionaries(st.sampled_from("abc"), VALUES, max_size=3)


def everything(db: TinyDB) -> str:
    """As text, for 1 == True in Python."""
    return json.dumps(db.storage.read() or {}, sort_keys=True)


class LikeTinyDB(RuleBasedStateMachine):
    """The same operations on our storage and on TinyDB's own in memory."""

    def __init__(self) -> None:
        super().__init__()
        self.files = MemoryFiles()
        self.ours = RecordDB(self.files)
        self.model = TinyDB(storage=MemoryStorage)

    def both(self, act) -> None:
        assert act(self.ours) == act(self.model)

    @rule(table=TABLES, document=DOCUMENTS)
    def insert(self, table, document):
        self.both(lambda db: db.table(table).insert(dict(document)))

    @rule(table=TABLES, documents=st.lists(DOCUMENTS, max_size=4))
    def insert_multiple(self, table, documents):
        if documents:  # TinyDB makes an empty table of no documents, we make nothing
            self.both(lambda db: db.table(table).insert_multiple(map(dict, documents)))

    @rule(table=TABLES, document=DOCUMENTS, value=VALUES)
    def update(self, table, document, value):
        self.both(lambda db: db.table(table).update(dict(document), where("a") == value))

    @rule(table=TABLES, value=VALUES)
    def remove(self, table, value):
        self.both(lambda db: sorted(db.table(table).remove(where("b") == value)))

    @rule(table=TABLES, document=DOCUMENTS, value=VALUES)
    def upsert(self, table, document, value):
        self.both(lambda db: db.table(table).upsert(dict(document), where("c") == value))

    @rule(table=TABLES, value=VALUES)
    def search(self, table, value):
        self.both(lambda db: db.table(table).search(where("a") == value))

    @rule(table=TABLES)
    def truncate(self, table):
        self.both(lambda db: db.table(table).truncate())

    @rule(table=TABLES)
    def drop_table(self, table):
        self.both(lambda db: db.drop_table(table))

    @rule()
    def drop_tables(self):
        self.both(lambda db: db.drop_tables())

    @rule()
    def reopen(self):
        before = everything(self.ours)
        self.ours.close()
        self.ours = RecordDB(self.files)
        assert everything(self.ours) == before
        # a fresh TinyDB numbers from what is there; let the model do the same
        tables = self.model.storage.read()
        self.model = TinyDB(storage=MemoryStorage)
        self.model.storage.write(tables)

    @invariant()
    def same_tables(self):
        assert everything(self.ours) == everything(self.model)


LikeTinyDB.TestCase.settings = settings(max_examples=60, stateful_step_count=30, deadline=None)
test_any_use_of_tinydb_gives_what_its_memory_storage_gives = LikeTinyDB.TestCase


@pytest.fixture
def db(place):
    with RecordDB(place.open()) as opened:
        yield opened


def lines(place_files) -> int:
    name = max(n for n in place_files.names() if n.startswith("record-"))
    return place_files.read(name).count(b"\n")


def test_insert_update_remove_search_and_reopen_on_every_medium(place) -> None:
    with RecordDB(place.open()) as db:
        table = db.table("t")
        assert table.insert_multiple([{"a": n} for n in range(5)]) == [1, 2, 3, 4, 5]
        table.update({"b": True}, where("a") == 3)
        table.remove(where("a") == 0)
        db.table("other").insert({"x": 1})
        db.drop_table("other")
        held = db.storage.read()
    with RecordDB(place.open()) as again:
        assert again.storage.read() == held
        assert again.table("t").search(where("b") == True) == [{"a": 3, "b": True}]  # noqa: E712
        assert again.tables() == {"t"}


def test_a_plain_tinydb_table_works_on_the_storage(place) -> None:
    with TinyDB(place.open(), storage=JournalStorage) as db:
        db.insert({"a": 1})
        db.update({"a": 2})
    with TinyDB(place.open(), storage=JournalStorage) as db:
        assert db.all() == [{"a": 2}]


def test_our_table_works_on_another_storage() -> None:
    db = TinyDB(storage=MemoryStorage)
    table = EntryTable(db.storage, "t")
    assert table.insert({"a": 1}) == 1
    assert table.all() == [{"a": 1}]


def test_a_write_appends_one_line_for_what_differs_and_none_for_nothing(db) -> None:
    files = db.storage._journal._files
    db.insert_multiple([{"a": n} for n in range(50)])
    assert lines(files) == 2, "the header and one save"
    before = sum(files.size(name) for name in files.names())
    db.update({"a": -1}, where("a") == 7)
    assert lines(files) == 3
    assert sum(files.size(name) for name in files.names()) - before < 150
    db.update({"a": -1}, where("a") == -1)
    assert lines(files) == 3


def test_true_in_the_place_of_one_is_a_change(place) -> None:
    with RecordDB(place.open()) as db:
        db.insert({"a": 1})
        db.update({"a": True})
    with RecordDB(place.open()) as db:
        assert db.all()[0]["a"] is True


def test_what_cannot_be_json_is_refused_and_nothing_changes(db) -> None:
    db.insert({"a": 1})
    for bad in (object(), float("nan"), {1, 2}, "\ud800"):
        with pytest.raises(InputError):
            db.insert({"a": bad})
        with pytest.raises(InputError):
            db.update({"a": bad})
    assert db.all() == [{"a": 1}]


def test_what_the_caller_changes_later_is_not_changed_in_the_store(db) -> None:
    mine = {"deep": [1]}
    db.insert(mine)
    mine["deep"].append(2)
    db.storage.read()["_default"]["1"]["deep"].append(3)
    assert db.all() == [{"deep": [1]}]


def test_a_chosen_number_is_kept_and_never_taken_twice(db) -> None:
    assert db.insert(Document({"a": 1}, doc_id=7)) == 7
    assert db.insert({"a": 2}) == 8
    with pytest.raises(ValueError, match="already exists"):
        db.insert(Document({}, doc_id=7))
    with pytest.raises(ValueError, match="already exists"):
        db.insert_multiple([Document({}, doc_id=9), Document({}, doc_id=9)])
    with pytest.raises(ValueError, match="not a Mapping"):
        db.insert([1])
    assert len(db) == 2


def test_a_search_after_an_insert_sees_it_in_spite_of_the_query_cache(db) -> None:
    query = where("a") == 1
    assert db.search(query) == []
    db.insert({"a": 1})
    assert db.search(query) == [{"a": 1}]
