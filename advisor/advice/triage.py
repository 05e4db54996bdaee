"""Many cases at once: each to one row, worked out on all cores, in the order in which they came.

Advising is a pure function of case, rules and knowledge, so a row depends on nothing but its own
case; :func:`triage_one` can be mapped over a pool here or over a cluster elsewhere.
"""

from __future__ import annotations

import csv
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from itertools import islice
from multiprocessing import connection
from pathlib import Path
from typing import Any

from advisor.advice.advise import check_decided
from advisor.advice.doubt.questions import pulls
from advisor.advice.procedure import approvals
from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.advice.shop import case_in_shop, find_shop_file, with_shop
from advisor.advice.standings import recommended
from advisor.advice.thinking import Thinking, think
from advisor.case.model import Answer, Case
from advisor.case.problems import InputProblem
from advisor.case.reading import parse_answer, read_case
from advisor.case.visible import visible
from advisor.light_dataclass import dataclass

SCHEMA = "crackwright.triage/1"
MISSING_SHOWN = 5
CASE_COLUMNS = ("case", "title", "notes")
_ASTRAY = ""  # stands for a heading where there is none
_CHUNK = 4
_AHEAD = 16  # chunks in hand for each process: what waits in memory does not grow


@dataclass(frozen=True)
class Waiting:
    """A case that waits to be advised: where it stands, and its text where it is a row."""

    place: str
    path: Path
    row: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Row:
    """One case in one line.

    Attributes:
        place: file, or file and line.
        case: job reference.
        title: title of the case.
        verdict: the verdict; empty where the case could not be read.
        method: the method recommended, or empty.
        missing: questions that can still change the advice, most decisive first.
        approval: who must agree.
        problem: what is wrong with the case, where it could not be read or got no advice.
        fault: whether the program, not the case, is at fault.
    """

    place: str
    case: str = ""
    title: str = ""
    verdict: str = ""
    method: str = ""
    missing: tuple[str, ...] = ()
    approval: tuple[str, ...] = ()
    problem: str = ""
    fault: bool = False

    def to_json(self) -> dict[str, Any]:
        """The row as plain data."""
        found = {
            "place": self.place,
            "case": self.case,
            "title": self.title,
            "verdict": self.verdict or None,
            "method": self.method or None,
            "missing": list(self.missing),
            "approval": list(self.approval),
        }
        return {**found, "problem": self.problem} if self.problem else found


def waiting_cases(paths: Iterable[Path]) -> Iterator[Waiting]:
    """The cases in files, folders and CSV tables, in order.

    Raises:
        InputProblem: a path that is none of these, or a table without a usable heading.
    """
    for path in paths:
        if path.is_dir():
            for file in sorted(path.glob("*.yaml")):
                yield Waiting(str(file), file)
        elif path.suffix.lower() == ".csv":
            yield from _rows(path)
        elif path.is_file():
            yield Waiting(str(path), path)
        else:
            raise InputProblem("nothing there", "a case file, a folder or a CSV", file=str(path))


def _rows(path: Path) -> Iterator[Waiting]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader: csv.DictReader[Any] = csv.DictReader(file)
            headings = [name or "" for name in reader.fieldnames or ()]
            _check_headings(path, headings)
            for row in reader:
                astray = "".join(row.pop(None, ()))  # cells beyond the last heading
                cells = (*((key, value or "") for key, value in row.items()), (_ASTRAY, astray))
                yield Waiting(f"{path}:{reader.line_num}", path, cells)
    except (UnicodeDecodeError, csv.Error) as error:
        raise InputProblem(str(error), "a CSV table in UTF-8", file=str(path)) from None


def _check_headings(path: Path, headings: list[str]) -> None:
    legal = {*CASE_COLUMNS, *load_rulebook().questionnaire.by_id}
    if "case" not in headings:
        raise InputProblem(
            "no column case", "a column case with the job reference", file=str(path), line=1
        )
    twice = next((name for name in headings if headings.count(name) > 1), None)
    if twice is not None:
        raise InputProblem(f"column {twice!r} twice", "each heading once", file=str(path), line=1)
    for name in headings:
        if name not in legal:
            raise InputProblem(
                f"column {name!r}", "ids of questions as headings", file=str(path), line=1
            )


def triage_one(waiting: Waiting, folder: Path | None = None) -> Row:
    """Advise one case and keep one line of it; a bad case becomes a row that says what is wrong.

    A fault of the program in one case is such a row too: it gets no advice, the others keep theirs.

    Args:
        waiting: the case.
        folder: folder of rules and knowledge; the built-in one if None.

    Raises:
        KnowledgeProblem: rules or knowledge that cannot be used, for any case.
    """
    built_in = load_rulebook(folder)
    reference = visible(dict(waiting.row).get("case", ""))
    try:
        book = with_shop(built_in, find_shop_file(waiting.path))
        case = _case_from_row(waiting, book) if waiting.row else _case_from_file(waiting, book)
        reference = case.reference
        thinking = think(case_in_shop(case, book.shop), book)
        check_decided(thinking)
        return _row(waiting.place, thinking)
    except InputProblem as problem:
        return Row(waiting.place, case=reference, problem=str(problem))
    except Exception as fault:
        said = f"{waiting.place}: no advice: {type(fault).__name__}: {fault}"
        return Row(waiting.place, case=reference, problem=said, fault=True)


def _row(place: str, thinking: Thinking) -> Row:
    verdict = thinking.word("verdict") or ""
    unsettled = verdict == "investigate"
    missing = tuple(pulls(thinking, words=False))[:MISSING_SHOWN] if unsettled else ()
    return Row(
        place=place,
        case=thinking.case.reference,
        title=thinking.case.title,
        verdict=verdict,
        method=recommended(thinking) or "",
        missing=missing,
        approval=tuple(approval.who for approval in approvals(thinking)),
    )


def _case_from_file(waiting: Waiting, book: Rulebook) -> Case:
    grades = tuple(book.knowledge.tables["grades"].rows)
    try:
        return read_case(waiting.path, book.questionnaire, grades)
    except OSError as error:
        raise InputProblem(
            str(error.strerror), "a file that can be read", file=waiting.place
        ) from None


def _case_from_row(waiting: Waiting, book: Rulebook) -> Case:
    grades = tuple(book.knowledge.tables["grades"].rows)
    cells = dict(waiting.row)
    answers: dict[str, Answer] = {}
    for name, text in cells.items():
        if name in CASE_COLUMNS or not text.strip():
            continue
        if name == _ASTRAY:
            raise InputProblem(
                f"more cells than headings: {text!r}", "a cell for each heading", file=waiting.place
            )
        try:
            value = parse_answer(book.questionnaire.by_id[name], text, grades)
        except InputProblem as problem:
            raise InputProblem(
                problem.found, problem.expected, field=name, file=waiting.place
            ) from None
        answers[name] = Answer(value)
    reference, title, notes = (visible(cells.get(name, "").strip()) for name in CASE_COLUMNS)
    if not reference:
        raise InputProblem("no job reference", "a case in each row", file=waiting.place)
    return Case(reference, title, notes, answers, waiting.place)


def triage(
    waiting: Iterable[Waiting], *, folder: Path | None = None, workers: int | None = None
) -> Iterator[Row]:
    """Advise many cases, on all cores unless told otherwise; rows come in the order of the cases.

    Raises:
        KnowledgeProblem: rules or knowledge that cannot be used.
    """
    count = workers or os.cpu_count() or 1
    cases = iter(waiting)
    first = list(islice(cases, _CHUNK * count))
    if count == 1 or len(first) < _CHUNK * count:
        yield from (triage_one(case, folder) for case in first)
        yield from (triage_one(case, folder) for case in cases)
        return
    load_rulebook(folder)  # where processes are forked they have it already
    pool = ProcessPoolExecutor(max_workers=count, initializer=_begin_work)
    try:
        yield from _in_order(pool, _chunks(first, cases), folder, count * _AHEAD)
    except BaseException:  # also where nobody wants the rows any more
        _stop(pool)
        raise
    pool.shutdown()


def _in_order(
    pool: ProcessPoolExecutor, chunks: Iterable[list[Waiting]], folder: Path | None, most: int
) -> Iterator[Row]:
    """Rows in the order of the cases, with so many chunks in hand at most."""
    in_hand: deque[Future[list[Row]]] = deque()
    for chunk in chunks:
        in_hand.append(pool.submit(_triage_chunk, chunk, folder))
        if len(in_hand) >= most:
            yield from in_hand.popleft().result()
    while in_hand:
        yield from in_hand.popleft().result()


def _triage_chunk(chunk: list[Waiting], folder: Path | None) -> list[Row]:
    return [triage_one(waiting, folder) for waiting in chunk]


def _chunks(first: list[Waiting], rest: Iterator[Waiting]) -> Iterator[list[Waiting]]:
    for at in range(0, len(first), _CHUNK):
        yield first[at : at + _CHUNK]
    while chunk := list(islice(rest, _CHUNK)):
        yield chunk


def _begin_work() -> None:
    """Ctrl-C is answered by the first process alone; where that one is gone the others end too."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_after, args=(parent.sentinel,), daemon=True).start()


def _end_after(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)


def _stop(pool: ProcessPoolExecutor) -> None:
    """End at once: what is being worked out now is wanted by nobody."""
    processes = list((pool._processes or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for process in processes:
        process.terminate()
