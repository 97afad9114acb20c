"""A refill noted twice is told where the person sees it."""

import pytest
from screen_hand import in_use, texts

from pocketpump.app.screens.refills.refill_form import refill
from pocketpump.app.screens.refills.refill_list import refills
from pocketpump.app.screens.today.today import today


@pytest.mark.parametrize("screen", [today, refills], ids=lambda screen: screen.__name__)
def test_the_same_refill_again_is_told(screen):
    app = in_use()
    assert not [text for text in texts(screen(app)) if "noted twice" in text]
    app.note("refill", "2026-03-12T09:20", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    assert [text for text in texts(screen(app)) if "noted twice" in text]


@pytest.mark.parametrize("screen", [today, refills], ids=lambda screen: screen.__name__)
@pytest.mark.parametrize(
    ("known", "asked"),
    [
        ({"measured_after_ml": 16.0}, "4 mL are missing right after the fill"),
        ({"printed_alarm_on": "2026-05-20"}, "the printed one Wed 20 May 2026"),
    ],
)
@pytest.mark.parametrize("minutes", ["08:40", "09:40"])
def test_what_either_note_of_a_refill_asks_stays_in_sight(screen, known, asked, minutes):
    app = in_use()
    refill = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
    app.note("refill", "2026-03-12T09:00", {**refill, "expected_ml": 4.0, "withdrawn_ml": 4.0})
    app.note("refill", f"2026-03-12T{minutes}", {**refill, **known})
    assert [text for text in texts(screen(app)) if asked in text]


def test_the_form_tells_that_another_note_does_not_agree_and_dates_as_once_saved():
    app = in_use()
    app.note("refill", "2026-03-12T09:00", {"filled_ml": 18.0, "strength_mcg_per_ml": 500.0})
    app.draft("refill:").update(
        {"day": "2026-03-12", "time": "09:20", "filled_ml": "20", "strength_mcg_per_ml": "500"}
    )
    assert [text for text in texts(refill(app)) if "18 mL of 500" in text]


def test_a_visit_after_what_the_other_note_allows_is_told_in_the_form():
    app = in_use()
    known = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "printed_alarm_on": "2026-04-10"}
    app.note("refill", "2026-03-12T09:00", known)
    app.draft("refill:").update(
        {"day": "2026-03-12", "time": "09:20", "filled_ml": "20", "strength_mcg_per_ml": "500",
         "printed_alarm_on": "2026-04-26", "next_visit_on": "2026-04-15", "more": True}
    )  # fmt: skip
    assert [text for text in texts(refill(app)) if "is after the refill-by date" in text]


def test_an_alarm_volume_set_at_the_refill_counts_for_the_visit_named_there():
    app = in_use()
    app.draft("refill:").update(
        {"day": "2026-03-12", "time": "09:20", "filled_ml": "20", "strength_mcg_per_ml": "500",
         "next_visit_on": "2026-04-17", "more": True}
    )  # fmt: skip
    late = "is after the refill-by date"
    assert not [text for text in texts(refill(app)) if late in text]
    app.draft("refill:")["alarm_volume_ml"] = "6"
    assert [text for text in texts(refill(app)) if late in text]
