"""Entries and kinds: what may be written, and that text and back is the very same entry."""

import copy
import json
import math
import pickle
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from record_helpers import CHECK_IN, NOON

from pocketpump.core.errors import InputError
from pocketpump.record import (
    KINDS,
    MemoryFiles,
    Record,
    check_payload,
    from_document,
    new_entry,
    to_document,
)
from pocketpump.record.entry.field_labels import label
from pocketpump.record.facts.situation import situation_of

GOOD: dict[str, dict] = {
    "pump": {
        "reservoir_ml": 20,
        "alarm_volume_ml": 2,
        "tolerance_percent": 14.5,
        "line_volume_ml": 0.2,
        "clock_offset_minutes": 60,
        "drug_age_limit_days": 180,
        "felt_low_ml": 3,
        "model": "M",
        "serial": "S",
        "position": "left",
        "tip_level": "T10",
        "implanted_on": "2024-02-29",
        "reading_error_ml": 0.5,
    },
    "refill": {
        "filled_ml": 20,
        "strength_mcg_per_ml": 500,
        "drug": "baclofen",
        "expected_ml": 4,
        "withdrawn_ml": 4.5,
        "measured_after_ml": 20,
        "printed_alarm_on": "2026-02-26",
        "next_visit_on": "2026-02-20",
        "bridged": False,
        "note": "",
    },
    "visit": {"visit_on": "2026-02-16", "visit_time": "10:30", "place": "p", "cancelled": False},
    "programme": {"programme": {"days": [[[0, 8.5], [360, 7]]]}, "clock_offset_minutes": 0},
    "check-in": {**CHECK_IN, "severity": 2, "ease": 0, "tablets_as_planned": True},
    "happening": {"what": "scan", "note": "n", "follow_up_done": False},
    "measure": {"name": "timed walk", "value": 12.5, "unit": "s"},
    "contact": {"name": "clinic", "phone": "1", "hours": "9-5", "emergency": True, "role": "r"},
    "plan": {"text": "call first", "from_whom": "clinic", "given_on": "2026-01-01"},
    "trip": {"zone": "Asia/Tokyo", "leaves_on": "2026-05-01", "returns_on": "2026-05-09"},
    "care": {"name": "n", "born_on": "1937-03-02", "injury_t6_or_above": True},
    "device": {"months_left": 20, "notice_on": "2026-01-01"},
    "attachment": {"name": "p.png", "media_type": "image/png", "data": "iVBORw0KGgo="},
    "clinic days": {"open_weekdays": [0, 4], "closed_on": ["2026-12-25"], "lead_days": 3},
    "question": {"text": "may I swim?", "answered": False},
    "preference": {"name": "text size", "value": 1.5},
    "backup": {"entry_count": 42, "locked": True},
    "removal": {},
}

BAD = [
    ("pump", "reservoir_ml", 0),
    ("pump", "reservoir_ml", 100.1),
    ("pump", "reservoir_ml", True),
    ("pump", "reservoir_ml", "20"),
    ("pump", "alarm_volume_ml", -0.1),
    ("pump", "alarm_volume_ml", 21),
    ("pump", "tolerance_percent", 51),
    ("pump", "line_volume_ml", 0),
    ("pump", "line_volume_ml", 5.1),
    ("pump", "clock_offset_minutes", 841),
    ("pump", "clock_offset_minutes", 60.0),
    ("pump", "drug_age_limit_days", 0),
    ("pump", "felt_low_ml", 101),
    ("pump", "model", "x" * 201),
    ("pump", "implanted_on", "2026-02-30"),
    ("pump", "implanted_on", "20260228"),
    ("refill", "printed_alarm_on", "9999-12-31"),
    ("refill", "printed_alarm_on", "0001-01-02"),
    ("pump", "reading_error_ml", 5.5),
    ("refill", "filled_ml", math.nan),
    ("refill", "filled_ml", math.inf),
    ("refill", "filled_ml", 10**400),
    ("refill", "strength_mcg_per_ml", 20_001),
    ("refill", "strength_mcg_per_ml", 0),
    ("refill", "strength_mcg_per_ml", 1e-7),
    ("refill", "filled_ml", 1000),
    ("refill", "bridged", 1),
    ("refill", "note", "x" * 4001),
    ("refill", "note", "\ud800"),
    ("programme", "programme", [1]),
    ("programme", "programme", {"rate": math.nan}),
    ("programme", "programme", {1: 2}),
    ("programme", "programme", {"x": object()}),
    ("programme", "programme", {"x": "y" * 100_001}),
    ("programme", "programme", {}),
    ("programme", "programme", {"days": [[[0, 8, 333]]]}),  # a comma for the point of 8.333
    ("programme", "programme", {"days": [[[0, -1]]]}),
    ("programme", "programme", {"days": [[[0, 8]]], "timed": [None]}),
    ("check-in", "stiffness", 11),
    ("check-in", "spasms", 5),
    ("check-in", "severity", 0),
    ("check-in", "worries", "headache"),
    ("check-in", "worries", [1]),
    ("check-in", "worries", ["x"] * 1001),
    ("happening", "what", "  "),
    ("happening", "what", "x" * 81),
    ("measure", "value", None),
    ("trip", "zone", "Mars/Olympus"),
    ("trip", "zone", "../etc/passwd"),
    ("trip", "leaves_on", "2026-05-10"),
    ("trip", "stops", {"stops": 5}),
    ("trip", "stops", {"stops": [{"from_on": "bad", "place": "x", "zone": "UTC"}]}),
    ("trip", "stops", {"stops": [{"from_on": "2026-05-25", "place": "x", "zone": "Nowhere/X"}]}),
    ("trip", "stops", {"stops": [{"from_on": "2026-05-25", "place": 1, "zone": "UTC"}]}),
    ("trip", "stops", {"stops": [{"from_on": "2026-05-25"}]}),
    ("trip", "stops", {"others": []}),
    ("attachment", "data", "###a"),
    ("attachment", "data", "QUJ"),
    ("clinic days", "open_weekdays", []),
    ("clinic days", "open_weekdays", [7]),
    ("clinic days", "closed_on", ["soon"]),
    ("preference", "value", {"a": 1}),
    ("preference", "value", math.inf),
]


def make(kind: str = "check-in", payload=CHECK_IN, at=NOON, zone="Europe/Berlin", **links):
    now = datetime(2026, 3, 2, tzinfo=UTC)
    return new_entry(kind, at, zone, payload, now=now, make_id=lambda: "id-1", **links)


def test_every_kind_has_a_good_example_here() -> None:
    assert set(GOOD) == set(KINDS)


@pytest.mark.parametrize("kind", GOOD)
def test_a_good_payload_is_taken_as_it_is(kind: str) -> None:
    assert check_payload(kind, GOOD[kind]) == GOOD[kind]


@pytest.mark.parametrize(("kind", "field", "value"), BAD)
def test_a_bad_value_is_refused_in_one_sentence_beside_its_field(kind, field, value) -> None:
    with pytest.raises(InputError) as caught:
        check_payload(kind, {**GOOD[kind], field: value})
    assert caught.value.field == field
    message = str(caught.value)
    assert message.endswith(".")
    assert label(field) in message
    assert "\n" not in message


@pytest.mark.parametrize(
    ("kind", "name"), [(kind, f.name) for kind, fs in KINDS.items() for f in fs if f.required]
)
def test_a_missing_required_field_is_named(kind: str, name: str) -> None:
    payload = {key: value for key, value in GOOD[kind].items() if key != name}
    with pytest.raises(InputError, match="missing") as caught:
        check_payload(kind, payload)
    assert caught.value.field == name


def test_an_entry_from_before_a_stricter_bound_still_counts() -> None:
    # From before strengths under 1 mcg/mL were refused: it opens, is computed with and merged.
    old = from_document(
        {**to_document(make("refill", GOOD["refill"])), "payload": {**GOOD["refill"],
         "strength_mcg_per_ml": 0.5}}
    )  # fmt: skip
    with Record.open(MemoryFiles()) as record:
        record.add("pump", NOON, "UTC", GOOD["pump"])
        assert record.import_entries([old]).problems == ()
        situation, problems = situation_of(record.alive)
    assert problems == ()
    assert [fill.strength_mcg_per_ml for fill in situation.fills] == [0.5]


def test_an_optional_field_given_as_none_is_left_out() -> None:
    assert check_payload("check-in", {"stiffness": 1, "note": None}) == {"stiffness": 1}


def test_a_preference_may_be_nothing_at_all() -> None:
    assert check_payload("preference", {"name": "x", "value": None})["value"] is None


@pytest.mark.parametrize("value", [True, 1, 1.5, "x", ""])
def test_a_preference_is_any_single_value(value) -> None:
    assert check_payload("preference", {"name": "x", "value": value})["value"] is value


def test_an_unknown_field_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        check_payload("check-in", {"stiffness": 1, "stifness": 2})
    assert caught.value.field == "stifness"


def test_an_unknown_kind_is_refused_when_newly_written_but_read() -> None:
    with pytest.raises(InputError):
        make("hologram", {})
    document = {**to_document(make()), "kind": "hologram", "payload": {"depth": [1, {"a": 2}]}}
    assert to_document(from_document(document)) == document


def test_labels_carry_the_unit() -> None:
    assert label("strength_mcg_per_ml") == "strength (mcg/mL)"
    assert label("lead_days") == "lead (days)"
    assert label("side_effects") == "side effects"


def test_a_time_without_zone_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        make(at=NOON.replace(tzinfo=None))
    assert caught.value.field == "at"


def test_an_unknown_zone_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        make(zone="Europe/Atlantis")
    assert caught.value.field == "zone"


def test_a_removal_and_only_a_removal_says_what_it_removes() -> None:
    assert make("removal", {}, removes="x").removes == "x"
    for wrong in (
        lambda: make("removal", {}),
        lambda: make(removes="x"),
        lambda: make("removal", {}, removes="x", replaces="y"),
    ):
        with pytest.raises(InputError):
            wrong()


def test_the_second_of_two_equal_wall_clock_hours_keeps_its_offset() -> None:
    berlin = ZoneInfo("Europe/Berlin")
    twice = datetime(2026, 10, 25, 2, 30, tzinfo=berlin)
    first, second = make(at=twice), make(at=twice.replace(fold=1))
    assert first.at.utcoffset() == timedelta(hours=2)
    assert second.at.utcoffset() == timedelta(hours=1)
    for one in (first, second):
        back = from_document(json.loads(json.dumps(to_document(one))))
        assert (back.at, back.at.utcoffset()) == (one.at, one.at.utcoffset())


OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
EARLY, LATE = datetime(1990, 1, 1), datetime(2100, 1, 1)  # noqa: DTZ001
INSTANTS = st.datetimes(timezones=OFFSETS, min_value=EARLY, max_value=LATE)
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@given(at=INSTANTS, stiffness=st.floats(0, 10), worries=st.lists(TEXT), note=TEXT)
def test_text_and_back_is_exactly_the_same_entry(at, stiffness, worries, note) -> None:
    one = make(at=at, payload={"stiffness": stiffness, "worries": worries, "note": note})
    text = json.dumps(to_document(one), sort_keys=True)
    back = from_document(json.loads(text))
    assert back == one
    assert back.at.utcoffset() == one.at.utcoffset()
    assert json.dumps(to_document(back), sort_keys=True) == text


def test_an_entry_cannot_be_changed_at_any_depth_nor_through_what_it_was_made_from() -> None:
    worries = ["a"]
    one = make(payload={"stiffness": 1, "worries": worries})
    worries.append("b")
    to_document(one)["payload"]["worries"].append("c")
    assert one.payload["worries"] == ["a"]
    for change in (
        lambda: one.payload.update(stiffness=2),
        lambda: one.payload.__setitem__("stiffness", 2),
        lambda: one.payload["worries"].append("d"),
        lambda: one.payload["worries"].sort(),
        lambda: setattr(one, "zone", "UTC"),
    ):
        with pytest.raises((TypeError, AttributeError)):
            change()
    assert one.payload == {"stiffness": 1, "worries": ["a"]}


def test_an_entry_can_be_copied_pickled_hashed_and_its_payload_dumped() -> None:
    one = make()
    assert copy.deepcopy(one) == pickle.loads(pickle.dumps(one)) == one
    assert {one, copy.copy(one)} == {one}
    assert json.loads(json.dumps(one.payload)) == CHECK_IN


@pytest.mark.parametrize(
    "change",
    [
        {"at": "yesterday"},
        {"at": "2026-01-01T00:00:00"},
        {"written_at": 5},
        {"payload": []},
        {"id": ""},
        {"id": 7},
        {"kind": None},
        {"replaces": 3},
    ],
)
def test_what_is_not_an_entry_is_refused_in_a_sentence(change: dict) -> None:
    with pytest.raises(InputError, match=r"not a PocketPump entry"):
        from_document({**to_document(make()), **change})
    with pytest.raises(InputError):
        from_document({})


@pytest.mark.parametrize("link", [False, 0, 0.0, [], {}])
@pytest.mark.parametrize("field", ["replaces", "removes"])
def test_an_entry_that_refers_to_something_empty_that_is_no_id_is_refused(field, link):
    document = to_document(make())
    with pytest.raises(InputError, match="not a PocketPump entry"):
        from_document({**document, field: link})
