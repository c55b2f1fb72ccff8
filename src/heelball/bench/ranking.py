"""The processes that rank and answer beside the bench, as long as it runs."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from threading import Lock
from typing import Final

from attrs import field, frozen
from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request

from heelball.work.held import Holdings
from heelball.work.order_answer import AnswerProcess
from heelball.work.ranking_process import RankingProcess

#: They start so long after the bench: the first page does not wait for them [s].
_AFTER: Final = 0.5

_making: Final = Lock()


@frozen(eq=False)
class Ranking:
    """What the order page works with besides the records."""

    process: RankingProcess
    answering: AnswerProcess
    holdings: Holdings = field(factory=Holdings)


@asynccontextmanager
async def ranking_lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Start the processes with the bench, and end them with the bench."""
    ranking = _ranking(app)

    def start() -> None:
        for process in (ranking.answering, ranking.process):
            loop.run_in_executor(None, process.start)

    loop = asyncio.get_running_loop()
    starting = loop.call_later(_AFTER, start)
    try:
        yield
    finally:
        starting.cancel()
        for process in (ranking.answering, ranking.process):
            await run_in_threadpool(process.stop)


def ranking_of(request: Request) -> Ranking:
    """Return what ranks lasts at this bench."""
    return _ranking(request.app)


def _ranking(app: FastAPI) -> Ranking:
    with _making:
        found = getattr(app.state, "ranking", None)
        if not isinstance(found, Ranking):
            records, clock = app.state.records, app.state.settings.clock
            found = Ranking(RankingProcess(records, clock), AnswerProcess(records, clock))
            app.state.ranking = found
        return found
