"""A browser without scripts: it reads the forms of a page, presses their buttons, and counts the taps."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

from httpx import Response

from tests.bench.conftest import Bench


class Button:
    """A button of a form: what is sent when it is pressed, and where to."""

    def __init__(self, form: FormOnPage, attrs: dict[str, str | None]) -> None:
        self.form = form
        self.name = attrs.get("name")
        self.value = attrs.get("value") or ""
        self.action = attrs.get("formaction") or form.action
        self.disabled = "disabled" in attrs
        self.words = ""


class FormOnPage:
    """A form: where it goes, and what its fields hold."""

    def __init__(self, attrs: dict[str, str | None]) -> None:
        self.action = attrs.get("action") or ""
        self.method = attrs.get("method") or "get"
        self.fields: dict[str, str] = {}
        self.buttons: list[Button] = []


class Page(HTMLParser):
    """A page as it was sent: its forms, its links, and its text."""

    def __init__(self, response: Response) -> None:
        super().__init__()
        self.response = response
        self.forms: list[FormOnPage] = []
        self.links: dict[str, str] = {}
        self.words: list[str] = []
        self._form: FormOnPage | None = None
        self._button: Button | None = None
        self._link: tuple[str, list[str]] | None = None
        self._select: tuple[str, list[str]] | None = None
        self._area: tuple[str, list[str]] | None = None
        self.feed(response.text)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "form":
            self._form = FormOnPage(found)
            self.forms.append(self._form)
        elif tag == "a" and found.get("href"):
            self._link = (found["href"] or "", [])
        elif self._form is None:
            return
        elif tag == "input":
            self._input(found)
        elif tag == "button":
            self._button = Button(self._form, found)
            self._form.buttons.append(self._button)
        elif tag == "select":
            self._select = (found["name"] or "", [])
        elif tag == "option" and self._select is not None:
            name, values = self._select
            values.append(found["value"] or "")
            if len(values) == 1 or "selected" in found:
                self._form.fields[name] = values[-1]
        elif tag == "textarea":
            self._area = (found["name"] or "", [])

    def _input(self, found: dict[str, str | None]) -> None:
        assert self._form is not None
        name, kind = found.get("name"), found.get("type", "text")
        if name is None:
            return
        if kind in ("radio", "checkbox"):
            if "checked" in found:
                self._form.fields[name] = found.get("value") or ""
        else:
            self._form.fields[name] = found.get("value") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "button":
            self._button = None
        elif tag == "a" and self._link is not None:
            self.links[" ".join("".join(self._link[1]).split())] = self._link[0]
            self._link = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea" and self._area is not None and self._form is not None:
            self._form.fields[self._area[0]] = "".join(self._area[1]).removeprefix("\n")
            self._area = None

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self._button is not None:
            self._button.words += data
        if self._link is not None:
            self._link[1].append(data)
        if self._area is not None:
            self._area[1].append(data)

    def form(self, end: str) -> FormOnPage:
        """Return the form that goes to an address with this end."""
        found = [form for form in self.forms if form.action.endswith(end)]
        assert len(found) == 1, f"{len(found)} forms go to {end}"
        return found[0]

    def button(self, words: str, end: str = "", slot: str = "") -> Button:
        """Return the button with these words, in a form whose address has this end, for this reading."""
        found = [
            button
            for form in self.forms
            if form.action.endswith(end) and slot in ("", form.fields.get("slot"))
            for button in form.buttons
            if " ".join(button.words.split()) == words
        ]
        assert len(found) == 1, f"{len(found)} buttons say {words!r}"
        return found[0]


class Browser:
    """One fitter at a page: presses what stands there, and counts."""

    def __init__(self, bench: Bench, url: str) -> None:
        self.bench = bench
        self.taps = 0
        self.sent: list[str] = []
        self.page = Page(bench.get(url))

    def open(self, url: str) -> Page:
        self.page = Page(self.bench.get(url))
        return self.page

    def press(self, words: str, end: str = "", slot: str = "", /, **typed: Any) -> Page:
        """Press a button, with some fields of its form typed into first."""
        button = self.page.button(words, end, slot)
        assert not button.disabled, f"{words!r} cannot be pressed"
        fields = {**button.form.fields, **typed}
        if button.name:
            fields[button.name] = button.value
        fields = {name: value for name, value in fields.items() if value is not None}
        self.taps += 1
        answer = self.bench.post(button.action, fields)
        self.sent += [str(one.headers.get("location", "")) for one in answer.history]
        self.sent.append(str(answer.url))
        self.page = Page(answer)
        return self.page
