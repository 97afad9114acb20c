"""What can go wrong with the record as a whole, each in one sentence for the person."""

import errno

from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message


class RecordError(PocketPumpError):
    """The base of every error about the record as a whole."""


class RecordInUseError(RecordError):
    """Another PocketPump already holds this record."""

    sentence = message(
        "This record is already open in another PocketPump window, and nothing was "
        "changed; go on there, or close it and try again."
    )


class NewerRecordError(RecordError):
    """The record was written by a newer PocketPump than this one."""

    sentence = message(
        "This record was written by a newer PocketPump, and nothing was changed; "
        "update PocketPump here and open it again."
    )


class RecordUnreadableError(RecordError):
    """The device did not let us read the record's files."""

    sentence = message(
        "The device did not let PocketPump read the record, and nothing was changed; "
        "check the storage and open PocketPump again."
    )


class NotSavedError(RecordError):
    """One save did not reach the disk; everything saved earlier did, and a retry may work."""

    sentence = message(
        "This could not be saved, but everything saved before is safe; "
        "free some space on the device and save again."
    )


class RecordClosedError(RecordError):
    """Nothing more can be written until the record is opened again."""

    sentence = message(
        "Saving is switched off because the device's storage failed or the record is "
        "closed, but what was saved before is safe; close PocketPump and open it again."
    )


class RecordGoneError(NotSavedError):
    """The file that is written to is not where it was, or holds something else now."""

    sentence = message(
        "This was not saved: the record's file was moved, changed or deleted by "
        "another program. What you see here is still in PocketPump, so make a backup "
        "now; then close PocketPump and open it again."
    )


class RecordReadOnlyError(RecordClosedError):
    """The folder or the file of the record can only be read."""

    sentence = message(
        "This was not saved: PocketPump may only read the record's folder. Allow it to "
        "write there, then close PocketPump and open it again; reading, the card and a "
        "backup work meanwhile."
    )


class NotEndedReadOnlyError(RecordReadOnlyError):
    """A record that may only be read was to be erased or moved aside."""

    sentence = message(
        "Nothing was erased or moved aside: PocketPump may only read the record's folder. "
        "Allow it to write there, then close PocketPump and open it again."
    )


class NotEndedError(NotSavedError):
    """The device refused half way to erase the record or to move it aside; it still counts."""

    sentence = message(
        "The record could not be erased or moved aside, and it is still there. Allow "
        "PocketPump to write in the record's folder, or free some space on the device; "
        "then close PocketPump and open it again."
    )


def refused(error: OSError) -> RecordError:
    """Return what a save came to that the device refused."""
    read_only = error.errno in (errno.EROFS, errno.EACCES, errno.EPERM)
    return RecordReadOnlyError() if read_only else NotSavedError()


class StorageFullError(PocketPumpError, OSError):
    """All prepared files are in use, or the device has no room left."""

    sentence = message(
        "There is no room left to save on this device. "
        "Free some space or make a backup file; what was saved before is still there."
    )
