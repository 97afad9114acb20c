"""More: everything that is not needed every day."""

import flet as ft

from pocketpump import __version__
from pocketpump.app.parts import body, choice, fact_row, notice, quiet_button, section
from pocketpump.app.screens.more.language import language_choice
from pocketpump.app.services import Notebook
from pocketpump.app.shared_texts import CAUTION, EMERGENCY_SIGNS
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import worded
from pocketpump.record.facts.situation import preferences_of

_SCALES = (
    # Note: a size of text.
    ("1.0", worded("Usual")),
    ("1.3", worded("Larger")),
    ("1.6", worded("Very large")),
    ("2.0", worded("Largest")),
)
_MODES = (
    ("system", worded("As the device")),
    # Note: dark letters on a light ground.
    ("light", worded("Light")),
    # Note: light letters on a dark ground.
    ("dark", worded("Dark")),
)


def more(app: App[Notebook]) -> list[ft.Control]:
    """Draw the list of what else there is."""

    def way(label: str, route: str, icon: ft.IconData) -> ft.Control:
        return quiet_button(label, lambda: app.go(route), icon=icon)

    return [
        section(worded("Help")),
        way(worded("Whom to call"), "/contacts", ft.Icons.CONTACTS),
        way(worded("Warning signs"), "/signs", ft.Icons.HEARING),
        section(worded("At the clinic")),
        way(worded("Visit booked"), "/visit", ft.Icons.EVENT),
        way(worded("Clinic sheet and calendar"), "/sheet", ft.Icons.DESCRIPTION_OUTLINED),
        way(worded("Questions for the clinic"), "/questions", ft.Icons.HELP_OUTLINE),
        way(worded("Clinic days"), "/clinic-days", ft.Icons.CALENDAR_MONTH_OUTLINED),
        section(worded("Dose")),
        way(worded("Dose settings"), "/doses", ft.Icons.TUNE),
        way(worded("What reaches the body"), "/reach", ft.Icons.TIMELINE),
        way(worded("What if …"), "/what-if", ft.Icons.COMPARE_ARROWS),
        section(worded("Pump and papers")),
        way(worded("The pump"), "/pump", ft.Icons.SETTINGS_OUTLINED),
        way(worded("Life of the pump"), "/device", ft.Icons.BATTERY_STD),
        way(worded("Details on the card"), "/care", ft.Icons.BADGE_OUTLINED),
        way(worded("The clinic's papers"), "/papers", ft.Icons.FOLDER_OUTLINED),
        way(worded("Trips"), "/trips", ft.Icons.LUGGAGE_OUTLINED),
        section(worded("Your record")),
        way(worded("Backup"), "/backup", ft.Icons.SAVE_ALT),
        way(worded("Bring in a copy"), "/merge", ft.Icons.MERGE),
        way(worded("Move to a new phone"), "/new-phone", ft.Icons.PHONELINK_SETUP),
        way(worded("Tables and other systems"), "/tables", ft.Icons.TABLE_ROWS),
        way(worded("My record"), "/record", ft.Icons.FACT_CHECK_OUTLINED),
        section(worded("This app")),
        way(worded("About you"), "/about-you", ft.Icons.PERSON_OUTLINE),
        way(worded("Text size, colours, language"), "/look", ft.Icons.TEXT_FIELDS),
        way(worded("About and cautions"), "/about", ft.Icons.INFO_OUTLINE),
    ]


def look(app: App[Notebook]) -> list[ft.Control]:
    """Draw the choice of text size, brightness and language; kept in the record."""

    def keep(name: str, value: str) -> None:
        notebook = app.services
        notebook.save("preference", notebook.now(), {"name": name, "value": value})
        scale, mode = look_of(notebook)
        app.set_look(scale=scale, mode=mode)

    chosen = preferences(app.services)
    return [
        choice(worded("Text size"), _SCALES, chosen.get("text size", "1.0"),
               lambda value: keep("text size", value)),
        choice(worded("Colours"), _MODES, chosen.get("colours", "system"),
               lambda value: keep("colours", value)),
        language_choice(app),
    ]  # fmt: skip


def preferences(notebook: Notebook) -> dict[str, str]:
    """Return the preferences that count now, by name."""
    return preferences_of(notebook.record.alive, notebook.now())


def look_of(notebook: Notebook) -> tuple[float, ft.ThemeMode]:
    """Return text scale and brightness."""
    chosen = preferences(notebook)
    scales = {value for value, _ in _SCALES}
    scale = chosen.get("text size", "1.0")
    modes = {"light": ft.ThemeMode.LIGHT, "dark": ft.ThemeMode.DARK}
    return (
        float(scale) if scale in scales else 1.0,
        modes.get(chosen.get("colours", ""), ft.ThemeMode.SYSTEM),
    )


def about(app: App[Notebook]) -> list[ft.Control]:
    """Draw what this is, what it is not, and what is kept."""
    record = app.services.record
    controls: list[ft.Control] = [
        body(CAUTION),
        notice(EMERGENCY_SIGNS, needs_you=True, key="signs"),
        body(worded("It never proposes a dose or a pump setting.")),
        body(worded("What you enter stays on this device. Nothing is sent anywhere.")),
        fact_row(worded("Version"), __version__),
        fact_row(worded("Entries kept"), str(len(record.entries))),
    ]
    controls += [body(problem.sentence) for problem in record.problems]
    return controls
