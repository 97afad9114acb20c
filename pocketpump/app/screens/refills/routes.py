"""Where the screens of this room stand: refills."""

from pocketpump.app.screens.refills.clinic_sheet import sheet
from pocketpump.app.screens.refills.refill_form import refill
from pocketpump.app.screens.refills.refill_list import refills
from pocketpump.app.screens.refills.visit import visit
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/refills": ScreenRoute(refills, message("Refills"), "/refills"),
    "/refill": ScreenRoute(
        refill,
        message("A refill"),
        "/refills",
        up="/refills",
        correcting=message("Correct a refill"),
    ),
    "/visit": ScreenRoute(visit, message("Visit booked"), "/refills", up="/refills"),
    "/sheet": ScreenRoute(sheet, message("Clinic sheet"), "/refills", up="/refills"),
}
