"""What Today has to tell: one box for each place at which something is mended, with its button."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import flet as ft

from pocketpump.app.parts import notice, quiet_button
from pocketpump.app.screens.link import link
from pocketpump.app.screens.pump.device_life import life_of, near_sentence
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import Problem
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.situation_problems import UNFILLED
from pocketpump.core.pump.state import State
from pocketpump.core.pump.timeline import minute_of
from pocketpump.core.refill_check.plausibility import Amounts, odd_amounts
from pocketpump.core.refill_check.visit_check import VisitCheck, check_visit, compare_alarm_dates
from pocketpump.core.units.instants import to_seconds
from pocketpump.exchange.backup.import_preview import name_of
from pocketpump.record import KINDS
from pocketpump.record.entry.readable import PARTLY, UNREADABLE, Unread
from pocketpump.record.facts.booked_visit import reminders_of
from pocketpump.record.facts.diary import contacts_of
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import origin_of, visit_of

_STILL_ASKED_S = 14 * 86_400
_VISIT = message("Move or cancel the visit")
_REFILL = message("Correct this refill")
_SETTING = message("Correct this setting")
_REFILLS = message("Refills")
_BRING_IN = message("Bring in a copy")
_MY_RECORD = message("My record")

_PLACES = {
    "no-pump": (message("The pump"), "/pump"),
    "no-refill": (message("Log a refill"), "/refill"),
    "no-setting": (message("Log a dose change"), "/dose"),
    UNFILLED: (message("Log a refill"), "/refill"),
    "setting-twice": (message("Dose settings"), "/doses"),
    "line-volume-unknown": (message("Enter the line volume"), "/pump"),
}
# What the refill's own form holds, and a slip may have been made in.
_AMOUNTS = {"strength", "volume"}
# What is only told; everything else may make a number here wrong.
_TOLD = {
    "pace-far-more", "pace-far-less", "bridge-unknown", "line-volume-unknown", "setting-after-fill",
    "setting-ahead",
}  # fmt: skip
# What one refill shows is mended, or looked at, in its own form.
_OF_ONE_REFILL = {"overfull", "pace-far-more", "pace-far-less", "bridge-unknown", "refill-ahead"}
_FILES = {"damaged", "mixed up", "record gone", "record missing", "rolled back"}
_UNREAD = {UNREADABLE, PARTLY}
_MOST_UNREAD = 4
_FORMS = {
    "refill": "/refill", "programme": "/dose", "check-in": "/check-in", "happening": "/happening",
    "measure": "/measure", "contact": "/contact", "trip": "/trip-form",
}  # fmt: skip
"""The screens at which one entry of a kind is corrected."""


@dataclass
class ProblemBox:
    """What is told together, and where ``label`` leads; ``needs_you`` gives it the accent."""

    label: str
    route: str
    needs_you: bool = False
    heading: str = ""
    sentences: list[str] = field(default_factory=list)


def problem_boxes(
    app: App[Services], answer: Forecast | None, problems: Sequence[Problem], state: State | None
) -> tuple[list[ft.Control], list[ft.Control]]:
    """Draw what may make the numbers wrong, or cannot wait; apart and first, a likely slip.

    A slip in an amount makes the sentence and the number wrong, so it stands between them.
    """
    found: dict[str, ProblemBox] = {}
    tell = partial(_tell, found)
    overfull_told = False
    if answer is not None and state is not None:
        for note, check in _refill_checks(app.services, answer):
            overfull_told = True
            probably = _probably(check)
            # What one slip explains is told in a few words here; the form itself says the rest.
            told = {one.text for one in check.candidate_errors} if probably else set()
            for sentence in check.asks:
                if sentence not in told:
                    box = ProblemBox(_REFILL, f"/refill?id={note}", True, heading=probably)
                    tell(sentence, box)
        for sentence, setting in (*_setting_asks(answer), *_odd_setting(app.services, answer)):
            tell(sentence, ProblemBox(_SETTING, f"/dose?id={setting}", needs_you=True))
        if state.word != "late-visit":
            for reminder in reminders_of(app.services.record.alive, answer):
                if reminder.code == "next-visit" and reminder.urgent:
                    tell(reminder.text, ProblemBox(_VISIT, "/visit", needs_you=True))
    for problem in problems:
        if problem.code in _UNREAD or (problem.code == "overfull" and overfull_told):
            continue
        if problem.code == UNFILLED and state is not None and state.word == "new-pump":
            continue  # the sentence above says it
        tell(problem.sentence, _of(problem))
    aging = near_sentence(life_of(app.services))
    if aging:
        tell(aging, ProblemBox(message("Life of the pump"), "/device", needs_you=True))
    slips = [_drawn(app, box) for box in found.values() if box.heading]
    others = [_drawn(app, box) for box in found.values() if not box.heading]
    return slips, [*unread_problem_boxes(app), *others]


def _tell(found: dict[str, ProblemBox], sentence: str, box: ProblemBox) -> None:
    """Put ``sentence`` into ``box``, or into the one ``found`` that leads to the same place."""
    kept = found.setdefault(box.route, box)
    kept.needs_you |= box.needs_you
    if sentence not in kept.sentences:
        kept.sentences.append(sentence)


def unread_problem_boxes(app: App[Services]) -> list[ft.Control]:
    """Draw what cannot be read of the record, with the way to mend it; a few at a time."""
    unread = app.services.record.unread
    controls = [
        _notice(
            ProblemBox("", one.entry.id, True, sentences=[told.sentence for told in one.problems]),
            _mended(app, one),
        )
        for one in unread[:_MOST_UNREAD]
    ]
    more = len(unread) - _MOST_UNREAD
    if more > 0:
        sentence = plural_message(
            "{count} more entry cannot be read: mend these first.",
            "{count} more entries cannot be read: mend these first.",
            more,
        )
        controls.append(notice(sentence, needs_you=True, key="more unread"))
    return controls


def file_problem_boxes(app: App[Services]) -> list[ft.Control]:
    """Draw what the record's files were found with when they were opened."""
    found: dict[str, ProblemBox] = {}
    for problem in app.services.record.problems:
        if problem.code in _UNREAD:  # told among the numbers, with the way to mend it
            continue
        files = problem.code in _FILES
        label, route = (_BRING_IN, "/merge") if files else (_MY_RECORD, "/record")
        may_be_old = problem.code == "other file newer"
        _tell(found, problem.sentence, ProblemBox(label, route, needs_you=may_be_old))
    return [_drawn(app, box) for box in found.values()]


def numbers_missing(app: App[Services]) -> list[ft.Control]:
    """Draw the way to the numbers to call while there are none."""
    if contacts_of(app.services.record.alive):
        return []
    text = message("No number to call is set. Set the clinic's and your local emergency number.")
    return [_drawn(app, ProblemBox(message("Set the numbers"), "/contacts", sentences=[text]))]


def _of(problem: Problem) -> ProblemBox:
    """Return the place at which ``problem`` is mended."""
    needs_you = problem.code not in _TOLD
    only = problem.ids[0] if len(problem.ids) == 1 else ""
    if problem.code in _PLACES:
        label, route = _PLACES[problem.code]
        return ProblemBox(label, route, needs_you)
    if problem.code in _OF_ONE_REFILL and only:
        return ProblemBox(_REFILL, f"/refill?id={only}", needs_you)
    if problem.code in ("setting-after-fill", "setting-ahead") and only:
        return ProblemBox(_SETTING, f"/dose?id={only}", needs_you)
    return ProblemBox(_REFILLS, "/refills", needs_you)


def _drawn(app: App[Services], box: ProblemBox) -> ft.Control:
    button = link(app, box.label, box.route, ft.Icons.EDIT_OUTLINED, key=f"mend:{box.route}")
    return _notice(box, button)


def _notice(box: ProblemBox, button: ft.Control) -> ft.Control:
    return notice(
        joined("\n", box.sentences), needs_you=box.needs_you,
        key=f"problem:{box.route}", heading=box.heading, below=[button],
    )  # fmt: skip


def _mended(app: App[Services], unread: Unread) -> ft.Control:
    """Return the button that mends an entry: its form, or what takes out what cannot be read."""
    entry, kept = unread.entry, unread.kept
    if kept is None:
        # No form can show it; what is removed can be brought back.
        return remove_button(app, entry.id, name_of(entry, app.services.zone), "/today")
    if entry.kind in _FORMS:
        form = f"{_FORMS[entry.kind]}?id={entry.id}"
        return link(app, message("Correct it"), form,
                    ft.Icons.EDIT_OUTLINED, key=f"mend:{entry.id}")  # fmt: skip

    def leave_out() -> None:
        known = {field.name for field in KINDS[entry.kind]}
        rest = {name: value for name, value in kept.payload.items() if name in known}
        saved = app.services.record.correct(entry.id, rest)
        say_with_undo(app, message("It is left out for good."), saved.id)

    return quiet_button(message("Leave it out for good"), leave_out,
                        icon=ft.Icons.DELETE_OUTLINE, key=f"leave out:{entry.id}")  # fmt: skip


def _printed_differs(answer: Forecast) -> tuple[str, ...]:
    printed_on, alarm_at = answer.printed_in_force, answer.alarm_at
    if printed_on is None or alarm_at is None or answer.printed_is_old:
        return ()
    return compare_alarm_dates(alarm_at.date(), printed_on)[0]


def _probably(check: VisitCheck) -> str:
    """Return the slip in the refill's own amounts that stands out; "" when none does."""
    if not check.candidate_errors:
        return ""
    first, *others = check.candidate_errors
    if first.field not in _AMOUNTS or any(one.weight >= first.weight for one in others):
        return ""
    return message("Probably {would_be}, not {entered}.", would_be=first.would_be,
                  entered=first.entered)  # fmt: skip


def _refill_checks(services: Services, answer: Forecast) -> Iterator[tuple[str, VisitCheck]]:
    """Yield what is still to be asked of the last refill: of each note its id and its check.

    What a refill raised stays for two weeks, its printed date for as long as it is of the
    setting that runs.
    """
    situation, _ = services.situation()
    assert situation is not None  # there is a forecast
    notes = last_refill(services.record.alive, answer.now)
    is_recent = to_seconds(answer.now) - to_seconds(notes[-1].at) < _STILL_ASKED_S
    since = max(minute_of(one.at) for one in notes)
    in_force = all(
        minute_of(at) <= since
        for at in (
            *(change.at for change in situation.changes()),
            *(one.at for one in situation.printouts),
        )
    )
    origin = origin_of(services.record.alive, answer.now)
    for entry in notes:
        visit = visit_of(entry)
        if visit.printed_alarm_on is None or answer.alarm_at is None or not in_force:
            differs: tuple[str, ...] = ()
        else:
            differs = compare_alarm_dates(answer.alarm_at.date(), visit.printed_alarm_on)[0]
        if is_recent or differs:
            visit = visit if differs else replace(visit, printed_alarm_on=None)
            yield entry.id, check_visit(visit, situation, services.zone, origin)


def _setting_asks(answer: Forecast) -> list[tuple[str, str]]:
    """Return what to ask of a date printed at a change of the dose, with that setting's id."""
    situation = answer.situation
    if situation.is_printed_with(answer.fill):
        return []
    ids = [one.id for one in situation.settings if one.at == situation.printed_at]
    return [(sentence, ids[-1]) for sentence in _printed_differs(answer) if ids]


def _odd_setting(services: Services, answer: Forecast) -> list[tuple[str, str]]:
    """Return what is unusual about a dose set in the last two weeks, with that setting's id."""
    now_s = to_seconds(answer.now)
    known = answer.situation.settings
    if not known or now_s - to_seconds(known[-1].at) > _STILL_ASKED_S:
        return []
    before = known[-2].programme.dose_mcg_per_day if len(known) > 1 else 0.0
    amounts = Amounts(
        dose_mcg_per_day=known[-1].programme.dose_mcg_per_day,
        dose_before_mcg_per_day=before,
        origin=origin_of(services.record.alive, answer.now),
    )
    return [(odd.sentence, known[-1].id) for odd in odd_amounts(amounts)]
