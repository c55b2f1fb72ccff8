"""A form as it was sent: its token checked, its size bounded, each mistake kept beside its field."""

from __future__ import annotations

import secrets
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Final

from attrs import define, field, frozen
from starlette.datastructures import FormData, UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request

from heelball.bench.bodies import PHOTOGRAPH_BYTES
from heelball.bench.gate import READING
from heelball.bench.refusals import Refused
from heelball.bench.session import session_of
from heelball.work.letter_text import LONGEST_TEXT

#: Longest value of a field [characters].
LONGEST_VALUE: Final = 2000
#: Those of fields that take more: the text of a letter.
_LONGEST: Final = {"text": LONGEST_TEXT}
_MOST_FIELDS: Final = 400
_MOST_FILES: Final = 4
_KINDS: Final = ("application/x-www-form-urlencoded", "multipart/form-data")
_LINE_SIGNS: Final = "\t\n\r"


@frozen
class Upload:
    """A file that was sent: its name as told, not to be trusted, and its bytes."""

    name: str
    content: bytes = field(repr=False)


@define
class Form:
    """What was typed, by field, and what is wrong with it.

    `text` gives what was typed, trimmed; `wrong` puts a sentence beside a field. A page that finds
    the form not `good` shows it again with what was typed.
    """

    values: Mapping[str, Sequence[str]] = field(factory=dict, repr=False)
    uploads: Mapping[str, Upload] = field(factory=dict, repr=False)
    problems: dict[str, str] = field(factory=dict)

    def __contains__(self, name: str) -> bool:
        return name in self.values or name in self.uploads

    def text(self, name: str) -> str:
        """Return what was typed into a field, trimmed; empty where it is missing."""
        return next(iter(self.texts(name)), "")

    def raw(self, name: str) -> str:
        """Return what was typed into a field, blanks and all: a passphrase."""
        return next(iter(self.values.get(name, ())), "")

    def texts(self, name: str) -> list[str]:
        """Return all values of a field, trimmed."""
        return [value.strip() for value in self.values.get(name, ())]

    def wrong(self, field_: str, found: str, wanted: str) -> None:
        """Put a sentence beside a field; the first one about it stays."""
        sentence = f"{found}; wanted {wanted}" if found and wanted else found or f"Wanted {wanted}"
        self.problems.setdefault(field_, f"{sentence[:1].upper()}{sentence[1:].removesuffix('.')}.")

    @property
    def good(self) -> bool:
        """Whether nothing is wrong with it."""
        return not self.problems


async def posted(request: Request) -> Form:
    """Return the form of a request, to be used as a dependency; an empty one where it only reads.

    Raises
    ------
    Refused
        Where it is no form, or does not carry its session's token.
    """
    if request.method in READING:
        return Form()
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in _KINDS:
        raise Refused(415)
    data = await _form_data(request, kind)
    try:
        _check_token(request, data)
        return await _form(data)
    finally:
        await data.close()


async def _form(data: FormData) -> Form:
    values: dict[str, list[str]] = {}
    uploads: dict[str, Upload] = {}
    form = Form(values, uploads)
    for name, value in data.multi_items():
        if isinstance(value, UploadFile):
            uploads[name] = Upload(value.filename or "", await value.read())
        else:
            values.setdefault(name, []).append(_printable(form, name, value))
    return form


class _InMemory(MultiPartParser):
    """Reads a form with files, none of which touches the disk: a photograph may not be kept at all."""

    spool_max_size = PHOTOGRAPH_BYTES


async def _form_data(request: Request, kind: str) -> FormData:
    if kind != "multipart/form-data":
        return await request.form(max_fields=_MOST_FIELDS)
    parser = _InMemory(request.headers, request.stream(), max_files=_MOST_FILES, max_fields=_MOST_FIELDS)
    try:
        return await parser.parse()
    except MultiPartException:
        raise Refused(400) from None


def _check_token(request: Request, data: FormData) -> None:
    """Refuse a write whose form does not carry the token of the session it comes in."""
    sent = data.get("csrf") or request.headers.get("x-csrf-token") or ""
    token = session_of(request).csrf
    if not isinstance(sent, str) or not secrets.compare_digest(sent.encode(), token.encode()):
        raise Refused(
            403,
            "This page is older than your session, so nothing was changed.",
            "Go back, load the page again and send it once more.",
        )


def _printable(form: Form, name: str, value: str) -> str:
    """Return a value without signs that no field takes, with a sentence where it had any or is too long.

    One that is too long stays whole, so that nothing typed is lost: the body as a whole is bounded.
    """
    if any(_unprintable(sign) for sign in value):
        form.wrong(name, "it holds signs that cannot be printed", "plain text")
        value = "".join(sign for sign in value if not _unprintable(sign))
    most = _LONGEST.get(name, LONGEST_VALUE)
    # Forms send a line's end as two signs; what is kept, and counted where it was typed, is one.
    if (length := len(value.replace("\r\n", "\n"))) > most:
        form.wrong(name, f"that is {length} characters long", f"at most {most}")
    return value


def _unprintable(sign: str) -> bool:
    return sign not in _LINE_SIGNS and (unicodedata.category(sign) in ("Cc", "Cs") or sign == "\ufffd")
