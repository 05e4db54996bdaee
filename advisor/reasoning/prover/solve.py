"""Asking the solver: is there a case in which all of these literals hold?

The circuit goes to z3 as plain clauses, each gate once, as far as a question reaches into it.
"""

from __future__ import annotations

import importlib
import time
from collections.abc import Iterable
from typing import Any

from advisor.light_dataclass import dataclass
from advisor.reasoning.prover.circuit import FALSE, TRUE, signed
from advisor.reasoning.prover.encode import Encoder

DEFAULT_TIMEOUT = 20.0
"""Seconds for one question; beyond them it counts as not proved."""


class ProverMissing(RuntimeError):
    """The solver is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "whole chains are proved with z3, which is not installed: "
            'pip install "crackwright[prove]"'
        )


class TimedOut(RuntimeError):
    """The solver gave no answer in time."""


@dataclass(frozen=True)
class Found:
    """A case: the truth of every literal."""

    truth: bytearray

    def holds(self, literal: int) -> bool:
        """The truth of a literal in this case; false for gates made later."""
        return literal < len(self.truth) and bool(self.truth[literal])


class Solver:
    """One incremental solver over one circuit."""

    def __init__(self, encoder: Encoder, timeout: float = DEFAULT_TIMEOUT) -> None:
        self._z3 = _z3()
        self._encoder = encoder
        self._solver: Any = self._z3.SolverFor("QF_FD")
        self._solver.set("timeout", int(timeout * 1000))
        self._sent: set[int] = set()
        self._required = 0
        self._declarations: dict[int, Any] = {}
        self.asked = 0
        self.seconds = 0.0

    def find(self, literals: Iterable[int]) -> Found | None:
        """A case in which all literals hold, or None where there is none.

        Raises:
            TimedOut: no answer in time.
        """
        wanted = [literal for literal in literals if literal != TRUE]
        if FALSE in wanted:
            return None
        self._send(wanted)
        began = time.perf_counter()
        answer = self._solver.check(*(self._term(literal) for literal in wanted))
        self.seconds += time.perf_counter() - began
        self.asked += 1
        if answer == self._z3.unknown:
            raise TimedOut(self._solver.reason_unknown())
        return self._found() if answer == self._z3.sat else None

    def _term(self, literal: int) -> Any:
        term = self._z3.Bool((literal >> 1) + 1)
        return self._z3.Not(term) if literal & 1 else term

    def _send(self, roots: list[int]) -> None:
        circuit, constraints = self._encoder.circuit, self._encoder.constraints
        new = constraints[self._required :]
        nodes = circuit.cone([*roots, *new]) - self._sent
        clauses = [*circuit.clauses(sorted(nodes)), *(f"{signed(lit)} 0" for lit in new)]
        if clauses:
            head = f"p cnf {len(circuit)} {len(clauses)}\n"
            self._solver.from_string(head + "\n".join(clauses) + "\n")
        self._sent |= nodes
        self._required = len(constraints)

    def _found(self) -> Found:
        """Read the free inputs off the solver's model, straight from its library for speed."""
        circuit, model = self._encoder.circuit, self._solver.model()
        context, get = model.ctx.ref(), self._z3.Z3_model_get_const_interp
        inputs = {}
        for node in circuit.inputs.keys() & self._sent:
            found = get(context, model.model, self._declared(node).ast)
            inputs[node] = bool(found) and self._z3.Z3_get_bool_value(context, found) == _TRUE
        return Found(circuit.evaluate(inputs))

    def _declared(self, node: int) -> Any:
        if node not in self._declarations:
            self._declarations[node] = self._z3.Bool(node + 1).decl()
        return self._declarations[node]


_TRUE = 1  # z3's own "true" among true, false and undefined


def _z3() -> Any:
    try:
        return importlib.import_module("z3")
    except ImportError as missing:
        raise ProverMissing from missing


def available() -> bool:
    """Whether the solver is installed."""
    try:
        _z3()
    except ProverMissing:
        return False
    return True
