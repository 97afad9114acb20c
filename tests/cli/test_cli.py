"""The command line: names and keys as promised, errors as one sentence with exit status 2."""

import json
import random
from datetime import UTC, datetime

import pytest

from pocketpump import __version__
from pocketpump.cli import main
from pocketpump.record import DiskFiles, Record

NOW = datetime(2026, 1, 20, 9, tzinfo=UTC)
E14 = [
    "--filled", "2026-01-12T09:00", "--zone", "UTC", "--volume", "20 mL", "--strength",
    "500 mcg/mL", "--dose", "200 mcg/day", "--alarm-volume", "2 mL",
]  # fmt: skip


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    status = main(arguments, clock=lambda: NOW)
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def run_json(capsys, *arguments: str) -> dict:
    status, out, err = run(capsys, *arguments, "--json")
    assert (status, err) == (0, "")
    return json.loads(out)


def assert_one_sentence(text: str) -> None:
    assert text.endswith(".\n") or text.endswith(".'\n"), text
    assert text.count("\n") == 1, text
    assert "Traceback" not in text
    assert len(text) <= 320, text


def test_forecast_prints_the_promised_keys_for_the_first_worked_example(capsys):
    told = run_json(
        capsys, "forecast", *E14, "--tolerance", "14.5", "--drug-age-days", "180", "--now",
        "2026-01-20T09:00",
    )  # fmt: skip
    # E14, derived by hand: 0.4 mL/d, alarm 45 d, empty 50 d. The first window at 14.5 % is 23.886 %
    # (1.6 times that, and 2.9 % as a standard deviation from fill to fill): 36.324 d to 59.122 d.
    assert told == {
        "flow_ml_per_day": 0.4,
        "dose_mcg_per_day": 200.0,
        "volume_now_ml": 16.8,
        "days_to_alarm": 37,
        "alarm_at": "2026-02-26T09:00:00+00:00",
        "alarm_earliest": "2026-02-17T16:46:06+00:00",
        "alarm_latest": "2026-03-12T11:55:35+00:00",
        "empty_at": "2026-03-03T09:00:00+00:00",
        "drug_age_limit_at": "2026-07-11T09:00:00+00:00",
        "refill_by": "2026-02-19",
        "asks": [],
        "state": "calm",
        "sentence": "By these numbers nothing is due. Call the clinic by Thu 5 Feb 2026 to book the"
        " refill. If the alarm sounds before that, call at once.",
    }


@pytest.mark.parametrize(
    ("arguments", "flow", "days"),
    [
        # E20, derived: 290 mcg/d at 2000 = 0.145 mL/d; 262.07 d.
        (["--pattern", "00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h", "--strength",
          "2 mg/mL", "--volume", "40 mL"], 0.145, 262),
        # E21, derived: background 120 + 4 x 45 at 1000 = 0.3 mL/d; 60 d.
        (["--dose", "120 mcg/day", "--timed-bolus", "45 mcg x 4", "--strength", "1000 mcg/mL",
          "--volume", "20 mL"], 0.3, 60),
        # E22, derived: plan on all four requested boluses: 60 d.
        (["--dose", "200 mcg/day", "--requested-bolus", "25 mcg x 4", "--strength",
          "1000 mcg/mL", "--volume", "20 mL"], 0.3, 60),
    ],
)  # fmt: skip
def test_forecast_knows_every_delivery_mode(capsys, arguments, flow, days):
    told = run_json(
        capsys, "forecast", "--filled", "2026-01-12T09:00", "--alarm-volume", "2 mL", "--now",
        "2026-01-12T09:00", *arguments,
    )  # fmt: skip
    assert told["flow_ml_per_day"] == pytest.approx(flow)
    assert told["days_to_alarm"] == days


def test_forecast_counts_a_later_setting_from_its_minute(capsys):
    # E19, derived: 300 mcg/d from 2026-03-01, 360 from 03-31: alarm 2026-04-25.
    told = run_json(
        capsys, "forecast", "--filled", "2026-03-01T09:00", "--volume", "20 mL", "--strength",
        "1000 mcg/mL", "--dose", "300 mcg/day", "--alarm-volume", "2 mL", "--then",
        "2026-03-31T09:00 360 mcg/day", "--now", "2026-03-01T09:00",
    )  # fmt: skip
    assert told["alarm_at"] == "2026-04-25T09:00:00+00:00"


CAUTION = "PocketPump is a notebook with arithmetic. The clinic's instructions and local emergency"


def test_forecast_says_that_the_pump_is_empty_and_shows_no_false_subtraction(capsys):
    _, out, _ = run(capsys, "forecast", *E14, "--now", "2026-03-10T09:00")
    words = " ".join(out.split())
    assert words.startswith("By these numbers the pump is empty. Call the clinic now, day or night."
                            " If stiffness comes back fast")  # fmt: skip
    assert "To pump before the alarm: nothing, for the pump is empty" in words
    assert "0 − 2 = 0" not in words
    assert CAUTION in words
    told = run_json(capsys, "forecast", *E14, "--now", "2026-03-10T09:00")
    assert told["state"] == "empty"


def test_check_tells_the_state_where_all_numbers_are_given_and_the_caution_always(capsys):
    # Printed two days before "now": the clinic's date counts though ours is weeks away.
    early = [*E14, "--printed-alarm", "2026-01-18"]
    _, out, _ = run(capsys, "check", *early)
    assert out.startswith("The alarm date the clinic printed, Sun 18 Jan 2026, has come. Call")
    assert "39 days earlier" in out
    assert CAUTION in " ".join(out.split())
    assert run_json(capsys, "check", *early)["state"] == "clinic-alarm"
    later = run_json(capsys, "check", *E14, "--printed-alarm", "2026-02-26", "--now", "2026-02-21")
    assert later["state"] == "overdue"
    residual = ["--volume", "20 mL", "--expected", "4 mL", "--withdrawn", "4 mL"]
    assert run_json(capsys, "check", *residual)["state"] is None
    _, out, _ = run(capsys, "check", *residual)
    assert out.startswith("As much as expected was withdrawn")
    assert CAUTION in " ".join(out.split())


def test_a_stopped_pump_has_no_date(capsys):
    told = run_json(capsys, "forecast", *E14[:8], "--dose", "stopped", *E14[10:])
    assert told["alarm_at"] is None
    assert told["days_to_alarm"] is None
    assert told["empty_at"] is None


def test_check_names_the_slip_and_flags_the_residual(capsys):
    told = run_json(
        capsys, "check", *E14, "--printed-alarm", "2026-04-12", "--expected", "4 mL",
        "--withdrawn", "6.5 mL",
    )  # fmt: skip
    assert told["date_difference_days"] == 45
    assert told["slips"][0]["field"] == "strength"
    assert told["slips"][0]["would_be"] == "1000 mcg/mL"
    # E25, derived: +2.5 mL, delivered ratio 0.844; more than 2 mL is the published limit.
    assert told["residual_difference_ml"] == 2.5
    assert told["delivered_ratio"] == pytest.approx(0.844, abs=5e-4)
    assert told["residual_flag"] is True


def test_check_may_leave_any_part_out(capsys):
    told = run_json(capsys, "check", *E14, "--printed-alarm", "2026-02-26")
    assert told["date_difference_days"] == 0
    assert told["slips"] == []
    assert told["residual_flag"] is None
    told = run_json(
        capsys, "check", "--volume", "20 mL", "--expected", "4 mL", "--withdrawn", "2.2 mL"
    )
    assert told["date_difference_days"] is None
    assert told["residual_flag"] is False


def test_forecast_reads_the_record_and_says_what_is_missing(capsys, tmp_path):
    folder = tmp_path / "record"
    status, _, err = run(capsys, "dates", "--record", str(folder))
    assert status == 2
    assert "There is no record at" in err
    assert not folder.exists()
    with Record.open(DiskFiles(folder)) as record:
        record.add("pump", NOW, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        filled = datetime(2026, 1, 12, 9, tzinfo=UTC)
        record.add("refill", filled, "UTC", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        programme = {"days": [[[0, 200 / 24]]]}
        record.add("programme", filled, "UTC", {"programme": programme})
    told = run_json(capsys, "dates", "--record", str(folder), "--zone", "UTC")
    assert told["alarm_at"] == "2026-02-26T09:00:00+00:00"
    assert told["days_to_alarm"] == 37
    _, out, _ = run(capsys, "dates", "--record", str(folder), "--zone", "UTC")
    assert CAUTION in " ".join(out.split())


@pytest.mark.parametrize(
    ("visit", "missed", "state"),
    [
        (None, None, "call"),
        # E14: refill by 02-19 (derived).
        ("2026-02-16", None, "calm"),
        ("2026-02-20", None, "late-visit"),
        (None, "2026-02-05", "missed"),
        # Before the refill: that one was made up for.
        (None, "2026-01-11", "call"),
    ],
)
def test_forecast_tells_the_state_that_today_tells(capsys, tmp_path, visit, missed, state):
    folder = tmp_path / "record"
    filled = datetime(2026, 1, 12, 9, tzinfo=UTC)
    refill = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
    with Record.open(DiskFiles(folder)) as record:
        record.add("pump", filled, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("programme", filled, "UTC", {"programme": {"days": [[[0, 200 / 24]]]}})
        record.add("refill", filled, "UTC", refill | ({"next_visit_on": visit} if visit else {}))
        if missed:
            at = datetime.fromisoformat(f"{missed}T10:00+00:00")
            record.add("happening", at, "UTC", {"what": "missed refill"})
    arguments = ["dates", "--record", str(folder), "--zone", "UTC", "--now", "2026-02-06T12:00"]
    told = run_json(capsys, *arguments)
    assert told["state"] == state
    _, out, _ = run(capsys, *arguments)
    assert told["sentence"] in " ".join(out.split())


def test_forecast_reads_while_the_app_holds_the_record(capsys, tmp_path):
    folder = tmp_path / "record"
    with Record.open(DiskFiles(folder)) as record:
        record.add("pump", NOW, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        before = sorted((p.name, p.read_bytes()) for p in folder.glob("*.jsonl"))
        status, _, err = run(capsys, "dates", "--record", str(folder))
        assert (status, err) == (2, "There is no refill yet: enter the last one.\n")
        assert sorted((p.name, p.read_bytes()) for p in folder.glob("*.jsonl")) == before


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        # Screening dose only: label; supplied strengths: injectable-drugs handbook; 12-2003
        # mcg/day: label; 2 mL customary: Rigoli 2004; 20 and 40 mL pumps: Maino 2017.
        (["--strength", "50 mcg/mL"], "screening dose"),
        (["--strength", "3 mg/mL"], "unusual strength"),
        (["--dose", "2100 mcg/day"], "outside the 12 to 2003 mcg/day"),
        (["--alarm-volume", "0.1 mL"], "unusual alarm volume"),
        (["--volume", "99 mL"], "unusual filling"),
        ([], ""),
    ],
)
@pytest.mark.parametrize("more", [["forecast"], ["check", "--printed-alarm", "2026-02-26"]])
def test_unusual_amounts_are_asked_about_and_computed_with(capsys, more, changed, words):
    told = json.loads(run(capsys, *more, *E14, *changed, "--json")[1])
    assert bool(told["asks"]) == bool(words)
    assert words in " ".join(told["asks"])
    status, out, _ = run(capsys, *more, *E14, *changed)
    assert status == 0
    assert words in out


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (["--strength", "0.0000001 mcg/mL"], "less than 1 mcg/mL, which no pump uses"),
        (["--volume", "1000 mL"], "more than 100 mL, which no pump uses"),
    ],
)
def test_an_impossible_amount_is_refused(capsys, changed, words):
    status, out, err = run(capsys, "forecast", *E14, *changed)
    assert (status, out) == (2, "")
    assert words in err


def test_a_dose_is_printed_as_it_was_given(capsys):
    out = run(capsys, "forecast", *E14, "--dose", "331.25 mcg/day")[1]
    assert "331.25 mcg/day" in out
    assert "331.2 " not in out


def test_version_and_help(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"pocketpump {__version__}\n"
    with pytest.raises(SystemExit):
        main(["--help"])
    out = capsys.readouterr().out
    for word in ("demo", "forecast", "check", "dates", "clinic"):
        assert word in out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["forecast", *E14[:4], "--volume", "20"], '--volume: "20" has no unit'),
        (["forecast", *E14, "--dose", "0,5 mg/dag"], 'I do not know the unit "dag"'),
        (["forecast", *E14, "--zone", "Mars/North"], "I do not know the time zone"),
        (["forecast", *E14, "--now", "2025-01-01"], "--now is before --filled"),
        (["forecast", *E14, "--filled", "2026-02-30"], "is not a date and time"),
        (["forecast", *E14, "--pattern", "00:00 15 mcg/h"], "not both"),
        (["check"], "Nothing can be checked yet"),
        (["check", *E14[:-2], "--printed-alarm", "2026-02-26"], "needs --alarm-volume as well"),
        (["check", "--volume", "20 mL", "--expected", "4 mL"], "needs --withdrawn as well"),
        (["check", "--volume", "20 mL", "--withdrawn", "4 mL"], "needs --expected as well"),
        (
            ["check", *E14, "--printed-alarm", "2026-02-26", "--expected", "4 mL"],
            "needs --withdrawn as well",
        ),
        (
            ["check", "--volume", "20 mL", "--expected", "4 mL", "--withdrawn", "60 mL"],
            "more than the 20 mL",
        ),
        (["forecast", *E14, "--margin-days", "7.5"], '"7.5" has decimals'),
        (["forecast", *E14, "--margin-days", "70"], "write 0 to 60"),
        (["forecast", *E14[:8], *E14[10:]], "Give the dose setting"),
        (["forecast", *E14, "--alarm-volume", "30 mL"], "must be less than --volume"),
        (["fly"], "invalid choice"),
    ],
)
def test_an_error_is_one_sentence_with_status_2(capsys, arguments, told):
    status, out, err = run(capsys, *arguments)
    assert (status, out) == (2, "")
    assert told in err
    assert_one_sentence(err)


@pytest.mark.parametrize("count", [600, pytest.param(3_000, marks=pytest.mark.thorough)])
def test_odd_command_lines_by_the_hundred_give_an_answer_or_one_sentence(capsys, count):
    rng = random.Random(20260120)
    options = ["--filled", "--zone", "--volume", "--strength", "--dose", "--pattern",
               "--alarm-volume", "--tolerance", "--now", "--then", "--timed-bolus",
               "--requested-bolus", "--printed-alarm", "--expected", "--withdrawn",
               "--pump-clock", "--drug-age-days", "--json"]  # fmt: skip
    good = dict(zip(E14[::2], E14[1::2], strict=True))
    pieces = ["20 mL", "2026-01-12", "0", "-1", "1e400", "NaN", "inf", "½", "٢٠ mL", "\x00", "",
              " ", "99999999999 mL", "mcg", "00:00", "24:00 1 mcg/h", "Mon-Fri: x", "stopped",
              "2026-03-29T02:30", "Europe/Rome", "../../etc/passwd", "+99:99", "a" * 500, "%s",
              "45 mcg x 999", "1/0", "0.000001 mcg/day", "100000 mcg/day", "9999-12-31",
              "2026-13-01", "'; drop", "\u202e20 mL", "20\n mL", "1,000 mL"]  # fmt: skip
    for _ in range(count):
        chosen = dict(good) if rng.random() < 0.8 else {}
        for option in rng.sample(options, rng.randint(0, 4)):
            text = rng.choice(pieces)
            if rng.random() < 0.3:
                text = "".join(rng.sample(text + "9.,:/ mL", min(6, len(text) + 8)))
            chosen[option] = text
        arguments = [rng.choice(["forecast", "check"])]
        for option, value in chosen.items():
            arguments += [option] if option == "--json" else [f"{option}={value}"]
        status, out, err = run(capsys, *arguments)
        if status == 0:
            assert out
            assert err == ""
        else:
            assert (status, out) == (2, "")
            assert_one_sentence(err)


def test_help_of_every_command_has_an_example_or_a_default(capsys):
    for command in ("forecast", "check", "dates", "demo"):
        with pytest.raises(SystemExit):
            main([command, "--help"])
        assert len(capsys.readouterr().out) > 300


def test_a_later_setting_far_above_the_one_before_is_asked_about(capsys):
    asks = run_json(capsys, "forecast", *E14, "--then", "2026-01-25T09:00 900 mcg/day")["asks"]
    assert any("350 %" in one for one in asks)


def test_a_pump_found_dry_is_said(capsys):
    arguments = ["check", "--volume", "20 mL", "--expected", "2 mL", "--withdrawn", "0 mL"]
    code, printed, _ = run(capsys, *arguments)
    assert code == 0
    assert "The pump was found empty" in printed
