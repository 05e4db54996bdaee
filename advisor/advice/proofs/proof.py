"""What a proof is: a claim, the work that it takes, and what came of it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from typing import Literal

from advisor.advice.proofs.counterexample import Counterexample
from advisor.light_dataclass import dataclass
from advisor.reasoning.prover.solve import TimedOut

Outcome = Literal["proved", "broken", "not proved"]


@dataclass(frozen=True)
class Fault:
    """What breaks a proof, in one sentence, with a case where there is one."""

    says: str
    example: Counterexample | None = None


@dataclass(frozen=True)
class Proof:
    """One proof.

    Attributes:
        id: its name.
        group: ``pairs``, ``reading``, ``chain`` or ``promise``.
        says: what is proved.
        outcome: proved, broken, or not proved in time.
        seconds: how long it took.
        faults: what breaks it.
    """

    id: str
    group: str
    says: str
    outcome: Outcome
    seconds: float
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Task:
    """A proof still to be made; it gives what breaks it."""

    id: str
    group: str
    says: str
    work: Callable[[], Iterable[Fault]]

    def prove(self) -> Proof:
        """Make the proof."""
        began = time.perf_counter()
        try:
            faults = tuple(self.work())
        except TimedOut as late:
            outcome: Outcome = "not proved"
            faults = (Fault(f"no answer from the solver in time ({late})"),)
        else:
            outcome = "broken" if faults else "proved"
        return Proof(self.id, self.group, self.says, outcome, time.perf_counter() - began, faults)
