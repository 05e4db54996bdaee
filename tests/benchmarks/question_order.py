"""How many questions until verdict and method are final: most decisive first, and in file order.

    python -m tests.benchmarks.question_order

Every worked case is asked anew from nothing, both ways. A report, run by hand; some ten minutes.
"""

from __future__ import annotations

import statistics

from advisor.advice.rulebook import load_rulebook
from advisor.advice.scenarios import scenario_cases
from tests.advice.test_doubt import asked, by_decisiveness, by_file


def main() -> None:
    """Print both numbers of each worked case, and their means."""
    rulebook = load_rulebook()
    counts: list[tuple[int, int]] = []
    for name, case in scenario_cases(rulebook):
        counts.append((asked(case, rulebook, by_decisiveness), asked(case, rulebook, by_file)))
        print(f"{counts[-1][0]:4d} {counts[-1][1]:4d}  {name}", flush=True)
    ours, file = (statistics.mean(column) for column in zip(*counts, strict=True))
    print(f"{ours:4.1f} {file:4.1f}  on average; {ours / file:.0%}")


if __name__ == "__main__":
    main()
