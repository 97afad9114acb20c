"""More: everything that is not needed every day."""

import flet as ft

from pocketpump import __version__
from pocketpump.app.parts import body, choice, fact_row, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.home_screen import way_to_home_screen
from pocketpump.app.screens.more.language import language_choice
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import CAUTION, EMERGENCY_SIGNS
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message

_SCALES = (
    # Note: a size of text.
    ("1.0", message("Usual")),
    ("1.3", message("Larger")),
    ("1.6", message("Very large")),
    ("2.0", message("Largest")),
)
_MODES = (
    ("system", message("As the device")),
    # Note: dark letters on a light ground.
    ("light", message("Light")),
    # Note: light letters on a dark ground.
    ("dark", message("Dark")),
)


def more(app: App[Services]) -> list[ft.Control]:
    """Draw the list of what else there is."""
    return [
        section(message("Help")),
        link(app, message("Whom to call"), "/contacts", ft.Icons.CONTACTS),
        link(app, message("Warning signs"), "/signs", ft.Icons.HEARING),
        section(message("At the clinic")),
        link(app, message("Visit booked"), "/visit", ft.Icons.EVENT),
        link(app, message("Clinic sheet and calendar"), "/sheet", ft.Icons.DESCRIPTION_OUTLINED),
        link(app, message("Questions for the clinic"), "/questions", ft.Icons.HELP_OUTLINE),
        link(app, message("Clinic days"), "/clinic-days", ft.Icons.CALENDAR_MONTH_OUTLINED),
        section(message("Dose")),
        link(app, message("Dose settings"), "/doses", ft.Icons.TUNE),
        link(app, message("What reaches the body"), "/reach", ft.Icons.TIMELINE),
        link(app, message("What if …"), "/what-if", ft.Icons.COMPARE_ARROWS),
        section(message("Pump and papers")),
        link(app, message("The pump"), "/pump", ft.Icons.SETTINGS_OUTLINED),
        link(app, message("Life of the pump"), "/device", ft.Icons.BATTERY_STD),
        link(app, message("Details on the card"), "/care", ft.Icons.BADGE_OUTLINED),
        link(app, message("For a school or a carer"), "/carer", ft.Icons.SCHOOL_OUTLINED),
        link(app, message("The clinic's papers"), "/papers", ft.Icons.FOLDER_OUTLINED),
        link(app, message("Trips"), "/trips", ft.Icons.LUGGAGE_OUTLINED),
        section(message("Your record")),
        link(app, message("Backup"), "/backup", ft.Icons.SAVE_ALT),
        link(app, message("Bring in a copy"), "/merge", ft.Icons.MERGE),
        link(app, message("Move to a new phone"), "/new-phone", ft.Icons.PHONELINK_SETUP),
        link(app, message("Tables and other systems"), "/tables", ft.Icons.TABLE_ROWS),
        link(app, message("My record"), "/record", ft.Icons.FACT_CHECK_OUTLINED),
        section(message("This app")),
        link(app, message("About you"), "/about-you", ft.Icons.PERSON_OUTLINE),
        link(app, message("Text size, colours, language"), "/look", ft.Icons.TEXT_FIELDS),
        link(app, message("Remind me on this phone"), "/remind", ft.Icons.NOTIFICATIONS_NONE),
        *way_to_home_screen(app),
        link(app, message("About and cautions"), "/about", ft.Icons.INFO_OUTLINE),
    ]


def look(app: App[Services]) -> list[ft.Control]:
    """Draw the choice of text size, brightness and language; kept in the record."""

    def keep(name: str, value: str) -> None:
        app.services.prefer(name, value)
        scale, mode = look_of(app.services)
        app.set_look(scale=scale, mode=mode)

    chosen = app.services.preferences()
    return [
        choice(message("Text size"), _SCALES, chosen.get("text size", "1.0"),
               lambda value: keep("text size", value)),
        choice(message("Colours"), _MODES, chosen.get("colours", "system"),
               lambda value: keep("colours", value)),
        language_choice(app),
    ]  # fmt: skip


def look_of(services: Services) -> tuple[float, ft.ThemeMode]:
    """Return text scale and brightness."""
    chosen = services.preferences()
    scales = {value for value, _ in _SCALES}
    scale = chosen.get("text size", "1.0")
    modes = {"light": ft.ThemeMode.LIGHT, "dark": ft.ThemeMode.DARK}
    return (
        float(scale) if scale in scales else 1.0,
        modes.get(chosen.get("colours", ""), ft.ThemeMode.SYSTEM),
    )


def about(app: App[Services]) -> list[ft.Control]:
    """Draw what this is, what it is not, and what is kept."""
    record = app.services.record
    controls: list[ft.Control] = [
        body(CAUTION),
        notice(EMERGENCY_SIGNS, needs_you=True, key="signs"),
        body(message("It never proposes a dose or a pump setting.")),
        body(message("What you enter stays on this device. Nothing is sent anywhere.")),
        fact_row(message("Version"), __version__),
        fact_row(message("Entries kept"), str(len(record.entries))),
    ]
    controls += [body(problem.sentence) for problem in record.problems]
    return controls
