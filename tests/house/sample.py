"""Sentences drawn at random from all that people see, to read aloud: `python -m tests.house.sample [SEED]`."""

from __future__ import annotations

import random
import sys

from tests.house.sentences import length, marked, sentences

MANY = 40
SHORTEST = 4
"""Below this many words it is a label, of which any voice could have said it."""


def drawn(seed: int, many: int = MANY) -> list[str]:
    """So many different sentences, each with its place; the same ones for the same seed."""
    by_words = {words: said for said in marked() for words in sentences(said) if length(words) >= SHORTEST}
    some = random.Random(seed).sample(sorted(by_words), many)  # noqa: S311 -- a sample to read, no secret
    return [f"{by_words[words].path}:{by_words[words].line}: {words}" for words in some]


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:]]
    seed = numbers[0] if numbers else random.SystemRandom().randrange(10_000)
    sys.stdout.write("\n".join([f"seed {seed}", *drawn(seed), ""]))
