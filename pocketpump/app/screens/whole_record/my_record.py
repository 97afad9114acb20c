"""My record: is it whole, a support file, ending it; and the way to a new phone."""

import flet as ft

from pocketpump.app.parts import body, card, fact_row, notice, quiet_button
from pocketpump.app.parts import section as heading
from pocketpump.app.screens.link import link
from pocketpump.app.screens.saved_files import saved_name
from pocketpump.app.screens.undo import remove_button
from pocketpump.app.screens.whole_record.backup import promise
from pocketpump.app.screens.whole_record.end_record import ending_controls
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.backup.import_preview import name_of
from pocketpump.exchange.backup.record_check import check_up, from_the_future, support_file


def my_record(app: App[Services]) -> list[ft.Control]:
    """Draw the outcome of checking the record now."""
    services = app.services
    found = check_up(services.record, services.now(), services.zone)

    async def save_support() -> None:
        name = saved_name(app, "support", "json")
        await save_file(app, name, support_file(found, services.now()))

    rows = [
        fact_row(message("Entries ever written"), str(found.entries)),
        fact_row(message("Counting now"), str(found.counting)),
    ]
    rows += [fact_row(words.capitalize(), str(number)) for words, number in found.counts]
    if found.first_at is not None and found.last_at is not None:
        first, last = (at.astimezone(services.zone) for at in (found.first_at, found.last_at))
        # Note: the day of the first entry.
        rows.append(fact_row(message("From"), date_text(first.date())))
        # Note: the day of the last entry.
        rows.append(fact_row(message("To"), date_text(last.date())))
    whole = message("Your record is whole: every file was read again and every entry checked.")
    controls: list[ft.Control] = (
        [notice(whole, key="whole")]
        if found.sound
        else [notice(sentence, needs_you=True, key=sentence) for sentence in found.problems]
    )
    controls += [
        *_dated_ahead(app),
        *promise(app),
        card(rows),
        link(app, message("Make a backup"), "/backup", ft.Icons.SAVE_ALT),
        heading(message("When somebody helps you")),
        body(message("A support file says which version this is and what is odd. It holds no entry,"
                    " no value and no date of yours.")),
        quiet_button(message("Save a support file"), save_support, icon=ft.Icons.SUPPORT_AGENT),
        *ending_controls(app),
    ]  # fmt: skip
    return controls


def new_phone(app: App[Services]) -> list[ft.Control]:
    """Draw the move to a new phone, step by step."""
    services = app.services
    number = len(services.record.entries)
    return [
        heading(message("1. On the old phone: make a backup")),
        body(message("Lock it with a passphrase if it will travel by mail or by message.")),
        link(app, message("Make a backup"), "/backup", ft.Icons.SAVE_ALT),
        heading(message("2. Send the file to the new phone")),
        body(message("By cable, by memory card, or as a message to yourself. Do not rename it to"
                    " another kind of file.")),
        heading(message("3. On the new phone: bring it in")),
        body(message("Open PocketPump there, choose “{button}”, and choose the file.",
                    button=message("I have a backup"))),
        link(app, message("Bring in a copy"), "/merge", ft.Icons.MERGE),
        heading(message("4. Compare")),
        body(message("Both phones must show the same days left and the same alarm date on Today,"
                    " and about the same number here.")),
        fact_row(message("Entries on this phone"), str(number)),
        heading(message("5. Keep the old phone for a while")),
        body(message("Note new things on the new phone only. If something was noted on both, make a"
                    " backup on each and bring it in on the other: nothing gets lost.")),
    ]  # fmt: skip


def _dated_ahead(app: App[Services]) -> list[ft.Control]:
    """Draw each entry that a wrong clock made, and its removal; nothing otherwise."""
    services = app.services
    early = from_the_future(services.record.alive, services.now())
    if not early:
        return []
    return [
        heading(message("Dated in the future")),
        *(remove_button(app, one.id, name_of(one, services.zone), "/record") for one in early),
    ]
