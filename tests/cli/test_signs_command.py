"""``pocketpump signs``: the answer and the whole table."""

import json

import pytest

from pocketpump.cli import main
from pocketpump.core.safety.sign_rules import CIRCUMSTANCES, RULES
from pocketpump.core.safety.sign_table import SIGNS


def told(capsys, *arguments: str) -> str:
    assert main(["signs", *arguments]) == 0
    return capsys.readouterr().out


def test_fever_and_itch_while_a_refill_was_missed_are_an_emergency(capsys):
    # Coffey 2002; docs/danger.md 3.
    values = json.loads(told(capsys, "fever", "itch", "--during", "missed refill", "--json"))
    assert values["urgency"] == "emergency"
    assert values["could_be"][0] == "too little baclofen (withdrawal)"
    assert "an infection" in values["could_be"]
    assert values["do"][0] == "This is an emergency. Call now."
    assert values["circumstances"] == ["a refill was missed and none logged since"]
    assert "clinic's instructions" in values["caution"]


def test_a_closed_clinic_puts_the_emergency_number_first(capsys):
    text = told(capsys, "urgent alarm", "--clinic-closed")
    assert text.startswith("Call the local emergency number now.")
    assert "noted as closed" in text


def test_the_table_prints_every_row_with_level_and_source(capsys):
    text = " ".join(told(capsys, "--table").split())
    for row in (*SIGNS, *RULES):
        level = row.urgency.name.lower().replace("_", " ")
        assert f"{row.id} ({level})" in text
        assert row.source in text
    for one in CIRCUMSTANCES:
        assert one.words in text
        assert one.source in text
    values = json.loads(told(capsys, "--table", "--json"))
    assert [row["id"] for row in values["signs"]] == [sign.id for sign in SIGNS]
    assert len(values["rules"]) == len(RULES)
    assert len(values["circumstances"]) == len(CIRCUMSTANCES)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["headacke"], "no sign “headacke”"),
        (["fever", "--during", "rain"], "no circumstance “rain”"),
        ([], "at least one sign"),
        (["fever", "--table"], "either signs or --table"),
    ],
)
def test_what_is_not_known_is_said_in_one_sentence(capsys, arguments, says):
    assert main(["signs", *arguments]) == 2
    assert says in capsys.readouterr().err
