"""How a command ends: one exit code a kind of ending, and one clear message."""

from __future__ import annotations

import enum
import os
import sys
import traceback
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.case.model import Case


class Exit(enum.IntEnum):
    """Exit codes."""

    DONE = 0
    FAULT_FOUND = 1
    BAD_INPUT = 2
    RULES_INVALID = 3
    INTERNAL = 70
    INTERRUPTED = 130


class RulesInvalid(Exception):
    """Rules or knowledge files that cannot be used."""


_in_hand: list[Case] = []


def take_in_hand(case: Case) -> None:
    """Remember the case that is worked on, for the report of an internal fault."""
    _in_hand[:] = [case]


def tell(message: str) -> None:
    """Say something on standard error."""
    from advisor.case.visible import visible_lines

    print(visible_lines(message), file=sys.stderr)


def end_with(error: Exception) -> Exit:
    """Tell what went wrong, and choose the exit code."""
    from advisor.case.problems import InputProblem
    from advisor.reasoning.cursor import KnowledgeProblem

    if isinstance(error, RulesInvalid | KnowledgeProblem):
        tell(f"rules or knowledge cannot be used: {error}")
        return Exit.RULES_INVALID
    if isinstance(error, InputProblem):
        tell(str(error))
        return Exit.BAD_INPUT
    if isinstance(error, OSError):
        reason = (error.strerror or "a fault").lower()
        tell(f"{error.filename or 'output'}: found {reason}; expected a file that can be used")
        return Exit.BAD_INPUT
    return _internal(error)


def _internal(error: Exception) -> Exit:
    from advisor.reasoning.agreement import ReasonersDisagree

    if isinstance(error, ReasonersDisagree):
        tell(f"the two reasoners disagree: {error}")
    else:
        tell(f"internal fault: {type(error).__name__}: {error}")
    tell("No advice is given.")
    report = _report(error)
    if report:
        tell(f"A report with the case is in {report}")
    if os.environ.get("CRACKWRIGHT_DEBUG"):
        traceback.print_exception(error)
    else:
        tell("Set CRACKWRIGHT_DEBUG=1 to see where it happened.")
    return Exit.INTERNAL


def _report(error: Exception) -> Path | None:
    """Write the fault as comments and the case below them: a case file that shows it again."""
    if not _in_hand:
        return None
    import time
    from pathlib import Path

    import platformdirs

    folder = Path(platformdirs.user_log_dir("crackwright", appauthor=False))
    path = folder / f"fault-{time.strftime('%Y%m%d-%H%M%S')}-{os.getpid()}.yaml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text(_report_text(error, _in_hand[0]), encoding="utf-8")
    except Exception as problem:  # the fault itself is told in any case
        tell(f"No report could be written: {problem}")
        return None
    return path


def _report_text(error: Exception, case: Case) -> str:
    from advisor import __version__
    from advisor.advice.rulebook import data_folder, digest
    from advisor.case.writing import case_text, to_plain

    head = [
        f"crackwright {__version__}, Python {sys.version.split()[0]} on {sys.platform}",
        f"rule base {digest(data_folder())}",
        *"".join(traceback.format_exception(error)).splitlines(),
    ]
    answers = {name: to_plain(answer.value) for name, answer in case.answers.items()}
    comments = "".join(f"# {line}\n" for line in head)
    return comments + case_text(case.reference, case.title, case.notes, answers)
