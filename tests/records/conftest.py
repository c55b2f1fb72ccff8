"""Records to test with, on both databases."""

from tests.records_fixture import (
    author,
    now,
    postgresql,
    postgresql_address,
    postgresql_server,
    records,
)

__all__ = ["author", "now", "postgresql", "postgresql_address", "postgresql_server", "records"]
