"""Bringing a database to the present revision, at opening, in one transaction."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine, text

from millimark.errors import RecordsError

_PLACE = Path(__file__).parent / "migrations"
_LOCK = 0x4D696C6C
"""Key of the advisory lock under which PostgreSQL is migrated: one process at a time."""


def head() -> str:
    """The present revision."""
    return str(ScriptDirectory.from_config(_config()).get_current_head())


def known_revisions() -> set[str]:
    """Every revision that this release can bring up to date."""
    return {s.revision for s in ScriptDirectory.from_config(_config()).walk_revisions()}


def revision_of(connection: Connection) -> str | None:
    """The revision that a database is at; None for one without tables."""
    return MigrationContext.configure(connection).get_current_revision()


def upgrade(engine: Engine, to: str = "head") -> None:
    """Bring the database to revision ``to``; all or nothing, and every row is kept.

    RecordsError if the database belongs to a newer release.
    """
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            # A table that is rebuilt is dropped once: that must not delete what hangs from it.
            # Within a transaction SQLite would ignore this, so it goes past SQLAlchemy.
            driver = connection.connection.driver_connection
            if driver is not None:
                driver.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
            _upgrade(connection, to)
        # This connection is not used again with foreign keys off.
        connection.invalidate()


def _upgrade(connection: Connection, to: str) -> None:
    config = _config()
    present = revision_of(connection)
    if present is not None and present not in known_revisions():
        raise RecordsError(
            f"The database is of a newer release of Millimark (revision {present!r}).",
            "Use that release, or restore a backup made with this one into another folder.",
        )
    if present is None or to != present:
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, to)
        except CommandError as error:
            raise RecordsError(f"The database cannot be brought up to date: {error}.") from error


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(_PLACE).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config
