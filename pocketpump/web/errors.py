"""The errors of the web build and of storage in the browser, in sentences for people.

Those of storage are both: an ``OSError``, as the record expects of its files, and a
``PocketPumpError``, whose sentence may be shown.
"""

from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message


class BuildError(PocketPumpError):
    """The web build cannot go on; the message says what is missing."""


class _StorageError(PocketPumpError, OSError):
    """The browser's files cannot be used; ``sentence`` says why."""

    sentence = ""

    def __init__(self) -> None:
        super().__init__(self.sentence)


class StorageUnavailableError(_StorageError):
    """The browser gives this page no private files (private mode, or an old browser)."""

    sentence = message(
        "This browser window keeps no files, so nothing could be saved. "
        "Open PocketPump in an ordinary window (not a private one), or update the browser."
    )


class StorageBusyError(_StorageError):
    """Another tab or window of this browser holds the record."""

    sentence = message("PocketPump is already open in another tab or window.")


class StorageFailedError(_StorageError):
    """The browser has files of ours, or could have, and does not open them."""

    sentence = message(
        "The browser could not open the files that PocketPump keeps in it. Nothing in them "
        "was changed. Close the browser, open it again, and load this page once more."
    )
