"""The glance: the page's own countdown says what the core says, on any day, without Python."""

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from phone_driving import ZONE, Phone, Site

from pocketpump.app.words import SERIOUS_STATES, STATE_SENTENCES
from pocketpump.core.booking import booked_on, state_to_tell
from pocketpump.core.card import STALE_AFTER_DAYS, CareFacts, build_card
from pocketpump.core.contacts import CLINIC_ROLE, Contact
from pocketpump.core.instants import date_text
from pocketpump.core.outlook import Habits, Pump, Situation, outlook
from pocketpump.core.pattern import constant_rate
from pocketpump.core.timeline import Fill, Setting
from pocketpump.web import page as page_files
from pocketpump.web.glance import glance_facts

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


def at(instant: datetime, situation: Situation = SITUATION):
    answer, _ = outlook(situation, instant, PLACE)
    assert answer is not None
    return answer


SAVED = at(FILLED + timedelta(hours=1))
TIGHTLY_SAVED = at(FILLED + timedelta(hours=1), TIGHT)


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
    """What the page is given of an outlook and of what the person wrote down."""
    return glance_facts(build_card(CareFacts(**care), answer, answer.now), answer)


def shown(tab, facts: dict, instant: datetime) -> str:
    tab.clock.set_fixed_time(instant.astimezone(UTC))
    tab.evaluate("facts => glance.save(facts)", facts)
    return tab.locator("#glance-facts").inner_text()


MOMENTS = [
    SAVED.now,
    datetime(2026, 3, 16, 12, tzinfo=PLACE),
    *(
        datetime.combine(day, datetime.min.time(), PLACE) + timedelta(minutes=minutes)
        for day in (SAVED.call_by, SAVED.refill_by, SAVED.alarm_at.date(), SAVED.empty_at.date())
        for minutes in (-1, 0, 719, 1439)
    ),
    *(
        instant + timedelta(seconds=seconds)
        for instant in (SAVED.alarm_at, SAVED.empty_at)
        for seconds in (-1, 1)
    ),
    SAVED.empty_at + timedelta(days=30),
]


TIGHT_MOMENTS = [TIGHTLY_SAVED.alarm_earliest + timedelta(seconds=s) for s in (-1, 1, 86_400)]
EVERY = [(SAVED, m) for m in MOMENTS] + [(TIGHTLY_SAVED, m) for m in TIGHT_MOMENTS]


def moment_id(value) -> str:
    return value.astimezone(UTC).isoformat() if isinstance(value, datetime) else ""


VISIT = SAVED.refill_by - timedelta(days=3)


@pytest.mark.parametrize("instant", MOMENTS, ids=moment_id)
def test_a_visit_in_time_answers_the_call_as_in_the_core(tab, instant):
    now = at(instant)
    words = shown(
        tab, glance_facts(build_card(CareFacts(), SAVED, SAVED.now), SAVED, VISIT), instant
    )
    told = state_to_tell(now, VISIT)
    for state, sentence in STATE_SENTENCES.items():
        assert (sentence in words) == (state == told), (state, told)
    assert ("Call the clinic by" in words) == (booked_on(now, VISIT) is None)


@pytest.mark.parametrize(("saved", "instant"), EVERY, ids=moment_id)
def test_it_counts_down_by_itself_as_the_core_would(tab, saved, instant):
    now = at(instant, saved.situation)
    words = shown(tab, facts_of(saved), instant)
    assert tab.locator("#glance .count").inner_text() == str(abs(now.days_to_refill_by))
    for state, sentence in STATE_SENTENCES.items():
        assert (sentence in words) == (state == now.state), (state, now.state)
    signs = "call your local emergency number" in words
    assert signs == (now.state in SERIOUS_STATES)
    assert date_text(saved.refill_by) in words
    assert date_text(saved.alarm_at.date()) in words
    assert date_text(saved.alarm_earliest.date()) in words
    assert date_text(saved.alarm_latest.date()) in words
    stale = (instant.astimezone(PLACE).date() - saved.today).days > 30
    assert ("Open the app and check it." in words) == stale


def test_the_moments_cover_every_state_but_stopped():
    states = {at(instant, saved.situation).state for saved, instant in EVERY}
    assert states == {"calm", *STATE_SENTENCES} - {"stopped"}


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
    answer, _ = outlook(stopped, SAVED.now, PLACE)
    assert answer is not None
    assert answer.state == "stopped"
    words = shown(tab, facts_of(answer), answer.now + timedelta(days=5))
    assert STATE_SENTENCES["stopped"] in words
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
    assert words.index("Stopping this drug suddenly can kill") < words.index("days to refill-by")


CLINIC = Contact("Pump clinic", CLINIC_ROLE, "+31 20 123 45 67", "Mon to Fri 8 to 17")
PEOPLE = (CLINIC, Contact("Ada", "sister", "06-555 01 23", emergency=True, on_card=True))


def test_the_card_shows_everything_known_and_dials(tab):
    facts = facts_of(
        SAVED, name="Mara Holm", born_on=datetime(1984, 11, 16, tzinfo=PLACE).date(),
        model="P-20", serial="123 456", allergies="Penicillin", tablets="3 at home",
        plan="Call the ward.", injury_t6_or_above=True, contacts=PEOPLE,
    )  # fmt: skip
    # The invisible marks that keep numbers whole are no words.
    words = re.sub("[\u2066-\u2069]", "", shown(tab, facts, SAVED.now))
    for known in ("Mara Holm", "16 Nov 1984", "500 mcg/mL", "200 mcg/day", "constant rate",
                  "P-20", "123 456", "Penicillin", "3 at home", "Call the ward.",
                  "Spinal cord injury at T6 or above", "Mon to Fri 8 to 17", "01 Ada · sister",
                  f"Made on: {date_text(SAVED.today)[4:]}", "Only trained staff"):  # fmt: skip
        assert known in words, known
    links = tab.locator("#glance a").evaluate_all("all => all.map(a => [a.textContent, a.href])")
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
