"""Today and the glance follow the visit that is noted."""

from datetime import date

import pytest
from screen_hand import in_use, texts

from pocketpump.app.screens.card.printed import card_of
from pocketpump.app.screens.today.today import today
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.web.glance import glance_facts


# E14: filled 2026-01-12, call by 02-05, refill by 02-19 (derived).
@pytest.mark.parametrize(("visit", "calls"), [(None, True), ("2026-02-16", False)])
def test_who_has_a_visit_in_time_is_not_told_to_call(visit, calls):
    app = in_use(now="2026-02-06T12:00", filled="2026-01-12T09:00")
    (refill,) = app.services.of_kind("refill")
    if visit:
        app.services.record.correct(refill.id, {**refill.payload, "next_visit_on": visit})
    shown = texts(today(app))
    booked = [text for text in shown if text.startswith("Your refill is booked for Mon 16 Feb")]
    assert bool(booked) != calls
    assert ("Time to call the clinic" in " ".join(shown)) == calls
    assert ("Call the clinic by" in shown) == calls
    answer, _ = app.services.forecast()
    booked = booked_visit(app.services.record.alive, answer.now)
    facts = glance_facts(
        card_of(app.services, app.services.now()), answer, booked.on if booked else None
    )
    assert (facts["booked_on"] is None) == calls


def test_a_visit_too_late_still_asks_for_the_call():
    app = in_use(now="2026-02-06T12:00", filled="2026-01-12T09:00")
    answer, _ = app.services.forecast()
    assert (
        glance_facts(card_of(app.services, app.services.now()), answer, date(2026, 2, 20))[
            "booked_on"
        ]
        is None
    )
