"""Files that commands read and write, and passphrases, which never stand on a command line."""

import argparse
import contextlib
import getpass
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from pocketpump.core.errors import InputError, shown
from pocketpump.exchange.backup.encrypted import check_passphrase
from pocketpump.exchange.backup.passphrase_strength import strength_of
from pocketpump.record.journal.file_names import is_left_over, is_record


def write_new(path: Path, data: bytes, *, in_place: bool = False) -> None:
    """Write a new file, read it back, and only then give it its name; for its owner only.

    ``in_place`` takes the place of an earlier file. Raises `InputError`, leaving nothing
    behind, when there is such a file already, the place cannot be written to, or what is read
    back is not what was written.
    """
    if path.is_dir() or (path.exists() and not in_place):
        raise InputError(f"{_told(path)} exists already: give another name.")
    part = path.with_name(f".{path.name}.part")
    try:
        with contextlib.suppress(FileNotFoundError):
            part.unlink()
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if part.read_bytes() != data:
            raise OSError("what was read back differs")
        (part.replace if in_place else part.rename)(path)
    except OSError as error:
        why = error.strerror or str(error)
        raise InputError(
            f"{_told(path)} could not be written ({why}): choose another place."
        ) from None
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def read_file(path: Path) -> bytes:
    """Return the bytes of a file; raises `InputError`."""
    try:
        return path.read_bytes()
    except OSError as error:
        why = error.strerror or "it cannot be read"
        raise InputError(f"{_told(path)} could not be read ({why}): give another file.") from None


def read_folder(path: Path) -> Mapping[str, bytes]:
    """Return the files of a record's folder, only read."""
    names = [one.name for one in path.iterdir() if one.is_file()]
    ours = sorted(name for name in names if is_record(name) or is_left_over(name))
    return {name: read_file(path / name) for name in ours}


def add_passphrase(parser: argparse.ArgumentParser, *, locks: bool) -> None:
    """Add the ways to give a passphrase."""
    if locks:
        parser.add_argument("--lock", action="store_true", help="ask for a passphrase to lock with")
    parser.add_argument("--passphrase-file", metavar="FILE", help="read the passphrase from the"
                        " first line of FILE (default: it is asked for)")  # fmt: skip


def passphrase(args: argparse.Namespace, *, twice: bool = False) -> str:
    """Return the passphrase from the file told, or asked for on the terminal.

    With ``twice`` it is a new one: it is asked for twice, and on standard error it is said how
    strong it is. Raises `InputError`.
    """
    given = _given(args, twice=twice)
    if twice and given:
        check_passphrase(given)
        print(strength_of(given).sentence, file=sys.stderr)
    return given


def _given(args: argparse.Namespace, *, twice: bool) -> str:
    if args.passphrase_file:
        try:
            text = read_file(Path(args.passphrase_file)).decode("utf-8-sig")
        except UnicodeDecodeError:
            raise InputError("The passphrase file is not text: save it as UTF-8.") from None
        # Only line ends are cut: spaces belong to the passphrase.
        return text.splitlines()[0] if text else ""
    try:
        given = getpass.getpass("Passphrase: ")
        if twice and getpass.getpass("The same again: ") != given:
            raise InputError("The two passphrases differ: try again.")
    except (EOFError, OSError):
        raise InputError("No passphrase was given: use --passphrase-file.") from None
    return given


def _told(path: Path) -> str:
    return shown(str(path), 120)
