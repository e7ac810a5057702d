"""What people did about pages that could not be read.

Revision ID: 0004
Revises: 0003
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "page_steps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("upload_id", sa.Integer(), nullable=False),
        sa.Column("source_page", sa.Integer(), nullable=False),
        sa.Column("act", sa.String(length=12), nullable=False),
        sa.Column("told", sa.Text(), nullable=True),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("sheet", sa.String(length=12), nullable=True),
        sa.Column("page", sa.Integer(), nullable=True),
        sa.Column("retake_id", sa.Integer(), nullable=True),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "act IN ('turned', 'named', 'retaken', 'aside', 'back')", name="ck_page_steps_act"
        ),
        sa.ForeignKeyConstraint(
            ["upload_id"], ["uploads.id"], name="fk_page_steps_upload_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["retake_id"], ["uploads.id"], name="fk_page_steps_retake_id", ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_page_steps"),
    )
    op.create_index("ix_page_steps_upload_id", "page_steps", ["upload_id"], unique=False)
    op.create_index("ix_page_steps_retake_id", "page_steps", ["retake_id"], unique=False)
