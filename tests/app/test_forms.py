"""Forms: text in, values or one clear sentence out, whatever was typed."""

import random
from datetime import UTC, datetime

import pytest

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.screens import dose, pump, refill
from pocketpump.core.quantity import STRENGTH, VOLUME
from pocketpump.record import MemoryFiles, Record

NOW = datetime(2026, 1, 20, 9, 7, tzinfo=UTC)


class FakeApp:
    """An app without a page: drafts, a query, and a count of what was said."""

    def __init__(self, query=None):
        self.drafts = {}
        self.query = query or {}
        self.said = []
        self.services = Notebook(Record.open(MemoryFiles(), clock=lambda: NOW), lambda: NOW, "UTC")

    def draft(self, name):
        return self.drafts.setdefault(name, {})

    def refresh(self):
        pass

    def go(self, route):
        self.route = route

    def say(self, text, **more):
        self.said.append((text, more))


def form_with(**texts) -> Form:
    app = FakeApp()
    app.draft("form").update(texts)
    return Form(app, "form", {})


def assert_one_sentence(text: str) -> None:
    assert text[-1] in ".", text
    assert "\n" not in text
    assert "Traceback" not in text
    assert len(text) < 260, text


def test_an_amount_may_leave_its_unit_out_or_write_another():
    form = form_with(volume="20", strength="2 mg/mL", comma="0,5")
    assert form.amount("volume", VOLUME) == 20.0
    assert form.amount("strength", STRENGTH) == 2000.0
    assert form.amount("comma", VOLUME) == 0.5


def test_an_untouched_field_follows_its_default_and_a_touched_one_does_not():
    app = FakeApp()
    form = Form(app, "form", {"day": "2026-01-20", "dose": "200"})
    form.put("dose", "210")
    later = Form(app, "form", {"day": "2026-01-21", "dose": "220"})
    assert (later.text("day"), later.text("dose")) == ("2026-01-21", "210")


def test_trouble_is_told_only_after_the_first_try_to_save():
    form = form_with(volume="x")
    assert form.amount("volume", VOLUME) is None
    assert form.error("volume") == ""
    form.put("tried", True)
    assert form.error("volume").startswith('"x" is not a volume')


def test_an_instant_to_come_is_refused():
    form = form_with(day="2026-01-21", time="09:00", tried=True)
    form.instant("day", "time", latest=NOW)
    assert "still to come" in form.error("day")


PIECES = ["", " ", "0", "-1", "20", "40 mL", "1,000", "1e9", "NaN", "inf", "½", "\x00", "9" * 400,
          "2026-02-30", "31/12/2025", "3/4/2026", "24:00", "12:60", "00:00", "2 am", "mcg", "mg/mL",
          "Mon-Fri: 00:00 15 mcg/h", "Sat: 25:00 x", "08:00, 08:00", "4", "999", "\u202e1", "‰",
          "00:00 15 mcg/h, 06:00", "constant rate", "\ud800", "10 mg/20 mL"]  # fmt: skip


@pytest.mark.parametrize(
    ("screen", "name", "fields"),
    [
        (pump.pump, "pump", ["size", "other", "alarm_volume_ml", "tolerance_percent",
                             "drug_age_limit_days", "line_volume_ml", "felt_low_ml", "model"]),
        (refill.refill, "refill:", ["day", "time", "filled_ml", "strength_mcg_per_ml",
                                    "printed_alarm_on", "note"]),
        (dose.dose, "dose:", ["dose", "bolus", "times", "most", "weekdays", "clock", "day", "time",
                              "printed_alarm_on"]),
    ],
)  # fmt: skip
def test_thousands_of_odd_answers_are_saved_or_explained(screen, name, fields):
    rng = random.Random(20260121)
    saved = 0
    for _ in range(1_500):
        app = FakeApp()
        draft = app.draft(name)
        draft |= {"size": "20", "filled_ml": "20", "strength_mcg_per_ml": "500", "dose": "200"}
        for field in fields:
            if rng.random() < 0.3:
                draft[field] = rng.choice(PIECES)
        draft["mode"] = rng.choice(
            ["constant rate", "day pattern", "timed bolus", "requested bolus", "stopped"]
        )
        draft["days"] = rng.choice(["same", "weekdays"])
        draft["steps"] = [(rng.choice(PIECES), rng.choice(PIECES)) for _ in range(3)]
        if draft["size"] != "20":
            draft["size"] = rng.choice(["", "20", "40", "other"])
        before = len(app.services.record.entries)
        _tap_save(screen, app)
        if len(app.services.record.entries) > before:
            saved += 1
        else:
            controls = _all(screen(app))
            assert any("Nothing was saved yet." in text for text in _texts(controls)), draft
            for sentence in _beside_fields(controls):
                assert_one_sentence(sentence)
    assert saved > 20


def _tap_save(screen, app) -> None:
    buttons = [c for c in _all(screen(app)) if str(c.key or "").startswith("button:Save")]
    buttons[-1].on_click()


def _texts(controls) -> list[str]:
    return [c.value for c in controls if isinstance(getattr(c, "value", None), str)]


def _beside_fields(controls) -> list[str]:
    rows = [c for c in controls if c.key == "error"]
    return [text for row in rows for text in _texts(_all([row]))]


def _all(controls) -> list:
    found = []
    for control in controls:
        if control is None:
            continue
        found.append(control)
        inner = list(getattr(control, "controls", None) or [])
        content = getattr(control, "content", None)
        if content is not None and not isinstance(content, str):
            inner.append(content)
        found += _all(inner)
    return found


def test_a_save_that_fails_keeps_what_was_typed_and_says_so():
    app = FakeApp()
    app.services.record.close()
    app.draft("pump").update({"size": "20", "model": "grey"})
    _tap_save(pump.pump, app)
    texts = _texts(_all(pump.pump(app)))
    assert any("Nothing was saved yet. Saving is switched off" in text for text in texts)
    assert app.draft("pump")["model"] == "grey"


def test_undo_of_a_saved_entry_takes_it_back():
    app = FakeApp()
    app.draft("pump").update({"size": "20"})
    _tap_save(pump.pump, app)
    text, more = app.said[-1]
    assert text == "The pump is saved."
    assert app.services.newest("pump") is not None
    more["undo"]()
    assert app.services.newest("pump") is None
