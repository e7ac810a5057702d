"""The one tree of errors.

    MillimarkError                 anything a user can put right; carries a hint
    ├── WordsError                 a sentence that is not understood; points at a column
    ├── GivensError                givens that contradict each other or geometry
    ├── NoAnswerError              an ask that this figure cannot answer
    ├── PlanError                  a working that no instrument or page allows
    ├── PaperError                 a paper file that is wrong; names file, line and column
    ├── FitError                   an answer or figure that the page cannot hold
    ├── SourceError                a file that cannot be read: missing, empty, encrypted …
    └── RecordsError               a record that is not there, or that the rules refuse

An expected failure of *measurement* (a page whose marks are missing, a line that is
not there) is not an error but a typed result with a reason: see ``scan.reading``.
"""

from __future__ import annotations


class MillimarkError(Exception):
    """Root of all errors that a user sees as one clear message, never as a traceback.

    ``message`` names the thing, its value and the rule; ``hint`` says what to do next.
    """

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.message} {self.hint}".rstrip()


class WordsError(MillimarkError):
    """A sentence that is not understood.

    ``column`` is the 1-based column of the first word that could not be read; ``length``
    its number of characters; ``expected`` what could have stood there, in plain words;
    ``nearest`` the nearest sentence that works, or None.
    """

    def __init__(
        self,
        message: str,
        hint: str = "",
        *,
        sentence: str,
        column: int,
        length: int = 1,
        expected: tuple[str, ...] = (),
        nearest: str | None = None,
    ) -> None:
        super().__init__(message, hint)
        self.sentence = sentence
        self.column = column
        self.length = length
        self.expected = expected
        self.nearest = nearest


class GivensError(MillimarkError):
    """Givens that contradict each other or geometry (sides 2, 3 and 9)."""


class NoAnswerError(MillimarkError):
    """An ask that cannot be answered for this figure."""


class PlanError(MillimarkError):
    """No working exists with these instruments on this page."""


class PaperError(MillimarkError):
    """A paper file that is wrong. ``line`` and ``column`` are 1-based, or None."""

    def __init__(
        self,
        message: str,
        hint: str = "",
        *,
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
    ) -> None:
        super().__init__(message, hint)
        self.file = file
        self.line = line
        self.column = column

    def __str__(self) -> str:
        place = ":".join(str(p) for p in (self.file, self.line, self.column) if p is not None)
        return f"{place}: {super().__str__()}" if place else super().__str__()


class FitError(MillimarkError):
    """A figure, answer or working that the page cannot hold with its margin."""


class SourceError(MillimarkError):
    """A file that cannot be read: missing, empty, truncated, encrypted, of a wrong kind."""


class RecordsError(MillimarkError):
    """A record that is not there, that the rules refuse, or a database that cannot be used."""
