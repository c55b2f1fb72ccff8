"""Start the bench, say where it is, and stop it cleanly."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import uvicorn
from attrs import evolve, frozen
from filelock import Timeout

from heelball.bench.access_log import log_into
from heelball.bench.app import make_app
from heelball.bench.certificate import check_given, fingerprint, own_certificate
from heelball.bench.code import code_text
from heelball.bench.hosts import address_of, is_wildcard, reachable_name
from heelball.bench.listening import listening_socket
from heelball.bench.passphrase import kept_hash
from heelball.bench.private_files import private_folder
from heelball.bench.settings import LOOPBACK, PORT, Settings
from heelball.errors import InternalFault, RecordsError, UsageError
from heelball.records.placing import in_words
from heelball.records.running import bench_lock
from heelball.records.store import Records, open_records
from heelball.records.where import data_folder, make_private, place_of

_LOG: Final = "bench-access.log"
#: How long requests under way may take to end after the bench was told to stop [s].
_PATIENCE_S: Final = 5
# A name of letters, figures and hyphens, or an address.
_HOST_NAME: Final = re.compile(r"[a-z0-9][a-z0-9.-]{0,251}[a-z0-9]|[0-9a-f:.]*:[0-9a-f:.]*", re.IGNORECASE)


@frozen
class Wanted:
    """What the command line asks for; `listen` is None for this machine only, port 0 for any free one."""

    records: str | None = None
    port: int = PORT
    listen: str | None = None
    tls_cert: Path | None = None
    tls_key: Path | None = None
    insecure: bool = False
    host_names: tuple[str, ...] = ()


def serve(
    wanted: Wanted,
    *,
    clock: Callable[[], datetime],
    say: Callable[[str], Any],
    remark: Callable[[str], Any],
) -> None:
    """Serve the bench until it is told to stop.

    Parameters
    ----------
    wanted
        What the command line asks for.
    clock
        Tells the time, with its zone.
    say
        Prints the one line with the address, once the bench answers there.
    remark
        Prints what stands beside it: fingerprint, code for a camera, warnings.

    Raises
    ------
    UsageError
        Where the options do not go together, or the port is taken.
    RecordsError
        Where the records cannot be opened, or another bench is running on them.
    """
    _check(wanted)
    # Whatever is written from here on is for its owner's eyes only.
    os.umask(0o077)
    # The records' folder comes first: another bench may not be migrated away under its feet.
    with _alone(wanted), listening_socket(wanted.listen or LOOPBACK, wanted.port) as listening:
        settings = _settings(wanted, listening, clock)
        records = open_records(wanted.records, now=clock())
        try:
            _remark(records, settings, remark)
            log_into(settings.data_folder / _LOG)
            _run(make_app(settings, records), settings, listening, lambda: say(settings.address))
        finally:
            records.close()


def _check(wanted: Wanted) -> None:
    if (wanted.tls_cert is None) != (wanted.tls_key is None):
        raise UsageError("--tls-cert and --tls-key go together.", "Give both.")
    if wanted.insecure and wanted.tls_cert is not None:
        raise UsageError("--insecure is the opposite of --tls-cert.", "Give one of them.")
    for name in wanted.host_names:
        if not _HOST_NAME.fullmatch(name):
            raise UsageError(
                f"--host-name {name!r} is no name of a machine.",
                "Give it as in bench.example, without a port.",
            )
    if wanted.insecure and wanted.listen is None:
        raise UsageError(
            "--insecure goes with --listen.", "On this machine alone, plain HTTP is what the bench speaks."
        )


def _settings(wanted: Wanted, listening: socket.socket, clock: Callable[[], datetime]) -> Settings:
    host, port = listening.getsockname()[:2]
    settings = Settings(
        data_folder=data_folder(),
        host=host,
        port=port,
        on_network=wanted.listen is not None,
        # Where it was told a name to listen at, that is one of its names too.
        host_names=(*wanted.host_names, *([wanted.listen] if wanted.listen else [])),
        insecure=wanted.insecure,
        clock=clock,
    )
    name = reachable_name(host, settings.host_names) if settings.on_network else LOOPBACK
    private_folder(settings.data_folder)
    if settings.on_network:
        settings = evolve(settings, passphrase_hash=kept_hash(settings.data_folder))
        if settings.passphrase_hash is None:
            raise UsageError(
                "A bench on a network needs a passphrase, and none is set.",
                "Set one with: heelball bench passphrase",
            )
    settings = _with_tls(wanted, settings, name, clock())
    return evolve(settings, address=address_of(name, port, secure=settings.secure))


def _with_tls(wanted: Wanted, settings: Settings, name: str, now: datetime) -> Settings:
    if wanted.tls_cert is not None and wanted.tls_key is not None:
        check_given(wanted.tls_cert, wanted.tls_key)
        certificate, key = wanted.tls_cert, wanted.tls_key
    elif settings.on_network and not wanted.insecure:
        names = {"localhost", LOOPBACK, name, settings.host, *settings.host_names}
        names = {name for name in names if not is_wildcard(name)}
        certificate, key = own_certificate(settings.data_folder, names, now)
    else:
        return settings
    return evolve(settings, tls_cert=certificate, tls_key=key, fingerprint=fingerprint(certificate))


@contextmanager
def _alone(wanted: Wanted) -> Iterator[None]:
    """Hold the records' folder; a PostgreSQL server serves several benches by itself."""
    path = place_of(wanted.records).path
    if path is None:
        yield
        return
    make_private(path)
    lock = bench_lock(path.parent)
    with in_words(f"The folder {path.parent}"):
        try:
            lock.acquire(blocking=False)
        except Timeout as error:
            raise RecordsError(
                f"A bench is running on these records already ({path}).", "Use that one, or stop it first."
            ) from error
    try:
        yield
    finally:
        lock.release()


def _remark(records: Records, settings: Settings, remark: Callable[[str], Any]) -> None:
    if records.warning:
        remark(records.warning)
    if records.backup is not None:
        remark(f"The records were brought up to this version; as they were, they stand in {records.backup}.")
    if settings.insecure:
        remark("Without encryption everyone on this network can read along, the passphrase too.")
    if settings.fingerprint:
        remark(
            f"SHA-256 fingerprint of the certificate, to compare with the browser's:\n{settings.fingerprint}"
        )
    if settings.on_network:
        remark(code_text(settings.address))


class _Server(uvicorn.Server):
    """A server whose end is ours: uvicorn would die of the signal again after it has stopped."""

    def capture_signals(self) -> Any:
        return nullcontext()


def _run(app: Any, settings: Settings, listening: socket.socket, ready: Callable[[], Any]) -> None:
    server = _Server(
        uvicorn.Config(
            app,
            log_config=None,
            # Its own log would hold addresses as called, and tracebacks with what was typed.
            log_level="critical",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            lifespan="on",
            ws="none",
            http="h11",
            loop="asyncio",
            ssl_certfile=settings.tls_cert,
            ssl_keyfile=settings.tls_key,
            timeout_graceful_shutdown=_PATIENCE_S,
        )
    )

    def stop(*_: object) -> None:
        server.should_exit = True

    for which in (signal.SIGINT, signal.SIGTERM):
        signal.signal(which, stop)

    async def serve_and_say() -> None:
        serving = asyncio.ensure_future(server.serve(sockets=[listening]))
        while not server.started and not serving.done():
            await asyncio.sleep(0.01)
        if server.started:
            ready()
        await serving

    asyncio.run(serve_and_say())
    if not server.started:
        raise InternalFault("The bench could not be started.")
