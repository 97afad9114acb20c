"""A certificate made on the spot, to try the app over https in the own network."""

from __future__ import annotations

import ipaddress
import os
import ssl
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

_DAYS = 7


def https_context(host: str, now: datetime | None = None) -> tuple[ssl.SSLContext, str]:
    """Return a context to serve ``host`` with, and its certificate's SHA-256 as browsers show it.

    The key is new at each call, for a week, and kept in memory alone.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    made = certificate(host, key, now or datetime.now(UTC))
    pem = made.public_bytes(serialization.Encoding.PEM) + key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    # Python reads certificates from files alone: one that only we can read, for a moment.
    handle, name = tempfile.mkstemp()
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(pem)
        context.load_cert_chain(name)
    finally:
        Path(name).unlink()
    digest = made.fingerprint(hashes.SHA256()).hex().upper()
    return context, ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))


def certificate(host: str, key: ec.EllipticCurvePrivateKey, now: datetime) -> x509.Certificate:
    """Return a certificate of ``key`` for ``host``, a name or an address; it vouches for no other.

    It is good for a week from a day before ``now``, since clocks differ.
    """
    try:
        named: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        named = x509.DNSName(host)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "PocketPump, to try")])
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=_DAYS))
        .add_extension(x509.SubjectAlternativeName([named]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
