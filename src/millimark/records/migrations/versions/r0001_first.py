"""The first tables: classes, papers, printings, uploads, pages, scripts, marks and changes.

Revision ID: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    _classes_and_papers()
    _printings_and_uploads()
    _marks()


def _classes_and_papers() -> None:
    op.create_table(
        "classes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("sourced_id", sa.String(length=255), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_classes"),
        sa.UniqueConstraint("name", name="uq_classes_name"),
    )
    op.create_table(
        "papers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("at", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_papers"),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_settings"),
    )
    op.create_table(
        "paper_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("paper_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("after", sa.Integer(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("saved_by", sa.String(length=120), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["paper_id"], ["papers.id"], name="fk_paper_versions_paper_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_paper_versions"),
        sa.UniqueConstraint("paper_id", "number", name="uq_paper_versions_paper_id_number"),
    )
    op.create_table(
        "pupils",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=True),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("sourced_id", sa.String(length=255), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["classes.id"], name="fk_pupils_class_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_pupils"),
        sa.UniqueConstraint("class_id", "number", name="uq_pupils_class_id_number"),
    )


def _printings_and_uploads() -> None:
    op.create_table(
        "printings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version_id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.Integer(), nullable=True),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("sheets", sa.Integer(), nullable=False),
        sa.Column("paper_code", sa.String(length=40), nullable=False),
        sa.Column("folder", sa.String(length=40), nullable=False),
        sa.Column("layout", sa.JSON(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["classes.id"], name="fk_printings_class_id", ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["version_id"], ["paper_versions.id"], name="fk_printings_version_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_printings"),
        sa.UniqueConstraint("folder", name="uq_printings_folder"),
    )
    op.create_index("ix_printings_version_id", "printings", ["version_id"], unique=False)
    op.create_table(
        "scripts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("printing_id", sa.Integer(), nullable=False),
        sa.Column("pupil_id", sa.Integer(), nullable=True),
        sa.Column("sheet", sa.String(length=12), nullable=False),
        sa.ForeignKeyConstraint(
            ["printing_id"], ["printings.id"], name="fk_scripts_printing_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["pupil_id"], ["pupils.id"], name="fk_scripts_pupil_id", ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_scripts"),
        sa.UniqueConstraint("printing_id", "sheet", name="uq_scripts_printing_id_sheet"),
    )
    op.create_index("ix_scripts_pupil_id", "scripts", ["pupil_id"], unique=False)
    op.create_table(
        "uploads",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("printing_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=255), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("stored", sa.Boolean(), nullable=False),
        sa.Column("print_scale", sa.Float(), nullable=True),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("pages", sa.Integer(), nullable=True),
        sa.Column("claimed_by", sa.String(length=120), nullable=True),
        sa.Column("beat_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("accepted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting', 'working', 'done', 'failed')", name="ck_uploads_state"
        ),
        sa.ForeignKeyConstraint(
            ["printing_id"], ["printings.id"], name="fk_uploads_printing_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_uploads"),
        sa.UniqueConstraint("printing_id", "sha256", name="uq_uploads_printing_id_sha256"),
    )
    op.create_index("ix_uploads_sha256", "uploads", ["sha256"], unique=False)
    op.create_index("ix_uploads_state", "uploads", ["state"], unique=False)
    op.create_table(
        "pages",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("upload_id", sa.Integer(), nullable=False),
        sa.Column("script_id", sa.Integer(), nullable=True),
        sa.Column("source_page", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("sheet", sa.String(length=12), nullable=True),
        sa.Column("page", sa.Integer(), nullable=True),
        sa.Column("print_scale", sa.Float(), nullable=True),
        sa.Column("print_scale_source", sa.String(length=12), nullable=True),
        sa.Column("registration_mm", sa.Float(), nullable=True),
        sa.Column("spot_x", sa.Float(), nullable=True),
        sa.Column("spot_y", sa.Float(), nullable=True),
        sa.Column("questions", sa.JSON(), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=True),
        sa.Column("overlay", sa.Text(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=True),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("state IN ('read', 'unread', 'twice')", name="ck_pages_state"),
        sa.ForeignKeyConstraint(
            ["script_id"], ["scripts.id"], name="fk_pages_script_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["upload_id"], ["uploads.id"], name="fk_pages_upload_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_pages"),
        sa.UniqueConstraint("upload_id", "source_page", name="uq_pages_upload_id_source_page"),
    )
    op.create_index(
        "uq_pages_counting",
        "pages",
        ["script_id", "page"],
        unique=True,
        sqlite_where=sa.text("state = 'read'"),
        postgresql_where=sa.text("state = 'read'"),
    )
    op.create_index("ix_pages_script_id", "pages", ["script_id"], unique=False)


def _marks() -> None:
    op.create_table(
        "answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("script_id", sa.Integer(), nullable=False),
        sa.Column("page_id", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["page_id"], ["pages.id"], name="fk_answers_page_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["script_id"], ["scripts.id"], name="fk_answers_script_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_answers"),
        sa.UniqueConstraint("script_id", "question", name="uq_answers_script_id_question"),
    )
    op.create_index("ix_answers_page_id", "answers", ["page_id"], unique=False)
    op.create_table(
        "marks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("answer_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=12), nullable=False),
        sa.Column("criterion", sa.Text(), nullable=False),
        sa.Column("decision", sa.String(length=12), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("follow_through", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "decision IN ('awarded', 'withheld', 'teacher')", name="ck_marks_decision"
        ),
        sa.ForeignKeyConstraint(
            ["answer_id"], ["answers.id"], name="fk_marks_answer_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_marks"),
        sa.UniqueConstraint("answer_id", "position", name="uq_marks_answer_id_position"),
    )
    op.create_index("ix_marks_decision", "marks", ["decision"], unique=False)
    op.create_table(
        "mark_changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mark_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("before", sa.String(length=12), nullable=False),
        sa.Column("after", sa.String(length=12), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["mark_id"], ["marks.id"], name="fk_mark_changes_mark_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_mark_changes"),
        sa.UniqueConstraint("mark_id", "version", name="uq_mark_changes_mark_id_version"),
    )
