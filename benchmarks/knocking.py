"""A browser's requests sent to a bench at fixed times, whether or not it has answered the ones before."""

from __future__ import annotations

import re
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from http.client import HTTPConnection
from typing import Final
from urllib.parse import urlencode

import numpy as np
from attrs import field, frozen

_TOKEN: Final = re.compile(r'name="csrf" value="([^"]+)"')
_HELD: Final = re.compile(r'name="held" value="([^"]+)"')
#: Longer than this nobody waits [s]; it counts as an error.
_PATIENCE: Final = 10.0


@frozen
class Browser:
    """One session at a bench: its cookie and its forms' token."""

    port: int
    cookie: str
    token: str

    @classmethod
    def at(cls, port: int) -> Browser:
        """Open the wearers' page and keep the session."""
        door = HTTPConnection("127.0.0.1", port, timeout=_PATIENCE)
        door.request("GET", "/wearers")
        answer = door.getresponse()
        found = _TOKEN.search(answer.read().decode())
        cookie = (answer.getheader("Set-Cookie") or "").partition(";")[0]
        door.close()
        assert found, "no form with a token on the page"
        return cls(port, cookie, found[1])

    def connect(self) -> HTTPConnection:
        """Return a connection of its own."""
        return HTTPConnection("127.0.0.1", self.port, timeout=_PATIENCE)

    def get(self, door: HTTPConnection, path: str) -> tuple[int, str]:
        """Return status and body of a page."""
        door.request("GET", path, headers={"Cookie": self.cookie})
        answer = door.getresponse()
        return answer.status, answer.read().decode()

    def post(self, door: HTTPConnection, path: str, fields: dict[str, object]) -> tuple[int, str]:
        """Return status and body of what htmx would swap in."""
        body = urlencode({"csrf": self.token, **fields}, doseq=True)
        headers = {
            "Cookie": self.cookie,
            "Content-Type": "application/x-www-form-urlencoded",
            "HX-Request": "true",
        }
        door.request("POST", path, body, headers)
        answer = door.getresponse()
        return answer.status, answer.read().decode()

    def held(self, path: str) -> list[str]:
        """Return the lasts that an order page holds."""
        door = self.connect()
        status, text = self.get(door, path)
        door.close()
        assert status == 200, status
        return _HELD.findall(text)


@frozen
class Waited:
    """How long each request took from when it was due [s], and what went wrong."""

    seconds: list[float] = field(factory=list)
    errors: list[str] = field(factory=list)

    def milliseconds(self, quantile: float) -> float:
        """Return a quantile of the waits [ms]."""
        return round(float(np.quantile(self.seconds, quantile)) * 1000, 1)


def knock(
    browser: Browser,
    asks: Sequence[Callable[[Browser, HTTPConnection], tuple[int, str]]],
    *,
    rate: float,
    hands: int = 32,
    stop: threading.Event | None = None,
) -> Waited:
    """Send requests at a fixed rate and wait for all answers.

    Parameters
    ----------
    asks
        The requests, in order.
    rate
        Requests a second.
    hands
        How many may be under way at once.
    stop
        Set to send no more.
    """
    waited, waiting, lock = Waited(), deque(enumerate(asks)), threading.Lock()
    begin = time.perf_counter() + 0.2

    def work() -> None:
        door = browser.connect()
        while stop is None or not stop.is_set():
            with lock:
                if not waiting:
                    break
                number, ask = waiting.popleft()
            due = begin + number / rate
            time.sleep(max(0.0, due - time.perf_counter()))
            try:
                status, text = ask(browser, door)
                wrong = "" if status == 200 and text else f"status {status}"
            except OSError as refused:
                wrong = type(refused).__name__
                door.close()
            took = time.perf_counter() - due
            with lock:
                waited.seconds.append(took)
                if wrong:
                    waited.errors.append(wrong)
        door.close()

    threads = [threading.Thread(target=work) for _ in range(hands)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return waited
