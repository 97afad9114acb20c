"""Several tabs on one record: each shows what another saves, drawn once; an end is an end."""

import threading

import pytest
from screen_hand import OpenTab, at, in_use

from pocketpump.app import draft_keeping
from pocketpump.app.draft_keeping import Keep
from pocketpump.app.main import _keep_in_step
from pocketpump.app.screens.undo import undo_of
from pocketpump.record import MemoryFiles, Record

QUESTION = "field:A question for the next visit"


def opened(hand, route: str, *, slow: bool = False) -> OpenTab:
    """A tab as `tab` opens it."""
    shown = OpenTab(hand.services, route, slow=slow)
    _keep_in_step(shown.app, hand.services)
    return shown


def test_a_save_in_one_tab_is_shown_in_the_others_without_a_touch():
    hand = in_use()
    one, other = opened(hand, "/questions"), opened(hand, "/questions")
    one.type(QUESTION, "May I swim?")
    one.tap("button:Save the question")
    assert "May I swim?" not in other.told()
    other.go_on()
    assert "May I swim?" in other.told()
    assert other.drawn == 1
    one.go_on()
    assert one.drawn == 2  # the letters, the save


def test_what_is_being_typed_in_another_tab_stays():
    hand = in_use()
    one, other = opened(hand, "/questions"), opened(hand, "/questions")
    other.type(QUESTION, "half a")
    one.type(QUESTION, "May I swim?")
    one.tap("button:Save the question")
    other.go_on()
    assert {"half a", "May I swim?"} <= set(other.told())


def test_a_closed_tab_is_drawn_no_longer():
    hand = in_use()
    one, other = opened(hand, "/questions"), opened(hand, "/questions")
    other.page.on_close(None)
    one.type(QUESTION, "May I swim?")
    one.tap("button:Save the question")
    other.go_on()
    assert other.drawn == 0


def test_a_tab_without_a_client_hinders_no_save_and_is_drawn_when_it_is_back():
    hand = in_use()
    one, other = opened(hand, "/questions"), opened(hand, "/questions")
    other.page.session.connection = None

    def fails(*_args, **_more):
        raise AttributeError("'NoneType' object has no attribute 'loop'")

    other.page.run_task = fails
    one.type(QUESTION, "May I swim?")
    one.tap("button:Save the question")
    assert "The question is saved." in one.told()
    assert other.drawn == 0
    other.page.on_connect(None)
    assert "May I swim?" in other.told()


def test_whatever_another_tab_cannot_do_a_save_is_told_as_done(capsys):
    hand = in_use()
    one, other = opened(hand, "/questions"), opened(hand, "/questions")

    def fails(*_args, **_more):
        raise RuntimeError("an odd client")

    other.page.run_task = fails
    one.type(QUESTION, "May I swim?")
    one.tap("button:Save the question")
    assert "The question is saved." in one.told()
    assert "an odd client" in capsys.readouterr().err


SAVES = {
    "/questions": ({"question": {"text": "May I swim?"}}, "button:Save the question"),
    "/pump": ({}, "button:Save the pump"),
    "/check-in": ({"check-in:": {"stiffness": "3"}}, "button:Save"),
    "/refill": ({"refill:": {"withdrawn_ml": "3"}}, "button:Save the refill"),
    "/about-you": ({"about you": {"settling": "5"}}, "button:Save the settling days"),
    "/care": ({"care": {"name": "Bo", "plan": "Go"}}, "button:Save the details"),
}


@pytest.mark.parametrize("route", SAVES)
def test_a_save_is_drawn_once(route):
    hand = in_use()
    drafts, button = SAVES[route]
    tab = opened(hand, route, slow=True)
    for name, values in drafts.items():
        tab.app.draft(name).update(values)
    tab.app.refresh()
    tab.drawn = 0
    tab.tap(button)
    if tab.going:
        tab.arrive()
    tab.go_on()
    assert tab.drawn == 1
    assert any("saved" in text for text in tab.told())


def test_a_save_that_leads_to_the_screen_that_is_shown_is_drawn_too():
    hand = in_use()
    tab = opened(hand, "/questions", slow=True)

    def stay():
        tab.app.go("/questions")
        tab.app.say("done")

    tab.app.run((), stay)
    assert "done" in tab.told()


def test_an_undo_of_a_whole_visit_is_one_save():
    hand = in_use()
    tab = opened(hand, "/refill")
    tab.app.draft("refill:").update({"dose changed": "yes", "dose": "210", "alarm_volume_ml": "3"})
    tab.app.refresh()
    before = hand.services.record.alive
    tab.tap("button:Save the refill")
    made = [e for e in hand.services.record.alive if e not in before]
    assert sorted(e.kind for e in made) == ["programme", "pump", "refill"]
    saves = []
    hand.services.record.on_saved.append(lambda: saves.append(1))
    undo = next(str(c.key) for c in tab.controls if str(c.key or "").endswith(":Undo"))
    tab.tap(undo)
    assert saves == [1]
    assert [e for e in hand.services.record.alive if e.removes is None] == list(before)


def test_an_undo_of_several_is_all_or_nothing():
    hand = in_use()
    record = hand.services.record
    first = hand.note("question", "2026-03-20T11:00", {"text": "one"})
    second = hand.note("question", "2026-03-20T11:01", {"text": "two"})
    record.undo(second.id)
    with pytest.raises(Exception, match="already taken back"):
        undo_of(OpenTab(hand.services, "/questions").app, first.id, second.id)()
    assert [e.id for e in hand.services.of_kind("question")] == [first.id]


@pytest.mark.parametrize("end", ["erase", "start_over"])
def test_an_ended_record_leaves_nothing_typed_in_any_tab(end, monkeypatch):
    monkeypatch.setattr(draft_keeping, "_REST_S", 0.05)
    hand = in_use()
    one, other = opened(hand, "/record"), opened(hand, "/backup")
    other.app.draft("backup").update(lock="yes", first="four plain words here", second="four")
    other.app.draft("refill:").update(note="private")
    one.app.draft("merge")["words"] = "another secret"
    waiting = Keep("refill:", dict, lambda v: hand.services.save_draft("refill:", v))
    waiting.later({"note": "private"})
    getattr(hand.services, end)()
    threading.Event().wait(0.2)
    for tab in (one, other):
        assert not any("four" in str(d) or "private" in str(d) or "secret" in str(d)
                       for d in tab.app.typed._drafts.values())  # fmt: skip
        tab.go_on()
        assert "four plain words here" not in tab.told()
    assert hand.services.record.draft("refill:") == {}


class Slow:
    """A place for drafts whose writing takes as long as the test wants."""

    def __init__(self):
        self.kept, self.begun, self.go_on = {}, threading.Event(), threading.Event()

    def save(self, values):
        if values:
            self.begun.set()
            assert self.go_on.wait(5)
        self.kept = dict(values)


def test_a_draft_whose_writing_had_begun_does_not_come_back_after_the_save(monkeypatch):
    monkeypatch.setattr(draft_keeping, "_REST_S", 0.01)
    slow = Slow()
    keep = Keep("visit", dict, slow.save)
    keep.later({"withdrawn_ml": "4"})
    assert slow.begun.wait(5)
    forgetting = threading.Thread(target=keep.forget)
    forgetting.start()
    slow.go_on.set()
    forgetting.join(5)
    assert slow.kept == {}


def test_what_is_kept_of_a_half_filled_visit_are_its_values_alone(monkeypatch):
    monkeypatch.setattr(draft_keeping, "_REST_S", 0.01)
    files = MemoryFiles()
    hand = in_use()
    hand.services.record = Record.open(files, clock=lambda: at("2026-03-20T12:00"))
    hand.note("pump", "2026-01-01T11:00", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    tab = opened(hand, "/refill")
    tab.type("field:Filled volume", "199")
    tab.tap("button:Save the refill")
    tab.type("field:Filled volume", "19")
    threading.Event().wait(0.2)
    kept = hand.services.record.draft("refill:")
    assert kept["filled_ml"] == "19"
    assert not {"tried", "failed", "asked", "sure"} & kept.keys()
    again = opened(hand, "/refill")
    assert not any("Nothing was saved yet." in text for text in again.told())


def test_half_filled_forms_are_there_again_after_the_page_was_loaded_anew():
    hand = in_use()
    tab = opened(hand, "/questions")
    tab.type(QUESTION, "half a question")
    tab.tap("button:Save the question")
    tab.type(QUESTION, "half another")
    tab.app.draft("backup")["first"] = "four plain words here"
    tab.page.on_close(None)
    hand.services.on_leaving.append(tab.app.typed.half_filled)
    hand.services.leave()
    assert "four plain words" not in str(hand.services.record.draft("left behind"))
    hand.services.on_leaving.clear()
    again = opened(hand, "/questions")
    again.app.refresh()
    assert "half another" in again.told()
    # It is taken up once: what is saved or given up there does not come back.
    assert hand.services.record.draft("left behind") == {}
    assert not hand.services.left_behind()


def test_what_was_left_behind_longer_ago_is_not_saved_as_of_now():
    hand = in_use()
    tab = opened(hand, "/check-in")
    tab.tap("number:7")
    hand.services.leave()
    hand.time = at("2026-03-20T12:11")
    assert not hand.services.left_behind()


@pytest.mark.parametrize(
    "left",
    [
        {"forms": {}},
        {"at": "long ago", "forms": {}},
        {"at": "2026-03-20T12:00", "forms": {}},
        {"at": "2026-03-20T12:00:00+00:00"},
        {"at": "2026-03-20T12:00:00+00:00", "forms": ["questions"]},
        {"at": "2026-03-20T12:00:00+00:00", "forms": {"questions": None}},
    ],
)
def test_what_was_left_behind_and_cannot_be_read_hinders_no_start(left):
    hand = in_use()
    hand.services.record.keep_draft("left behind", left)
    assert opened(hand, "/questions").told()
