"""What the page around the app tells it and is asked for: reminders, home screen, shared files."""

import asyncio
from datetime import datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

import pytest
from screen_hand import OpenTab

from pocketpump.app import main
from pocketpump.app.device import Device
from pocketpump.app.screens.more.remind import reminding_of
from pocketpump.app.services import Services
from pocketpump.core.messages import text_in
from pocketpump.exchange.backup.backup import write_backup
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

ZONE = "Europe/Amsterdam"
NOW = datetime(2026, 3, 20, 12, tzinfo=ZoneInfo(ZONE))
PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)


class Phone:
    """The demo's record in an app with a page around it that notes what it is asked."""

    def __init__(self, route: str, **told):
        self.asked = []
        self.device = Device(lambda wish: self.asked.append(dict(wish)))
        record = Record.open(MemoryFiles(), clock=lambda: NOW)
        self.entries = moved_to_now(demo_folder(), NOW)
        record.import_entries(self.entries)
        ticks = (NOW + timedelta(seconds=at) for at in count())
        self.services = Services(record, lambda: next(ticks), ZONE, device=self.device)
        self.tab = OpenTab(self.services, route)
        self.end = main._hear_device(self.tab.app, self.device)
        if told:
            self.device.hear(told)
            self.tab.go_on()

    @property
    def words(self) -> str:
        return "\n".join(self.tab.told())

    def share(self, name: str, data: bytes) -> "Phone":
        self.device.take(name, data)
        for handler, args, more in self.tab.tasks:
            if handler.__name__ == "_lead_to_backup":
                asyncio.run(handler(*args, **more))
        return self


def test_a_page_that_has_not_spoken_promises_nothing():
    phone = Phone("/remind")
    assert "cannot remind you by itself" in phone.words
    assert phone.asked == []


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"kind": "apple"}, "only once PocketPump is on the home screen"),
        ({"kind": "computer"}, "This browser cannot remind you."),
        ({"kind": "android", "reminding": "denied"}, "are blocked"),
        ({"kind": "android", "reminding": "granted", "wakes": True}, "while it is closed"),
        ({"kind": "android", "reminding": "granted"}, "Put it on the home screen"),
        ({"kind": "apple", "reminding": "granted", "installed": True}, "only while PocketPump is"),
    ],
)
def test_the_reminders_say_what_this_phone_can_do(told, sentence):
    assert sentence in Phone("/remind", **told).words


def test_a_tap_lets_the_page_ask_in_the_words_of_the_person():
    phone = Phone("/remind", kind="android", reminding="default")
    phone.tab.tap("button:Remind me on this phone")
    (wish,) = phone.asked
    assert wish["do"] == "remind"
    assert set(wish) == {"do", "title", "text", "yes", "no"}
    assert all(type(text) is str or text_in(text, None) for text in wish.values())


def test_how_early_and_how_much_is_chosen_and_kept():
    phone = Phone("/remind", kind="android", reminding="granted")
    assert reminding_of(phone.services) == {"days": 14, "more": False}
    phone.tab.tap("option:3")
    phone.tab.tap("option:full")
    assert reminding_of(phone.services) == {"days": 3, "more": True}
    phone.tab.tap("option:never")
    assert reminding_of(phone.services) == {"days": None, "more": True}


@pytest.mark.parametrize("value", ["0", "x", ""])
def test_a_spoilt_choice_is_the_usual_one(value):
    phone = Phone("/remind", kind="android", reminding="granted")
    phone.services.prefer("reminder days", value or " ")
    assert reminding_of(phone.services)["days"] == 14


def test_today_offers_the_home_screen_until_it_is_sent_away():
    phone = Phone("/today", kind="android")
    assert "can stand on the home screen" in phone.words
    phone.tab.tap("offer:home screen:Close")
    assert phone.asked == [{"do": "close", "what": "home screen"}]
    phone.device.hear({"kind": "android", "closed": ["home screen"]})
    phone.tab.go_on()
    assert "can stand on the home screen" not in phone.words
    phone.device.hear({"kind": "android", "installed": True})
    phone.tab.go_on()
    assert "can stand on the home screen" not in phone.words


def test_where_the_browser_can_be_asked_there_is_a_button():
    assert "Put it there now" not in Phone("/home-screen", kind="android").words
    phone = Phone("/home-screen", kind="android", installs=True)
    phone.tab.tap("button:Put it there now")
    assert phone.asked[0]["do"] == "install"


def test_the_way_for_this_kind_of_phone_stands_first():
    words = Phone("/home-screen", kind="firefox").words
    assert words.index("Android with Firefox") < words.index("iPhone and iPad")


@pytest.mark.parametrize("route", ["/backup", "/record"])
def test_it_is_told_whether_the_browser_promised_to_keep_the_record(route):
    assert "has promised" in Phone(route, kind="android", keeps=True).words
    assert "may clear the record" in Phone(route, kind="android", keeps=False).words
    silent = Phone(route, kind="android").words
    assert "has promised" not in silent
    assert "may clear" not in silent


def test_a_shared_backup_is_chosen_but_not_brought_in():
    phone = Phone("/today")
    before = len(phone.services.record.entries)
    phone.share("copy.json", write_backup(phone.entries, NOW))
    assert phone.tab.page.route == "/merge"
    assert "The file: copy.json" in phone.words
    assert "There is nothing new in it." in phone.words
    assert len(phone.services.record.entries) == before
    assert phone.asked == [{"do": "taken"}]


def test_a_shared_picture_is_kept_only_after_a_tap():
    phone = Phone("/today").share("scan.png", PNG)
    kept = len(phone.services.of_kind("attachment"))
    assert phone.tab.page.route == "/shared"
    assert "Nothing of it is kept yet." in phone.words
    phone.tab.tap("button:Keep it with the clinic's papers")
    assert phone.tab.page.route == "/papers"
    assert len(phone.services.of_kind("attachment")) == kept + 1
    assert phone.device.shared is None


def test_a_shared_picture_can_be_left_out():
    phone = Phone("/today").share("scan.png", PNG)
    kept = len(phone.services.of_kind("attachment"))
    phone.tab.tap("button:Leave it out")
    assert len(phone.services.of_kind("attachment")) == kept
    assert phone.device.shared is None


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"{}", b'{"format": "other"}'])
def test_a_shared_file_of_another_kind_is_told_in_a_sentence(data):
    phone = Phone("/today").share("odd.gif", data)
    assert "“odd.gif” is no backup of PocketPump and no picture or PDF" in phone.words
    assert phone.tab.page.route == "/today"


def test_without_an_app_the_page_keeps_the_file():
    phone = Phone("/today")
    phone.end()
    phone.device.take("scan.png", PNG)
    assert phone.asked == []
    assert phone.device.shared is None
    assert phone.device.on_told == []
