"""What to order, and letters to makers who say nothing, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from heelball.bench.api.admission import Kept, author
from heelball.bench.api.asked import LetterMove, NewLetter, Question
from heelball.bench.api.routes import routes
from heelball.bench.api.told import answer_of, model_of, told
from heelball.bench.ranking import ranking_of
from heelball.records.values import Letter
from heelball.work import letters
from heelball.work.day_control import Moment
from heelball.work.first_lasts import first_lasts
from heelball.work.order_in_full import answer_record

router = routes("choice")


Letters = answer_of("Letters", "All letters, the longest waiting first.", letters=list[Letter])


@router.post("/wearers/{wearer_id}/choice")
def choose(records: Kept, request: Request, wearer_id: str, asked: Question) -> dict[str, Any]:
    """Rank all lasts and answer for those that stand first: `heelball/choice/1`."""
    today = request.app.state.settings.clock().date()
    ranking = ranking_of(request)
    moment = None if asked.moment is None else Moment(**asked.moment.model_dump())
    ids = first_lasts(records, ranking.process, wearer_id, asked.listed, today=today, moment=moment)
    return answer_record(records, ranking.holdings, wearer_id, ids, today=today, moment=moment)


@router.get("/letters", response_model=Letters)
def written(records: Kept) -> dict[str, Any]:
    """Return all letters."""
    return {"letters": [told(one) for one in letters.list_letters(records)]}


@router.post("/letters", status_code=201, response_model=model_of(Letter))
def draft(records: Kept, request: Request, asked: NewLetter) -> dict[str, Any]:
    """Draft the question to a maker about some of its lasts."""
    by = author(request, asked.fitter)
    return told(letters.draft_question(records, asked.maker_id, asked.last_ids, by))


@router.post("/letters/{letter_id}/steps", response_model=model_of(Letter))
def move(records: Kept, request: Request, letter_id: str, asked: LetterMove) -> dict[str, Any]:
    """Change a draft's text, mark a letter as sent or answered on a day, or drop it."""
    by = author(request, asked.fitter)
    typed = {
        name: value
        for name, value in asked.model_dump(exclude={"step", "seen", "fitter"}, mode="json").items()
        if value is not None
    }
    if asked.step == "edited":
        return told(letters.edit_letter(records, letter_id, asked.seen, typed, by))
    return told(letters.move_letter(records, letter_id, asked.seen, asked.step, typed, by))
