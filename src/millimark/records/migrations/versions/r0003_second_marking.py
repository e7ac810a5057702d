"""Second marking in rounds: whose sheets a round holds, and what stood when a blind marker decided.

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "blind_rounds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("printing_id", sa.Integer(), nullable=False),
        sa.Column("begun_by", sa.String(length=120), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["printing_id"], ["printings.id"], name="fk_blind_rounds_printing_id",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_blind_rounds"),
    )  # fmt: skip
    op.create_index("ix_blind_rounds_printing_id", "blind_rounds", ["printing_id"], unique=False)
    op.create_table(
        "blind_sheets",
        sa.Column("round_id", sa.Integer(), nullable=False),
        sa.Column("script_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["round_id"], ["blind_rounds.id"], name="fk_blind_sheets_round_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["script_id"], ["scripts.id"], name="fk_blind_sheets_script_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("round_id", "script_id", name="pk_blind_sheets"),
    )
    op.create_index("ix_blind_sheets_script_id", "blind_sheets", ["script_id"], unique=False)
    with op.batch_alter_table("second_opinions") as opinions:
        # What stood when an older opinion was given is not known: these stay empty.
        opinions.add_column(sa.Column("stood", sa.String(12), nullable=True))
        opinions.add_column(sa.Column("seen", sa.Integer(), nullable=True))
