"""Which schema records have, and the way from an older one to this program's."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, inspect, text

from heelball.errors import RecordsError

#: The schema of `heelball.records.schema`: the last of the revisions in `FOLDER`.
SCHEMA: Final = "0002"
FOLDER: Final = Path(__file__).parent / "migrations"

_NUMBER: Final = re.compile(r"\d{4}")


def kept_schema(connection: Connection, place: str) -> str | None:
    """Return the number of the schema that the records have; None where nothing is kept yet.

    Raises
    ------
    RecordsError
        Where what is kept there is not Heelball's.
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if "alembic_version" in tables:
        numbers = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
        if len(numbers) == 1 and _NUMBER.fullmatch(numbers[0]):
            return str(numbers[0])
    raise RecordsError(f"What is kept at {place} is not Heelball's.", "Name another file or database.")


def is_older(number: str | None, place: str) -> bool:
    """Whether records of schema `number`, or none yet, must be brought to this program's.

    Raises
    ------
    RecordsError
        Where `number` is higher than this program's.
    """
    if number is not None and number > SCHEMA:
        raise RecordsError(
            f"The records at {place} have schema {number}; this Heelball knows schemas up to {SCHEMA}.",
            "Open them with the newer Heelball that wrote them last.",
        )
    return number != SCHEMA


def upgrade(connection: Connection) -> None:
    """Bring the records to this program's schema, inside the transaction that `connection` has begun."""
    # Only here: most openings find the schema as it should be and need none of it.
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory(str(FOLDER))

    def steps(kept: Any, _context: Any) -> Any:
        return scripts._upgrade_revs("head", kept)

    with EnvironmentContext(Config(), scripts, fn=steps) as environment:
        environment.configure(connection=connection, transactional_ddl=True)
        environment.run_migrations()
