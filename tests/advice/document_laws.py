"""Laws that hold of every advice as it is printed, whatever is answered: ``python -m tests.advice.document_laws``.

Each law looks at the words and figures that a person reads. A breach is told as a sentence.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterator
from multiprocessing import Pool

from advisor.advice.documents.advice import Advice
from tests.advice import laws_of_masses, laws_of_steps
from tests.advice.printed import printed

LAWS: tuple[Callable[[Advice], Iterator[str]], ...] = (*laws_of_steps.LAWS, *laws_of_masses.LAWS)


def breaches(seed: int, also: tuple[Callable[[Advice], Iterator[str]], ...] = ()) -> list[str]:
    """What one drawn batch breaks of these laws and of others, each with the law's name."""
    advice = printed(seed)
    return [f"{law.__name__}: {said}" for law in (*LAWS, *also) for said in law(advice)]


def main() -> None:
    """Look at many drawn batches and tell what they break."""
    look_at_many(breaches, "batches", 10_000)


def look_at_many(breaches: Callable[[int], list[str]], what: str, many: int) -> None:
    """Print how often each law is broken over as many as the command line asks for, and where first.

    Args:
        breaches: What one breaks, by its number.
        what: What they are called, which names the option too.
        many: How many unless it is said otherwise.
    """
    parser = argparse.ArgumentParser()
    parser.add_argument(f"--{what}", type=int, default=many, dest="many")
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    with Pool(given.processes) as pool:
        broken = pool.map(breaches, range(given.many), chunksize=25)
    told = Counter(said.split(":")[0] for found in broken for said in found)
    print(f"{len(broken)} {what}, {sum(map(bool, broken))} with a breach")
    for law, times in told.most_common():
        where = [seed for seed, found in enumerate(broken) if any(said.startswith(law) for said in found)]
        first = next(said for said in broken[where[0]] if said.startswith(law))
        print(f"  {law}: {times}; numbers {', '.join(map(str, where[:8]))}: {first}")


if __name__ == "__main__":
    main()
