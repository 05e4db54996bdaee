"""How long the program takes: start, help, advice, layout, pairwise checks. A report, run by hand.

    python tests/benchmarks/speed.py

Processor seconds, the least of five runs, on a quiet machine. Nothing fails here.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

HELLO = """
import typer
app = typer.Typer(rich_markup_mode=None)

@app.command()
def hello(name: str) -> None:
    print(name)

app()
"""
PROGRAM = [sys.executable, "-m", "advisor.cli.main"]
RUNS = 5


def of_command(command: list[str]) -> float:
    """Processor seconds of a whole command, its start included."""
    before = os.times()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    after = os.times()
    return sum(after[2:4]) - sum(before[2:4])


def of_call(work: Callable[[], object]) -> float:
    """Processor seconds of a call."""
    began = time.process_time()
    work()
    return time.process_time() - began


def least(measure: Callable[[], float]) -> float:
    """The least of several runs."""
    return min(measure() for _ in range(RUNS))


def main() -> None:
    """Measure and print."""
    from advisor.advice.advise import advise
    from advisor.advice.rulebook import data_folder, load_rulebook
    from advisor.advice.scenarios import scenario_cases
    from advisor.engineering.layout import lay_out, row_plan, straight_path
    from advisor.engineering.pins import neutral_pin
    from advisor.reasoning.boxes import Pairs

    book = load_rulebook()
    case_file = str(sorted((data_folder() / "scenarios").glob("engine-block*.yaml"))[0])
    with tempfile.TemporaryDirectory() as folder:
        hello = Path(folder) / "hello.py"
        hello.write_text(HELLO, encoding="utf-8")
        bare = [sys.executable, str(hello), "--help"]
        print(f"bare hello --help      {least(lambda: of_command(bare)):.3f} s")
    for name, words in (("--help", ["--help"]), ("advise", ["advise", case_file])):
        command = [*PROGRAM, *words]
        print(f"crackwright {name}     {least(partial(of_command, command)):.3f} s")
    cases = [case for _, case in scenario_cases(book)]
    for case in cases:
        advise(case, book)
    each = least(lambda: of_call(lambda: [advise(case, book) for case in cases])) / len(cases)
    print(f"one advice, warm       {each:.3f} s")
    plan = row_plan(neutral_pin(8, 1.25), wander=0.5, drill_error=0.25)
    path = straight_path(1794, 10)
    print(f"300 pins laid          {least(lambda: of_call(lambda: lay_out(path, plan))):.3f} s")
    pairs = least(lambda: of_call(lambda: Pairs(book.rules, book.vocabulary).faults()))
    print(f"rules held in pairs    {pairs:.3f} s")


if __name__ == "__main__":
    main()
