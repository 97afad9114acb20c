"""The record: everything the person noted, as entries that are only ever added.

An :class:`Entry` never changes. A correction is a new entry that *replaces* an old one, a
removal an entry that *removes* one; so undo is free, history is honest, and bringing two
copies together is the union of two sets by id.

From the inside out, each module knowing only those before it:

* ``frozen``, ``kinds``, ``field_words``, ``bounds``, ``checks``, ``entries``: what an entry is,
  how deep and large it may be, and the one table of what each kind may hold, with the fields in
  words. Payloads are checked when newly written or brought in; what is read back is only held
  to the bounds, and kinds from a newer version are kept within them.
* ``apart``, ``history``, ``standing``, ``absorb``: pure functions over entries. ``put`` keeps
  two contents of one id, ``settle`` says what counts now, ``standing`` what may still be changed,
  ``merge`` unites, ``sort_out`` says what another copy brings; whatever is odd comes back as
  :class:`Problem` values; only an act that cannot be done raises.
* ``lines``: the bytes of one journal line with its two checksums; pure.
* ``names``: what the files are called, each device writing under names of its own.
* ``files``, ``disk``, ``marks``: the :class:`Files` protocol, the only door to a medium, with
  :class:`MemoryFiles` (demonstration, copies) and :class:`DiskFiles` (one folder, one process),
  which keeps a mark of the record outside of its folder. The browser has its own, elsewhere,
  tested by the same tests.
* ``migrations``, ``troubles``, ``tail``, ``others``, ``journal``: append + sync + look whether it
  is there + acknowledge; torn ends are cut and kept, damaged files set aside and united with the
  generation before; what other devices wrote is read and never touched; folding by write-new,
  sync, rename.
* ``filing``: what is in each file, and moving them all aside to start over.
* ``storage``: TinyDB's storage on the journal: each save appends only what differs. Its
  table appends an insert without looking at the others.
* ``drafts``: half-filled forms in the same journal.
* ``store``: :class:`Record`, the imperative shell that everything outside uses. Clock and
  ids are handed in.
* ``paths``: where the folder is; ``errors``: what goes wrong, in sentences.

Promises: a save returns only when it is durable; after any crash each save is there whole or
not at all; a file that holds something is never overwritten and never silently ignored.
"""

from pocketpump.core.errors import Problem
from pocketpump.record.absorb import Absorbed
from pocketpump.record.checks import check_payload
from pocketpump.record.disk import DiskFiles
from pocketpump.record.entries import Document, Entry, from_document, new_entry, to_document
from pocketpump.record.errors import (
    NewerRecordError,
    NotSavedError,
    RecordClosedError,
    RecordError,
    RecordGoneError,
    RecordInUseError,
    RecordReadOnlyError,
    RecordUnreadableError,
)
from pocketpump.record.files import Files, MemoryFiles
from pocketpump.record.filing import FileReport
from pocketpump.record.history import alive, merge
from pocketpump.record.kinds import KINDS
from pocketpump.record.paths import record_folder
from pocketpump.record.store import Record

__all__ = [
    "KINDS",
    "Absorbed",
    "DiskFiles",
    "Document",
    "Entry",
    "FileReport",
    "Files",
    "MemoryFiles",
    "NewerRecordError",
    "NotSavedError",
    "Problem",
    "Record",
    "RecordClosedError",
    "RecordError",
    "RecordGoneError",
    "RecordInUseError",
    "RecordReadOnlyError",
    "RecordUnreadableError",
    "alive",
    "check_payload",
    "from_document",
    "merge",
    "new_entry",
    "record_folder",
    "to_document",
]
