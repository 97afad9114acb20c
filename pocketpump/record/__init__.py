"""The record: everything the person noted, as entries that are only ever added.

An :class:`Entry` never changes. A correction is a new entry that *replaces* an old one, a
removal an entry that *removes* one; so undo is free, history is honest, and bringing two
copies together is the union of two sets by id.

From the inside out, each room knowing only those before it:

``entry``    what an entry is, and the one table of what each kind may hold; payloads are checked
             when newly written or brought in, what is read back is only held to the bounds
``history``  what counts now, what may still be changed, two copies united; whatever is odd comes
             back as :class:`Problem` values, only an act that cannot be done raises
``journal``  the append-only file behind TinyDB, with two checksums a line, on disk or elsewhere
``store``    :class:`Record`, the imperative shell that everything outside uses; clock and ids are
             handed in
``facts``    from entries to what the core computes from
``paths``    where the folder is; ``errors`` what goes wrong, in sentences; ``demo`` the invented
one

Promises: a save returns only when it is durable; after any crash each save is there whole or
not at all; a file that holds something is never overwritten and never silently ignored.
"""

from pocketpump.record.entry.checks import check_payload
from pocketpump.record.entry.entries import Entry, from_document, new_entry, to_document
from pocketpump.record.entry.kinds import KINDS
from pocketpump.record.errors import (
    NewerRecordError,
    NotSavedError,
    RecordClosedError,
    RecordGoneError,
    RecordInUseError,
    RecordReadOnlyError,
    RecordUnreadableError,
)
from pocketpump.record.journal.disk_files import DiskFiles
from pocketpump.record.journal.files import Files, MemoryFiles
from pocketpump.record.journal.filing import FileReport
from pocketpump.record.paths import record_folder
from pocketpump.record.store import Record

__all__ = [
    "KINDS",
    "DiskFiles",
    "Entry",
    "FileReport",
    "Files",
    "MemoryFiles",
    "NewerRecordError",
    "NotSavedError",
    "Record",
    "RecordClosedError",
    "RecordGoneError",
    "RecordInUseError",
    "RecordReadOnlyError",
    "RecordUnreadableError",
    "check_payload",
    "from_document",
    "new_entry",
    "record_folder",
    "to_document",
]
