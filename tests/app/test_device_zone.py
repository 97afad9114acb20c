"""The zone is that of the device now, not that of the start: abroad, dates are those of there."""

from datetime import UTC, datetime
from types import SimpleNamespace
from zoneinfo import ZoneInfoNotFoundError

import pytest
from screen_hand import in_use, texts

from pocketpump.app.screens.today.today import today
from pocketpump.app.services import Services
from pocketpump.app.shell.device_zone import DeviceZone
from pocketpump.cli import open_app
from pocketpump.record import MemoryFiles, Record
from pocketpump.web import bridge, phone

# 2026-02-06, late in the evening in Amsterdam, in the morning of the 7th in Tokyo.
LATE = datetime(2026, 2, 6, 22, 30, tzinfo=UTC)


def test_what_is_drawn_and_saved_abroad_is_dated_by_the_clock_there():
    here = ["Europe/Amsterdam"]
    record = Record.open(MemoryFiles(), clock=lambda: LATE)
    services = Services(record, lambda: LATE, lambda: here[0])
    at_home = services.save("question", services.now(), {"text": "?"})
    here[0] = "Asia/Tokyo"
    abroad = services.save("question", services.now(), {"text": "!"})
    (together,) = services.save_together([("question", services.now(), {"text": "&"})])
    assert [(one.at.date().day, one.zone) for one in (at_home, abroad, together)] == [
        (6, "Europe/Amsterdam"), (7, "Asia/Tokyo"), (7, "Asia/Tokyo")
    ]  # fmt: skip


def test_an_instant_read_before_the_journey_keeps_the_zone_it_was_read_in():
    here = ["Europe/Amsterdam"]
    record = Record.open(MemoryFiles(), clock=lambda: LATE)
    services = Services(record, lambda: LATE, lambda: here[0])
    typed = services.now()
    here[0] = "Asia/Tokyo"
    entry = services.save("question", typed, {"text": "?"})
    assert (entry.at.isoformat(), entry.zone) == (typed.isoformat(), "Europe/Amsterdam")


def test_today_counts_the_days_of_the_place_the_device_is_in():
    app = in_use("2026-02-06T22:30", "2026-01-12T09:00")
    # E14: refill by 2026-02-19 (derived).
    assert "13" in texts(today(app))
    app.zone = "Asia/Tokyo"
    assert "12" in texts(today(app))


def test_the_device_is_asked_again_after_a_second_and_a_failing_answer_changes_nothing():
    answers, tick = ["Europe/Rome"], [0.0]
    zone = DeviceZone(lambda: answers[-1], tick=lambda: tick[0])
    assert zone() == "Europe/Rome"
    answers.append("Asia/Tokyo")
    tick[0] = 0.5
    assert zone() == "Europe/Rome"  # one drawing asks hundreds of times
    tick[0] = 1.5
    assert zone() == "Asia/Tokyo"
    for odd in ("", "Mars/Olympus", "../etc/passwd"):
        answers.append(odd)
        tick[0] += 5
        assert zone() == "Asia/Tokyo"


def test_a_device_without_a_zone_is_in_utc():
    assert DeviceZone(lambda: "")() == "UTC"


@pytest.mark.filterwarnings("ignore:Timezone offset does not match")
def test_the_desktop_asks_the_machine_and_not_what_was_kept_of_it(monkeypatch):
    name = ["Europe/Rome"]
    monkeypatch.setattr("tzlocal.unix._get_localzone_name", lambda *_: name[0])
    assert open_app.local_zone_name() == "Europe/Rome"
    name[0] = "Asia/Tokyo"
    assert open_app.local_zone_name() == "Asia/Tokyo"

    def contradicting(*_args):
        raise ZoneInfoNotFoundError("two files that do not agree")

    monkeypatch.setattr("tzlocal.unix._get_localzone_name", contradicting)
    assert open_app.local_zone_name() == "UTC"


def test_the_phone_asks_the_browser_each_time(monkeypatch):
    name = ["Europe/Rome"]
    monkeypatch.setattr(bridge, "_host", SimpleNamespace(timeZone=lambda: name[0]))
    assert bridge.time_zone() == "Europe/Rome"
    name[0] = "Asia/Tokyo"
    assert bridge.time_zone() == "Asia/Tokyo"


@pytest.mark.parametrize("given", ["Asia/Tokyo", None])
def test_a_zone_that_was_asked_for_stays_and_the_devices_own_is_followed(monkeypatch, given):
    served = []
    monkeypatch.setattr("pocketpump.app.main.tab", served.append)
    monkeypatch.setattr("pocketpump.app.server.serve.serve", lambda *_args, **_more: None)
    monkeypatch.setattr(open_app, "_device_zone", lambda: "America/Adak")
    args = SimpleNamespace(zone=given, port=None, no_browser=True)
    with Record.open(MemoryFiles(), clock=lambda: LATE) as record:
        open_app._serve(args, record, lambda: LATE, is_demo=False)
    assert served[0].zone_name == (given or "America/Adak")


def test_the_phone_follows_the_browser(monkeypatch):
    served = []
    name = ["Europe/Rome"]

    def tab(services, _fonts):
        served.append(services)
        return lambda _page: None

    record = Record.open(MemoryFiles(), clock=lambda: LATE)
    monkeypatch.setattr(phone, "tab", tab)
    monkeypatch.setattr(phone, "_open_record", lambda: record)
    monkeypatch.setattr(bridge, "_host", SimpleNamespace(
        timeZone=lambda: name[0], releaseUrl="", post=lambda _text: None))  # fmt: skip
    monkeypatch.setattr("pocketpump.app.shell.device_zone._ASKED_EVERY_S", 0.0)
    phone.main(SimpleNamespace())
    assert served[0].zone_name == "Europe/Rome"
    name[0] = "Asia/Tokyo"
    assert served[0].zone_name == "Asia/Tokyo"
