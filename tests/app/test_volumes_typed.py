"""Volumes that cannot be: refused beside their field, in one sentence."""

import pytest
from screen_hand import PUMP, in_use, save, texts

from pocketpump.app.screens.pump import pump
from pocketpump.app.screens.refills import refill_form


def test_more_withdrawn_than_was_filled_is_refused_beside_its_field():
    app = in_use()
    app.draft("refill:").update(withdrawn_ml="60")
    before = app.services.record.alive
    save(refill_form.refill, app)
    assert app.services.record.alive == before
    sentence = "more than the 20 mL that were filled in before"
    assert [text for text in texts(refill_form.refill(app)) if sentence in text]
    app.draft("refill:").update(withdrawn_ml="16.9")
    save(refill_form.refill, app)
    assert len(app.services.of_kind("refill")) == 2


@pytest.mark.parametrize(
    ("felt", "sentence"),
    [
        ("90", "less than the reservoir's size"),
        ("20", "less than the reservoir's size"),
        ("16", "less than the 15 mL of the last refill"),
        ("3.5", ""),
    ],
)
def test_a_felt_volume_the_pump_cannot_hold_is_refused(felt, sentence):
    app = in_use()
    app.note("refill", "2026-03-13T09:00", {"filled_ml": 15.0, "strength_mcg_per_ml": 500.0})
    app.draft("pump").update(felt_low_ml=felt, more=True)
    save(pump.pump, app)
    if sentence:
        assert app.services.newest("pump").payload == PUMP
        assert [text for text in texts(pump.pump(app)) if sentence in text]
    else:
        assert app.services.newest("pump").payload["felt_low_ml"] == 3.5
