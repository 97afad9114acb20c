"""Where the screens of this room stand: the whole record."""

from pocketpump.app.screens.whole_record.backup import backup
from pocketpump.app.screens.whole_record.merge import merge
from pocketpump.app.screens.whole_record.my_record import my_record, new_phone
from pocketpump.app.screens.whole_record.tables import tables
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/backup": ScreenRoute(backup, message("Backup"), "/more", up="/more"),
    "/merge": ScreenRoute(merge, message("Bring in a copy"), "/more", up="/more"),
    "/tables": ScreenRoute(tables, message("Tables and other systems"), "/more", up="/more"),
    "/record": ScreenRoute(my_record, message("My record"), "/more", up="/more"),
    "/new-phone": ScreenRoute(new_phone, message("Move to a new phone"), "/more", up="/more"),
    "/start/copy": ScreenRoute(merge, message("Bring in a copy"), "/today", up="/start", bare=True),
}
