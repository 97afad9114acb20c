"""What the journal may find when it is opened, each in one sentence for the person."""

from pocketpump.core.errors import Problem
from pocketpump.core.messages import message, plural_message


def damaged(lost: int) -> Problem:
    """Return the problem that a file was damaged; ``lost`` of its lines could not be read."""
    sentence = (
        plural_message(
            "The record's file was damaged: {count} of its lines could not be read, everything "
            "readable was kept, and the damaged file was set aside; if you have a backup, bring it "
            "in now.",
            "The record's file was damaged: {count} of its lines could not be read, everything "
            "readable was kept, and the damaged file was set aside; if you have a backup, bring it "
            "in now.",
            lost,
        )
        if lost
        else message(
            "The record's file was damaged: all its lines could be read, everything readable was "
            "kept, and the damaged file was set aside; if you have a backup, bring it in now."
        )
    )
    return Problem("damaged", sentence)


TORN = Problem(
    "torn end",
    message(
        "The last save was cut off before it was finished and was set aside; everything saved "
        "before is here, so please check your last entry."
    ),
)
"""The last save was cut off."""

CANNOT_WRITE = Problem(
    "read only",
    message(
        "The record can be read but nothing new can be saved now; free some space on the "
        "device and open PocketPump again."
    ),
)
"""Nothing new can be saved."""

NOT_TIDIED = Problem(
    "not tidied",
    message(
        "The record could not be tidied and everything is safe; free some space on the device soon."
    ),
)
"""A fold failed, which costs room and nothing else."""

MIXED_UP = Problem(
    "mixed up",
    message(
        "The record's files were mixed up, so all of them were put together again; please check "
        "your last entries, and if you have a backup, bring it in now."
    ),
)
"""A file holds another generation than its name says."""

RECORD_MISSING = Problem(
    "record missing",
    message(
        "The record's file is missing, so this one was put together from what was "
        "set aside earlier; if you have a backup, bring it in now."
    ),
)
"""No record is there where one has been."""

READ_ONLY = Problem(
    "read only",
    message(
        "PocketPump may only read the record's folder: what was saved before is here, with the "
        "card and the backup, but nothing new can be saved; allow PocketPump to write in that "
        "folder, then open it again."
    ),
)
"""The device lets the record be read and not written to."""

RECORD_GONE = Problem(
    "record gone",
    message(
        "There was a record here, and its files are gone. If a sync program is still at work or "
        "the folder was moved, close PocketPump and bring the files back; if not, bring in your "
        "last backup."
    ),
)
"""Nothing is there where this device has saved something before."""

ROLLED_BACK = Problem(
    "rolled back",
    message(
        "The record's file on this device is older than what was saved here last, so a sync "
        "program or a restored copy may have taken its place; check your last entries, and if "
        "you have a backup, bring it in now."
    ),
)
"""The newest file is older than what this device saved last."""


def copies_found(count: int) -> Problem:
    """Return the problem that ``count`` saved entries were only in copies of the files."""
    sentence = plural_message(
        "A sync program left a second copy of the record's files: {count} entry was only in it "
        "and is here now, so please check your last entries.",
        "A sync program left a second copy of the record's files: {count} entries were only in it "
        "and are here now, so please check your last entries.",
        count,
    )
    return Problem("second copy", sentence)


def other_damaged(lost: int) -> Problem:
    """Return the problem that another device's file, or a copy, lacks ``lost`` of its lines."""
    sentence = plural_message(
        "A file that another device or a sync program put into the record's folder is not whole: "
        "{count} of its lines could not be read. Let the sync program finish, then open "
        "PocketPump again; what could be read is here.",
        "A file that another device or a sync program put into the record's folder is not whole: "
        "{count} of its lines could not be read. Let the sync program finish, then open "
        "PocketPump again; what could be read is here.",
        lost,
    )
    return Problem("other file damaged", sentence)


OTHER_UNREAD = Problem(
    "other file unread",
    message(
        "One of the files in the record's folder could not be read, so something may be missing "
        "here; let the sync program finish, then open PocketPump again."
    ),
)
"""The device did not give a file that another device wrote."""

OTHER_NEWER = Problem(
    "other file newer",
    message(
        "Another device wrote into the record's folder with a newer PocketPump. What it noted "
        "since is not shown here, so the dates here may be out of date; its file stays as it is. "
        "Update PocketPump on this device."
    ),
)
"""Another device's file is of a newer PocketPump."""


def others_too_large(count: int) -> Problem:
    """Return the problem that ``count`` entries in other files are more than a record may hold."""
    sentence = plural_message(
        "The other files in the record's folder hold more than PocketPump can keep: {count} entry "
        "in them is not shown. Bring in a backup of the other device into a record of its own.",
        "The other files in the record's folder hold more than PocketPump can keep: {count} "
        "entries in them are not shown. Bring in a backup of the other device into a record of its "
        "own.",
        count,
    )
    return Problem("other file too large", sentence)
