"""What the journal may find when it is opened, each in one sentence for the person."""

from pocketpump.core.errors import Problem
from pocketpump.core.wording import worded, worded_count


def damaged(lost: int) -> Problem:
    """Return the problem that a file was damaged; ``lost`` of its lines could not be read."""
    sentence = (
        worded_count(
            "The record's file was damaged: {count} of its lines could not be read, everything "
            "readable was kept, and the damaged file was set aside; if you have a backup, bring it "
            "in now.",
            "The record's file was damaged: {count} of its lines could not be read, everything "
            "readable was kept, and the damaged file was set aside; if you have a backup, bring it "
            "in now.",
            lost,
        )
        if lost
        else worded(
            "The record's file was damaged: all its lines could be read, everything readable was "
            "kept, and the damaged file was set aside; if you have a backup, bring it in now."
        )
    )
    return Problem("damaged", sentence)


def torn() -> Problem:
    """Return the problem that the last save was cut off."""
    sentence = worded(
        "The last save was cut off before it was finished and was set aside; everything saved "
        "before is here, so please check your last entry."
    )
    return Problem("torn end", sentence)


def cannot_write() -> Problem:
    """Return the problem that nothing new can be saved."""
    sentence = worded(
        "The record can be read but nothing new can be saved now; free some space on the "
        "device and open PocketPump again."
    )
    return Problem("read only", sentence)


def not_tidied() -> Problem:
    """Return the problem that a fold failed, which costs room and nothing else."""
    sentence = worded(
        "The record could not be tidied and everything is safe; free some space on the device soon."
    )
    return Problem("not tidied", sentence)


def mixed_up() -> Problem:
    """Return the problem that a file holds another generation than its name says."""
    sentence = worded(
        "The record's files were mixed up, so all of them were put together again; please check "
        "your last entries, and if you have a backup, bring it in now."
    )
    return Problem("mixed up", sentence)


def record_missing() -> Problem:
    """Return the problem that no record is there where one has been."""
    sentence = worded(
        "The record's file is missing, so this one was put together from what was "
        "set aside earlier; if you have a backup, bring it in now."
    )
    return Problem("record missing", sentence)
