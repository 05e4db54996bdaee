"""The facts that rules may speak of: names, types, choices, and the stage that makes each.

Answers come before the first stage (stage ``ANSWERS``). A decision is a fact that rules make; how
several claims on one decision combine is part of its declaration, so that no order of rules
matters.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Literal

from advisor.light_dataclass import dataclass
from advisor.reasoning.values import (
    OPEN_NUMBER,
    Members,
    Number,
    Value,
    Word,
    open_members,
    open_word,
)

ANSWERS = -1
"""Stage index of facts that are known before the first stage."""

RESERVED = frozenset({"a", "sid", "id", "exception", "start", "never"})
"""Names that the engine needs itself."""

JOKER = "?"
"""Stands for an open word inside the engine; no choice may be spelt like this."""

FactType = Literal["word", "members", "number"]
Combine = Literal["single", "strictest", "highest", "lowest", "collect"]


@dataclass(frozen=True)
class FactKind:
    """Declaration of one fact.

    Attributes:
        name: the fact's name, snake_case.
        type: ``word`` (one of ``choices``), ``members`` (several of them) or ``number``.
        stage: index of the stage that makes it; ``ANSWERS`` for answers.
        says: the fact in plain words, as it reads inside a sentence.
        choices: the legal words, mildest first where ``combine`` is ``strictest``.
        dimension: of a number; its unit is the canonical one of that dimension.
        unit: the canonical unit, empty for words.
        combine: how claims of rules combine; None where no rule makes this fact.
        unsure: for ``strictest``: what a stricter claim counts as while it is not certain. Without
            it, claims that are not certain leave the decision open between the two.
        otherwise: the value where no rule claims anything; None leaves the fact open.
        labels: plain wording of the choices.
        late: made after the rules of its stage, so that only later stages may read it.
    """

    name: str
    type: FactType
    stage: int = ANSWERS
    says: str = ""
    choices: tuple[str, ...] = ()
    dimension: str = ""
    unit: str = ""
    combine: Combine | None = None
    unsure: str | None = None
    otherwise: str | None = None
    labels: Mapping[str, str] = field(default_factory=dict)
    late: bool = False

    @property
    def open(self) -> Value:
        """The value while nothing is known."""
        if self.type == "word":
            return open_word(self.choices)
        if self.type == "members":
            return open_members(self.choices)
        return OPEN_NUMBER

    def accepts(self, value: Value) -> bool:
        """Whether a value fits this declaration."""
        if isinstance(value, Word):
            return self.type == "word" and value.possible <= set(self.choices)
        if isinstance(value, Members):
            return self.type == "members" and value.possible <= set(self.choices)
        return self.type == "number" and isinstance(value, Number)


class Vocabulary:
    """All declared facts, by name, and the names of the stages in order."""

    def __init__(self, stages: Iterable[str], kinds: Iterable[FactKind]) -> None:
        self.stages = tuple(stages)
        self.kinds: dict[str, FactKind] = {}
        for kind in kinds:
            if kind.name in self.kinds:
                raise ValueError(f"fact {kind.name} is declared twice")
            self.kinds[kind.name] = kind

    def __contains__(self, name: str) -> bool:
        return name in self.kinds

    def __getitem__(self, name: str) -> FactKind:
        return self.kinds[name]

    def stage_index(self, stage: str) -> int:
        """Position of a stage in the order of reasoning."""
        return self.stages.index(stage)

    def growing_in(self, stage: int) -> frozenset[str]:
        """Decisions that claims fill, word by word, while the rules of a stage run."""
        return frozenset(
            kind.name
            for kind in self.kinds.values()
            if kind.stage == stage and kind.combine and kind.type != "number"
        )

    def sets_in(self, stage: int) -> frozenset[str]:
        """Facts that hold members, or words that still gather, while the rules of a stage run."""
        members = (kind.name for kind in self.kinds.values() if kind.type == "members")
        return self.growing_in(stage).union(members)
