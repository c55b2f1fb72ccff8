"""What a photograph of a drawn sheet told, and which readings are out of it."""

from __future__ import annotations

from typing import Final

import sqlalchemy as sa
from alembic import op

revision: Final = "0002"
down_revision: Final = "0001"


def upgrade() -> None:
    """Make the table of sheets, and let readings name one."""
    op.create_table(
        "sheets",
        sa.Column("id", sa.String(length=20), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("wearer_id", sa.String(length=20), nullable=False),
        sa.Column("sitting_id", sa.String(length=20), nullable=False),
        sa.Column("foot", sa.String(length=10), nullable=False),
        sa.Column("line", sa.JSON(), nullable=False),
        sa.Column("agreed", sa.Boolean(), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=True),
        sa.Column("made_at", sa.String(length=40), nullable=False),
        sa.CheckConstraint("picture IS NULL OR agreed", name="ck_sheets_agreed"),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sittings.id"], name="fk_sheets_sitting_id_sittings", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["wearer_id"], ["wearers.id"], name="fk_sheets_wearer_id_wearers", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_sheets"),
    )
    op.create_index("ix_sheets_sitting_id", "sheets", ["sitting_id"], unique=False)
    op.create_index("ix_sheets_wearer_id", "sheets", ["wearer_id"], unique=False)
    # By hand: SQLite adds a column that names a row only where the key stands with the column itself.
    op.execute(
        "ALTER TABLE readings ADD COLUMN sheet_id VARCHAR(20) "
        "CONSTRAINT fk_readings_sheet_id_sheets REFERENCES sheets (id) ON DELETE CASCADE"
    )
    op.create_index("ix_readings_sheet_id", "readings", ["sheet_id"], unique=False)
