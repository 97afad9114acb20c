"""Days typed into the forms: none that would break what is computed from it."""

import pytest
from screen_hand import in_use, save, texts

from pocketpump.app.screens.pump import dose_form, pump
from pocketpump.app.screens.refills import refill_form

OTHER_TIMES = ("0001-01-02", "0206-04-25", "1 Jan 1949", "9999-12-31", "20260-01-01")


@pytest.mark.parametrize("day", OTHER_TIMES)
@pytest.mark.parametrize("field", ["day", "printed_alarm_on"])
def test_a_dose_setting_with_a_day_of_another_time_is_not_saved(field, day):
    app = in_use()
    app.draft("dose:").update({"mode": "constant rate", "dose": "210", "from": "day", field: day})
    before = app.services.record.alive
    save(dose_form.dose, app)
    assert app.services.record.alive == before
    assert [text for text in texts(dose_form.dose(app)) if "Nothing was saved yet." in text]


@pytest.mark.parametrize("day", OTHER_TIMES)
@pytest.mark.parametrize("field", ["day", "printed_alarm_on", "next_visit_on"])
def test_a_refill_with_a_day_of_another_time_is_not_saved(field, day):
    app = in_use()
    app.draft("refill:").update({"dose changed": "no", field: day})
    before = app.services.record.alive
    save(refill_form.refill, app)
    assert app.services.record.alive == before
    assert [text for text in texts(refill_form.refill(app)) if "Nothing was saved yet." in text]


def test_a_pump_is_noted_once_it_is_in_the_body():
    app = in_use()  # on 2026-03-20
    before = len(app.services.of_kind("pump"))
    for day, saved in (("2026-03-21", 0), ("2062-01-05", 0), ("2026-03-20", 1)):
        app.draft("pump").update({"more": True, "implanted_on": day, "which_pump": "other"})
        save(pump.pump, app)
        assert len(app.services.of_kind("pump")) == before + saved
        assert ("still to come" in " ".join(texts(pump.pump(app)))) == (not saved)
