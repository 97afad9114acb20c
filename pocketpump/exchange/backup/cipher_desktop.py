"""The cipher on a desktop, by the `cryptography` package."""

import asyncio
import os

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.pbkdf2 import PBKDF2HMAC

from pocketpump.exchange.backup.cipher import NotOpenedError


class DesktopCipher:
    """See :class:`pocketpump.exchange.backup.cipher.Cipher`; the key is an ``AESGCM``."""

    def random(self, size: int) -> bytes:
        """Return ``size`` bytes from the operating system."""
        return os.urandom(size)

    async def derive(self, passphrase: bytes, salt: bytes, rounds: int) -> AESGCM:
        """Return the key; in a thread of its own, for it takes a good part of a second."""
        function = PBKDF2HMAC(SHA256(), 32, salt, rounds)
        return AESGCM(await asyncio.to_thread(function.derive, passphrase))

    async def seal(self, key: AESGCM, nonce: bytes, data: bytes, told: bytes) -> bytes:
        """Return ``data`` encrypted, with its proof at the end."""
        return key.encrypt(nonce, data, told)

    async def open(self, key: AESGCM, nonce: bytes, sealed: bytes, told: bytes) -> bytes:
        """Return what was sealed; raises :class:`NotOpenedError`."""
        try:
            return key.decrypt(nonce, sealed, told)
        except InvalidTag:
            raise NotOpenedError from None
