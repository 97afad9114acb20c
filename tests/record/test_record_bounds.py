"""What is in the record, or comes into it, is bounded: no null, depth or year stops PocketPump."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from record_helpers import NOON, counted_ids

from pocketpump.core.errors import InputError
from pocketpump.record import MemoryFiles, Record, from_document, to_document
from pocketpump.record.entry import bounds
from pocketpump.record.entry.bounds import DEEPEST, UNREADABLE, depth, is_bounded, load
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.journal.lines import Header, encode, encode_header

GOOD = {
    "id": "good", "kind": "refill", "at": "2026-01-12T09:00:00+01:00", "zone": "",
    "written_at": "2026-01-12T08:05:00+00:00",
    "payload": {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0},
}  # fmt: skip
AN_OBJECT = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


def journal(*bodies: bytes) -> MemoryFiles:
    """A file of whole lines whose bodies are as given."""
    line, chain = encode_header(Header(1, 1, 0))
    data = line
    for number, body in enumerate(bodies, 1):
        line, chain = encode(number, chain, body)
        data += line
    files = MemoryFiles()
    files.append("record-000001.jsonl", data)
    return files


def put(*documents: str) -> bytes:
    inside = ",".join(f'"{number}":{text}' for number, text in enumerate(documents, 1))
    return f'{{"put":{{"entries":{{{inside}}}}}}}'.encode()


def nested(levels: int, kind: str = "newer") -> str:
    deep = "[" * levels + "]" * levels
    return json.dumps({**GOOD, "id": "deep", "kind": kind, "payload": {"x": 0}}).replace(
        '"x": 0', f'"x": {deep}'
    )


def with_payload(**payload: object) -> dict:
    return {**GOOD, "payload": {**GOOD["payload"], **payload}}


@pytest.mark.parametrize("levels", [DEEPEST, 275, 100_000])
def test_an_entry_nested_deeply_leaves_all_others_of_its_save_readable(levels):
    files = journal(put(json.dumps(GOOD), nested(levels), json.dumps({**GOOD, "id": "after"})))
    with Record.open(files) as record:
        assert [entry.id for entry in record.entries] == ["good", "after"]
        assert [problem.code for problem in record.problems] == ["not understood"]


def test_what_is_nested_deeply_stays_in_the_file_word_for_word(monkeypatch):
    monkeypatch.setattr("pocketpump.record.journal.tinydb_storage.FOLD_AFTER", 0)
    deep = nested(300)
    files = journal(put(json.dumps(GOOD), deep))
    for _ in range(3):  # folded each time
        with Record.open(files) as record:
            record.add("check-in", NOON, "", {"stiffness": 3})
        newest = max(files.names())
        texts = [json.loads(row)[3] for row in files.read(newest).splitlines()[1:]]
        kept = [
            document[UNREADABLE]
            for body in texts
            for document in body["put"].get("entries", {}).values()
            if UNREADABLE in document
        ]
        assert kept == [deep]


@pytest.mark.parametrize(
    "body",
    [
        b"null", b"7", b"[]", b'"put"', b'{"put":7}', b'{"put":{"entries":[]}}',
        b'{"put":{"entries":{"1":7}}}', b'{"put":{"entries":{"x":{}}}}', b'{"del":[]}',
        b'{"del":{"entries":7}}', b'{"drop":7}', b'{"drop":[{}]}', b'{"put":', b"\xff",
        b'{"put":{"entries":{"1":{"n":' + b"9" * 5000 + b"}}}}",
        b"[" * 5000 + b"]" * 5000, b'{"del":' * 3000 + b"1" + b"}" * 3000, b"\0\0\0{",
    ],
)  # fmt: skip
def test_a_line_that_is_no_change_is_told_and_the_others_are_read(body):
    with Record.open(journal(put(json.dumps(GOOD)), body)) as record:
        assert [entry.id for entry in record.entries] == ["good"]
        assert "damaged" in [problem.code for problem in record.problems]
        record.add("check-in", NOON, "", {"stiffness": 3})


@pytest.mark.parametrize("field", ["note", "expected_ml", "bridged", "printed_alarm_on"])
def test_an_optional_value_that_is_null_is_one_that_was_never_written(field):
    files = journal(put(json.dumps(with_payload(**{field: None}))))
    with Record.open(files) as record:
        assert record.entries == (from_document(GOOD),)


def test_a_preference_may_be_null():
    document = {**GOOD, "kind": "preference", "payload": {"name": "x", "value": None}}
    assert to_document(from_document(document)) == document


def test_a_null_of_a_newer_field_or_kind_is_kept():
    for document in (with_payload(newer=None), {**GOOD, "kind": "newer", "payload": {"x": None}}):
        assert to_document(from_document(document)) == document


@pytest.mark.parametrize(
    "at",
    [
        "1899-12-31T23:59:59+00:00", "2201-01-01T00:00:00+00:00", "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00", "2026-01-12T09:00:00", "", None, 7,
    ],
)  # fmt: skip
def test_an_instant_outside_1900_to_2200_is_no_entrys(at):
    for name in ("at", "written_at"):
        with pytest.raises(InputError):
            from_document({**GOOD, name: at})
        with Record.open(journal(put(json.dumps(GOOD), json.dumps({**GOOD, name: at})))) as record:
            assert len(record.entries) == 1
            assert [problem.code for problem in record.problems] == ["not understood"]


REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


@pytest.mark.parametrize("year", [1899, 1900, 1949, 2151, 2200, 2201])
def test_an_instant_that_would_not_be_counted_is_not_written(year):
    with Record.open(MemoryFiles(), make_id=counted_ids("a")) as record:
        kept = record.add("refill", NOON, "", REFILL)
        for save in (
            lambda at: record.add("check-in", at, "", {"stiffness": 3}),
            lambda at: record.correct(kept.id, REFILL, at),
        ):
            with pytest.raises(InputError, match="is not from 1950 to 2150") as refused:
                save(NOON.replace(year=year))
            assert refused.value.field == "at"
        assert record.alive == (kept,)


@pytest.mark.parametrize("year", [1950, 2150])
def test_what_is_written_is_counted(year):
    with Record.open(MemoryFiles(), make_id=counted_ids("a")) as record:
        saved = record.add("refill", NOON.replace(year=year), "", REFILL)
        assert record.alive == (saved,)
        assert record.unread == ()


@pytest.mark.parametrize("year", [1900, 1949, 2151, 2200])
def test_what_was_kept_of_years_that_are_not_counted_stays_and_can_be_removed(year):
    kept = from_document({**GOOD, "at": NOON.replace(year=year).isoformat()})
    care = replace(kept, id="care", kind="care", payload=freeze({"name": "n"}))
    with Record.open(MemoryFiles(), make_id=counted_ids("a")) as record:
        record.import_entries([kept, care])
        assert set(record.entries) == {kept, care}
        # What is no matter of dates is still mended where it stands.
        mended = record.correct("care", {"name": "m"})
        assert mended.at == care.at
        removal = record.remove(kept.id)
        record.undo(removal.id)
        assert [one.entry for one in record.unread] == [kept]


@pytest.mark.parametrize(
    "value",
    [
        float("nan"), float("inf"), 10**400, -(10**16), "\ud800", {"\udfff": 1},
        [0] * (bounds.MOST_VALUES + 1), ["x" * 500_001] * 2, {"x": {1, 2}},
    ],
)  # fmt: skip
def test_a_payload_beyond_the_limits_is_no_entry(value):
    for kind in ("newer", "refill"):
        with pytest.raises(InputError):
            from_document({**GOOD, "kind": kind, "payload": {"x": value}})


@pytest.mark.parametrize("name", ["id", "kind", "replaces", "removes"])
@pytest.mark.parametrize("text", ["x" * 201, "\ud800", 7, ["x"]])
def test_names_beyond_the_limits_are_no_entrys(name, text):
    with pytest.raises(InputError):
        from_document({**GOOD, name: text})


def _depth(value: object) -> int:
    if isinstance(value, dict):
        return 1 + max(map(_depth, value.values()), default=0)
    return 1 + max(map(_depth, value), default=0) if isinstance(value, list) else 0


@given(AN_OBJECT, st.booleans())
def test_depth_is_counted_right_whatever_the_texts_hold(value, plain):
    data = json.dumps(value, ensure_ascii=plain).encode("utf-8", errors="replace")
    assert depth(data) == _depth(json.loads(data))


@given(st.text(alphabet='[]{}",:\\ 1a\n', max_size=80))
def test_no_text_opens_more_than_is_counted(text):
    try:
        value = json.loads(text)
    except ValueError:
        return
    assert depth(text.encode()) == _depth(value)


@given(st.text(alphabet='[]{}",:\\ 1a', max_size=120).map(str.encode) | st.binary(max_size=80))
def test_reading_gives_a_bounded_value_or_says_that_it_is_none(data):
    try:
        load(data, 2)
    except ValueError:
        return


@settings(max_examples=30)
@given(AN_OBJECT, st.integers(0, 60), st.sampled_from([("[", "]"), ('{"a":', "}")]))
def test_only_what_is_too_deep_is_read_as_a_text(value, levels, marks):
    own = marks[0] * levels + json.dumps(value) + marks[1] * levels
    told = load(f'{{"a":[{own},1]}}'.encode(), 3)
    as_it_is = json.loads(own)
    deep = _depth(as_it_is) > DEEPEST
    assert told == {"a": [{UNREADABLE: own} if deep else as_it_is, 1]}


@given(AN_OBJECT)
def test_what_is_bounded_can_be_written_and_read_again(value):
    if is_bounded(value):
        assert json.loads(json.dumps(value, allow_nan=False).encode()) == value
        assert _depth(value) <= DEEPEST


def test_texts_that_never_end_are_read_once_only():
    # Each would take minutes if an ended text were looked for again from every mark.
    assert depth(b'"' + b'\\"' * 300_000 + b"[") == 0
    assert depth(b'"' * 300_001 + b"[") == 0
    assert depth(b"[" * 300_000) == 300_000
