"""How one bench is set: where it listens, who may come in, and its clock."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final

from attrs import field, frozen

#: Where the bench listens unless told.
LOOPBACK: Final = "127.0.0.1"
#: The port it takes unless told.
PORT: Final = 4380


@frozen
class Settings:
    """How one bench is set.

    Parameters
    ----------
    data_folder
        Where passphrase, certificate and access log stand.
    clock
        Tells the time, with its zone.
    host, port
        What it listens on.
    on_network
        Whether it was told to listen (``--listen``): it then asks for the passphrase.
    host_names
        Further names that it answers to.
    tls_cert, tls_key
        PEM files; None for plain HTTP.
    insecure
        Whether plain HTTP on a network was asked for: each page says so.
    passphrase_hash
        The argon2 hash that a log-in is held against.
    address
        What to type into a browser, without a secret: ``https://192.0.2.7:4380/``.
    fingerprint
        SHA-256 of the certificate, as browsers show it; empty without TLS.
    """

    data_folder: Path
    clock: Callable[[], datetime]
    host: str = LOOPBACK
    port: int = PORT
    on_network: bool = False
    host_names: tuple[str, ...] = ()
    tls_cert: Path | None = None
    tls_key: Path | None = None
    insecure: bool = False
    passphrase_hash: str | None = field(default=None, repr=False)
    address: str = f"http://{LOOPBACK}:{PORT}/"
    fingerprint: str = ""

    @property
    def secure(self) -> bool:
        """Whether pages go out under TLS."""
        return self.tls_cert is not None
