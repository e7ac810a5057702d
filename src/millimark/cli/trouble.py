"""Errors as a user reads them: the thing, the rule, what to do, the word in question."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from millimark.errors import MillimarkError, PaperError, WordsError

EXPECTED_SHOWN = 8
"""How many of the words that could stand at a column are listed."""
SHOWN_BEFORE, SHOWN_AFTER = 70, 50
"""Characters of a long sentence that are shown on the left and the right of the word."""


def say_trouble(error: MillimarkError) -> None:
    """Print one error to standard error."""
    print("\n".join(printable(line) for line in lines_of(error)), file=sys.stderr)


def lines_of(error: MillimarkError) -> Iterator[str]:
    """The lines of an error's message; the first is the message itself."""
    place = place_of(error)
    yield f"{place}: {error.message}" if place else error.message
    words = error if isinstance(error, WordsError) else error.__cause__
    if isinstance(words, WordsError):
        yield from pointing_lines(words)
    hint = error.hint or (words.hint if isinstance(words, WordsError) else "")
    if hint:
        yield f"  {hint}"


def place_of(error: MillimarkError) -> str:
    """File, line and column of a paper's error, as far as they are known."""
    if not isinstance(error, PaperError):
        return ""
    return ":".join(str(p) for p in (error.file, error.line, error.column) if p is not None)


def pointing_lines(error: WordsError) -> Iterator[str]:
    """The sentence, a caret under the word, what could stand there, a sentence that works."""
    start = max(0, error.column - 1 - SHOWN_BEFORE)
    shown = error.sentence[start : error.column - 1 + SHOWN_AFTER]
    before = "... " if start else ""
    under = len(before) + error.column - 1 - start
    yield f"    {before}{printable(shown)}"
    yield "    " + " " * under + "^" * min(max(1, error.length), SHOWN_AFTER)
    if error.hint:
        return  # the sentence's own hint says what could stand there
    if error.expected:
        words = error.expected[:EXPECTED_SHOWN]
        more = " ..." if len(error.expected) > EXPECTED_SHOWN else ""
        yield f"  Here could stand: {', '.join(words)}{more}"
    if error.nearest:
        yield f"  A sentence that works: {error.nearest}"


def printable(text: str) -> str:
    """The text with a visible stand-in for each character that would steer a terminal."""
    return "".join(c if c.isprintable() else "\ufffd" for c in text)


def say_os_error(error: OSError) -> None:
    """Print what the system refused, and the file's name, to standard error."""
    name = error.filename if error.filename is not None else "a file"
    reason = (error.strerror or type(error).__name__).lower()
    print(f"'{name}' could not be used: {reason}.", file=sys.stderr)
    print("  Check the name, the permissions and the free space.", file=sys.stderr)


def say_unexpected(error: Exception) -> None:
    """Keep an error of ours in a file and print where that is, to standard error."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="millimark-fault-", suffix=".txt", delete=False, encoding="utf-8"
    ) as kept:
        # The command's arguments are left out on purpose: they can name pupils' files.
        kept.writelines(traceback.format_exception(error))
    print("Something went wrong that is a fault of Millimark, not of your files.", file=sys.stderr)
    print(f"  Details: {kept.name}", file=sys.stderr)
    print("  Please read it for names of pupils before you send it to anyone.", file=sys.stderr)
