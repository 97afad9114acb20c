"""The clinic sheet: what is on it, where, and that nothing noted is left out."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from exchange_records import NOW, Notes, usual

from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.exchange.papers.sheet import PERIODS, clinic_sheet, first_day
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.situation import situation_of
from pocketpump.record.facts.state import state_by

BERLIN = ZoneInfo("Europe/Berlin")


def told() -> Notes:
    notes = usual()
    notes.note("programme", "2026-02-10", {"programme": {"days": [[[0, 220 / 24]]]}})
    notes.note("happening", "2026-01-05", {"what": "before the refill"})
    notes.note("happening", "2026-02-01", {"what": "fall", "note": "No pain (after)."})
    notes.note("check-in", "2026-02-02", {"stiffness": 6, "worries": ["itch"]})
    notes.note("check-in", "2026-02-09", {"stiffness": 3})
    notes.note("question", "2026-02-11", {"text": "May I swim?"})
    return notes.note("question", "2026-02-12", {"text": "Old one", "answered": True})


def section(sheet, beginning: str):
    return next(one for one in sheet.sections if one.title.startswith(beginning))


def test_the_fills_table_has_the_delivered_ratio():
    (newest, first) = section(clinic_sheet(told().entries, NOW, UTC), "Refills").table.rows
    # E25, derived: fill 20, expected 4.0, withdrawn 6.5: ratio 0.844.
    assert newest[1:6] == ("20 mL", "500 mcg/mL", "4 mL", "6.5 mL", "0.84")
    assert first[5] == "–"


def twice_noted(first: dict, second: dict) -> Notes:
    """The refill of 18 February noted on two phones, twenty minutes apart."""
    notes = usual()
    for minutes, amounts in ((0, first), (20, second)):
        at = datetime(2026, 2, 18, 9, minutes, tzinfo=UTC)
        notes.record.add("refill", at, "UTC", {"strength_mcg_per_ml": 500.0, **amounts})
    return notes


def test_a_refill_noted_twice_is_one_row_and_says_what_the_other_note_says():
    left = {"expected_ml": 5.2, "withdrawn_ml": 7.0}
    notes = twice_noted({"filled_ml": 18.0}, {"filled_ml": 20.0, **left})
    sheet = clinic_sheet(notes.entries, NOW, UTC)
    refills = section(sheet, "Refills")
    # The earlier dates are told, those of the smaller volume, and then nothing was withdrawn.
    assert [row[:6] for row in refills.table.rows] == [
        ("Wed 18 Feb 2026", "18 mL", "500 mcg/mL", "–", "–", "–"),
        ("noted again", "20 mL", "500 mcg/mL", "5.2 mL", "7 mL", "–"),
        ("Mon 12 Jan 2026", "20 mL", "500 mcg/mL", "4 mL", "6.5 mL", "0.84"),
        ("Wed 3 Dec 2025", "20 mL", "500 mcg/mL", "–", "–", "–"),
    ]
    assert "from 1 of 1" in refills.picture.spoken
    assert not any("2 refills show" in line for line in section(sheet, "Please look at").lines)


def test_the_ratio_of_a_refill_noted_twice_is_of_what_was_filled_in_before():
    left = {"filled_ml": 20.0, "expected_ml": 5.2, "withdrawn_ml": 7.0}
    notes = twice_noted(left, left)
    rows = section(clinic_sheet(notes.entries, NOW, UTC), "Refills").table.rows
    # By hand: (20 - 7) / (20 - 5.2) = 0.878; the first note says nothing else, so it has no row.
    assert [row[5] for row in rows] == ["0.88", "0.84", "–"]


def test_of_two_pumps_the_ratio_of_neither_is_told():
    notes = usual()
    notes.note("pump", "2026-02-01", {
        "reservoir_ml": 40.0, "alarm_volume_ml": 2.0, "implanted_on": "2026-02-01",
    })  # fmt: skip
    notes.note("refill", "2026-02-02", {
        "filled_ml": 40.0, "strength_mcg_per_ml": 500.0, "expected_ml": 10.0, "withdrawn_ml": 1.0,
    })  # fmt: skip
    rows = section(clinic_sheet(notes.entries, NOW, UTC), "Refills").table.rows
    assert [row[5] for row in rows] == ["–", "0.84", "–"]


def test_settings_stand_with_their_percent():
    rows = section(clinic_sheet(told().entries, NOW, UTC), "Dose settings").table.rows
    # By hand: 200 to 220 is +10 % (E30's first step, in another place).
    assert [row[2:] for row in rows] == [("220", "+10 %"), ("200", "–")]


def test_what_happened_begins_with_the_last_visit_or_the_day_asked_for():
    entries = told().entries
    since_refill = section(clinic_sheet(entries, NOW, UTC), "What happened")
    assert since_refill.title == "What happened since Mon 12 Jan 2026"
    assert [row[1] for row in since_refill.table.rows] == ["fall: No pain (after)."]
    assert since_refill.facts == (("Itching without a rash", "Mon 2 Feb 2026"),)
    assert since_refill.lines == ("2 check-ins, stiffness 3 to 6 of 10, middle 4.5.",)
    earlier = section(clinic_sheet(entries, NOW, UTC, date(2026, 1, 1)), "What happened")
    assert len(earlier.table.rows) == 2


def test_what_was_ticked_stands_in_its_words_with_its_days():
    notes = usual().note("check-in", "2026-02-02", {"stiffness": 6, "worries": ["itch", "later"]})
    notes.note("check-in", "2026-02-03", {"stiffness": 6, "worries": ["worn off fast", "itch"]})
    # An id from a newer PocketPump is shown as it is rather than left out.
    assert section(clinic_sheet(notes.entries, NOW, UTC), "What happened").facts == (
        ("Itching without a rash", "2 days, last Tue 3 Feb 2026"),
        ("later", "Mon 2 Feb 2026"),
        ("The pump stopped helping all at once", "Tue 3 Feb 2026"),
    )


def test_after_the_refill_of_today_the_last_visit_is_still_the_one_before():
    notes = usual()
    fill = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
    # By hand: the refills are of 3 Dec and 12 Jan; the one of now is at 09:00.
    cases = [(NOW, date(2026, 1, 12)), (NOW + timedelta(hours=35), date(2026, 1, 12)),
             (NOW + timedelta(hours=37), date(2026, 2, 20))]  # fmt: skip
    notes.note("refill", "2026-02-20", fill)
    for now, day in cases:
        assert first_day("visit", notes.entries, now, UTC) == day
        title = section(clinic_sheet(notes.entries, now, UTC), "What happened").title
        assert title.endswith(f"{day:%-d %b %Y}")
    # The same refill noted on a second phone is no visit of its own.
    notes.note("refill", "2026-02-20", {**fill, "filled_ml": 19.9})
    assert first_day("visit", notes.entries, NOW, UTC) == date(2026, 1, 12)


def test_with_one_refill_of_today_the_time_before_it_begins_with_the_first_note():
    notes = Notes()
    notes.note("pump", "2026-01-01", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    notes.note("check-in", "2026-01-20", {"stiffness": 4})
    notes.note("programme", "2026-02-20", {"programme": {"days": [[[0, 8.0]]]}})
    notes.note("refill", "2026-02-20", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    assert first_day("visit", notes.entries, NOW, UTC) == date(2026, 1, 20)


def test_every_other_period_is_so_many_days_with_today():
    entries = usual().entries
    days = {name: first_day(name, entries, NOW, UTC) for name, _ in PERIODS if name.isdigit()}
    assert days == {"28": date(2026, 1, 24), "91": date(2025, 11, 22), "365": date(2025, 2, 21)}


def ten_refills() -> Notes:
    notes = usual()
    for month in range(1, 11):
        notes.note("refill", f"2025-{month:02d}-02", {"filled_ml": 20.0,
                                                       "strength_mcg_per_ml": 500.0})  # fmt: skip
        rate = [[0, 5 + month / 10]]
        notes.note("programme", f"2025-{month:02d}-03", {"programme": {"days": [rate]}})
    return notes


@pytest.mark.parametrize(("title", "noted"), [("Refills", 12), ("Dose settings", 11)])
def test_what_is_left_out_of_a_table_is_said_and_comes_with_an_earlier_day(title, noted):
    entries = ten_refills().entries
    short = section(clinic_sheet(entries, NOW, UTC), title)
    assert len(short.table.rows) == 6
    assert short.lines[-1] == f"The newest 6 of {noted} stand here; the app has them all."
    whole = section(clinic_sheet(entries, NOW, UTC, date(2025, 1, 1)), title)
    assert len(whole.table.rows) == noted
    assert not any("stand here" in line for line in whole.lines)
    part = section(clinic_sheet(entries, NOW, UTC, date(2025, 3, 1)), title)
    assert len(part.table.rows) == noted - 2
    assert part.lines[-1].startswith(f"The newest {noted - 2} of {noted} stand here")
    late = section(clinic_sheet(entries, NOW, UTC, date(2026, 2, 19)), title)
    assert len(late.table.rows) == 6


def test_what_is_not_known_is_asked_on_the_first_page():
    notes = usual().note("refill", "2026-02-18", {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0})
    told = section(clinic_sheet(notes.entries, NOW, UTC), "Please look at").lines
    situation, _ = situation_of(notes.entries)
    _, problems = forecast(situation, NOW, UTC)
    assert problems
    assert {problem.sentence for problem in problems} <= set(told)
    assert "line volume is not known" in " ".join(told)
    known = usual().note(
        "pump", "2026-02-17",
        {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "line_volume_ml": 0.35},
    ).note("refill", "2026-02-20", {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0})  # fmt: skip
    lines = section(clinic_sheet(known.entries, NOW, UTC), "Please look at").lines
    assert "bridge" in " ".join(lines)
    # The old drug is soon gone, but the dates of this fill go on to depend on the bridge.
    later = section(clinic_sheet(known.entries, NOW + timedelta(days=2), UTC), "Please look at")
    assert "earlier date is counted" in " ".join(later.lines)


def test_a_slip_in_a_printed_date_and_a_volume_far_off_are_asked_about():
    notes = usual()
    # By hand: 20 mL of 500 at 200 a day are 50 mL·500/200 = 45 days down to the alarm volume.
    notes.note("refill", "2026-02-19", {
        "filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "expected_ml": 4.8, "withdrawn_ml": 11.0,
        "printed_alarm_on": "2026-06-26",
    })  # fmt: skip
    told = " ".join(section(clinic_sheet(notes.entries, NOW, UTC), "Please look at").lines)
    assert "the printed one Fri 26 Jun 2026. Ask the clinic which is right." in told
    assert "6.2 mL more than expected was left." in told


def with_a_diary() -> Notes:
    """A change on 11 January, stiffness before it 6 or 7, after it 3 or 4, noted at 09:00."""
    notes = usual()
    notes.note("programme", "2026-01-11", {"programme": {"days": [[[0, 220 / 24]]]}})
    first = date(2025, 12, 10)
    for number in range((NOW.date() - first).days + 1):
        day = first + timedelta(days=number)
        score = (6 if day < date(2026, 1, 11) else 3) + number % 2
        notes.note("check-in", day.isoformat(), {"stiffness": score})
    return notes


def change(notes: Notes, since: date | None = None):
    return section(clinic_sheet(notes.entries, NOW, UTC, since), "Last change")


def test_the_last_change_leads_and_its_interval_stands_beside_it():
    found = change(with_a_diary())
    assert found.lead == "Sun 11 Jan 2026: 200 to 220 mcg/day (+10 %)"
    (row,) = found.picture.rows
    # By hand: 6 or 7 before, 3 or 4 after; 28 days from five days after the change on.
    (interval,) = row.intervals
    assert interval.points == pytest.approx(-3.0)
    assert interval.clear
    assert interval.low <= -3 <= interval.high < 0
    assert interval.words.startswith("less stiff by about 3 (")
    assert row.counts == "28 days before, 28 after"
    assert row.note == "Also in that time: a refill, Mon 12 Jan 2026."
    # The lead has said when and what.
    assert (row.label, row.detail) == ("The last change", "")
    assert any("not that the change was the cause" in line for line in found.lines)


def test_what_else_happened_stands_beside_what_followed():
    notes = with_a_diary().note("happening", "2026-01-20", {"what": "fall"})
    (row,) = change(notes).picture.rows
    assert row.note.endswith("a refill, Mon 12 Jan 2026; fall, Tue 20 Jan 2026.")


def test_what_happened_many_times_beside_a_change_is_counted():
    notes = with_a_diary()
    for day in range(1, 11):
        notes.note("happening", f"2026-02-{day:02d}", {"what": "fall"})
    (row,) = change(notes).picture.rows
    assert row.note == "Also in that time: a refill, Mon 12 Jan 2026; fall, 10 times."


def test_not_enough_to_say_stands_once_in_one_line():
    notes = with_a_diary()
    for month, dose in ((7, 160), (8, 170), (9, 180), (10, 190)):
        notes.note("programme", f"2025-{month:02d}-02", {"programme": {"days": [[[0, dose / 24]]]}})
    sheet = clinic_sheet(notes.entries, NOW, UTC, date(2025, 7, 1))
    assert str(sheet).lower().count("not enough to say") == 1
    (line,) = (line for line in section(sheet, "Last change").lines if "Not enough" in line)
    for told in ("Mon 1 Dec 2025", "Thu 2 Oct 2025", "Tue 2 Sep 2025"):
        assert told in line
    short = change(notes)
    assert "earlier changes are not listed here" in " ".join(short.lines)


def test_changes_close_to_each_other_stand_as_one_with_the_days_of_the_first_and_the_last():
    notes = with_a_diary()
    for day, dose in ((1, 230), (5, 240), (9, 250), (13, 260)):
        notes.note("programme", f"2026-02-{day:02d}", {"programme": {"days": [[[0, dose / 24]]]}})
    found = change(notes)
    assert found.lead == "Fri 13 Feb 2026: 250 to 260 mcg/day (+4 %)"
    newest, before = found.picture.rows
    assert newest.label == "4 changes from Sun 1 Feb 2026 to Fri 13 Feb 2026"
    assert newest.detail == "220 to 260 mcg/day (+18.2 %)"
    assert newest.instead.startswith("too soon to say; it can be judged on ")
    assert before.label == "Sun 11 Jan 2026"


def test_another_pattern_of_the_same_dose_is_said_to_be_one():
    notes = usual()
    steps = [[0, 10.0], [720, 2 * 200 / 24 - 10.0]]
    notes.note("programme", "2026-02-01", {"programme": {"days": [steps]}})
    assert change(notes).lead == "Sun 1 Feb 2026: 200 mcg/day as before, spread otherwise"


def test_a_sheet_without_check_ins_says_nothing_of_the_diary():
    sheet = clinic_sheet(usual().entries, NOW, UTC)
    assert section(sheet, "Last change").lines == ()
    assert section(sheet, "What happened").lines == ("Nothing is noted.",)
    assert section(sheet, "What happened").picture is None


def test_only_open_questions_are_asked_and_have_room_for_an_answer():
    questions = section(clinic_sheet(told().entries, NOW, UTC), "Questions")
    assert questions.lines == ("May I swim?",)
    assert questions.room > 0
    none = section(clinic_sheet(usual().entries, NOW, UTC), "Questions")
    assert none.lines == ("None noted.",)
    assert none.room == 2
    assert not none.listed


def everything() -> Notes:
    notes = told()
    notes.note("care", "2025-12-01", {"name": "Ayşe Łukasz", "born_on": "1984-03-02"})
    notes.note("check-in", "2026-02-12", {
        "stiffness": 5, "spasms": 2, "severity": 3, "pain": 7, "sleep": 2, "sleepiness": 8,
        "ease": 4, "worries": ["fever"], "sedatives": True,
        "side_effects": ["drowsy", "of one's own"], "tablets_as_planned": False,
        "note": "Slept in the chair.",
    })  # fmt: skip
    notes.note("measure", "2026-02-13", {"name": "Stairs", "value": 21, "unit": "steps",
                                         "goal": 30, "note": "With the cane."})  # fmt: skip
    notes.note("device", "2026-02-13", {"months_left": 58, "note": "Read at the ward."})
    notes.note("visit", "2026-02-13", {"visit_on": "2026-02-24", "note": "Bring the papers."})
    return notes.note("measure", "2026-02-14", {"name": "Stairs", "value": 24, "unit": "steps"})


def test_nothing_noted_is_left_out():
    said = str(clinic_sheet(everything().entries, NOW, UTC))
    for words in (
        "Fever", "Alcohol, sedatives or sleeping pills taken", "Much more drowsy than usual",
        "Of one's own", "Tablets not taken as planned", "Slept in the chair.", "With the cane.",
        "fall: No pain (after).", "May I swim?", "24 steps", "21 to 24, 2 times",
        "58 months left; Read at the ward.", "Bring the papers.",
    ):  # fmt: skip
        assert words in said, words
    rows = section(clinic_sheet(everything().entries, NOW, UTC), "Other scores").table.rows
    assert [row[0] for row in rows] == [
        "Pain", "Sleep", "Sleepiness", "Walking and moving over", "Strength of spasms, 1 to 3",
    ]  # fmt: skip
    assert rows[0][1:] == ("1", "7", "7", "7")


def test_no_sentence_and_no_date_of_the_first_page_stands_twice():
    sheet = clinic_sheet(everything().entries, NOW, UTC)
    lines = [line for one in sheet.sections for line in (*one.lines, one.lead, *one.under) if line]
    assert len(lines) == len(set(lines))
    coming = [row[1] for row in section(sheet, "Coming up").table.rows]
    assert not {"Refill by", "Alarm date, computed", "Alarm date, clinic's"} & set(coming)


def test_the_person_is_named_only_where_that_is_asked_for():
    entries = everything().entries
    assert "Ayşe" not in str(clinic_sheet(entries, NOW, UTC))
    named = clinic_sheet(entries, NOW, UTC, named=True)
    assert named.person == "Ayşe Łukasz, born 2 Mar 1984"
    assert clinic_sheet(usual().entries, NOW, UTC, named=True).person == ""


@pytest.mark.parametrize(
    ("days", "said"),
    [
        # By hand: 18 mL at 200 mcg of 500 mcg/mL a day last 45 days, to 26 Feb; 20 mL 5 more.
        (60, "By these numbers the pump is empty. Call the clinic now, day or night."),
        (8, "has come"),
        (0, "The refill-by date, Thu 19 Feb 2026, is past."),
        (-3, "Time to call the clinic and book the refill."),
    ],
)
def test_what_today_says_first_stands_first(days, said):
    entries, now = usual().entries, NOW + timedelta(days=days)
    answer, _ = forecast_of(entries, now, UTC)
    state = clinic_sheet(entries, now, UTC).sections[0]
    assert state.lead == state_by(entries, answer).sentence
    assert said in state.lead
    lines = [line for one in clinic_sheet(entries, now, UTC).sections for line in one.lines]
    assert state.lead not in lines


def test_while_nothing_is_to_be_done_how_things_stand_now_comes_first():
    assert clinic_sheet(usual().entries, NOW - timedelta(days=20), UTC).sections[0].title == "Now"


def test_what_is_seen_first_comes_first():
    titles = [one.title for one in clinic_sheet(everything().entries, NOW, UTC).sections]
    assert titles[:6] == [
        "What comes first", "Now", "Questions", "Please look at", "Last change, and what followed",
        "What happened since Mon 12 Jan 2026",
    ]  # fmt: skip
    now = section(clinic_sheet(everything().entries, NOW, UTC), "Now")
    assert now.lead == "220 mcg/day"
    assert now.under == ("500 mcg/mL", "constant rate")
    assert [name for name, _ in now.facts] == [
        "Next visit", "Refill by", "Alarm date, computed", "Last refill",
        "In the pump, computed", "Alarm date, clinic's",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("visit", "told"),
    [
        # By hand: the refill is due by 19 Feb, and the clinic is called two weeks before.
        (None, {"Next visit": "none noted", "Call the clinic by": "Thu 5 Feb 2026"}),
        ({"visit_on": "2026-02-18"}, {"Next visit": "Wed 18 Feb 2026"}),
        ({"visit_on": "2026-02-18", "visit_time": "10:30", "place": "Ward 3"},
         {"Next visit": "Wed 18 Feb 2026, 10:30, Ward 3"}),
        # After the refill-by date somebody is to be called all the same.
        ({"visit_on": "2026-02-24"},
         {"Next visit": "Tue 24 Feb 2026", "Call the clinic by": "Thu 5 Feb 2026"}),
    ],
)  # fmt: skip
def test_the_next_visit_and_the_call_stand_in_the_head(visit, told):
    notes = usual()
    if visit:
        notes.note("visit", "2026-01-20", visit)
    sheet = clinic_sheet(notes.entries, NOW - timedelta(days=20), UTC)
    facts = dict(section(sheet, "Now").facts)
    names = ("Next visit", "Call the clinic by")
    assert {name: facts[name] for name in names if name in facts} == told
    # A visit in time stands nowhere else; one that is too late is said to be so.
    coming = [row[1] for row in section(sheet, "Coming up").table.rows]
    assert ("Visit at the clinic" in coming) == (visit == {"visit_on": "2026-02-24"})
    assert "Call the clinic" not in coming


def test_a_day_to_call_that_is_past_is_told_by_what_comes_first_alone():
    sheet = clinic_sheet(usual().entries, NOW, UTC)
    assert "Call the clinic" in sheet.sections[0].lead
    assert "Call the clinic by" not in dict(section(sheet, "Now").facts)


def test_the_footnotes_of_what_followed_stand_with_the_tables():
    sheet = clinic_sheet(with_a_diary().entries, NOW + timedelta(days=1), UTC)
    found = section(sheet, "Last change")
    assert found.picture.cautions == ()
    cautions = section(sheet, "What followed: footnotes")
    assert cautions.name == ""
    numbers = [line.split()[0] for line in cautions.lines]
    assert numbers == [f"({number})" for number in range(1, len(numbers) + 1)]
    assert numbers[0].strip("()") in found.picture.rows[0].cautions


def test_what_is_noted_for_later_today_has_not_happened():
    notes = with_a_diary()
    before = clinic_sheet(notes.entries, NOW, UTC)
    at = NOW + timedelta(hours=11)
    notes.record.add("check-in", at, "UTC", {
        "stiffness": 9, "spasms": 4, "pain": 9, "side_effects": ["sleepy"], "note": "tonight",
    })  # fmt: skip
    notes.record.add("happening", at, "UTC", {"what": "fall"})
    notes.record.add("measure", at, "UTC", {"name": "Stairs", "value": 24, "unit": "steps"})
    assert clinic_sheet(notes.entries, NOW, UTC) == before
    after = clinic_sheet(notes.entries, at, UTC)
    assert section(after, "What happened").table.rows == (("Fri 20 Feb 2026", "fall"),)


def test_what_is_noted_on_a_journey_is_told_on_the_day_it_was_there():
    notes = usual()
    at = datetime(2026, 2, 10, 22, tzinfo=ZoneInfo("America/New_York"))
    notes.record.add("check-in", at, "America/New_York", {
        "stiffness": 9, "tablets_as_planned": False, "note": "Forgot them.",
    })  # fmt: skip
    notes.record.add("happening", at, "America/New_York", {"what": "fall"})
    sheet = clinic_sheet(notes.entries, NOW.astimezone(BERLIN), BERLIN)
    found = section(sheet, "What happened")
    # In Berlin it was Wednesday by then.
    assert found.facts == (("Tablets not taken as planned", "Tue 10 Feb 2026"),)
    assert found.table.rows == (("Tue 10 Feb 2026", "fall"),)
    assert section(sheet, "Notes").table.rows[0][0] == "Tue 10 Feb 2026"
    # The day it was there is the first of those looked back at, or is not.
    for day, count in ((10, 1), (11, 0)):
        since = clinic_sheet(notes.entries, NOW.astimezone(BERLIN), BERLIN, date(2026, 2, day))
        assert len(section(since, "What happened").facts) == count


def test_a_day_that_has_begun_only_where_the_person_is_stands_in_picture_and_words():
    notes, zone = usual(), ZoneInfo("Pacific/Kiritimati")
    at = datetime(2026, 2, 21, 1, tzinfo=zone)
    notes.record.add("check-in", at, "Pacific/Kiritimati", {"stiffness": 9, "worries": ["itch"]})
    found = section(clinic_sheet(notes.entries, at.astimezone(UTC), UTC), "What happened")
    assert found.facts == (("Itching without a rash", "Sat 21 Feb 2026"),)
    assert "stiffness from 9 to 9" in found.picture.spoken


def test_a_change_has_one_day_in_its_heading_and_where_there_is_not_enough_to_say():
    notes, zone = usual(), ZoneInfo("Pacific/Kiritimati")
    at = datetime(2026, 1, 21, 8, tzinfo=zone)
    notes.record.add(
        "programme", at, "Pacific/Kiritimati", {"programme": {"days": [[[0, 220 / 24]]]}}
    )
    notes.note("check-in", "2026-01-22", {"stiffness": 3})
    found = change(notes)
    assert found.lead.startswith("Tue 20 Jan 2026")
    assert "what followed the change of Tue 20 Jan 2026" in " ".join(found.lines)


def test_what_cannot_be_made_is_said_in_one_sentence():
    with pytest.raises(InputError, match=r"There is no pump yet: .*\."):
        clinic_sheet((), NOW, UTC)
    with pytest.raises(InputError, match=r"cannot begin after today: .*\."):
        clinic_sheet(usual().entries, NOW, UTC, date(2026, 2, 21))
