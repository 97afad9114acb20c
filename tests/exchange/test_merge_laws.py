"""The laws of bringing copies together, over random histories of three copies."""

import json
import random
from dataclasses import replace
from datetime import timedelta

import pytest
from exchange_helpers import NOW, copies, forge, ids, live
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.units.instants import zone_named
from pocketpump.exchange.backup.import_preview import WORDS, preview
from pocketpump.record import KINDS, MemoryFiles, Record, to_document
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.entry.kinds import REMOVAL

ZONE = zone_named("Europe/Rome")
SEEDS = st.integers(0, 2**32)


def united(*parts) -> Record:
    record = Record.open(MemoryFiles())
    for part in parts:
        record.import_entries(part)
    return record


def documents(record: Record) -> dict:
    return {entry.id: to_document(entry) for entry in record.entries}


def shown(record: Record) -> list:
    return [to_document(entry) for entry in record.alive]


@settings(max_examples=150, deadline=None)
@given(SEEDS)
def test_the_order_and_grouping_of_merges_make_no_difference(seed):
    a, b, c = (record.entries for record in copies(seed))
    one = united(a, b, c)
    for other in (
        united(c, a, b),
        united(b, united(c, a).entries),
        united(united(a, b).entries, c),
    ):
        assert documents(other) == documents(one)
        assert shown(other) == shown(one)


@settings(max_examples=100, deadline=None)
@given(SEEDS)
def test_merging_again_adds_nothing_and_nothing_is_ever_lost(seed):
    a, b, _ = copies(seed)
    before = documents(a)
    first = a.import_entries(b.entries)
    assert documents(a) == before | documents(b)
    again = a.import_entries(b.entries)
    assert again.added == again.settled == ()
    assert len(first.added) == len(documents(a)) - len(before)
    b.import_entries(a.entries)
    assert documents(b) == documents(a)
    assert shown(b) == shown(a)


@settings(max_examples=100, deadline=None)
@given(SEEDS)
def test_the_preview_tells_what_then_happens(seed):
    a, b, _ = copies(seed)
    alive_before = [e for e in a.alive if e.kind != REMOVAL]
    told = preview(a.entries, b.entries, ZONE)
    imported = a.import_entries(b.entries)
    assert told.imported == imported
    alive_after = [e for e in a.alive if e.kind != REMOVAL]
    gone = ids(alive_before) - ids(alive_after)
    assert gone == ids(told.vanishing) | ids(told.changing)
    assert sum(number for _, number in told.counts) == len(ids(alive_after) - ids(alive_before))
    new = ids((*imported.added, *imported.settled))
    assert len(ids(alive_after) & new) + told.history == told.adds
    assert all(sentence.endswith(".") for sentence in told.conflicts)
    assert preview(a.entries, b.entries, ZONE).adds == 0


@settings(max_examples=100, deadline=None)
@given(SEEDS)
def test_undoing_a_merge_brings_back_what_counted_before_and_undoing_that_too(seed):
    a, b, _ = copies(seed)
    before = [e for e in shown(a) if e["kind"] != REMOVAL]
    imported = a.import_entries(b.entries)
    after = [e for e in shown(a) if e["kind"] != REMOVAL]
    if not imported.added:
        with pytest.raises(InputError):
            a.undo_import(imported)
        return
    removal = a.undo_import(imported)
    assert [e for e in shown(a) if e["kind"] != REMOVAL] == before
    a.undo(removal.id)
    assert [e for e in shown(a) if e["kind"] != REMOVAL] == after


def test_a_conflict_is_told_with_both_values_and_what_is_shown():

    phone, desktop = united(), united()

    old = phone.add("refill", NOW, "Europe/Rome", {"filled_ml": 20, "strength_mcg_per_ml": 500})
    desktop.import_entries(phone.entries)
    phone.correct(old.id, {"filled_ml": 19, "strength_mcg_per_ml": 500})
    desktop.correct(old.id, {"filled_ml": 18, "strength_mcg_per_ml": 500})
    told = preview(phone.entries, desktop.entries, ZONE)
    assert len(told.conflicts) == 1
    sentence = told.conflicts[0]
    assert sentence.startswith("The refill of Mon 2 Mar 2026 was corrected in two ways.")
    assert "filled (mL) 18, not 19" in sentence


# ── one id with two contents ────────────────────────────────────────────────


def forged(seed: int) -> list[Record]:
    made = copies(seed)
    forge(made, random.Random(seed))
    return made


def contents(entries) -> set[str]:
    return {json.dumps([e.kind, e.at.isoformat(), e.payload], sort_keys=True) for e in entries}


def said(record: Record) -> list:
    """What is shown, without under which id."""
    kept = [e for e in shown(record) if e["kind"] != REMOVAL]
    return sorted(json.dumps([e["kind"], e["at"], e["zone"], e["payload"]], sort_keys=True)
                  for e in kept)  # fmt: skip


@settings(max_examples=250, deadline=None)
@given(SEEDS)
def test_two_contents_of_one_id_come_to_the_same_in_any_order_and_none_is_lost(seed):
    a, b, c = (record.entries for record in forged(seed))
    one = united(a, b, c)
    for other in (
        united(c, b, a),
        united(b, united(c, a).entries),
        united(united(a, b).entries, c),
        united(a, united(a, c).entries, united(c, b).entries, b),
    ):
        assert documents(other) == documents(one)
        assert shown(other) == shown(one)
    assert one.import_entries((*b, *a, *c)).added == ()
    assert contents((*a, *b, *c)) == contents(one.entries)


@settings(max_examples=250, deadline=None)
@given(SEEDS)
def test_a_copy_with_other_contents_is_told_before_and_can_be_taken_back(seed):
    a, b, _ = forged(seed)
    before = said(a)
    told = preview(a.entries, b.entries, ZONE)
    imported = a.import_entries(b.entries)
    assert told.imported == imported
    # Whatever no longer reads as it did was named before.
    hidden = {(e.kind, e.at) for e in (*told.vanishing, *told.changing)}
    lost = [one for one in before if before.count(one) > said(a).count(one)]
    assert not lost or hidden
    try:
        a.undo_import(imported)
    except InputError:
        assert said(a) == before
    assert said(a) == before


@pytest.mark.parametrize("turn", range(20))  # ids are random: any order of them must do
def test_of_three_contents_of_one_id_taking_back_the_third_shows_what_was_shown(turn):
    mine = united()
    first = mine.add("preference", NOW, "", {"name": "x", "value": True})
    mine.import_entries(
        [replace(first, payload=freeze({"name": "x", "value": 1.0}))]
    )  # written at once
    before = said(mine)
    older = first.written_at - timedelta(days=9)
    third = replace(first, payload=freeze({"name": "x", "value": "=2"}), written_at=older)
    mine.undo_import(mine.import_entries([third]))
    assert said(mine) == before


@pytest.mark.parametrize("strength", [400.0, 4000.0])
@pytest.mark.parametrize("written", [-1, 1])
def test_another_strength_under_our_id_is_told_with_both_values_and_undone(strength, written):
    mine = united()
    entry = mine.add("refill", NOW, "", {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0})
    changed = replace(
        entry,
        payload=freeze({"filled_ml": 20.0, "strength_mcg_per_ml": strength}),
        written_at=entry.written_at + timedelta(days=written),
    )
    told = preview(mine.entries, [changed], ZONE)
    shown_now = strength if written > 0 else 2000.0
    other = 2000.0 if written > 0 else strength
    assert told.conflicts[0].startswith("The refill of Mon 2 Mar 2026 has two contents.")
    assert f"strength (mcg/mL) {shown_now:g}, not {other:g}" in told.conflicts[0]
    assert bool(told.changing) == (written > 0)
    imported = mine.import_entries([changed])
    assert [e.payload["strength_mcg_per_ml"] for e in mine.alive] == [shown_now]
    removal = mine.undo_import(imported)
    assert said(mine) == said(united([entry]))
    assert mine.problems == ()
    mine.undo(removal.id)
    assert [e.payload["strength_mcg_per_ml"] for e in mine.alive if not e.removes] == [shown_now]


def test_a_dose_conflict_is_told_in_words_and_lists_too():
    mine, theirs = united(), united()
    dose = mine.add("programme", NOW, "", {"programme": {"days": [[[0, 10.0]]]}})
    days = mine.add("clinic days", NOW, "", {"open_weekdays": [0], "closed_on": ["2026-12-25"]})
    theirs.import_entries(mine.entries)
    for record, rate, weekdays in ((mine, 12.0, [1]), (theirs, 8.0, [2, 3])):
        record.correct(dose.id, {"programme": {"days": [[[0, rate]]]}})
        record.correct(days.id, {"open_weekdays": weekdays})
    told = " ".join(preview(mine.entries, theirs.entries, ZONE).conflicts)
    assert "192 mcg/day" in told
    assert "288 mcg/day" in told
    assert "open weekdays 2 and 3, not 1" in told
    assert "another one" not in told


def test_another_persons_record_is_asked_about():
    chance = random.Random(3)

    mine, theirs = united(), united()
    live(mine, chance, 5)
    live(theirs, chance, 5)
    assert preview(mine.entries, theirs.entries, ZONE).stranger
    assert not preview((), theirs.entries, ZONE).stranger
    assert not preview(mine.entries, mine.entries, ZONE).stranger


def test_what_was_brought_in_and_then_corrected_is_not_taken_back_blindly():

    mine, theirs = united(), united()
    entry = theirs.add("check-in", NOW, "", {"stiffness": 3})
    imported = mine.import_entries(theirs.entries)
    mine.correct(entry.id, {"stiffness": 4})
    with pytest.raises(InputError, match="corrected since"):
        mine.undo_import(imported)
    assert [e.payload["stiffness"] for e in mine.alive] == [4]


def test_every_kind_has_its_words():
    assert set(WORDS) == set(KINDS)
