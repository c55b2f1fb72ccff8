"""The certificate that the bench shows on a network: the fitter's own, or one it signs itself.

A browser cannot know a self-signed certificate; what proves it is the fingerprint, read off the
machine the bench runs on and compared once.
"""

from __future__ import annotations

import hashlib
import ipaddress
import ssl
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from heelball.bench.private_files import write_private
from heelball.errors import UsageError

#: Browsers take no certificate that is valid for longer than 825 days.
_VALID: Final = timedelta(days=800)
#: Clocks of tablets go wrong by a little.
_BEFORE: Final = timedelta(days=1)
_CERTIFICATE: Final = "bench-certificate.pem"
_KEY: Final = "bench-key.pem"


def own_certificate(folder: Path, names: Iterable[str], now: datetime) -> tuple[Path, Path]:
    """Return certificate and key that the bench signed itself, made on first use.

    They are made anew where they have run out, do not cover these names, or do not belong together.

    Parameters
    ----------
    folder
        The data folder.
    names
        Names and addresses that the bench is reached at.
    now
        The time, with its zone.
    """
    certificate, key = folder / _CERTIFICATE, folder / _KEY
    wanted = sorted(set(names))
    if not _serves(certificate, key, wanted, now):
        made, its_key = _make(wanted, now)
        write_private(key, its_key)
        write_private(certificate, made)
    return certificate, key


def check_given(certificate: Path, key: Path) -> None:
    """See that a certificate and a key that were given can be used together.

    Raises
    ------
    UsageError
        Where they cannot.
    """
    for path in (certificate, key):
        if not path.is_file():
            raise UsageError(
                f"There is no file {path}.", "Name the certificate and its key, both as PEM files."
            )
    if not _go_together(certificate, key):
        raise UsageError(
            f"{certificate} and {key} are not a certificate and its key.",
            "Name PEM files that belong together; the key must not ask for a password.",
        )


def fingerprint(certificate: Path) -> str:
    """Return the SHA-256 fingerprint of a certificate as browsers show it, in pairs.

    Parameters
    ----------
    certificate
        A PEM file; its first certificate counts.
    """
    first = x509.load_pem_x509_certificates(certificate.read_bytes())[0]
    digest = hashlib.sha256(first.public_bytes(serialization.Encoding.DER)).hexdigest().upper()
    return ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))


def _go_together(certificate: Path, key: Path) -> bool:
    try:
        # An empty password, so that a key with one is refused instead of asked about.
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
    except (OSError, ValueError):
        return False
    return True


def _serves(certificate: Path, key: Path, names: list[str], now: datetime) -> bool:
    if not (certificate.is_file() and key.is_file() and _go_together(certificate, key)):
        return False
    kept = x509.load_pem_x509_certificate(certificate.read_bytes())
    covered = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return kept.not_valid_before_utc <= now < kept.not_valid_after_utc and all(
        _general_name(name) in covered for name in names
    )


def _make(names: list[str], now: datetime) -> tuple[bytes, bytes]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Heelball bench")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BEFORE)
        .not_valid_after(now + _VALID)
        .add_extension(x509.SubjectAlternativeName([_general_name(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    return (
        certificate.public_bytes(serialization.Encoding.PEM),
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        ),
    )


def _general_name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)
