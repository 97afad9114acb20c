import ast
from datetime import date, time
from decimal import Decimal
from pathlib import Path

import flet as ft
import pytest
from screen_hand import in_use, save, texts

from pocketpump import app
from pocketpump.app.parts import number_grid
from pocketpump.app.parts.fields import SteadyField
from pocketpump.app.parts.stepper import stepped
from pocketpump.app.parts.tap_guard import GuardedButton, GuardedOutline, GuardedText, TapGuard
from pocketpump.app.screens.card.care import care
from pocketpump.core.errors import InputError
from pocketpump.core.units.typed_dates import read_day, read_time, step_day, step_time

FEB = date(2026, 2, 26)


class Clock:
    def __init__(self):
        self.now = 100.0

    def __call__(self):
        return self.now


def test_a_second_tap_within_half_a_second_does_not_count():
    clock = Clock()
    guard = TapGuard(clock)
    clock.now += 10
    assert guard.counts()
    clock.now += 0.4
    assert not guard.counts()
    clock.now += 0.11
    assert guard.counts()


def test_a_button_that_just_appeared_does_not_count_a_tap():
    clock = Clock()
    guard = TapGuard(clock)
    clock.now += 0.3
    assert not guard.counts()
    clock.now += 0.2
    assert guard.counts()


def test_the_guard_outlives_a_re_render():
    first, again = GuardedButton("Save"), GuardedButton("Save")
    again._migrate_state(first)
    assert again._guard is first._guard


def pressed(button, name):
    """Whether the client's event ``name`` gets through to what the button does."""
    return button.before_event(ft.ControlEvent(control=button, name=name))


@pytest.mark.parametrize("kind", [GuardedButton, GuardedOutline, GuardedText])
def test_a_long_press_does_what_a_tap_does_and_both_are_one_action(kind):
    clock, told = Clock(), []
    button = kind("Save", on_click=lambda: told.append("saved"))
    button._guard = TapGuard(clock)
    button.on_long_press()
    assert told == ["saved"]
    clock.now += 1
    assert pressed(button, "long_press")
    clock.now += 0.2
    assert not pressed(button, "click")
    clock.now += 0.4
    assert pressed(button, "click")


UNHELD = {"Button", "CupertinoButton", "ElevatedButton", "FilledButton", "FilledTonalButton",
          "FloatingActionButton", "GestureDetector", "IconButton", "ListTile", "NavigationBar",
          "NavigationRail", "OutlinedButton", "PopupMenuButton", "SegmentedButton", "TextButton",
          "Checkbox", "Radio", "Switch", "Chip", "Dropdown", "Slider", "ExpansionTile",
          "Tooltip"}  # fmt: skip
"""What flet has for pressing and for what hides behind a long press."""


def test_every_button_of_the_app_is_one_that_can_be_held():
    found = [
        (file.name, node.attr)
        for file in Path(app.__file__).parent.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in UNHELD
    ]
    bases = [
        ("tap_guard.py", "FilledButton"),
        ("tap_guard.py", "OutlinedButton"),
        ("tap_guard.py", "TextButton"),
    ]
    assert sorted(found) == bases


def typed(field, text):
    """What the client does when a person types: the value first, then the event."""
    field._values["value"] = text
    field.before_event(ft.ControlEvent(control=field, name="change"))


def redrawn(old, value):
    new = SteadyField(value=value)
    new._migrate_state(old)
    return new


def test_letters_typed_while_the_screen_is_drawn_stay():
    field = SteadyField(value="")
    typed(field, "a")
    field._values["value"] = "ab"  # arrived; the screen has not been told yet
    assert redrawn(field, "a").value == "ab"


def test_the_caret_stays_with_the_letters():
    field = SteadyField(value="ab")
    field._values["selection"] = caret = ft.TextSelection(base_offset=1, extent_offset=1)
    assert redrawn(field, "ab").selection == caret


def test_the_caret_is_put_behind_the_last_letter_each_time_it_is_asked_for():
    field = SteadyField(value="a")
    typed(field, "ab")
    for _ in range(2):
        asked = SteadyField(value="ab")
        asked.caret_to_end = True
        asked._migrate_state(field)
        end = ft.TextSelection(base_offset=2, extent_offset=2)
        assert (asked.value, asked.selection) == ("ab", end)
        # The client is told of what changes alone: in between it must be something else.
        field = redrawn(asked, "ab")
        assert field.selection is None


def test_a_text_the_screen_sets_itself_wins():
    field = SteadyField(value="")
    typed(field, "5")
    assert redrawn(field, "5.5").value == "5.5"


def test_a_draw_that_lags_behind_two_letters_loses_neither():
    field = SteadyField(value="")
    typed(field, "a")
    typed(field, "ab")
    late = redrawn(field, "a")
    late._values["value"] = "abc"
    assert redrawn(late, "ab").value == "abc"


def test_a_form_never_drawn_while_typing_can_be_cleared():
    field = SteadyField(value="")
    typed(field, "a")
    assert redrawn(field, "").value == ""


def test_a_text_can_be_set_back_to_an_earlier_one():
    field = SteadyField(value="200")
    stepped_up = redrawn(field, "201")
    assert redrawn(stepped_up, "200").value == "200"


def test_a_form_can_be_cleared_after_typing():
    field = SteadyField(value="")
    typed(field, "a")
    told = redrawn(field, "a")
    assert redrawn(told, "").value == ""


@pytest.mark.parametrize(
    ("text", "by", "result"),
    [
        ("1.1", "0.1", "1.2"),
        ("0", "-1", "0"),
        ("9.9", "1", "10.9"),
        ("", "1", "0"),
        ("x", "1", "x"),
        ("2 mg/mL", "500", "2 mg/mL"),
        ("2,000", "-500", "2,000"),
        ("2,5", "0.1", "2.6"),
    ],
)
def test_steps_are_exact_and_bounded(text, by, result):
    assert stepped(text, Decimal(by), least=Decimal(0)) == result


@pytest.mark.parametrize(
    "text",
    [
        "2026-02-26",
        "20260226",
        "26 Feb 2026",
        "26. February 2026",
        "Feb 26, 2026",
        "26/2/2026",
        "2/26/2026",
        "26.02.2026",
    ],
)
def test_a_day_is_read_however_it_is_written(text):
    assert read_day(text) == FEB


def test_a_day_that_could_be_two_is_refused_with_both():
    with pytest.raises(InputError, match=r"Fri 3 Apr 2026 or Wed 4 Mar 2026"):
        read_day("3/4/2026")
    assert read_day("4/4/2026") == date(2026, 4, 4)


@pytest.mark.parametrize("text", ["0206-04-25", "1 Jan 1949", "31/12/9999", "00010102"])
def test_a_year_that_is_not_of_our_time_is_refused_with_the_years_that_are(text):
    with pytest.raises(InputError, match="from 1950 to 2150"):
        read_day(text)


@pytest.mark.parametrize("text", ["1 Mar 1937", "01.03.1937", "1937-03-01"])
def test_who_is_old_can_write_when_they_were_born(text):
    app = in_use()
    app.draft("care").update(born_on=text)
    shown = texts(care(app))
    assert "Mon 1 Mar 1937" in shown
    save(care, app)
    assert app.services.newest("care").payload["born_on"] == "1937-03-01"
    app.draft("care").update(born_on="1899-12-31")
    save(care, app)
    assert app.services.newest("care").payload["born_on"] == "1937-03-01"
    assert any("from 1900 to 2150" in text for text in texts(care(app)))


@pytest.mark.parametrize(
    "text", ["", "soon", "2026-02-30", "31 Feb 2026", "12 Foo 2026", "26/2/26"]
)
def test_what_is_no_day_is_refused(text):
    with pytest.raises(InputError):
        read_day(text)


def test_days_step_over_months_and_from_nothing():
    assert step_day("28 Feb 2026", 1, fallback=FEB) == "2026-03-01"
    assert step_day("", 1, fallback=FEB) == "2026-02-26"
    assert step_day("9999-12-31", 1, fallback=FEB) == "2026-02-26"


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [
        ("14:30", 14, 30),
        ("1430", 14, 30),
        ("9", 9, 0),
        ("9.05", 9, 5),
        ("2:30 pm", 14, 30),
        ("12 am", 0, 0),
        ("12 p.m.", 12, 0),
    ],
)
def test_a_time_is_read_however_it_is_written(text, hour, minute):
    assert read_time(text) == time(hour, minute)


@pytest.mark.parametrize("text", ["", "25:00", "9:75", "13 pm", "noon"])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(InputError):
        read_time(text)


def test_times_step_around_midnight():
    assert step_time("23:50", 15, fallback=time(9)) == "00:05"
    assert step_time("00:00", -15, fallback=time(9)) == "23:45"
    assert step_time("", 15, fallback=time(9)) == "09:00"


def test_a_second_tap_on_a_score_keeps_it_and_the_dash_takes_it_away():
    told = []
    rows = number_grid("Stiffness", 10, "7", told.append).controls[1].content.controls
    cells = {cell.key: cell.content for row in rows for cell in row.controls}
    cells["number:7"].content.content.on_click()
    cells["number:none"].on_click()
    assert told == ["7", ""]
    untouched = number_grid("Stiffness", 10, "", told.append).controls[1].content.controls
    assert "number:none" not in {cell.key for row in untouched for cell in row.controls}
