"""More: everything that is not needed every day."""

import flet as ft

from pocketpump import __version__
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, choice, fact_row, notice, quiet_button, section
from pocketpump.app.shell import App
from pocketpump.app.words import CAUTION, EMERGENCY_SIGNS
from pocketpump.record.situation import preferences_of

_SCALES = (("1.0", "Usual"), ("1.3", "Larger"), ("1.6", "Very large"), ("2.0", "Largest"))
_MODES = (("system", "As the device"), ("light", "Light"), ("dark", "Dark"))


def more(app: App[Notebook]) -> list[ft.Control]:
    """Draw the list of what else there is."""

    def way(label: str, route: str, icon: ft.IconData) -> ft.Control:
        return quiet_button(label, lambda: app.go(route), icon=icon)

    return [
        section("Help"),
        way("Whom to call", "/contacts", ft.Icons.CONTACTS),
        way("Warning signs", "/signs", ft.Icons.HEARING),
        section("At the clinic"),
        way("Clinic sheet and calendar", "/sheet", ft.Icons.DESCRIPTION_OUTLINED),
        way("Questions for the clinic", "/questions", ft.Icons.HELP_OUTLINE),
        way("Clinic days", "/clinic-days", ft.Icons.CALENDAR_MONTH_OUTLINED),
        section("Dose"),
        way("Dose settings", "/doses", ft.Icons.TUNE),
        way("What reaches the body", "/reach", ft.Icons.TIMELINE),
        way("What if …", "/what-if", ft.Icons.COMPARE_ARROWS),
        section("Pump and papers"),
        way("The pump", "/pump", ft.Icons.SETTINGS_OUTLINED),
        way("Life of the pump", "/device", ft.Icons.BATTERY_STD),
        way("Details on the card", "/care", ft.Icons.BADGE_OUTLINED),
        way("The clinic's papers", "/papers", ft.Icons.FOLDER_OUTLINED),
        way("Trips", "/trips", ft.Icons.LUGGAGE_OUTLINED),
        section("Your record"),
        way("Backup", "/backup", ft.Icons.SAVE_ALT),
        way("Bring in a copy", "/merge", ft.Icons.MERGE),
        way("Move to a new phone", "/new-phone", ft.Icons.PHONELINK_SETUP),
        way("Tables and other systems", "/tables", ft.Icons.TABLE_ROWS),
        way("My record", "/record", ft.Icons.FACT_CHECK_OUTLINED),
        section("This app"),
        way("About you", "/about-you", ft.Icons.PERSON_OUTLINE),
        way("Text size and colours", "/look", ft.Icons.TEXT_FIELDS),
        way("About and cautions", "/about", ft.Icons.INFO_OUTLINE),
    ]


def look(app: App[Notebook]) -> list[ft.Control]:
    """Draw the choice of text size and brightness; kept in the record."""

    def keep(name: str, value: str) -> None:
        notebook = app.services
        notebook.save("preference", notebook.now(), {"name": name, "value": value})
        scale, mode = look_of(notebook)
        app.set_look(scale=scale, mode=mode)

    chosen = preferences(app.services)
    return [
        choice("Text size", _SCALES, chosen.get("text size", "1.0"),
               lambda value: app.attempt(lambda: keep("text size", value))()),
        choice("Colours", _MODES, chosen.get("colours", "system"),
               lambda value: app.attempt(lambda: keep("colours", value))()),
    ]  # fmt: skip


def preferences(notebook: Notebook) -> dict[str, str]:
    """Return the preferences that count now, by name."""
    return preferences_of(notebook.record.alive)


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
        body("It never proposes a dose or a pump setting."),
        body("What you enter stays on this device. Nothing is sent anywhere."),
        fact_row("Version", __version__),
        fact_row("Entries kept", str(len(record.entries))),
    ]
    controls += [body(problem.sentence) for problem in record.problems]
    return controls
