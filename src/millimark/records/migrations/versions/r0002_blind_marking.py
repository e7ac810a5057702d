"""Blind marking: what each marker decided alone, and what the machine decided at first.

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "second_opinions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mark_id", sa.Integer(), nullable=False),
        sa.Column("marker", sa.String(length=120), nullable=False),
        sa.Column("decision", sa.String(length=12), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "decision IN ('awarded', 'withheld')", name="ck_second_opinions_decision"
        ),
        sa.ForeignKeyConstraint(
            ["mark_id"], ["marks.id"], name="fk_second_opinions_mark_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_second_opinions"),
        sa.UniqueConstraint("mark_id", "marker", name="uq_second_opinions_mark_id_marker"),
    )
    with op.batch_alter_table("marks") as marks:
        marks.add_column(sa.Column("machine", sa.String(12), nullable=True))
    # Before this revision the machine's decision was only to be seen in a mark's first change.
    op.execute(
        "UPDATE marks SET machine = COALESCE((SELECT c.before FROM mark_changes AS c "
        "WHERE c.mark_id = marks.id ORDER BY c.id LIMIT 1), decision)"
    )
    with op.batch_alter_table("marks") as marks:
        marks.alter_column("machine", existing_type=sa.String(12), nullable=False)
