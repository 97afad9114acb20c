"""The glance: the page's own countdown says what the core says, on any day, without Python."""

import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from phone_driving import ZONE, Phone, Site

from pocketpump.app.services import Services
from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.core.messages import text_in
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.reminders import booked_on
from pocketpump.core.pump.situation import Habits, Printout, Pump, Situation
from pocketpump.core.pump.state import WORDS, state_now
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.safety.card import STALE_AFTER_DAYS, CareFacts, build_card
from pocketpump.core.safety.contacts import CLINIC_ROLE, Contact
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.language.locales import locale
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.errors import StorageFullError
from pocketpump.record.facts.state import NOTHING_SINCE
from pocketpump.web import glance, packing
from pocketpump.web import page as page_files
from pocketpump.web import phone as phone_side
from pocketpump.web.errors import StorageBusyError, StorageUnavailableError
from pocketpump.web.glance import glance_facts
from pocketpump.web.opening_form import check_in_form
from pocketpump.web.page_words import PAGE_WORDS, REMINDER_WORDS

pytestmark = pytest.mark.browser

PLACE = ZoneInfo(ZONE)
# Filled late in the evening over a night on which the clocks change, so that an hour counts.
FILLED = datetime(2026, 2, 20, 23, 10, tzinfo=PLACE)
# E14 (derived): 20 mL at 500 mcg/mL, 200 mcg/day, alarm at 2 mL: 45 days to the alarm.
SITUATION = Situation(
    Pump(2.0, reservoir_ml=20.0),
    (Fill(FILLED, 20.0, 500.0),),
    (Setting(FILLED, constant_rate(200.0)),),
)


# With so short a margin the window of the alarm begins before the refill-by date.
TIGHT = replace(SITUATION, habits=Habits(margin_days=3))
# The clinic's printed date is three weeks before ours.
PRINTED = replace(SITUATION, printouts=(Printout(FILLED, date(2026, 3, 16)),))
OLD = replace(SITUATION, pump=Pump(2.0, reservoir_ml=20.0, drug_age_limit_days=20))
# Another pump is noted on the day after, and nothing yet of what it was filled with.
REPLACED = replace(SITUATION, pumps_from=(FILLED + timedelta(hours=10),))


def at(instant: datetime, situation: Situation = SITUATION):
    answer, _ = forecast(situation, instant, PLACE)
    assert answer is not None
    return answer


SAVED = at(FILLED + timedelta(hours=1))
TIGHTLY_SAVED = at(FILLED + timedelta(hours=1), TIGHT)
PRINTED_SAVED = at(FILLED + timedelta(hours=1), PRINTED)
OLD_SAVED = at(FILLED + timedelta(hours=1), OLD)
REPLACED_SAVED = at(FILLED + timedelta(hours=11), REPLACED)


@pytest.fixture(scope="module")
def address(rebuilt):
    site = Site(rebuilt)
    yield site.url
    site.stop()


def without_python(phone: Phone, address: str):
    """The page with Python kept from starting, and a clock that can be set."""
    page = phone.page()
    page.route(re.compile(r"/worker\.js|/main\.dart\.js"), lambda route: route.abort())
    page.clock.install(time=FILLED)
    page.goto(address)
    return page


@pytest.fixture(scope="module")
def tab(playwright, tmp_path_factory, address):
    phone = Phone(playwright, tmp_path_factory.mktemp("glance") / "profile")
    yield without_python(phone, address)
    phone.close()


def facts_of(answer, **care) -> dict:
    """What the page is given of a forecast and of what the person wrote down."""
    return glance_facts(build_card(CareFacts(**care), answer, answer.now), answer)


def said(tab) -> str:
    """The one sentence at the head of the page."""
    return tab.locator("#glance .state").inner_text()


def sentence_of(now, **known) -> str:
    """The core's sentence, with the emergency signs where it is grave."""
    state = state_now(now, **known)
    return f"{state.sentence} {EMERGENCY_SIGNS}" if state.is_grave else state.sentence


def shown(tab, facts: dict, instant: datetime) -> str:
    tab.clock.set_fixed_time(instant.astimezone(UTC))
    tab.evaluate("facts => glance.save(facts)", facts)
    return tab.locator("#glance-page").inner_text()


MOMENTS = [
    SAVED.now,
    datetime(2026, 3, 16, 12, tzinfo=PLACE),
    *(
        datetime.combine(day, datetime.min.time(), PLACE) + timedelta(minutes=minutes)
        for day in (
            SAVED.call_by,
            SAVED.refill_by,
            SAVED.empty_earliest.date(),
            SAVED.alarm_at.date(),
            SAVED.empty_at.date(),
        )
        for minutes in (-1, 0, 719, 1439)
    ),
    *(
        instant + timedelta(seconds=seconds)
        for instant in (SAVED.empty_earliest, SAVED.alarm_at, SAVED.empty_at)
        for seconds in (-1, 1)
    ),
    SAVED.empty_at + timedelta(days=30),
]


TIGHT_MOMENTS = [TIGHTLY_SAVED.alarm_earliest + timedelta(seconds=s) for s in (-1, 1, 86_400)]
PRINTED_MOMENTS = [
    datetime.combine(PRINTED.printed_alarm_on, time(0), PLACE) + timedelta(minutes=m)
    for m in (-1, 0, 3 * 1440)
]
OLD_MOMENTS = [
    datetime.combine(OLD_SAVED.drug_age_limit_at.date(), time(0), PLACE) + timedelta(minutes=m)
    for m in (-1, 0, 1439, 1440)
]
EVERY = [
    *((SAVED, m) for m in MOMENTS),
    *((TIGHTLY_SAVED, m) for m in TIGHT_MOMENTS),
    *((PRINTED_SAVED, m) for m in PRINTED_MOMENTS),
    *((OLD_SAVED, m) for m in OLD_MOMENTS),
]


def moment_id(value) -> str:
    return value.astimezone(UTC).isoformat() if isinstance(value, datetime) else ""


VISIT = SAVED.refill_by - timedelta(days=3)


LATE = SAVED.refill_by + timedelta(days=3)
MISSED = SAVED.today + timedelta(days=2)


@pytest.mark.parametrize(
    "known",
    [
        {"next_visit_on": VISIT},
        {"next_visit_on": LATE},
        {"missed_on": MISSED},
        {"missed_on": MISSED, "next_visit_on": VISIT, "rebooked": True},
        {"urgent_alarm": True, "next_visit_on": VISIT},
    ],
    ids=["in time", "late", "missed", "missed, then in time", "an urgent alarm"],
)
@pytest.mark.parametrize("instant", MOMENTS, ids=moment_id)
def test_a_visit_or_a_missed_refill_is_told_as_in_the_core(tab, instant, known):
    since = {**NOTHING_SINCE, **known}
    now, visit = at(instant), since.pop("next_visit_on", None)
    card = build_card(CareFacts(), SAVED, SAVED.now)
    words = shown(tab, glance_facts(card, SAVED, visit, since=since), instant)
    assert said(tab) == sentence_of(now, next_visit_on=visit, **since)
    assert ("Call the clinic by\n" in words) == (booked_on(now, visit) is None)


@pytest.mark.parametrize(("saved", "instant"), EVERY, ids=moment_id)
def test_it_counts_down_by_itself_as_the_core_would(tab, saved, instant):
    now = at(instant, saved.situation)
    words = shown(tab, facts_of(saved), instant)
    assert tab.locator("#glance .count").inner_text() == str(abs(now.days_to_refill_by))
    assert said(tab) == sentence_of(now)
    # Colour says trouble only where there is some.
    looks = tab.locator("#glance .state").get_attribute("class").split()
    state = state_now(now)
    assert ("serious" in looks, "notice" in looks) == (state.is_grave, state.word != "calm")
    if saved.printed_in_force:
        assert date_text(saved.printed_in_force) in words
    assert date_text(saved.refill_by) in words
    assert date_text(saved.alarm_at.date()) in words
    assert date_text(saved.alarm_earliest.date()) in words
    assert date_text(saved.alarm_latest.date()) in words
    stale = (instant.astimezone(PLACE).date() - saved.today).days > 30
    assert ("Open the app and check it." in words) == stale


def test_the_moments_cover_every_state_but_stopped():
    states = {at(instant, saved.situation).state for saved, instant in EVERY}
    # What comes from elsewhere than the dates is tried by itself.
    elsewhere = {"late-visit", "missed", "urgent-alarm", "new-pump"}
    assert states == set(WORDS) - {"stopped"} - elsewhere


@pytest.mark.parametrize("days", [1, 15, 30, 38, 60])
def test_another_pump_without_a_refill_is_told_as_in_the_core(tab, days):
    instant = REPLACED_SAVED.now + timedelta(days=days)
    now = at(instant, REPLACED)
    shown(tab, facts_of(REPLACED_SAVED), instant)
    assert said(tab) == sentence_of(now)
    assert state_now(now).word != "calm"
    assert (state_now(now).word == "new-pump") == (instant.date() < now.call_by)


def test_a_page_left_open_counts_on_over_midnight(phone, address):
    tab = without_python(phone, address)
    evening = datetime(2026, 3, 1, 23, 58, tzinfo=PLACE)
    tab.clock.pause_at(evening)
    tab.evaluate("facts => glance.save(facts)", facts_of(SAVED))
    before = int(tab.locator("#glance .count").inner_text())
    tab.clock.run_for(5 * 60 * 1000)
    assert int(tab.locator("#glance .count").inner_text()) == before - 1


def test_a_stopped_pump_has_no_countdown(tab):
    stopped = Situation(SITUATION.pump, SITUATION.fills, (Setting(FILLED, constant_rate(0.0)),))
    answer, _ = forecast(stopped, SAVED.now, PLACE)
    assert answer is not None
    assert answer.state == "stopped"
    words = shown(tab, facts_of(answer), answer.now + timedelta(days=5))
    assert said(tab) == sentence_of(answer)
    assert "refill-by" not in words
    assert "none while stopped" in words


def test_text_of_the_record_is_only_ever_text(tab):
    line = {"label": "<i>", "text": "<img src=x>", "weight": "plain", "phone": "<u>", "dial": "1"}
    facts = {**facts_of(SAVED), "card": {"title": "<b>x</b>", "lines": [line]}}
    words = shown(tab, facts, SAVED.now)
    assert "<img src=x>" in words
    assert tab.locator("#glance-facts :is(img, b, i, u)").count() == 0


def test_the_card_stands_first_when_it_was_asked_for(tab):
    facts = facts_of(SAVED)
    shown(tab, facts, SAVED.now)
    tab.evaluate("location.hash = '#/card'")
    words = shown(tab, facts, SAVED.now)
    tab.evaluate("location.hash = ''")
    assert words.index("Stopping baclofen suddenly can kill") < words.index("days to refill-by")


CLINIC = Contact("Pump clinic", CLINIC_ROLE, "+31 20 123 45 67", "Mon to Fri 8 to 17")
PEOPLE = (CLINIC, Contact("Ada", "sister", "06-555 01 23", emergency=True, on_card=True))


def test_the_card_shows_everything_known_and_dials(tab):
    facts = facts_of(
        SAVED, name="Mara Holm", born_on=datetime(1984, 11, 16, tzinfo=PLACE).date(),
        model="P-20", serial="123 456", allergies="Penicillin", tablets="3 at home",
        plan="Call the ward.", injury_t6_or_above=True, contacts=PEOPLE,
    )  # fmt: skip
    # The invisible marks that keep numbers whole are no words.
    words = re.sub("[\u2066-\u2069]", "", shown(tab, facts, SAVED.now)).replace("\u00a0", " ")
    for known in ("Mara Holm", "16 Nov 1984", "500 mcg/mL", "200 mcg/day", "constant rate",
                  "P-20", "123 456", "Penicillin", "3 at home", "Call the ward.",
                  "Spinal cord injury at T6 or above", "Mon to Fri 8 to 17",
                  "Contact 01: Ada · sister", f"Made on: {date_text(SAVED.today)[4:]}",
                  "Only trained staff"):  # fmt: skip
        assert known in words, known
    links = tab.locator("#glance-card a").evaluate_all(
        "all => all.map(a => [a.textContent, a.href])"
    )
    # RFC 3966: digits and the leading plus.
    assert links == [["+31 20 123 45 67", "tel:+31201234567"], ["06-555 01 23", "tel:065550123"]]


def test_the_card_says_from_when_on_it_is_out_of_date(tab):
    # The refill-by date passes before the card is old by itself.
    assert SAVED.refill_by < (SAVED.now + timedelta(days=STALE_AFTER_DAYS)).date()
    last = datetime.combine(SAVED.refill_by, datetime.min.time(), PLACE) + timedelta(hours=23)
    warning = "This card may be out of date."
    assert warning not in shown(tab, facts_of(SAVED), last)
    assert warning in shown(tab, facts_of(SAVED), last + timedelta(hours=2))


def test_the_card_says_from_when_on_the_pump_may_be_empty(tab):
    facts = facts_of(SAVED)
    low = datetime.combine(date.fromisoformat(facts["card"]["low_from"]), time(1), PLACE)
    warning = facts["card"]["maybe_empty"]
    assert warning not in shown(tab, facts, low - timedelta(hours=2))
    assert warning in shown(tab, facts, low)


def test_without_a_refill_there_is_the_card_alone(tab):
    card = build_card(CareFacts(name="Mara Holm", contacts=PEOPLE), None, SAVED.now)
    words = shown(tab, glance_facts(card, None), SAVED.now)
    assert "Mara Holm" in words
    assert "Alarm date" not in words
    assert "undefined" not in words


def test_shortcuts_lead_only_to_screens_there_are():
    routes = ("/refill", "/nowhere")
    made = json.loads(page_files.manifest("/", routes))["shortcuts"]
    assert [shortcut["url"] for shortcut in made] == ["/#/refill"]


class Marking:
    """A language in which every sentence is its English between marks: what is bare was missed."""

    def text(self, message: str) -> str:
        return f"«{message}»"

    def counted(self, one: str, many: str, count: int) -> str:
        return f"«{one if count == 1 else many}»"

    def number(self, text: str) -> str:
        return text

    def day(self, day: date, *, weekday: bool) -> str:
        return f"«{day.isoformat()}»"

    def month(self, day: date) -> str:
        return f"«{day.isoformat()[:7]}»"


@pytest.fixture
def marked(monkeypatch):
    monkeypatch.setattr(glance, "locale", {"de": Marking(), "en": None}.get)


def in_german(answer, **care) -> dict:
    return glance_facts(build_card(CareFacts(**care), answer, answer.now), answer, None, "de")


def left_english(tab) -> list[str]:
    """Every text of the page's own that is neither a figure nor between marks."""
    found = tab.evaluate(
        """() => [...document.querySelectorAll(
          "#glance-facts > section:not(:has(h2)) :is(p, dt, dd), [data-say]:not([data-say=''])")]
          .map(node => node.textContent)"""
    )
    assert len(found) > 8
    return [text for text in found if not re.fullmatch(r"«.*»|\d+|–", text)]


@pytest.mark.parametrize(("saved", "instant"), EVERY, ids=moment_id)
def test_every_sentence_is_said_in_the_language_of_the_person(tab, marked, saved, instant):
    words = shown(tab, in_german(saved), instant)
    assert left_english(tab) == []
    now = at(instant, saved.situation)
    assert (f"«{EMERGENCY_SIGNS}»" in words) == state_now(now).is_grave
    unit = tab.locator("#glance .unit").inner_text()
    days = now.days_to_refill_by
    ending = "to refill-by»" if days > 0 else "past refill-by»" if days else "is today»"
    assert unit.endswith(ending)
    assert unit.startswith("«days" if abs(days) > 1 else "«day" if days else "«refill-by")


def test_a_stopped_pump_and_what_the_page_says_of_itself_are_in_that_language_too(tab, marked):
    stopped = Situation(SITUATION.pump, SITUATION.fills, (Setting(FILLED, constant_rate(0.0)),))
    shown(tab, in_german(at(SAVED.now, stopped)), SAVED.now + timedelta(days=40))
    assert left_english(tab) == []
    status, update = tab.locator("#glance-status"), tab.locator("#update-now")
    tab.evaluate("glance.say('could_not_load')")
    assert status.inner_text() == f"«{PAGE_WORDS['could_not_load']}»"
    assert update.text_content() == "«Use it now»"
    shown(tab, facts_of(SAVED), SAVED.now)
    assert status.inner_text() == PAGE_WORDS["could_not_load"]
    assert update.text_content() == "Use it now"
    tab.evaluate("glance.say('opening')")
    assert status.inner_text() == "Opening…"


def test_dates_are_written_as_the_app_writes_them_in_german(tab):
    words = shown(tab, in_german(SAVED), SAVED.now)
    german = locale("de")
    assert german is not None
    for day in (SAVED.refill_by, SAVED.call_by, SAVED.alarm_at.date(), SAVED.empty_at.date(),
                SAVED.alarm_earliest.date(), SAVED.alarm_latest.date(), SAVED.today):  # fmt: skip
        assert german.day(day, weekday=True) in words
        assert date_text(day) not in words
    assert tab.evaluate("document.documentElement.lang") == "de"
    # Flutter names another once it runs.
    tab.evaluate("document.documentElement.lang = 'en-US'")
    assert tab.evaluate("document.documentElement.lang") == "de"
    shown(tab, facts_of(SAVED), SAVED.now)
    assert tab.evaluate("document.documentElement.lang") == "en"


def test_a_german_card_keeps_the_english_that_counts_beside_it(tab):
    late = SAVED.empty_at + timedelta(days=1)
    words = shown(tab, in_german(SAVED, plan="Call the ward.", contacts=PEOPLE), late)
    card = tab.locator("#glance section:has(h2)")
    assert card.get_attribute("lang") == "de"
    assert "Notfallkarte" in words
    assert "Plan bei versäumter Füllung (in den eigenen Worten der Person): " in words
    originals = card.locator(".original").all_inner_texts()
    for english in ("Emergency card", "This card may be out of date. Ask the clinic for the"
                    " numbers now.", "Stopping baclofen suddenly can kill.", "Refill by",
                    "Pump clinic", "By these numbers the pump may be EMPTY: could be"
                    " baclofen withdrawal."):  # fmt: skip
        assert english in originals, english
    assert set(card.locator(".original").evaluate_all("all => all.map(x => x.lang)")) == {"en"}
    assert card.locator("a").count() == 2
    shown(tab, facts_of(SAVED), late)
    assert card.get_attribute("lang") == "en"
    assert card.locator(".original").count() == 0


def test_a_language_there_is_not_is_english():
    card = build_card(CareFacts(), SAVED, SAVED.now)
    assert glance_facts(card, SAVED, None, "xx") == facts_of(SAVED)


def test_facts_of_an_older_version_are_shown_in_the_words_of_the_page(tab):
    facts = facts_of(SAVED)
    for new in ("language", "written"):
        del facts[new]
    for new in ("language", "originals"):
        del facts["card"][new]
    words = shown(tab, facts, SAVED.now)
    assert "days to refill-by" in words
    assert SAVED.refill_by.isoformat() in words
    assert "Emergency card" in words
    assert "undefined" not in words


_REMIND = """
const { runInNewContext } = require("vm");
const { script, facts, now } = JSON.parse(require("fs").readFileSync(0, "utf8"));
const file = { getFile: async () => ({ text: async () => JSON.stringify(facts) }) };
const folder = { getFileHandle: async () => file };
const root = { getDirectoryHandle: async () => folder };
const told = (title, { body, lang }) => console.log(JSON.stringify([body, lang]));
const self = {
  location: { href: "http://x/sw.js" }, navigator: {}, addEventListener() {},
  Notification: { permission: "granted" }, registration: { showNotification: told },
};
class Then extends Date { constructor(...all) { super(...(all.length ? all : [now])); } }
const storage = { getDirectory: async () => root };
const kept = new Map();
const beside = { match: async (url) => kept.get(url), put: async (url, one) => kept.set(url, one) };
const caches = { open: async () => beside };
const place = { self, URL, Date: Then, navigator: { storage }, caches, Response };
runInNewContext(`${script}; remindInTurn(); remindInTurn()`, place);
"""


def reminded(node: str, facts: dict, days: int) -> list[str] | None:
    """What the service worker would show so many days before the refill-by date; None: nothing.

    It is asked twice, and says it once.
    """
    noon = datetime.combine(SAVED.refill_by - timedelta(days=days), time(12), PLACE)
    script = page_files.service_worker({"id": "", "files": [], "folder": "f", "glanceFile": "g"})
    job = {"script": script, "facts": facts, "now": noon.timestamp() * 1000}
    done = subprocess.run(
        [node, "-e", _REMIND], input=json.dumps(job), env={**os.environ, "TZ": ZONE},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(done.stdout) if done.stdout else None


IN_FULL = {"days": 14, "more": True}
NEAR, NOW, GONE = (REMINDER_WORDS[name] for name in ("remind_near", "remind_now", "remind_gone"))


@pytest.mark.parametrize(
    ("chosen", "days", "told"),
    [(3, 4, None), (3, 3, NEAR), (3, 1, NEAR), (3, 0, NOW), (3, -1, GONE), (21, 21, NEAR),
     (21, 22, None), (14, 15, None), (None, 1, None), (None, -1, None)],
)  # fmt: skip
def test_the_reminder_comes_as_early_as_was_chosen_and_gives_nothing_away(node, chosen, days, told):
    card = build_card(CareFacts(), SAVED, SAVED.now)
    facts = glance_facts(card, SAVED, remind={"days": chosen, "more": False})
    shown_now = reminded(node, facts, days)
    assert shown_now == (told and [told, "en"])


def test_facts_of_an_older_version_remind_two_weeks_ahead_and_give_nothing_away(node):
    assert reminded(node, facts_of(SAVED), 15) is None
    assert reminded(node, facts_of(SAVED), 14) == [NEAR, "en"]


def test_no_word_of_health_stands_on_a_locked_screen():
    health = {"refill", "pump", "clinic", "baclofen", "visit", "dose", "medicine"}
    for sentence in (NEAR, NOW, GONE):
        assert not health & set(re.findall(r"\w+", sentence.lower()))


def test_a_booked_visit_gives_nothing_away_either(node):
    card = build_card(CareFacts(), SAVED, SAVED.now)
    for days, told in ((6, None), (5, NEAR), (3, NOW), (2, GONE)):
        shown_now = reminded(node, glance_facts(card, SAVED, VISIT), days)
        assert (shown_now and shown_now[0]) == told


# Booked three days before the refill-by date.
@pytest.mark.parametrize(
    ("days", "told"),
    [(14, None), (6, None), (5, f"Your refill is booked for {date_text(VISIT)}."),
     (4, f"Your refill is booked for {date_text(VISIT)}."),
     (3, "Your refill is booked for today."),
     (2, "The day of your visit is past and no refill is noted. Open PocketPump."),
     (0, "Today is the refill-by date.")],
)  # fmt: skip
def test_the_reminder_of_the_browser_knows_a_booked_visit(node, days, told):
    card = build_card(CareFacts(), SAVED, SAVED.now)
    facts = glance_facts(card, SAVED, VISIT, remind=IN_FULL)
    said_now = reminded(node, facts, days)
    assert (said_now and said_now[0]) == told


@pytest.mark.parametrize(("visit", "since"), [(LATE, {}), (VISIT, {"missed_on": MISSED}),
                                              (VISIT, {"urgent_alarm": True})])  # fmt: skip
def test_a_visit_too_late_or_something_grave_is_reminded_of_as_before(node, visit, since):
    card = build_card(CareFacts(), SAVED, SAVED.now)
    facts = glance_facts(card, SAVED, visit, since={**NOTHING_SINCE, **since}, remind=IN_FULL)
    assert reminded(node, facts, 5)[0] == "5 days to refill-by."


def test_a_visit_long_past_is_reminded_of_before_the_refill_is_near(node):
    card = build_card(CareFacts(), SAVED, SAVED.now)
    facts = glance_facts(card, SAVED, SAVED.refill_by - timedelta(days=25), remind=IN_FULL)
    assert "no refill is noted" in reminded(node, facts, 20)[0]


@pytest.mark.parametrize(
    ("days", "told"),
    [(5, "5 days to refill-by."), (1, "1 day to refill-by."), (0, "Today is the refill-by date."),
     (-1, "The refill-by date has passed. Call your clinic.")],
)  # fmt: skip
def test_the_reminder_of_the_browser_speaks_the_language_of_the_person(node, marked, days, told):
    full = {"remind": IN_FULL}
    assert reminded(node, facts_of(SAVED) | full, days) == [told, "en"]
    assert reminded(node, in_german(SAVED) | full, days) == [f"«{told}»", "de"]
    assert reminded(node, in_german(SAVED), 1) == [f"«{NEAR}»", "de"]


def test_the_catalogue_is_packed_and_read_from_an_archive(tmp_path):
    package = Path(glance.__file__).parents[1]
    files = packing.package_files(package, ("assets/", "demo/"))
    catalogue = "pocketpump/exchange/locale/de/LC_MESSAGES/pocketpump.mo"
    assert [name for name in files if "/locale/" in name] == [catalogue]
    archive = tmp_path / "site.zip"
    archive.write_bytes(packing.stored_zip(files))
    code = (
        "import sys; from datetime import date; sys.path.insert(0, sys.argv[1])\n"
        "from pocketpump.exchange.language import locales\n"
        "assert locales.__file__.startswith(sys.argv[1])\n"
        "print(locales.locale('de').day(date(2026, 3, 5), weekday=True))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(archive)], cwd=tmp_path, capture_output=True, check=True,
        env={**os.environ, "PYTHONPATH": "", "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    assert done.stdout.decode().strip() == "Do. 5. März 2026"


def test_what_keeps_the_record_shut_can_be_said_in_another_language():
    for kind in (StorageBusyError, StorageUnavailableError, StorageFullError):
        assert text_in(str(kind()), Marking()) == f"«{kind()}»"


def test_the_words_of_the_page_are_all_used():
    text = "".join(
        map(
            page_files.asset,
            (
                "glance.js",
                "index.html",
                "client.js",
                "python.js",
                "trouble.js",
                "facts.js",
                "updates.js",
                "windows.js",
                "check_in.js",
                "handover.js",
                "card.js",
            ),
        )
    )
    # What the five places and the answers are called is asked for by their own names.
    text += "".join(f'"{name}"' for name in PAGE_WORDS if re.match(r"(place|spasms)_", name))
    text += check_in_form(dict.fromkeys(PAGE_WORDS, ""))
    for name in PAGE_WORDS:
        assert re.search(rf"""words\.{name}\b|"{name}"|say_{name}\b""", text), name
    for name in REMINDER_WORDS:
        assert f'"{name}"' in page_files.asset("sw.js"), name


def test_the_facts_follow_the_language_that_was_chosen(monkeypatch):
    published = []
    monkeypatch.setattr(phone_side.bridge, "publish_glance", published.append)
    hours = (SAVED.now + timedelta(hours=n) for n in count())
    record = Record.open(MemoryFiles(), clock=lambda: SAVED.now)
    book = Services(record, lambda: next(hours), ZONE)
    phone_side.publish(book)
    for value in ("de", "en"):
        book.save("preference", book.now(), {"name": "language", "value": value})
        phone_side.publish(book)
    assert published[0] is None
    assert [facts["language"] for facts in published[1:]] == ["de", "en"]


def test_the_facts_follow_the_device_into_another_zone(monkeypatch):
    published, zones = [], ["Europe/Amsterdam"]
    monkeypatch.setattr(phone_side.bridge, "publish_glance", published.append)
    record = Record.open(MemoryFiles(), clock=lambda: SAVED.now)
    record.add("preference", SAVED.now, ZONE, {"name": "language", "value": "en"})
    place = phone_side.ZoneWatch(lambda: zones[-1], lambda: phone_side.publish(book))
    book = Services(record, lambda: SAVED.now, place)
    for zone in ("Europe/Amsterdam", "Asia/Tokyo", "Asia/Tokyo"):
        zones.append(zone)
        book.now()
    assert len(published) == 1


def test_a_trip_that_keeps_from_the_refill_takes_the_place_of_calm_alone():
    card = build_card(CareFacts(), SAVED, SAVED.now)
    calm, away = glance_facts(card, SAVED), glance_facts(card, SAVED, away="You are away.")
    changed = {
        before["state"]: after["text"]
        for before, after in zip(calm["states"], away["states"], strict=True)
        if before != after
    }
    assert changed == {"calm": "You are away."}
