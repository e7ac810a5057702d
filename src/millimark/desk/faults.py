"""What is wrong with a question, as the form shows it: at the word, with a mend to click."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from millimark.errors import MillimarkError, WordsError


@dataclass(frozen=True)
class Fault:
    """What is wrong. ``before``, ``word``, ``after``: the sentence parted at the word; "" if no
    sentence is to blame. ``instead``: what was probably meant by the word; ``fix``: a whole
    sentence that works in its place, with other letters; None where there is none to offer.
    ``place`` is the question that is wrong where it is another than the one shown."""

    message: str
    hint: str
    before: str = ""
    word: str = ""
    after: str = ""
    expected: tuple[str, ...] = ()
    fix: str | None = None
    instead: str | None = None
    place: int | None = None

    @property
    def sentence(self) -> str:
        """The whole sentence."""
        return self.before + self.word + self.after

    @property
    def mended(self) -> str:
        """The sentence with what was probably meant."""
        return self.before + (self.instead or self.word) + self.after


def fault_of(error: MillimarkError, place: int | None = None) -> Fault:
    """An error as the form shows it."""
    words = error if isinstance(error, WordsError) else error.__cause__
    if not isinstance(words, WordsError):
        return Fault(error.message, error.hint, place=place)
    start = words.column - 1
    end = start + max(1, words.length)
    could = [word.strip("'") for word in words.expected]
    near = get_close_matches(words.sentence[start:end], could, 1, cutoff=0.6)
    return Fault(
        error.message.partition(", at column ")[0],
        (words.hint or error.hint).partition(" A sentence that works: ")[0],
        words.sentence[:start],
        words.sentence[start:end],
        words.sentence[end:],
        words.expected[:8],
        words.nearest if words.nearest != words.sentence else None,
        near[0] if near else None,
        place,
    )
