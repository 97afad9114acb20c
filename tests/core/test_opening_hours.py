"""When the clinic answers: read from what people write, never guessed."""

from datetime import UTC, datetime

import pytest

from pocketpump.core.safety.contacts import CLINIC_ROLE, Contact
from pocketpump.core.safety.opening_hours import clinic_open, hours_text, is_answered, read_hours

FRIDAY_NIGHT = datetime(2026, 11, 27, 21, 13, tzinfo=UTC)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """``day`` 0 is Monday, 23 November 2026."""
    return datetime(2026, 11, 23 + day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "opened", "closed"),
    [
        ("Mon-Fri 9-16", [at(0, 9), at(4, 15, 59)], [at(4, 16), FRIDAY_NIGHT, at(5, 10)]),
        ("Mon–Fri 9–16", [at(0, 9)], [FRIDAY_NIGHT]),
        ("Mo–Fr 9:00–16:00 Uhr", [at(2, 12)], [at(6, 12)]),
        ("Mo. - Fr. von 9.30 bis 16 Uhr", [at(2, 9, 30)], [at(2, 9, 29)]),
        ("Tue, Thu 8:30 am to 1 pm", [at(1, 8, 30), at(3, 12)], [at(2, 10), at(1, 13)]),
        ("Mondays and Wednesdays 9-12 and 13-17", [at(0, 9), at(2, 16)], [at(0, 12), at(1, 9)]),
        ("Mon-Thu 8-16, Fri 8-12", [at(3, 15), at(4, 11)], [at(4, 12)]),
        ("9-16", [at(0, 9)], [at(5, 10)]),
        ("9 am - 4 pm", [at(0, 15)], [at(0, 16)]),
        ("daily 8-20", [at(6, 19)], [at(6, 20)]),
        ("weekdays 8-16", [at(4, 8)], [at(5, 8)]),
        ("Fri-Mon 10-11", [at(4, 10), at(6, 10), at(0, 10)], [at(1, 10)]),
        ("daily 18-8", [at(0, 19), at(1, 7), at(0, 7)], [at(1, 9)]),
        ("9 am - 5", [at(0, 16)], [FRIDAY_NIGHT, at(1, 3), at(0, 17)]),
        ("8:30am-4:30", [at(0, 16)], [FRIDAY_NIGHT, at(1, 3)]),
        ("Mon-Fri 10am-2", [at(0, 13)], [FRIDAY_NIGHT, at(0, 14)]),
        ("8am-12", [at(0, 11)], [at(0, 12), FRIDAY_NIGHT]),
        ("Mon-Fri 1-5 pm", [at(0, 13)], [at(0, 3), at(0, 17)]),
        ("daily 6 pm - 8 am", [at(0, 19), at(1, 7)], [at(1, 9)]),
        ("24/7", [FRIDAY_NIGHT], []),
        ("day and night", [FRIDAY_NIGHT], []),
        ("rund um die Uhr", [FRIDAY_NIGHT], []),
    ],
)
def test_hours_as_people_write_them(text, opened, closed):
    hours = read_hours(text)
    assert hours is not None
    for moment in opened:
        assert hours.is_open(moment), moment
    for moment in closed:
        assert not hours.is_open(moment), moment


@pytest.mark.parametrize(
    "text",
    ["", "mornings", "ask Ms X", "Mon-Fri", "closed on Wed", "Mon 9-", "9", "25-26", "9-9", "9-4",
     "Mon-Fri 9-12, 1-4", "Tue 1-5", "Mon-Fri 12-4", "Mon-Fri 9-12 am",
     "not 9-16", "Mon-Fri 9-16 except holidays", "second Tuesday 9-16", "-"],
)  # fmt: skip
def test_what_cannot_be_read_for_certain_is_not_guessed(text):
    assert read_hours(text) is None


def clinic(hours: str, **more) -> Contact:
    return Contact("Clinic", CLINIC_ROLE, "020 7946 0100", hours, **more)


@pytest.mark.parametrize(
    ("contacts", "expected"),
    [
        ([clinic("Mon–Fri 9–16")], False),
        ([clinic("Mon–Fri 9–16", emergency=True)], True),
        ([clinic("Mon–Fri 9–16"), clinic("daily 0-24")], True),
        ([clinic("Mon–Fri 9–16"), clinic("")], None),
        ([clinic("mornings")], None),
        ([clinic("Mon–Fri 9–16"), clinic("mornings")], None),
        ([], None),
    ],
)
def test_friday_at_13_past_nine(contacts, expected):
    assert clinic_open(is_answered(one, FRIDAY_NIGHT) for one in contacts) is expected


@pytest.mark.parametrize(
    ("text", "told"),
    [("Mon–Fri 9–16", "Mon–Fri 9:00–16:00"), ("24/7", "day and night"),
     ("Mon-Thu 8-16, Fri 8-12", "Mon–Thu 8:00–16:00; Fri 8:00–12:00"),
     ("Tue 9-12 and 1 pm - 4 pm", "Tue 9:00–12:00, 13:00–16:00"),
     ("daily 18-8", "Mon–Sun 18:00–8:00")],
)  # fmt: skip
def test_the_hours_are_said_as_they_were_read(text, told):
    assert hours_text(read_hours(text)) == told


def test_on_a_closed_day_only_a_number_for_day_and_night_is_answered():
    noon = at(0, 12)
    assert is_answered(clinic("Mon–Fri 9–16"), noon, is_closed_day=True) is False
    assert is_answered(clinic(""), noon, is_closed_day=True) is False
    assert is_answered(clinic("24/7"), noon, is_closed_day=True) is True
    assert is_answered(clinic("Mon–Fri 9–16", emergency=True), noon, is_closed_day=True) is True
