"""Where the screens of this room stand: the pump and its dose settings."""

from pocketpump.app.screens.pump.clinic_days import clinic_days
from pocketpump.app.screens.pump.device_life import device
from pocketpump.app.screens.pump.dose_form import dose
from pocketpump.app.screens.pump.dose_list import doses
from pocketpump.app.screens.pump.pump import pump
from pocketpump.app.screens.pump.tip_delivery import tip_delivery
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/doses": ScreenRoute(doses, message("Dose settings"), "/more", up="/more"),
    "/dose": ScreenRoute(
        dose,
        message("A new dose setting"),
        "/more",
        up="/doses",
        correcting=message("Correct a dose setting"),
    ),
    "/reach": ScreenRoute(tip_delivery, message("What reaches the body"), "/more", up="/doses"),
    "/what-if": ScreenRoute(what_if, message("What if …"), "/more", up="/more"),
    "/pump": ScreenRoute(pump, message("The pump"), "/more", up="/more"),
    "/device": ScreenRoute(device, message("Life of the pump"), "/more", up="/more"),
    "/clinic-days": ScreenRoute(clinic_days, message("Clinic days"), "/more", up="/more"),
}
