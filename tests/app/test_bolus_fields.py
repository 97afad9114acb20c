"""Boluses in the form of a dose setting: as many as there are, and none lost by a correction."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from screen_hand import at, confirm, in_use, save, texts

from pocketpump.app.screens.pump import dose_form
from pocketpump.core.pump.programme import RequestedBolus, TimedBolus, constant_rate
from pocketpump.core.pump.programme_payload import programme_from_payload, programme_to_payload
from pocketpump.core.pump.programme_text import with_boluses

MORNING_AND_EVENING = TimedBolus(45.0, 2, (480, 1200))
NIGHT = TimedBolus(20.0, 1, (60,))
SPREAD = TimedBolus(12.5, 3)


def corrected(programme, **changes):
    """The programme kept after its form was opened, changed and saved."""
    app = in_use()
    entry = app.note(
        "programme", "2026-03-13T09:00", {"programme": programme_to_payload(programme)}
    )
    app.query = {"id": entry.id}
    app.draft(f"dose:{entry.id}").update(changes)
    save(dose_form.dose, app)
    confirm(dose_form.dose, app)
    kept = app.services.newest("programme")
    assert kept.id != entry.id
    assert kept.at == at("2026-03-13T09:00")
    return programme_from_payload(kept.payload["programme"])


bolus = st.builds(
    lambda amount, minutes, per_day: TimedBolus(
        amount, len(minutes) or per_day, tuple(sorted(minutes))
    ),
    st.integers(1, 20_000).map(lambda n: n / 100),
    st.sets(st.integers(0, 1439), max_size=3),
    st.integers(1, 6),
)


@settings(deadline=None, max_examples=50)
@given(st.lists(bolus, max_size=7), st.booleans())
def test_every_bolus_survives_a_correction_of_the_note(timed, requested):
    asked = RequestedBolus(25.0, 4) if requested else None
    programme = with_boluses(constant_rate(100.0), tuple(timed), asked)
    assert corrected(programme, note="x") == programme


def test_boluses_of_another_amount_can_be_added_and_taken_away():
    added = corrected(
        with_boluses(constant_rate(100.0), (MORNING_AND_EVENING,), None),
        **{"timed rows": "2", "timed amount 2": "20", "times 2": "01:00"},
    )
    assert added.timed == (MORNING_AND_EVENING, NIGHT)
    left = corrected(
        with_boluses(constant_rate(100.0), (SPREAD, NIGHT), None), **{"timed rows": "1"}
    )
    assert left.timed == (SPREAD,)


@pytest.mark.parametrize("empty", ["timed amount 2", "times 2"])
def test_a_half_filled_row_is_not_left_out_in_silence(empty):
    app = in_use()
    app.draft("dose:").update({"timed": "yes", "timed amount": "45", "times": "4",
                               "timed rows": "2", "timed amount 2": "20", "times 2": "01:00",
                               empty: ""})  # fmt: skip
    before = app.services.record.alive
    save(dose_form.dose, app)
    assert app.services.record.alive == before
    assert any("Nothing was saved yet." in text for text in texts(dose_form.dose(app)))
