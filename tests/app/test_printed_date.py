"""The date the clinic printed at a change of the dose: after that change, or not taken."""

import pytest
from screen_hand import in_use, save, texts

from pocketpump.app.screens.pump import dose_form
from pocketpump.app.screens.refills import refill_form

NOT_AFTER = ("2025-04-25", "2026-03-15", "2026-03-12")


@pytest.mark.parametrize("printed", NOT_AFTER)
def test_an_alarm_date_not_after_the_change_of_the_dose_is_refused(printed):
    app = in_use()
    app.draft("dose:").update({"dose": "210", "day": "2026-03-15", "printed_alarm_on": printed})
    before = app.services.record.alive
    save(dose_form.dose, app)
    assert app.services.record.alive == before
    assert any("not after the change" in text for text in texts(dose_form.dose(app)))


def test_an_alarm_date_after_the_change_of_the_dose_is_saved():
    app = in_use()
    app.draft("dose:").update(
        {"dose": "210", "day": "2026-03-15", "printed_alarm_on": "2026-04-24"}
    )
    save(dose_form.dose, app)
    assert app.services.newest("programme").payload["printed_alarm_on"] == "2026-04-24"


@pytest.mark.parametrize("printed", NOT_AFTER)
def test_an_alarm_date_not_after_the_refill_is_refused(printed):
    app = in_use()
    app.draft("refill:").update({"day": "2026-03-15", "printed_alarm_on": printed})
    before = app.services.record.alive
    save(refill_form.refill, app)
    assert app.services.record.alive == before
    assert any("not after the refill" in text for text in texts(refill_form.refill(app)))
