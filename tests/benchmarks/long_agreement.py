"""The engine and the judge against one another for as long as one likes.

    python tests/benchmarks/long_agreement.py [--rule-bases 300] [--cases 200] [--seed 1]

Every rule base stays in memory, since durable_rules never frees one; some thousand are no trouble.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "reasoning"))


def main() -> int:
    """Run the comparison; 1 where the two disagree."""
    from rule_bases import random_case, random_rules, reasoners_for, think

    from advisor.reasoning.agreement import ReasonersDisagree

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--rule-bases", type=int, default=300)
    parser.add_argument("--cases", type=int, default=200, help="for each rule base")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    started = time.perf_counter()
    firings = rules_seen = 0
    for seed in range(asked.seed, asked.seed + asked.rule_bases):
        rng = random.Random(-seed)
        rules = random_rules(seed)
        rules_seen += len(rules)
        reasoners = reasoners_for(rules, use_engine=True)
        for number in range(asked.cases):
            case = random_case(rng)
            try:
                firings += sum(len(found.possible) for found in think(reasoners, case))
            except ReasonersDisagree as problem:
                print(f"rule base {seed}, case {number}: {problem}\n{case}")
                return 1
    took = time.perf_counter() - started
    cases = asked.rule_bases * asked.cases
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{cases} cases on {asked.rule_bases} rule bases of {rules_seen} rules, "
        f"{firings} firings, none disputed: {cases / took:.0f} cases/s, {memory:.0f} MiB"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
