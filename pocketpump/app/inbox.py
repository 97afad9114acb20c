"""What was noted on the opening page before the app was there, on its way into the record.

The page keeps finished entries, each with its own id and instant, beside the record
(``web/page/inbox.js``). They are brought in like another copy's: by id, so that one that is
delivered twice is in the record once, and one that was undone stays undone. Only what is in the
record is let go of. What was noted for a record that is no longer here is shown, never brought in
unasked.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message
from pocketpump.exchange.backup.noted_items import NotedItem, read_noted
from pocketpump.record import Entry, Record

_UNREADABLE = message(
    "Something noted on the first page cannot be read and is not in the record. It is kept. Look"
    " whether a check-in is missing, and note it again."
)


def epoch_of(record: Record) -> str:
    """Return what tells this record from the one before it was begun anew; "" while empty."""
    return next((entry.id for entry in record.entries), "")


@dataclass
class Inbox:
    """The items that are not in ``record`` yet; ``forget`` lets the page drop some by
    their ids, all for None.
    """

    record: Record
    forget: Callable[[Sequence[str] | None], None]
    foreign: tuple[NotedItem, ...] = ()
    """What was noted for another record than this one."""
    problem: str = ""
    """Why something of this record's is not in it yet; "" if all is."""
    new: tuple[Entry, ...] = ()
    """What came in and was not told yet."""
    waiting: tuple[NotedItem, ...] = ()
    """What was noted for this record and could not be brought in."""
    on_change: list[Callable[[], None]] = field(default_factory=list)
    """Tells every open tab."""

    def take(self, text: str) -> None:
        """Bring in what JSON ``text`` holds: all that waits, whether it was seen before or not."""
        items, whole = read_noted(text.encode())
        epoch = epoch_of(self.record)
        before = (self.foreign, self.problem)
        self.problem = "" if whole else _UNREADABLE
        self._bring([item for item in items if item.epoch == epoch])
        # A backup brought in may have held it.
        held = {entry.id for entry in self.record.entries}
        others = [item for item in items if item.epoch != epoch]
        self.foreign = tuple(item for item in others if item.entry.id not in held)
        known = [item.entry.id for item in others if item.entry.id in held]
        if known:
            self.forget(known)
        if self.new or before != (self.foreign, self.problem):
            self.tell()

    def bring_foreign(self) -> tuple[Entry, ...]:
        """Bring in what was noted for another record; return what of it is new here.

        Raises what saving raises, with nothing changed.
        """
        imported = self.record.import_entries(item.entry for item in self.foreign)
        self.drop_foreign()
        return imported.added

    def drop_foreign(self) -> None:
        """Let go of what was noted for another record."""
        ids = [item.entry.id for item in self.foreign]
        self.foreign = ()
        self.forget(ids)

    def begin_anew(self) -> None:
        """Go on beside another record: what waits belongs to the one before."""
        self.foreign += self.waiting
        self.waiting, self.problem, self.new = (), "", ()

    def erase(self) -> None:
        """Let go of all of it, here and on the page."""
        self.foreign, self.waiting, self.problem, self.new = (), (), "", ()
        self.forget(None)

    def tell(self) -> None:
        """Let every open tab show how things stand."""
        for tell in self.on_change:
            tell()

    def told(self) -> tuple[Entry, ...]:
        """Return what came in and was not told yet; it is from now on."""
        new, self.new = self.new, ()
        return new

    def _bring(self, items: Sequence[NotedItem]) -> None:
        self.waiting = tuple(items)
        if not items:
            return
        try:
            imported = self.record.import_entries(item.entry for item in items)
        except PocketPumpError as error:
            self.problem = str(error)
            return
        held = {entry.id for entry in self.record.entries}
        self.waiting = tuple(item for item in items if item.entry.id not in held)
        if self.waiting:
            self.problem = _UNREADABLE
        self.new += imported.added
        self.forget([item.entry.id for item in items if item.entry.id in held])
