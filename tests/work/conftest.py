"""Records to test with, on both databases."""

from tests.records_fixture import (
    author,
    empty_file,
    now,
    postgresql,
    postgresql_database,
    postgresql_server,
    records,
)

__all__ = ["author", "empty_file", "now", "postgresql", "postgresql_database", "postgresql_server", "records"]
