"""The bench started as a fitter starts it: one line, the right modes, a clean end, and sentences."""

from __future__ import annotations

import hashlib
import io
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.request import Request, urlopen

import pytest
from attrs import define

from heelball.bench.certificate import fingerprint
from heelball.bench.listening import listening_socket
from heelball.cli import main

PASSPHRASE = "a passphrase of several words"
_COMMAND = [sys.executable, "-m", "heelball.cli.main", "bench"]


@define
class Running:
    """A bench in a process of its own, and the line it printed."""

    process: subprocess.Popen[str]
    line: str

    @property
    def address(self) -> str:
        return self.line.strip()

    def stop(self, how: signal.Signals = signal.SIGTERM) -> tuple[int, str, str]:
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=30)
        return self.process.returncode, out, err


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


Start = Callable[..., Running]


@pytest.fixture
def start(folder: Path) -> Iterator[Start]:
    running: list[Running] = []

    def begin(*words: str) -> Running:
        process = subprocess.Popen(
            [*_COMMAND, "--port", "0", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        assert process.stdout is not None
        one = Running(process, process.stdout.readline())
        running.append(one)
        return one

    yield begin
    for one in running:
        if one.process.poll() is None:
            one.process.kill()
            one.process.communicate()


@define
class Ended:
    """A command that ended by itself: its exit code and what it printed."""

    code: int
    out: str
    err: str


Run = Callable[..., Ended]


@pytest.fixture
def run(folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Iterator[Run]:
    """Run a command to its end in this process: what is refused never comes to serving."""
    mask = os.umask(0o022)

    def to_the_end(*words: str, given: str = "") -> Ended:
        monkeypatch.setattr("sys.stdin", io.StringIO(given))
        code = main.run(["bench", *words])
        return Ended(code, *capsys.readouterr())

    yield to_the_end
    os.umask(mask)


def unlike(ended: Ended, code: int, words: str) -> None:
    """See that a command ended with a sentence, and with nothing else."""
    assert (ended.code, ended.out) == (code, ""), ended.err
    assert words in ended.err
    assert "Traceback" not in ended.err
    assert len(ended.err.splitlines()) == 1


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_prints_one_line_serves_and_stops_cleanly(start: Start, folder: Path, how: signal.Signals):
    bench = start()
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", bench.address)
    with urlopen(f"{bench.address}settings") as answer:
        assert b"<h1>Settings</h1>" in answer.read()
    with pytest.raises(OSError, match=r"404"):
        urlopen(f"{bench.address}Vantongeren")
    assert bench.stop(how) == (0, "", "")
    log = (folder / "bench-access.log").read_text()
    assert " GET /settings 200 " in log
    assert "Vantongeren" not in log


def test_small_answers_are_sent_at_once():
    # asyncio waits for more to send unless a socket says that it is TCP: 40 ms for each answer.
    with listening_socket("127.0.0.1", 0) as listening:
        assert listening.proto == socket.IPPROTO_TCP


def test_listens_on_this_machine_alone(start: Start):
    bench = start()
    port = int(bench.address.rsplit(":", 1)[1].strip("/"))
    listening = Path("/proc/net/tcp")
    if not listening.exists():
        pytest.skip("only Linux tells who listens where")
    places = {
        line.split()[1]
        for line in listening.read_text().splitlines()[1:]
        if line.split()[1].endswith(f":{port:04X}") and line.split()[3] == "0A"
    }
    assert places == {f"0100007F:{port:04X}"}


def test_files_are_for_their_owner_alone(run: Run, start: Start, folder: Path):
    run("passphrase", given=PASSPHRASE + "\n")
    bench = start("--listen", "127.0.0.1", "--records", str(folder / "deep" / "records.sqlite3"))
    assert bench.address
    made = [folder, *folder.rglob("*")]
    assert {"bench-access.log", "bench-key.pem", "bench-passphrase", "records.sqlite3", "bench.lock"} <= {
        path.name for path in made
    }
    for path in made:
        assert path.stat().st_mode & 0o777 == (0o700 if path.is_dir() else 0o600), path
    assert PASSPHRASE not in (folder / "bench-passphrase").read_text()
    assert (folder / "bench-passphrase").read_text().startswith("$argon2id$")


def test_folders_made_for_the_passphrase_are_private(run: Run, folder: Path, monkeypatch):
    monkeypatch.setenv("HEELBALL_DATA", str(folder / "a" / "b"))
    assert run("passphrase", given=PASSPHRASE + "\n").code == 0
    for made in (folder, folder / "a", folder / "a" / "b"):
        assert made.stat().st_mode & 0o777 == 0o700


def test_a_taken_port_is_a_sentence(run: Run, folder: Path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        unlike(run("--port", str(port)), 2, f"port {port}: address already in use")
    assert not (folder / "records.sqlite3").exists() or (folder / "records.sqlite3").stat().st_size == 0


def test_a_second_bench_on_the_same_records_is_a_sentence(run: Run, start: Start, folder: Path):
    bench = start()
    unlike(run("--port", "0"), 4, "A bench is running on these records already")
    # Killed, it leaves nothing in the way.
    bench.stop(signal.SIGKILL)
    assert start().address


def test_a_folder_that_cannot_be_written_is_a_sentence(run: Run, folder: Path):
    # Refused to whoever runs the tests; a folder without the right to write is so to all but root.
    (folder / "bench.lock").mkdir(parents=True)
    unlike(run("--port", "0"), 4, "cannot be read or written")


def test_other_records_are_served_beside(start: Start, tmp_path: Path):
    assert start().address != start("--records", str(tmp_path / "other")).address


def test_network_needs_a_passphrase(run: Run, folder: Path):
    unlike(run("--port", "0", "--listen", "127.0.0.1"), 2, "heelball bench passphrase")
    unlike(run("--port", "0", "--listen", "127.0.0.1", "--insecure"), 2, "heelball bench passphrase")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--insecure"], "--insecure goes with --listen."),
        (["--tls-cert", "c.pem"], "--tls-cert and --tls-key go together."),
        (["--listen", "127.0.0.1", "--insecure", "--tls-cert", "c", "--tls-key", "k"], "the opposite"),
        (["--tls-cert", "/nowhere.pem", "--tls-key", "/nowhere.pem"], "There is no file"),
        (["--listen", "192.0.2.77"], "cannot listen on 192.0.2.77"),
        (["--listen", "not an address"], "is no address of this machine"),
        (["--host-name", "two words"], "is no name of a machine"),
        (["--host-name", "b\u00fccher.example"], "is no name of a machine"),
        (["--records", "mysql://somewhere/x"], "mysql://"),
    ],
)
def test_options_that_do_not_go_together_are_a_sentence(run: Run, folder: Path, words: list[str], said: str):
    unlike(run("--port", "0", *words), 2, said)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("short\n", "5 characters"),
        ("\n", "0 characters"),
        (" padded passphrase\n", "blank"),
        ("a\tpassphrase\n", ""),
    ],
)
def test_poor_passphrases_are_refused(run: Run, folder: Path, given: str, said: str):
    unlike(run("passphrase", given=given), 2, said)
    assert not (folder / "bench-passphrase").exists()


def test_network_is_served_under_tls_with_its_fingerprint(run: Run, start: Start, folder: Path):
    run("passphrase", given=PASSPHRASE + "\n")
    bench = start("--listen", "127.0.0.1", "--host-name", "bench.example")
    assert re.fullmatch(r"https://bench\.example:\d+/", bench.address)
    port = int(bench.address.rsplit(":", 1)[1].strip("/"))
    trusting = ssl.create_default_context(cafile=folder / "bench-certificate.pem")
    trusting.verify_flags &= ~getattr(ssl, "VERIFY_X509_STRICT", 0)
    with (
        socket.create_connection(("127.0.0.1", port)) as plain,
        trusting.wrap_socket(plain, server_hostname="bench.example") as secure,
    ):
        shown = secure.getpeercert(binary_form=True)
    assert shown is not None
    printed = hashlib.sha256(shown).hexdigest().upper()
    request = Request(f"https://127.0.0.1:{port}/", headers={"Host": "bench.example"})
    with urlopen(request, context=trusting) as answer:
        assert answer.url.endswith("/login")
        assert b'name="passphrase"' in answer.read()
    code, out, err = bench.stop()
    assert (code, out) == (0, "")
    assert fingerprint(folder / "bench-certificate.pem") in err
    assert fingerprint(folder / "bench-certificate.pem").replace(":", "") == printed
    # Made once: the next start shows the same.
    again = start("--listen", "127.0.0.1", "--host-name", "bench.example")
    assert fingerprint(folder / "bench-certificate.pem") in again.stop()[2]


def test_plain_http_on_a_network_only_when_told(run: Run, start: Start, folder: Path):
    run("passphrase", given=PASSPHRASE + "\n")
    bench = start("--listen", "127.0.0.1", "--insecure")
    assert bench.address.startswith("http://127.0.0.1:")
    with urlopen(bench.address) as answer:
        assert b"This bench runs without encryption" in answer.read()
    assert "Without encryption" in bench.stop()[2]


def test_address_stands_as_a_code_without_a_secret(run: Run, start: Start, folder: Path):
    import segno

    run("passphrase", given=PASSPHRASE + "\n")
    bench = start("--listen", "127.0.0.1", "--insecure")
    drawn = [line for line in bench.stop()[2].splitlines() if line and set(line) <= set(" ▀▄█")]
    upper, lower = {" ": 0, "▀": 1, "▄": 0, "█": 1}, {" ": 0, "▀": 0, "▄": 1, "█": 1}
    modules = [[signs[sign] for sign in line] for line in drawn for signs in (upper, lower)]
    wanted = [list(row) for row in segno.make(bench.address, micro=False, error="m").matrix_iter(border=4)]
    assert modules[: len(wanted)] == wanted


def test_tokens_are_shown_once_and_kept_as_a_hash(run: Run, folder: Path):
    made = run("token", "add", "tablet")
    secret = made.out.strip()
    assert made.code == 0
    assert len(secret) >= 40
    listed = run("token", "list")
    assert listed.out.startswith("tablet: made 20")
    assert "never used" in listed.out
    for path in folder.rglob("*"):
        assert secret.encode() not in path.read_bytes()
    unlike(run("token", "add", "tablet"), 2, "is there already")
    assert run("token", "revoke", "tablet").code == 0
    unlike(run("token", "revoke", "tablet"), 2, "no token is called 'tablet'")
    assert run("token", "list").out == ""


def test_start_leaves_the_umask_of_files_private(start: Start, folder: Path):
    # Whatever the shell's own mask is.
    before = os.umask(0o022)
    try:
        start()
    finally:
        os.umask(before)
    assert (folder / "records.sqlite3").stat().st_mode & 0o777 == 0o600
