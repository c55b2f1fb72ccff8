"""The day in the boot, part by part, and what a wearer tells of health."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from heelball.bench.conflicts import conflict_page
from heelball.bench.forms import Form, posted
from heelball.bench.pages.foot_entry import seen_in
from heelball.bench.pages.wearers import beside
from heelball.bench.rendering import page, see
from heelball.bench.session import author
from heelball.errors import InputError
from heelball.fit.answers import Reason
from heelball.records.refused import Conflict
from heelball.records.values import HealthAnswers
from heelball.show.words import sentence
from heelball.work import wearer_changes
from heelball.work.day_form import PARTS, SIGN_WORDS, day_fields, read_parts, read_signs_form

router: Final = APIRouter(prefix="/wearers/{id}")

Sent = Annotated[Form, Depends(posted)]

SOCKS: Final = (
    ("thin", "thin"),
    ("medium", "medium"),
    ("thick", "thick"),
    *((str(mm), f"{mm} mm") for mm in range(7)),
)
SWELLINGS: Final = (("rest", "rested"), ("ordinary", "ordinary"), ("hot", "hot, or long on them"))
_OF_A_PART: Final = {
    "name": "called",
    "share": "share, per cent",
    "sock": "sock",
    "swelling": "feet",
    "insole": "insole, mm",
}


@router.get("/day")
def ask_day(request: Request, id: str) -> Response:
    """Show the parts of the day."""
    return _day(request, id)


@router.post("/day")
def change_day(request: Request, id: str, form: Sent) -> Response:
    """Change the parts of the day."""
    records = request.app.state.records
    try:
        parts = read_parts({name: form.text(name) for name in form.values})
    except InputError as refused:
        beside(form, refused)
        return _day(request, id, form)
    if not form.good:
        return _day(request, id, form)
    try:
        wearer_changes.change(records, id, seen_in(form), {"day": parts}, by=author(request))
    except Conflict as conflict:
        labels = {
            f"{name}_{number}": f"Part {number}, {words}"
            for number in range(1, PARTS + 1)
            for name, words in _OF_A_PART.items()
        }
        theirs = {name: form.text(name) if not _told(name, form) else "" for name in labels}
        theirs |= day_fields(conflict.theirs.day)
        return conflict_page(request, conflict, form, labels, f"/wearers/{id}", theirs=theirs)
    return see(f"/wearers/{id}#day")


def _told(name: str, form: Form) -> bool:
    """Return whether a field belongs to a part that was filled in: the others hold defaults only."""
    number = name.rpartition("_")[2]
    return bool(form.text(f"name_{number}") or form.text(f"share_{number}"))


def _day(request: Request, id: str, form: Form | None = None) -> Response:
    kept = wearer_changes.find(request.app.state.records, id)
    return page(
        request,
        "_wearer_day.html",
        status=200 if form is None else 422,
        form=form,
        kept=kept,
        now=day_fields(kept.day),
        parts=range(1, PARTS + 1),
        socks=SOCKS,
        swellings=SWELLINGS,
    )


@router.get("/health")
def ask_health(request: Request, id: str) -> Response:
    """Show what was told of health, and the form that asks."""
    return _health(request, id)


@router.post("/health")
def keep_health(request: Request, id: str, form: Sent) -> Response:
    """Keep what was told of health, with consent alone."""
    records = request.app.state.records
    try:
        signs = read_signs_form({name: form.text(name) for name in form.values})
        if form.good:
            wearer_changes.keep_health(
                records,
                id,
                signs,
                consents=form.text("consents") == "yes",
                seen=seen_in(form),
                by=author(request),
            )
    except InputError as refused:
        for problem in refused.problems:
            place = "consents" if problem.place == "health" else problem.place
            form.wrong(place, problem.found, problem.wanted)
    except Conflict as conflict:
        return _health_twice(request, id, form, conflict)
    if not form.good:
        return _health(request, id, form)
    return see(f"/wearers/{id}")


def _health_twice(request: Request, id: str, form: Form, conflict: Conflict) -> Response:
    """Show both versions; where consent was taken back meanwhile, ask for it anew."""
    theirs = conflict.theirs
    if theirs is None:
        form.wrong("consents", "Consent was taken back meanwhile, and the answers deleted", "consent anew")
        return _health(request, id, form)
    labels = {**SIGN_WORDS, "pain_weeks": "weeks of pain"}
    return conflict_page(request, conflict, form, labels, f"/wearers/{id}", theirs=_as_form(theirs))


def _as_form(health: HealthAnswers | None) -> dict[str, str]:
    signs = health.signs if health is not None else {}
    weeks = signs.get("pain_weeks") or 0
    told = {name: "yes" for name in SIGN_WORDS if signs.get(name)}
    return told | ({"pain_weeks": f"{weeks:g}"} if weeks else {})


@router.post("/health/withdraw")
def withdraw(request: Request, id: str, form: Sent) -> Response:  # noqa: ARG001
    """Delete what was told of health, since consent was taken back."""
    wearer_changes.withdraw_consent(request.app.state.records, id)
    return see(f"/wearers/{id}")


def _health(request: Request, id: str, form: Form | None = None) -> Response:
    records = request.app.state.records
    kept = wearer_changes.find(records, id)
    health = wearer_changes.find_health(records, id)
    return page(
        request,
        "_wearer_health.html",
        status=200 if form is None else 422,
        form=form,
        kept=kept,
        health=health,
        told=_as_form(health),
        signs=SIGN_WORDS,
        urgent=sentence(Reason("urgent")),
    )
