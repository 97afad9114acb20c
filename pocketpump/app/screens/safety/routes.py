"""Where the screens of this room stand: whom to call, and the warning signs."""

from pocketpump.app.screens.safety.contacts import contact, contacts
from pocketpump.app.screens.safety.signs import signs
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/signs": ScreenRoute(signs, message("Warning signs"), "/diary", up="/check-in"),
    "/contacts": ScreenRoute(contacts, message("Whom to call"), "/more", up="/more"),
    "/contact": ScreenRoute(
        contact,
        message("A new number to call"),
        "/more",
        up="/contacts",
        correcting=message("Correct a number"),
    ),
}
