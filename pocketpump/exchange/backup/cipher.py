"""What a passphrase needs from the platform: one protocol, a desktop and a browser side.

The algorithms are fixed, so that one file opens everywhere: a key from the passphrase by
PBKDF2 with SHA-256, and AES with 256-bit keys in Galois/Counter Mode (NIST SP 800-132 and
SP 800-38D). What comes out of :meth:`Cipher.seal` ends with the 16 bytes that prove it
unchanged. The browser's own cryptography answers later, so everything here is awaited.
"""

import sys
from typing import Any, Protocol

from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message


class NotOpenedError(PocketPumpError):
    """The key does not fit what was sealed, or what was sealed was changed: nobody can tell."""

    sentence = message(
        "The passphrase does not open this backup, or the file was changed; nothing was "
        "taken from it. Check the passphrase: capital letters and spaces count."
    )


class NoCipherError(PocketPumpError):
    """No cryptography that we trust is to be had on this device."""

    sentence = message(
        "This device cannot lock or open a file with a passphrase; "
        "use a backup without a passphrase, or another device."
    )


class Cipher(Protocol):
    """Random bytes, a key from a passphrase, sealing and opening."""

    def random(self, size: int) -> bytes:
        """Return ``size`` bytes that nobody can guess."""

    async def derive(self, passphrase: bytes, salt: bytes, rounds: int) -> Any:
        """Return a 256-bit key by PBKDF2 with SHA-256; its type is the platform's own."""

    async def seal(self, key: Any, nonce: bytes, data: bytes, told: bytes) -> bytes:
        """Return ``data`` encrypted, with its proof; ``told`` is proved along with it, in clear.

        ``nonce`` is 12 bytes and is never used twice with one key.
        """

    async def open(self, key: Any, nonce: bytes, sealed: bytes, told: bytes) -> bytes:
        """Return what was sealed; raises :class:`NotOpenedError`."""


def platform_cipher() -> Cipher:
    """Return this platform's cipher; raises :class:`NoCipherError` where there is none."""
    # Each side needs what only its own platform has, so neither is imported on the other.
    if sys.platform == "emscripten":
        from pocketpump.exchange.backup.cipher_browser import BrowserCipher

        return BrowserCipher()
    try:
        from pocketpump.exchange.backup.cipher_desktop import DesktopCipher
    except ImportError as error:
        raise NoCipherError from error
    return DesktopCipher()
