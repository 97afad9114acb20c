"""The address of a deployed app, as it was typed."""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from pocketpump.core.errors import shown
from pocketpump.web.errors import BuildError

_PATH = re.compile(r"/(?:[A-Za-z0-9._~-]+/)*")
_HOST = re.compile(r"[a-z0-9](?:[a-z0-9._-]*[a-z0-9])?\.?")
_PORTS = {"http": 80, "https": 443}


@dataclass(frozen=True, slots=True)
class Address:
    """A host and the path on it at which the app is served, with a slash at both ends."""

    scheme: str
    host: str
    port: int
    base: str

    @property
    def authority(self) -> str:
        """The host as it stands in an address, with its port unless it is the usual one."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == _PORTS[self.scheme] else f"{host}:{self.port}"

    @property
    def url(self) -> str:
        """The whole address."""
        return f"{self.scheme}://{self.authority}{self.base}"

    @property
    def is_private(self) -> bool:
        """Tell whether browsers trust this address: https, or the own machine."""
        if self.scheme == "https" or self.host == "localhost" or self.host.endswith(".localhost"):
            return True
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False


def parse_address(text: str) -> Address:
    """Return the address in ``text``; a page's name or place in it at the end is left out.

    Raises :class:`BuildError` if it is not the address of a folder on a web server.
    """
    bad = BuildError(
        f'"{shown(text)}" is not an address to check: write it like https://example.org/pump/.'
    )
    try:
        parts = urlsplit(text.strip())
        host, port = parts.hostname or "", parts.port
        if ":" in host:
            ipaddress.IPv6Address(host)
        elif not host.isascii():
            host = host.encode("idna").decode()
    except ValueError:
        raise bad from None
    scheme = parts.scheme.lower()
    if scheme not in _PORTS or parts.username is not None or parts.query or port == 0:
        raise bad
    if ":" not in host and not _HOST.fullmatch(host):
        raise bad
    path = parts.path.removesuffix("index.html") or "/"
    base = path if path.endswith("/") else f"{path}/"
    if not _PATH.fullmatch(base) or {".", ".."} & set(base.split("/")):
        raise bad
    return Address(scheme, host, port or _PORTS[scheme], base)
