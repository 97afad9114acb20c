"""Where the screens of this room stand: today and the first run."""

from pocketpump.app.screens.today.first_run import start, start_dose, start_pump, start_refill
from pocketpump.app.screens.today.today import today
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/today": ScreenRoute(today, message("Today"), "/today"),
    "/start": ScreenRoute(start, message("Welcome"), "/today", bare=True),
    "/start/pump": ScreenRoute(start_pump, message("Your pump"), "/today", up="/start", bare=True),
    "/start/refill": ScreenRoute(
        start_refill, message("Your last refill"), "/today", up="/start/pump", bare=True
    ),
    "/start/dose": ScreenRoute(
        start_dose, message("Your dose setting"), "/today", up="/start/refill", bare=True
    ),
}
