"""The socket that the bench listens on."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from heelball.errors import UsageError

_BACKLOG: Final = 128


@contextmanager
def listening_socket(host: str, port: int) -> Iterator[socket.socket]:
    """Bind the port, before the records are opened: none are migrated for a bench that cannot listen.

    Parameters
    ----------
    host, port
        An address of this machine, and 0 for any free port.

    Raises
    ------
    UsageError
        Where the address is not this machine's, or the port is taken.
    """
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except OSError as error:
        raise UsageError(
            f"{host} is no address of this machine.", "Give --listen one, or 0.0.0.0 for all."
        ) from error
    # Named in full: only a socket that knows its protocol sends small answers without waiting.
    with socket.socket(family, kind, protocol) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind(place)
        except PermissionError as error:
            raise UsageError(f"Port {port} is not for this user.", "Give --port above 1023.") from error
        except OSError as error:
            raise UsageError(
                f"The bench cannot listen on {host}, port {port}: {(error.strerror or '').lower()}.",
                "Another bench may be running there; give another --port, or 0 for any free one.",
            ) from error
        listening.listen(_BACKLOG)
        yield listening
