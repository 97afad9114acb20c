"""An entry that cannot be read: left out everywhere, told once, mended or taken out at a tap."""

import pytest
from screen_hand import PagelessApp, at, controls_in, in_use, save, texts

from pocketpump.app.screens.diary import log
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.error_screen import error_screen
from pocketpump.app.screens.more import questions
from pocketpump.app.screens.refills import refill_list
from pocketpump.app.screens.today.today import today
from pocketpump.record import KINDS, MemoryFiles, to_document
from pocketpump.record.journal.tinydb_storage import RecordDB

FILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


def holding(*odd: tuple[str, dict]) -> PagelessApp:
    """An app in use, whose file also holds entries as another program may have written them."""
    good = in_use()
    documents = [to_document(one) for one in good.services.record.entries]
    for number, (kind, payload) in enumerate(odd):
        documents.append({
            "id": f"odd-{number}", "kind": kind, "at": f"2026-03-14T09:{number:02d}:00+00:00",
            "zone": "UTC", "written_at": "2026-03-14T09:00:00+00:00", "payload": payload,
        })  # fmt: skip
    files = MemoryFiles()
    with RecordDB(files) as db:
        db.table("entries").insert_multiple(documents)
    return PagelessApp(at("2026-03-20T12:00"), files=files)


def told_on_today(app) -> dict[str, tuple[str, list]]:
    found = {}
    for control in controls_in(today(app)):
        key = str(control.key or "")
        if key.startswith("problem:odd"):
            buttons = [one for one in controls_in([control]) if getattr(one, "on_click", None)]
            found[key] = (" ".join(texts([control])), buttons)
    return found


def test_the_refills_list_draws_all_but_the_one_that_cannot_be_read():
    app = holding(("refill", {**FILL, "filled_ml": "much"}))
    words = " ".join(texts(refill_list.refills(app)))
    assert "Thu 12 Mar 2026" in words
    assert "14 Mar" not in words


def test_what_cannot_be_read_is_told_once_and_taken_out_at_a_tap_and_can_come_back():
    app = holding(("refill", {"filled_ml": "x"}))
    ((words, (button,)),) = told_on_today(app).values()
    assert "A refill of Sat 14 Mar 2026 cannot be read" in words
    assert sum("cannot be read" in text for text in texts(today(app))) == 1
    button.on_click()
    assert told_on_today(app) == {}
    app.services.record.undo(app.services.record.entries[-1].id)
    assert told_on_today(app) != {}


def test_a_value_that_cannot_be_read_takes_no_other_value_along():
    app = holding(("refill", {**FILL, "strength_mcg_per_ml": 1000.0, "note": 7}))
    answer, _ = app.services.forecast()
    assert answer.fill.strength_mcg_per_ml == 1000.0
    ((words, (button,)),) = told_on_today(app).values()
    assert "“note” noted for Sat 14 Mar 2026 cannot be read and is left out" in words
    button.on_click()
    assert app.route == "/refill?id=odd-0"


def test_allergies_stay_on_the_card_when_a_weight_cannot_be_read_and_the_weight_goes_for_good():
    app = holding(("care", {"allergies": "latex", "weight_kg": "heavy", "of a newer kind": 1}))
    assert app.services.newest("care").payload["allergies"] == "latex"
    ((_, (button,)),) = told_on_today(app).values()
    button.on_click()
    assert told_on_today(app) == {}
    care = app.services.newest("care").payload
    assert care["allergies"] == "latex"
    assert "weight_kg" not in care


def test_of_hundreds_a_few_are_told_at_a_time_and_the_rest_counted():
    app = holding(*[("check-in", {"stiffness": "bad"})] * 60)
    assert len(told_on_today(app)) == 4
    assert any("56 more entries cannot be read" in text for text in texts(today(app)))


def test_without_a_readable_pump_the_way_to_set_up_also_tells_what_cannot_be_read():
    files = MemoryFiles()
    moment = "2026-03-14T09:00:00+00:00"
    document = {"id": "odd-0", "kind": "pump", "at": moment, "zone": "",
                "written_at": moment, "payload": {"reservoir_ml": 0}}  # fmt: skip
    with RecordDB(files) as db:
        db.table("entries").insert_multiple([document])
    app = PagelessApp(at("2026-03-20T12:00"), files=files)
    assert len(told_on_today(app)) == 1
    assert sum("cannot be read" in text for text in texts(today(app))) == 1


@pytest.mark.parametrize(
    "kind", [kind for kind, fields in KINDS.items() if any(field.required for field in fields)]
)
def test_of_every_kind_an_entry_that_cannot_be_read_is_told(kind):
    app = holding((kind, {}))
    assert [one.entry.id for one in app.services.record.unread] == ["odd-0"]
    assert len(told_on_today(app)) == 1


def test_kinds_and_fields_of_a_newer_version_are_no_trouble_and_are_kept():
    app = holding(("mood", {"colour": None}), ("refill", {**FILL, "syringe": ["blue"]}))
    assert app.services.record.unread == ()
    assert app.services.find("odd-0").payload == {"colour": None}
    assert app.services.find("odd-1").payload["syringe"] == ["blue"]


def test_a_check_in_with_half_a_point_from_another_program_can_be_corrected():
    app = holding(("check-in", {"stiffness": 2.5, "spasms": 1}))
    app.query = {"id": "odd-0"}
    save(check_in, app)
    assert app.services.of_kind("check-in")[-1].payload["stiffness"] == 2.5


@pytest.mark.parametrize(
    ("screen", "module", "piece"),
    [(refill_list.refills, refill_list, "_refill"), (questions.questions, questions, "_question"),
     (log.log, log, "_entry")],
    ids=["refills", "questions", "log"],
)  # fmt: skip
def test_a_row_that_fails_leaves_the_other_rows(monkeypatch, capsys, screen, module, piece):
    app = in_use()
    for minute in ("10", "20"):
        app.note("refill", f"2026-03-13T09:{minute}", FILL)
        app.note("question", f"2026-03-13T09:{minute}", {"text": f"At {minute}?"})
        app.note("check-in", f"2026-03-13T09:{minute}", {"stiffness": 1, "note": f"At {minute}?"})
    whole = len(texts(screen(app)))
    drawn = getattr(module, piece)

    def fails_once(app, entry, **more):
        if f"{entry.at:%M}" == "10":
            raise ZeroDivisionError
        return drawn(app, entry, **more)

    monkeypatch.setattr(module, piece, fails_once)
    words = texts(screen(app))
    assert any("One entry here cannot be shown" in text for text in words)
    assert len(words) > whole / 2
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_where_a_screen_is_dead_card_backup_and_undo_are_there():
    app = in_use()
    app.note("question", "2026-03-19T09:00", {"text": "?"})
    buttons = [c for c in controls_in(error_screen(app)) if getattr(c, "on_click", None)]
    by_words = {" ".join(texts([button])): button for button in buttons}
    for words, route in (("Card", "/card"), ("Backup", "/backup")):
        by_words[words].on_click()
        assert app.route == route
    by_words["Take back what was saved last: question of Thu 19 Mar 2026"].on_click()
    assert app.services.of_kind("question") == ()
    # One further back each time: what was taken back is not offered again.
    assert any("dose setting of Thu 12 Mar" in text for text in texts(error_screen(app)))
