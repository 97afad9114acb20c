"""A backup under a passphrase: the plain file, encrypted, in a JSON file that says how.

Everything but ``data`` is proved along with it (as compact JSON with sorted keys), so nobody
can weaken the key or swap parts of two files. ``docs/backup.schema.json`` describes it.
"""

import base64
import binascii
import json
import unicodedata
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message, plural_message
from pocketpump.exchange.backup.backup import (
    FORMAT,
    Backup,
    format_of,
    not_a_backup,
    read_backup,
    read_json,
    refuse_larger,
    refuse_newer,
    refuse_other,
    write_backup,
)
from pocketpump.exchange.backup.cipher import Cipher, NotOpenedError, platform_cipher
from pocketpump.exchange.backup.raw_files import FORMAT as RAW_FORMAT
from pocketpump.exchange.backup.raw_files import read_raw_files
from pocketpump.record import Entry

LOCKED_FORMAT = f"{FORMAT}-locked"
VERSION = 1
ROUNDS = 600_000
"""PBKDF2 rounds written today: the figure of OWASP's Password Storage Cheat Sheet for
PBKDF2 with SHA-256 (from memory). Files with fewer are refused, as they cannot be ours."""
_MOST_ROUNDS = 10_000_000
_MOST_QUOTES = 64
_SALT, _NONCE, _PROOF = 16, 12, 16
SHORTEST = 8
"""Characters in a passphrase at least: NIST SP 800-63B, section on memorised secrets
(from memory)."""


def check_passphrase(passphrase: str) -> None:
    """Raise :class:`InputError` when ``passphrase`` is too short or no text.

    Spaces inside count, those around it do not: a passphrase of spaces is none.
    """
    _letters(passphrase)
    if len(passphrase.strip()) < SHORTEST:
        raise InputError(
            plural_message(
                "The passphrase needs at least {count} letter: five words are easy to keep.",
                "The passphrase needs at least {count} letters: five words are easy to keep.",
                SHORTEST,
            ),
            "passphrase",
        )


async def make_backup(
    entries: Iterable[Entry], now: datetime, passphrase: str = "", cipher: Cipher | None = None
) -> bytes:
    """Return the backup file, locked when there is a passphrase, checked by reading it again.

    Raises :class:`InputError` for a short passphrase, :class:`BackupError` when what was
    written does not read as the very same entries.
    """
    kept = tuple(entries)
    plain = write_backup(kept, now)
    if not passphrase:
        return plain
    check_passphrase(passphrase)
    cipher = cipher or platform_cipher()
    data = await _lock(plain, passphrase, cipher)
    refuse_other(await open_backup(data, passphrase, cipher), kept)
    return data


async def open_backup(data: bytes, passphrase: str = "", cipher: Cipher | None = None) -> Backup:
    """Return what the backup file holds, whether it is locked, or the raw files, or neither.

    Raises :class:`BackupError` as :func:`read_backup` and :func:`read_raw_files` do,
    :class:`InputError` when a passphrase is missing and :class:`NotOpenedError` for a wrong one
    or a changed file.
    """
    if not is_locked(data):
        return read_raw_files(data) if format_of(data) == RAW_FORMAT else read_backup(data)
    if not passphrase:
        raise InputError(message("This backup is locked: write its passphrase."), "passphrase")
    # One object of texts and numbers and nothing else, so that reading it takes no more memory.
    if data.count(b"{") != 1 or data.count(b"[") or data.count(b'"') > _MOST_QUOTES:
        raise NotOpenedError
    told = read_json(data)
    refuse_newer(told, VERSION)
    head, salt, nonce, sealed = _parts(told)
    cipher = cipher or platform_cipher()
    key = await cipher.derive(_letters(passphrase), salt, head["rounds"])
    return read_backup(await cipher.open(key, nonce, sealed, _proved(head)))


def is_locked(data: bytes) -> bool:
    """Tell whether the file asks for a passphrase; raises :class:`BackupError` if it is none."""
    refuse_larger(data, times=2)
    told = format_of(data)
    if told not in (FORMAT, LOCKED_FORMAT, RAW_FORMAT):
        raise not_a_backup()
    return told == LOCKED_FORMAT


async def _lock(plain: bytes, passphrase: str, cipher: Cipher) -> bytes:
    salt, nonce = cipher.random(_SALT), cipher.random(_NONCE)
    head = {
        "format": LOCKED_FORMAT,
        "version": VERSION,
        "cipher": "AES-256-GCM",
        "key": "PBKDF2-SHA-256",
        "rounds": ROUNDS,
        "salt": base64.b64encode(salt).decode(),
        "nonce": base64.b64encode(nonce).decode(),
    }
    key = await cipher.derive(_letters(passphrase), salt, ROUNDS)
    sealed = await cipher.seal(key, nonce, plain, _proved(head))
    whole = {**head, "data": base64.b64encode(sealed).decode()}
    return (json.dumps(whole, indent=0) + "\n").encode()


def _parts(told: Mapping[str, Any]) -> tuple[dict[str, Any], bytes, bytes, bytes]:
    """Return head, salt, nonce and sealed bytes, each of the length it must have."""
    head = {name: value for name, value in told.items() if name != "data"}
    names = {"format", "version", "cipher", "key", "rounds", "salt", "nonce"}
    rounds = head.get("rounds")
    try:
        parts = [base64.b64decode(told[name], validate=True) for name in ("salt", "nonce", "data")]
    except (KeyError, TypeError, ValueError, binascii.Error):
        raise NotOpenedError from None
    salt, nonce, sealed = parts
    if (
        set(head) != names
        or type(rounds) is not int
        or not ROUNDS <= rounds <= _MOST_ROUNDS
        or (len(salt), len(nonce)) != (_SALT, _NONCE)
        or len(sealed) < _PROOF
        or (head["cipher"], head["key"]) != ("AES-256-GCM", "PBKDF2-SHA-256")
    ):
        raise NotOpenedError
    return head, salt, nonce, sealed


def _proved(head: Mapping[str, Any]) -> bytes:
    return json.dumps(head, sort_keys=True, separators=(",", ":")).encode()


def _letters(passphrase: str) -> bytes:
    # Two keyboards may write one accented letter in two ways; to the person it is one.
    try:
        return unicodedata.normalize("NFC", passphrase).encode()
    except UnicodeEncodeError:
        raise InputError(
            message("The passphrase holds a broken character: write it again by hand."),
            "passphrase",
        ) from None
