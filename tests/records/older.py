"""Records as an older program left them, for tests of what becomes of them."""

from __future__ import annotations

from typing import Any

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, select

from heelball.records import migrating, schema
from heelball.records.found import rows_of
from heelball.records.store import Records


def rows_before_sheets(records: Records) -> dict[str, list[dict[str, Any]]]:
    """Return what would be kept if nobody had ever kept a sheet."""
    with records.reading() as conn:
        rows = {table.name: rows_of(conn, select(table)) for table in schema.metadata.sorted_tables}
    drawn = {row["id"] for row in rows["readings"] if row["sheet_id"] is not None}
    drawn |= {row["id"] for row in rows.pop("sheets")}
    rows["readings"] = [row for row in rows["readings"] if row["id"] not in drawn]
    rows["changes"] = [row for row in rows["changes"] if row["row_id"] not in drawn]
    for row in rows["readings"]:
        del row["sheet_id"]
    for row in rows["changes"]:
        for side in (row["before"], row["after"]):
            if side is not None and row["table_name"] == "readings":
                del side["sheet_id"]
    return rows


def make_older(engine: Engine, rows: dict[str, list[dict[str, Any]]]) -> None:
    """Make records of the first schema that hold some rows."""
    scripts = ScriptDirectory(str(migrating.FOLDER))

    def steps(kept: Any, _context: Any) -> Any:
        return scripts._upgrade_revs("0001", kept)

    with engine.begin() as conn:
        with EnvironmentContext(Config(), scripts, fn=steps) as environment:
            environment.configure(connection=conn, transactional_ddl=True)
            environment.run_migrations()
        there = inspect(conn)
        assert not there.has_table("sheets")
        assert "sheet_id" not in {column["name"] for column in there.get_columns("readings")}
        for table in schema.metadata.sorted_tables:
            # Such as name rows of their own table after those that they name.
            for row in rows.get(table.name, ()):
                conn.execute(table.insert().values(row))
