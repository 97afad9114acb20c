"""An invented person's card, whole and minimal."""

from datetime import UTC, date, datetime

from pocketpump.core.pump.clinic_days import EVERY_DAY, ClinicDays
from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.situation import Habits, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.safety.card import Card, CareFacts, build_card
from pocketpump.core.safety.contacts import Contact

FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)
NOW = datetime(2026, 1, 20, 9, tzinfo=UTC)
TODAY = NOW.date()

# 020 7946 0000-0999 is kept for drama by the British regulator, so it rings nowhere.
FACTS = CareFacts(
    name="Mara Holm",
    born_on=date(1984, 3, 2),
    model="as written",
    serial="X-1",
    position="lower belly, right",
    tip_level="T10",
    implanted_on=date(2024, 6, 17),
    surgeon="Dr A. Invented",
    mri_notes="Up to 1.5 tesla.",
    allergies="Penicillin (rash)",
    tablets="vitamin D, one in the morning",
    plan="Call the clinic day and night.",
    own_steps="Sit me up, then look at the catheter.",
    diagnosis="cord injury",
    blood_pressure="95/60",
    communication="letter board, Dutch",
    other_implants="a shunt",
    blood_thinners="none",
    weight_kg=58.5,
    injury_t6_or_above=True,
    cannot_communicate=True,
    earlier_withdrawal=True,
    contacts=(
        Contact("Emergency", "local emergency number", "112"),
        Contact("Pump clinic", "pump clinic", "+44 20 7946 0101", "24 h", True),
        Contact("Joost Holm", "brother", "+44 20 7946 0102", "", True, on_card=True),
        Contact("Ida Holm", "mother", "+44 20 7946 0103", "", True, on_card=True),
        Contact("Neighbour", "friend", "+44 20 7946 0104", "", False),
    ),
)


def an_forecast(now: datetime = NOW, weekdays: frozenset[int] = EVERY_DAY, **pump) -> Forecast:
    """20 mL at 500 mcg/mL, 200 mcg/day, alarm at 2 mL, filled 2026-01-12 (E14, derived)."""
    situation = Situation(
        Pump(alarm_volume_ml=2.0, reservoir_ml=20.0, **pump),
        (Fill(FILLED, 20.0, 500.0),),
        (Setting(FILLED, constant_rate(200.0)),),
        Habits(clinic_days=ClinicDays(weekdays)),
    )
    answer, _ = forecast(situation, now, UTC)
    assert answer is not None
    return answer


def a_card(facts: CareFacts = FACTS) -> Card:
    return build_card(facts, an_forecast(), NOW)
