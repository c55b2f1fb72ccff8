"""Names the bench answers to, and the address others reach it at.

A page elsewhere can have its own name point at this machine; the browser then takes the bench
for that page's own. So a request under any name but ours is refused.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterable
from typing import Final

from starlette.types import Scope

_LOOPBACK_NAMES: Final = frozenset({"localhost", "127.0.0.1", "::1"})


def split_host(header: str) -> str | None:
    """Return the name of a Host header in lower case, without its port; None where it is malformed.

    Examples
    --------
    >>> split_host("Bench.local:4380"), split_host("[::1]:4380"), split_host("a b")
    ('bench.local', '::1', None)
    """
    name, port = header.strip().lower(), ""
    if name.startswith("["):
        name, bracket, port = name[1:].partition("]")
        if not bracket or (port and not port.startswith(":")):
            return None
        port = port[1:]
    elif ":" in name:
        name, _, port = name.partition(":")
    if port and not (port.isascii() and port.isdigit()):
        return None
    name = name.removesuffix(".")
    if not name or any(sign.isspace() or sign in "/\\@?#" for sign in name):
        return None
    return name


class Hosts:
    """The names one bench answers to.

    Parameters
    ----------
    bound
        The address it listens on.
    names
        Further names it was told.
    """

    def __init__(self, bound: str, names: Iterable[str]) -> None:
        self._names = _LOOPBACK_NAMES | {bound.lower()} | {name.lower().removesuffix(".") for name in names}
        self._wildcard = is_wildcard(bound)

    def answers_to(self, scope: Scope) -> bool:
        """Whether this request came under one of our names."""
        found = [value for name, value in scope["headers"] if name == b"host"]
        if len(found) != 1:
            return False
        name = split_host(found[0].decode("latin-1"))
        if name is None:
            return False
        if name in self._names:
            return True
        # Bound to every address: then the one that the connection came in at, as a literal, is ours.
        return self._wildcard and bool(scope.get("server")) and name == _plain(scope["server"][0])


def _plain(address: str) -> str:
    # What a socket for both families says of an address of the older one.
    return address.removeprefix("::ffff:")


def is_wildcard(address: str) -> bool:
    """Whether an address stands for every address of this machine."""
    try:
        return ipaddress.ip_address(address).is_unspecified
    except ValueError:
        return False


def reachable_name(bound: str, names: Iterable[str]) -> str:
    """Return what others type to reach the bench: its first told name, or an address of this machine."""
    for name in names:
        if not is_wildcard(name):
            return name
    if not is_wildcard(bound):
        return bound
    family = socket.AF_INET6 if ":" in bound else socket.AF_INET
    # An address set aside for documents: choosing the way to it sends nothing.
    towards = "2001:db8::1" if family == socket.AF_INET6 else "192.0.2.1"
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((towards, 9))
            return str(probe.getsockname()[0])
    except OSError:
        return "localhost"


def address_of(name: str, port: int, *, secure: bool) -> str:
    """Return the address to type into a browser.

    Examples
    --------
    >>> address_of("::1", 4380, secure=True)
    'https://[::1]:4380/'
    """
    scheme, usual = ("https", 443) if secure else ("http", 80)
    host = f"[{name}]" if ":" in name else name
    return f"{scheme}://{host}/" if port == usual else f"{scheme}://{host}:{port}/"
