"""How a command ends: one exit code a kind of ending, and one clear message."""

from __future__ import annotations

import enum
import os
import sys
import traceback


class Exit(enum.IntEnum):
    """Exit codes."""

    DONE = 0
    FAULT_FOUND = 1
    BAD_INPUT = 2
    RULES_INVALID = 3
    INTERNAL = 70
    INTERRUPTED = 130


def tell(message: str) -> None:
    """Say something on standard error."""
    print(message, file=sys.stderr)


def end_with(error: BaseException) -> int:
    """Tell what went wrong, and choose the exit code."""
    from advisor.case.problems import InputProblem, InputProblems
    from advisor.reasoning.cursor import KnowledgeProblem

    if isinstance(error, KnowledgeProblem):
        tell(f"rules or knowledge cannot be used: {error}")
        return Exit.RULES_INVALID
    if isinstance(error, InputProblem | InputProblems):
        tell(str(error))
        return Exit.BAD_INPUT
    if isinstance(error, OSError):
        tell(f"{error.filename}: found {error.strerror}; expected a file that can be used")
        return Exit.BAD_INPUT
    return _internal(error)


def _internal(error: BaseException) -> int:
    tell(f"internal fault: {type(error).__name__}: {error}")
    tell("No advice is given.")
    if os.environ.get("CRACKWRIGHT_DEBUG"):
        traceback.print_exception(error)
    else:
        tell("Set CRACKWRIGHT_DEBUG=1 to see where it happened.")
    return Exit.INTERNAL
