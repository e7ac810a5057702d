"""Sentences bent out of shape: a fuzz of reading, with the time that each sentence takes.

    python -m tests.words.fuzzing 20000

Every sentence must end in a meaning or a MillimarkError. Sentences are read on a fixed
figure (asks) or alone (givens), and what is understood is written back.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from dataclasses import dataclass, field

from tests.words.course import COURSE
from tests.words.figures import FIGURES
from tests.words.phrasings import ASKS, GIVENS
from tests.words.strategies import GIVEN

from millimark.errors import MillimarkError
from millimark.words.grammar import vocabulary
from millimark.words.reading import kind_of, understand

SEEDS = tuple(
    dict.fromkeys(
        [s for before, group in (*GIVENS.values(), *ASKS.values()) for s in (*before, *group)]
        + [s for given, group in COURSE for s in (*given, *group)]
        + [s for given, _ in FIGURES for s in given]
    )
)
ODD = (
    "0", "-1", "1000000000000", "0.000000001", "8cm", "½", "(", ")", "(0,0)", ".", ",", ":", "=",
    "°", "360°", "180°", "0°", "cm", "km", "A", "AA", "ABA", "AB", "ZZ", "PQRSTUV", "A1", "A'", "é",
    "\u202e", "🐐", "''", '"', "_", "\\", "\t", "\n", "and", "or", "not", "either", "both", "that",
)  # fmt: skip


@dataclass
class Outcome:
    """What a fuzz found: how each sentence ended, the slowest, and any other exception."""

    ends: Counter[str] = field(default_factory=Counter)
    slowest: tuple[float, str] = (0.0, "")
    broken: list[tuple[str, str]] = field(default_factory=list)


def mutated(rng: random.Random) -> str:
    """A sentence of the corpus with one to six of its words bent, most often one."""
    words = rng.choice(SEEDS).split(" ")
    everything = list(vocabulary())
    for _ in range(rng.choice((1, 1, 1, 2, 3, 6))):
        i = rng.randrange(len(words) + 1)
        match rng.randrange(7):
            case 0 if len(words) > 1:
                del words[min(i, len(words) - 1)]
            case 1:
                words.insert(i, rng.choice(everything))
            case 2:
                words.insert(i, rng.choice(ODD))
            case 3:
                words[min(i, len(words) - 1)] = rng.choice((*ODD, rng.choice(everything)))
            case 4:
                j = rng.randrange(len(words))
                k = min(i, len(words) - 1)
                words[k], words[j] = words[j], words[k]
            case 5:
                other = rng.choice(SEEDS).split(" ")
                words[i:] = other[rng.randrange(len(other)) :]
            case _:
                words[i:i] = words[: rng.randint(0, 4)]
    return " ".join(words)


def read(sentence: str) -> str:
    """How reading a sentence ends: "understood" or the name of the error."""
    try:
        if kind_of(sentence) == "ask":
            understand(GIVEN, [sentence])
        else:
            understand([sentence], [])
    except MillimarkError as error:
        return type(error).__name__
    return "understood"


def fuzz(count: int, seed: int) -> Outcome:
    """Read ``count`` bent sentences."""
    rng = random.Random(seed)
    out = Outcome()
    understand(GIVEN, [])
    for _ in range(count):
        sentence = mutated(rng)
        start = time.process_time()
        try:
            out.ends[read(sentence)] += 1
        except Exception as error:  # noqa: BLE001  a fuzz reports whatever it meets
            out.broken.append((sentence, repr(error)))
        out.slowest = max(out.slowest, (time.process_time() - start, sentence))
    return out


if __name__ == "__main__":
    found = fuzz(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    print(dict(found.ends))
    print(f"slowest {1000 * found.slowest[0]:.1f} ms: {found.slowest[1]!r}")
    for sentence, error in found.broken[:20]:
        print(f"{error} in {sentence!r}")
    print(f"{len(found.broken)} other exceptions")
