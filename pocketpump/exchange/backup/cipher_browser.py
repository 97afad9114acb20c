"""The cipher in the browser, by its own WebCrypto; imported in the browser only."""

from typing import Any

from js import Object, Uint8Array, crypto
from pyodide.ffi import JsException, to_js

from pocketpump.exchange.backup.cipher import NoCipherError, NotOpenedError


class BrowserCipher:
    """See :class:`pocketpump.exchange.backup.cipher.Cipher`; the key is a ``CryptoKey``.

    Raises :class:`NoCipherError` where the browser offers none (a page that came neither
    over https nor from this device).
    """

    def __init__(self) -> None:
        subtle = getattr(crypto, "subtle", None)
        if subtle is None:
            raise NoCipherError
        self._subtle = subtle

    def random(self, size: int) -> bytes:
        """Return ``size`` bytes from the browser; Python's own state may come from a snapshot."""
        filled = Uint8Array.new(size)
        crypto.getRandomValues(filled)
        return bytes(filled.to_py())

    async def derive(self, passphrase: bytes, salt: bytes, rounds: int) -> Any:
        """Return the key; the browser never shows its bytes."""
        base = await self._subtle.importKey(
            "raw", to_js(passphrase), "PBKDF2", False, to_js(["deriveKey"])
        )
        how = {"name": "PBKDF2", "hash": "SHA-256", "salt": to_js(salt), "iterations": rounds}
        what = {"name": "AES-GCM", "length": 256}
        uses = to_js(["encrypt", "decrypt"])
        return await self._subtle.deriveKey(_object(how), base, _object(what), False, uses)

    async def seal(self, key: Any, nonce: bytes, data: bytes, told: bytes) -> bytes:
        """Return ``data`` encrypted, with its proof at the end."""
        sealed = await self._subtle.encrypt(_gcm(nonce, told), key, to_js(data))
        return bytes(sealed.to_py())

    async def open(self, key: Any, nonce: bytes, sealed: bytes, told: bytes) -> bytes:
        """Return what was sealed; raises :class:`NotOpenedError`."""
        try:
            opened = await self._subtle.decrypt(_gcm(nonce, told), key, to_js(sealed))
        except JsException:
            raise NotOpenedError from None
        return bytes(opened.to_py())


def _gcm(nonce: bytes, told: bytes) -> Any:
    return _object({"name": "AES-GCM", "iv": to_js(nonce), "additionalData": to_js(told)})


def _object(values: dict[str, Any]) -> Any:
    return to_js(values, dict_converter=Object.fromEntries)
