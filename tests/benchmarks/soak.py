"""Many cases advised one after another in one process: the memory has to stay where it is.

    python tests/benchmarks/soak.py [--cases 20000] [--only-think] [--seed 1] [CASE.yaml ...]

The cases are those given, else the worked scenarios, each with some answers left out, made unknown
or changed for another choice. Both reasoners work every one of them out. A case that gets no advice
because answers contradict each other in a way that the rules do not foresee is counted and told.
"""

from __future__ import annotations

import argparse
import gc
import random
import sys
import threading
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.advice.rulebook import Rulebook
    from advisor.case.model import Answer, Case


def resident_mebibytes() -> float:
    """Memory of this process that is in use now."""
    import resource

    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:  # no /proc: the most that was ever in use has to do
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return pages * resource.getpagesize() / 2**20


def changed(case: Case, book: Rulebook, rng: random.Random) -> Case:
    """The case with up to six of its answers changed."""
    from advisor.case.model import UNKNOWN, Answer
    from advisor.case.model import Case as Changed

    answers: dict[str, Answer] = dict(case.answers)
    for name in rng.sample(sorted(answers), min(len(answers), rng.randint(0, 6))):
        question = book.questionnaire.by_id[name]
        choices = [choice.id for choice in question.choices]
        how = rng.random()
        if question.type == "choice" and choices and how < 0.5:
            answers[name] = Answer(rng.choice(choices))
        elif how < 0.75:
            answers[name] = Answer(UNKNOWN)
        else:
            del answers[name]
    return Changed(case.reference, case.title, case.notes, answers, case.file)


def starting_cases(files: Sequence[Path], book: Rulebook) -> list[Case]:
    """The cases that the others are made from."""
    from advisor.advice.scenarios import scenario_cases
    from advisor.case.reading import read_case

    grades = tuple(book.knowledge.tables["grades"].rows)
    if files:
        return [read_case(file, book.questionnaire, grades) for file in files]
    return [case for _, case in scenario_cases(book)]


def report(at: str, done: int, started: float) -> None:
    """One line of figures."""
    gc.collect()
    took = time.perf_counter() - started
    speed = f"{done / took:6.1f} cases/s" if done else " " * 14
    print(
        f"{at:>7}  {done:6} cases  {speed}  {resident_mebibytes():6.1f} MiB  "
        f"{threading.active_count()} thread(s)",
        flush=True,
    )


def soak(
    cases: Sequence[Case], book: Rulebook, count: int, seed: int, only_think: bool
) -> Mapping[str, int]:
    """Advise the cases and tell the figures; how they ended, by kind."""
    from advisor.advice.advise import NoAdvice, read_off
    from advisor.advice.thinking import think
    from advisor.reasoning.claims import RulesDisagree

    rng = random.Random(seed)
    ends: Counter[str] = Counter()
    told: set[str] = set()
    for case in cases:  # what is built once is built now
        think(case, book)
    started = time.perf_counter()
    report("start", 0, started)
    for number in range(count):
        case = changed(rng.choice(cases), book, rng)
        try:
            thinking = think(case, book)
            if not only_think:
                read_off(thinking)
            ends[f"verdict {thinking.word('verdict')}"] += 1
        except (RulesDisagree, NoAdvice) as problem:
            ends[type(problem).__name__] += 1
            if str(problem) not in told:
                told.add(str(problem))
                print(f"         {case.reference}: {problem}")
        if number + 1 in (count // 4, count // 2, 3 * count // 4):
            report("", number + 1, started)
    report("end", count, started)
    return ends


def main() -> int:
    """Run the soak and tell how the cases ended."""
    from advisor.advice.rulebook import load_rulebook

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("files", nargs="*", type=Path, metavar="CASE.yaml")
    parser.add_argument("--cases", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only-think", action="store_true", help="read no advice off the facts")
    asked = parser.parse_args()
    book = load_rulebook()
    cases = starting_cases(asked.files, book)
    ends = soak(cases, book, asked.cases, asked.seed, asked.only_think)
    for how, count in sorted(ends.items()):
        print(f"{count:8}  {how}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
