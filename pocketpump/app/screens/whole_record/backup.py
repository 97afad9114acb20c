"""Backup: the whole record into one file."""

from contextlib import suppress
from typing import Any

import flet as ft

from pocketpump.app.parts import big_button, body, check_boxes, choice, notice, scroll_key
from pocketpump.app.screens.link import link
from pocketpump.app.screens.saved_files import saved_name
from pocketpump.app.screens.whole_record.backup_check import check_controls
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.exchange.backup.backup_due import BackupState, backup_state, say_state
from pocketpump.exchange.backup.encrypted import check_passphrase, make_backup
from pocketpump.exchange.backup.passphrase_strength import WEAK, strength_of
from pocketpump.exchange.backup.record_check import from_the_future
from pocketpump.record import RecordReadOnlyError

_LOCKS = (
    ("no", message("No, anybody with the file can read it")),
    ("yes", message("Yes, with a passphrase")),
)

_MAKE = "make the backup"
"""The scroll key of what is asked or told above the button."""


def state_of(services: Services) -> BackupState:
    """Return how things stand with backups; of the demo's record nothing is kept anyway."""
    state = backup_state(services.record.entries, services.record.alive, services.now())
    return BackupState(state.made_at, state.since, state.due and not services.is_demo)


def reminder(app: App[Services]) -> list[ft.Control]:
    """Draw what Today says when a backup is due, or a clock was wrong; nothing otherwise."""
    state = state_of(app.services)
    early = from_the_future(app.services.record.alive, app.services.now())
    if early:
        told = plural_message(
            "{count} entry is dated in the future: a clock was or is wrong, and some numbers here"
            " may be too.",
            "{count} entries are dated in the future: a clock was or is wrong, and some numbers"
            " here may be too.",
            len(early),
        )
        return [
            notice(
                told,
                needs_you=True,
                key="clock",
                below=[link(app, message("See which"), "/record", ft.Icons.EVENT_BUSY)],
            )
        ]
    if not state.due:
        return []
    risk = message("A lost or broken device would take it along.")
    sentence = joined(" ", (say_state(state, app.services.now()), risk))
    return [
        notice(
            sentence,
            key="backup due",
            below=[link(app, message("Make a backup"), "/backup", ft.Icons.SAVE_ALT)],
        )
    ]


def promise(app: App[Services]) -> list[ft.Control]:
    """Draw whether the browser has promised to keep the record; nothing where it does not say."""
    device = app.services.device
    keeps = device.told.keeps if device and device.told else None
    if keeps is None:
        return []
    if keeps:
        return [body(message("This browser has promised to keep the record on this device."))]
    return [
        body(
            message(
                "This browser may clear the record when space on the device is short, or when"
                " PocketPump was not opened for long: keep a backup elsewhere."
            )
        )
    ]


def backup(app: App[Services]) -> list[ft.Control]:
    """Draw the making of a backup, and the check of the file that came of it."""
    services = app.services
    draft = app.draft("backup")

    def choose_lock(value: str) -> None:
        _forget(draft)
        draft["lock"] = value
        app.refresh()

    async def make() -> None:
        draft["failed"] = ""
        # By what is written now: not every letter is drawn.
        wrong = _wrong(draft)
        if wrong:
            draft["tried"] = True
            app.refuse(next(iter(wrong.values())), _MAKE)
        elif _is_weak(draft) and not draft.get("sure"):
            draft["asked"] = True
            app.refresh()
            app.reveal(_MAKE)
        else:
            await _make(app, draft)

    controls: list[ft.Control] = [
        body(say_state(state_of(services), services.now())),
        body(
            message(
                "A backup is one file with everything you ever noted. Keep it on another device."
            )
        ),
        *promise(app),
        choice(message("Lock the file?"), _LOCKS, draft.get("lock", "no"), choose_lock),
    ]
    if draft.get("lock") == "yes":
        controls += _passphrase_boxes(app, draft)
    told: list[ft.Control] = []
    if draft.get("failed"):
        told.append(notice(draft["failed"], needs_you=True, key="failed"))
    if draft.get("asked") and _is_weak(draft):
        told += _ask(app, draft)
    if told:
        controls.append(ft.Container(told[0], key=scroll_key(_MAKE)))
        controls += told[1:]
    controls.append(big_button(message("Make the backup"), make, icon=ft.Icons.SAVE_ALT))
    if draft.get("made"):
        controls.append(body(message("To be sure, open the file that your browser kept.")))
    controls += [
        *check_controls(app),
        link(app, message("Bring in a copy"), "/merge", ft.Icons.MERGE),
    ]
    return controls


async def _make(app: App[Services], draft: dict[str, Any]) -> None:
    """Hand over the file, note that it was made, and forget the passphrase."""
    services = app.services
    entries = services.record.entries
    locked = draft.get("lock") == "yes"
    name = saved_name(app, "locked backup" if locked else "backup", "json")
    try:
        data = await make_backup(entries, services.now(), draft["first"] if locked else "")
        await save_file(app, name, data)
        note = {"entry_count": len(entries), "locked": locked}
        with suppress(RecordReadOnlyError):  # the file counts; the problem is told on Today
            services.save("backup", services.now(), note)
    except PocketPumpError as error:
        draft["failed"] = str(error)
        app.refresh()
        return
    _forget(draft)
    draft["made"] = draft.get("made", 0) + 1
    app.say(_made(len(entries), name, locked=locked))


def _made(number: int, name: str, *, locked: bool) -> str:
    if locked:
        return plural_message(
            "The backup with {count} entry is made and locked: only the passphrase opens it. Your"
            " browser keeps it as {file}, where it keeps downloads.",
            "The backup with {count} entries is made and locked: only the passphrase opens it. Your"
            " browser keeps it as {file}, where it keeps downloads.",
            number,
            file=name,
        )
    return plural_message(
        "The backup with {count} entry is made. Your browser keeps it as {file}, where it"
        " keeps downloads.",
        "The backup with {count} entries is made. Your browser keeps it as {file}, where it"
        " keeps downloads.",
        number,
        file=name,
    )


def _passphrase_boxes(app: App[Services], draft: dict[str, Any]) -> list[ft.Control]:
    """Draw the two boxes, what is wrong with each once tried, and how strong the passphrase is."""
    wrong = _wrong(draft) if draft.get("tried") else {}

    def first(words: str) -> None:
        before = draft.get("first", "")
        draft["first"] = words
        # Another passphrase is another question.
        asked = any([draft.pop("sure", False), draft.pop("asked", False)])
        # Not drawn anew for every letter: only when something else is to be said.
        new_level = not before or strength_of(before).level != strength_of(words).level
        if asked or draft.get("tried") or new_level or not words:
            app.refresh()

    def second(words: str) -> None:
        draft["second"] = words
        if draft.get("tried"):
            app.refresh()

    # Boxes of their own for each backup: what stood in them must not come back.
    number = draft.get("made", 0)
    helper = message(
        "Five words are easy to keep. Without it nobody can open the"
        " file, and nobody can get it back: write it down."
    )
    controls: list[ft.Control] = [
        app.secret(message("Passphrase"), draft.get("first", ""), first, helper=helper,
                   error=wrong.get("first", ""), key=_spot("Passphrase", number)),
        app.secret(message("The same again"), draft.get("second", ""), second,
                   error=wrong.get("second", ""), key=_spot("The same again", number)),
    ]  # fmt: skip
    if draft.get("first"):
        # Under both boxes, so that none of them moves while somebody types.
        controls.append(body(strength_of(draft["first"]).sentence))
    return controls


def _spot(label: str, number: int) -> str:
    return f"field:{label}:{number}" if number else f"field:{label}"


def _ask(app: App[Services], draft: dict[str, Any]) -> list[ft.Control]:
    """Draw the question about a weak passphrase, and the tick that answers it."""

    def toggle(_sure: str) -> None:
        draft["sure"] = not draft.get("sure")
        app.refresh()

    ask = message("Nothing was saved yet. Write a longer passphrase, or tick to use this one.")
    ticked = ["sure"] if draft.get("sure") else []
    return [
        notice(ask, needs_you=True, key="weak"),
        check_boxes(
            message("A weak passphrase?"), [("sure", message("Use it anyway"))], ticked, toggle
        ),
    ]


def _wrong(draft: dict[str, Any]) -> dict[str, str]:
    """Return what is wrong with the passphrase, by the box at which it is told."""
    if draft.get("lock") != "yes":
        return {}
    first, second = draft.get("first", ""), draft.get("second", "")
    if not first:
        return {"first": message("Write a passphrase, or make the backup without one.")}
    try:
        check_passphrase(first)
    except InputError as error:
        return {"first": str(error)}
    if first != second:
        return {"second": message("The two passphrases differ: write the same one twice.")}
    return {}


def _is_weak(draft: dict[str, Any]) -> bool:
    """Return whether a passphrase with which nothing is wrong is weak."""
    if draft.get("lock") != "yes" or _wrong(draft):
        return False
    return strength_of(draft["first"]).level == WEAK


def _forget(draft: dict[str, Any]) -> None:
    """Forget the passphrase, and what was said of it."""
    for name in ("first", "second", "tried", "asked", "sure", "failed"):
        draft.pop(name, None)
