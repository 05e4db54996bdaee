"""Yes-or-no questions about all cases at once, as a graph of "and" and "not".

A literal is a whole number: twice the node's number, one more for its opposite. Equal gates are
made once, and what is certain folds away, so a rule base becomes some ten thousand gates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

FALSE, TRUE = 0, 1
"""The literals that never and always hold."""


def negate(literal: int) -> int:
    """The opposite of a literal."""
    return literal ^ 1


class Circuit:
    """Gates over named inputs, each gate after those it reads."""

    def __init__(self) -> None:
        self._gates: list[tuple[int, int] | None] = [None]
        self._made: dict[tuple[int, int], int] = {}
        self.inputs: dict[int, object] = {}

    def __len__(self) -> int:
        return len(self._gates)

    def input(self, name: object) -> int:
        """A new free input."""
        self._gates.append(None)
        node = len(self._gates) - 1
        self.inputs[node] = name
        return 2 * node

    def both(self, one: int, other: int) -> int:
        """Holds where both hold."""
        if one > other:
            one, other = other, one
        if one == FALSE or one == negate(other):
            return FALSE
        if one in (TRUE, other):
            return other
        made = self._made.get((one, other))
        if made is None:
            self._gates.append((one, other))
            made = self._made[one, other] = 2 * (len(self._gates) - 1)
        return made

    def either(self, one: int, other: int) -> int:
        """Holds where one of them holds."""
        return negate(self.both(negate(one), negate(other)))

    def all(self, literals: Iterable[int]) -> int:
        """Holds where all hold."""
        found = TRUE
        for literal in sorted(set(literals)):
            found = self.both(found, literal)
        return found

    def any(self, literals: Iterable[int]) -> int:
        """Holds where at least one holds."""
        return negate(self.all(negate(literal) for literal in literals))

    def implies(self, one: int, other: int) -> int:
        """Holds where the second does, or the first does not."""
        return negate(self.both(one, negate(other)))

    def same(self, one: int, other: int) -> int:
        """Holds where both are alike."""
        return self.both(self.implies(one, other), self.implies(other, one))

    def at_most_one(self, literals: Sequence[int]) -> int:
        """Holds where no two hold together."""
        found, seen = TRUE, FALSE
        for literal in literals:
            found = self.both(found, negate(self.both(seen, literal)))
            seen = self.either(seen, literal)
        return found

    def cone(self, roots: Iterable[int]) -> set[int]:
        """The nodes that the roots hang on, themselves included."""
        seen: set[int] = set()
        waiting = [root >> 1 for root in roots]
        while waiting:
            node = waiting.pop()
            if node in seen:
                continue
            seen.add(node)
            gate = self._gates[node]
            if gate:
                waiting += (gate[0] >> 1, gate[1] >> 1)
        return seen

    def clauses(self, nodes: Iterable[int]) -> Iterable[str]:
        """What makes each gate what it is, one clause a line, nodes counted from 1."""
        for node in nodes:
            gate = self._gates[node]
            if node == 0:
                yield "-1 0"
            elif gate:
                one, other = signed(gate[0]), signed(gate[1])
                yield f"-{node + 1} {one} 0"
                yield f"-{node + 1} {other} 0"
                yield f"{node + 1} {-one} {-other} 0"

    def replay(self, given: Callable[[int, bytearray], bool]) -> bytearray:
        """The truth of every literal, worked out in order.

        Args:
            given: the truth of an input, by its node and what is worked out already.
        """
        truth = bytearray(2 * len(self._gates))
        for node, gate in enumerate(self._gates):
            if gate:
                found = truth[gate[0]] & truth[gate[1]]
            else:
                found = int(node in self.inputs and given(node, truth))
            truth[2 * node] = found
            truth[2 * node + 1] = 1 - found
        return truth

    def evaluate(self, inputs: Mapping[int, bool]) -> bytearray:
        """The truth of every literal, given those of the inputs by node; others count as false."""
        return self.replay(lambda node, _: inputs.get(node, False))


def signed(literal: int) -> int:
    """A literal as a clause writes it: negative for the opposite."""
    return -((literal >> 1) + 1) if literal & 1 else (literal >> 1) + 1
