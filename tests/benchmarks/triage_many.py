"""Ten thousand invented cases in one run of `crackwright triage`: speed, and memory over time.

    python -m tests.benchmarks.triage_many [--cases 10000] [--bad 12] [--workers N] [--seed 1]

The table is made on the program's own template: the worked scenarios, each with up to six answers
left out, made unknown or changed, and a few rows that cannot be read. Beside the figure of the run
stand those of the parts that it is made of, on one core: the engine alone on the facts of the same
cases, the judge alone, both with tables and formulas, and both with the order of what is missing.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tests.benchmarks.soak import changed, starting_cases

if TYPE_CHECKING:
    from advisor.advice.rulebook import Rulebook
    from advisor.advice.thinking import Thinking
    from advisor.case.model import Case

PROGRAM = [sys.executable, "-m", "advisor.cli.main", "triage"]
BAD = (
    {"material": "cheese"},
    {"wall_thickness": "9"},
    {"holes": "[{thread: M16"},
    {"case": ""},
)
SAMPLE = 300
EVERY_S = 1.0
MOMENTS = (0.05, 0.25, 0.5, 0.75, 0.98)


def row_of(case: Case) -> dict[str, str]:
    """A case as a row of the template."""
    from advisor.case.writing import to_plain

    cells = {"case": case.reference, "title": case.title, "notes": case.notes}
    for name, answer in case.answers.items():
        plain = to_plain(answer.value)
        cells[name] = plain if isinstance(plain, str) else json.dumps(plain, ensure_ascii=False)
    return cells


def made_up(book: Rulebook, count: int, seed: int) -> list[Case]:
    """Invented cases, each with a number of its own."""
    chance, start = random.Random(seed), starting_cases((), book)
    cases = (changed(chance.choice(start), book, chance) for _ in range(count))
    return [replace(case, reference=f"T-{n:05}") for n, case in enumerate(cases, start=1)]


def write_table(path: Path, cases: Sequence[Case], bad: int) -> None:
    """The cases as a table with some bad rows among them."""
    template = subprocess.run([*PROGRAM, "--template"], capture_output=True, text=True, check=True)
    headings = template.stdout.strip().split(",")
    wrong = {round((n + 0.5) * len(cases) / bad): BAD[n % len(BAD)] for n in range(bad)}
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, headings, restval="")
        writer.writeheader()
        for n, case in enumerate(cases):
            writer.writerow({**row_of(case), **wrong.get(n, {})})


def resident(process: int) -> tuple[float, list[float]]:
    """Memory in use by a process and by each of its children [MiB]."""
    import resource

    unit = resource.getpagesize() / 2**20
    children: list[int] = []
    for task in Path(f"/proc/{process}/task").glob("*/children"):
        children += map(int, task.read_text().split())
    sizes = [
        int(Path(f"/proc/{one}/statm").read_text().split()[1]) * unit
        for one in (process, *sorted(children))
    ]
    return sizes[0], sizes[1:]


def run(table: Path, output: Path, workers: int | None) -> tuple[float, float, list[str]]:
    """Triage the table; seconds, processor seconds, and the memory at some moments."""
    command = [*PROGRAM, str(table), "--json", *(["--workers", str(workers)] if workers else [])]
    samples: list[tuple[float, float, list[float]]] = []
    before, started = os.times(), time.perf_counter()
    with output.open("w") as out, subprocess.Popen(command, stdout=out, stderr=out) as triage:
        while triage.poll() is None:
            with contextlib.suppress(OSError, IndexError):  # no /proc, or one that has just ended
                samples.append((time.perf_counter() - started, *resident(triage.pid)))
            time.sleep(EVERY_S)
    took = time.perf_counter() - started
    after = os.times()
    spent = sum(after[2:4]) - sum(before[2:4])
    return (
        took,
        spent,
        [_says(samples, share) for share in (0.05, 0.25, 0.5, 0.75, 0.98) if samples],
    )


def _says(samples: Sequence[tuple[float, float, list[float]]], share: float) -> str:
    at, parent, children = samples[min(int(share * len(samples)), len(samples) - 1)]
    each = " + ".join(f"{child:.0f}" for child in children)
    return f"{share:5.0%}  {at:7.0f} s  parent {parent:6.1f} MiB  workers {each} MiB"


def bare(cases: Sequence[Case], book: Rulebook) -> Mapping[str, float]:
    """Cases a second on one core for each part of the work."""
    from advisor.advice.doubt.questions import pulls
    from advisor.advice.rulebook import STAGES
    from advisor.advice.thinking import think
    from advisor.reasoning.claims import RulesDisagree
    from advisor.reasoning.engine import AVAILABLE, Engine
    from advisor.reasoning.judge import Judge

    thoughts: list[Thinking] = []
    for case in cases:
        try:
            thoughts.append(think(case, book))
        except RulesDisagree:
            continue
    stages = [(stage, book.of_stage(stage), at) for at, stage in enumerate(STAGES)]
    judges = {stage: Judge(rules, book.vocabulary, at) for stage, rules, at in stages}

    def judge(thinking: Thinking) -> None:
        earlier = []
        for stage in STAGES:
            judges[stage].judge(thinking.values, tuple(earlier))
            earlier += [one for said in thinking.stage_claims[stage].values() for one in said]

    figures: dict[str, float] = {}
    if AVAILABLE:
        engines = {s: Engine(rules, book.vocabulary, at) for s, rules, at in stages if rules}

        def fire(thinking: Thinking) -> None:
            earlier = []
            for stage in STAGES:
                if stage in engines:
                    engines[stage].fire(thinking.values, tuple(earlier))
                earlier += [one for said in thinking.stage_claims[stage].values() for one in said]

        figures["engine alone, what is certain"] = _rate(fire, thoughts)
    figures["judge alone, certain and possible"] = _rate(judge, thoughts)
    figures["both, tables and formulas"] = _rate(lambda one: think(one.case, book), thoughts)
    undecided = [one for one in thoughts if one.word("verdict") == "investigate"]
    if undecided:
        figures["order of what is missing"] = _rate(lambda one: pulls(one, words=False), undecided)
    return figures


def _rate(work: Callable[[Thinking], object], thoughts: Sequence[Thinking]) -> float:
    began = time.process_time()
    for thinking in thoughts:
        work(thinking)
    return len(thoughts) / (time.process_time() - began)


def main() -> int:
    """Make the table, run, and tell the figures."""
    from advisor.advice.rulebook import load_rulebook

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--cases", type=int, default=10_000)
    parser.add_argument("--bad", type=int, default=12)
    parser.add_argument("--workers", type=int)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    book = load_rulebook()
    cases = made_up(book, asked.cases, asked.seed)
    with tempfile.TemporaryDirectory() as folder:
        table, output = Path(folder) / "cases.csv", Path(folder) / "out.json"
        write_table(table, cases, asked.bad)
        took, spent, memory = run(table, output, asked.workers)
        document, _ = json.JSONDecoder().raw_decode(output.read_text(encoding="utf-8"))
    rows = document["cases"]
    in_order = [row["place"].rpartition(":")[2] for row in rows]
    assert in_order == sorted(in_order, key=int), "rows are not in the order of the table"
    print(f"{len(rows)} cases in {took:.0f} s: {len(rows) / took:.1f} cases/s")
    print(f"{spent:.0f} processor seconds: {len(rows) / spent:.1f} cases/s on one core")
    print("\n".join(memory))
    for verdict, count in Counter(row["verdict"] or "none" for row in rows).most_common():
        print(f"{count:7}  {verdict}")
    problems = Counter(row["problem"].partition(": ")[2][:70] for row in rows if "problem" in row)
    for problem, count in problems.most_common():
        print(f"{count:7}  not advised: {problem}")
    for name, figure in bare(cases[:SAMPLE], book).items():
        print(f"{figure:9.1f} cases/s on one core: {name}")
    return 0 if len(rows) == asked.cases else 1


if __name__ == "__main__":
    sys.exit(main())
