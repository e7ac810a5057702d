"""The desk's password and the key that signs its cookies, both kept beside the records."""

from __future__ import annotations

import hashlib
import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError

from millimark.desk.waiting import Caller, Waits
from millimark.errors import RecordsError

LEAST_CHARACTERS = 10
MOST_CHARACTERS = 256
_CHECKS_AT_ONCE = 2
"""An argon2 check needs 64 MiB."""
_HASH, _KEY = "desk-password", "desk-key"


def keep_password(folder: Path, password: str) -> None:
    """Keep the password's argon2 hash; RecordsError if it is too short or too long."""
    if not LEAST_CHARACTERS <= len(password) <= MOST_CHARACTERS:
        raise RecordsError(
            f"The password has {len(password)} characters.",
            f"Choose one of {LEAST_CHARACTERS} to {MOST_CHARACTERS}.",
        )
    _write(folder / _HASH, PasswordHasher().hash(password))


def door_of(folder: Path) -> Door | None:
    """The door to a kept password, None where none was set."""
    file = folder / _HASH
    return Door(file.read_text("ascii").strip()) if file.is_file() else None


def signing_key(folder: Path) -> str:
    """The key that signs cookies; made once."""
    file = folder / _KEY
    if not file.is_file():
        _write(file, secrets.token_urlsafe(48))
    return file.read_text("ascii").strip()


def _write(file: Path, text: str) -> None:
    part = file.with_name(f".{file.name}-{secrets.token_hex(4)}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as out:
        out.write(text + "\n")
    part.replace(file)


@dataclass(eq=False)
class Door:
    """Lets in who knows the password; who gave wrong ones waits (`waiting`)."""

    hashed: str
    waits: Waits = field(default_factory=Waits)
    _hasher: PasswordHasher = field(default_factory=PasswordHasher)
    _room: BoundedSemaphore = field(default_factory=lambda: BoundedSemaphore(_CHECKS_AT_ONCE))

    @property
    def badge(self) -> str:
        """What a session carries that came through this door: it changes with the password."""
        return hashlib.sha256(self.hashed.encode()).hexdigest()[:24]

    def opens(self, password: str, caller: Caller) -> bool:
        """Whether this is the password. Never while the caller has to wait."""
        if len(password) > MOST_CHARACTERS or not self.waits.begin(caller):
            return False
        try:
            with self._room:
                self._hasher.verify(self.hashed, password)
        except (VerifyMismatchError, VerificationError, InvalidHashError):
            return False
        self.waits.succeed(caller)
        return True
