"""What Alembic runs: the revisions on the connection that ``migrating`` hands over."""

from __future__ import annotations

from alembic import context

from millimark.records.models import TABLES


def _run() -> None:
    connection = context.config.attributes["connection"]
    context.configure(
        connection=connection,
        target_metadata=TABLES[0].metadata,
        render_as_batch=connection.dialect.name == "sqlite",
    )
    with context.begin_transaction():
        context.run_migrations()


_run()
