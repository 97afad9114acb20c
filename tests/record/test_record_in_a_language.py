"""What the record says can be said in another language; what it keeps is plain text."""

from datetime import UTC, datetime

import pytest
from loud import Loud

from pocketpump.core.errors import InputError
from pocketpump.core.messages import LazyText, message, text_in
from pocketpump.record import KINDS, MemoryFiles, Record
from pocketpump.record.entry.checks import check_payload
from pocketpump.record.entry.field_labels import column, label

AT = datetime(2026, 2, 20, 9, tzinfo=UTC)


@pytest.mark.parametrize("name", sorted({field.name for kind in KINDS.values() for field in kind}))
def test_every_field_is_named_in_any_language_and_by_its_column_in_english(name):
    words = label(name)
    assert isinstance(words, LazyText)
    assert words == column(name)
    assert type(column(name)) is str


def test_a_field_from_a_newer_version_is_named_all_the_same():
    assert label("new_one_ml") == "new one (mL)"


def test_a_word_chosen_from_what_the_program_says_is_kept_as_plain_text():
    with Record.open(MemoryFiles()) as record:
        payload = {"what": message("fall"), "note": "TYPED"}
        entry = record.add("happening", AT, "UTC", payload)
        assert type(entry.payload["what"]) is str
        assert entry.payload["what"] == "fall"


def test_an_error_of_the_record_can_be_said_in_another_language():
    with Record.open(MemoryFiles()) as record, pytest.raises(InputError) as told:
        record.remove("none")
    assert text_in(str(told.value), Loud()).startswith("THIS ENTRY IS NOT IN THE RECORD")


@pytest.mark.parametrize(
    ("kind", "payload", "sentence"),
    [
        ("pump", {"reservoir_ml": 0.0, "alarm_volume_ml": 2.5},
         "“reservoir (mL)” must be more than 0 and at most 100; please change it."),
        ("check-in", {"stiffness": 11},
         "“stiffness” must be from 0 to 10; please change it."),
        ("check-in", {"stiffness": 1, "worries": ["x", 3]},
         "“worries” must be a list in which each item is text; please change it."),
        ("question", {"text": "x" * 4001},
         "“text” must be at most 4000 characters long; please change it."),
        ("question", {}, "“text” is missing; please fill it in."),
        ("clinic days", {"open_weekdays": []},
         "“open weekdays” must be a list with at least one item; please change it."),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_value_is_said_in_one_sentence(kind, payload, sentence):
    with pytest.raises(InputError) as told:
        check_payload(kind, payload)
    assert str(told.value) == sentence
    assert isinstance(str(told.value), LazyText)
