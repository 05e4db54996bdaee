"""Two reasoners that must agree before anything is said.

A wrong "go ahead" can hurt someone, so every stage is worked out twice, by the engine and by the
judge, for what is certain and for what is possible. Where the engine cannot run, the judge alone
does, and the result says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.light_dataclass import dataclass
from advisor.reasoning import engine as durable
from advisor.reasoning.claims import Claim
from advisor.reasoning.judge import Judge, StageFindings
from advisor.reasoning.rules import Rule
from advisor.reasoning.translation import Translated
from advisor.reasoning.values import Value
from advisor.reasoning.vocabulary import Vocabulary


class ReasonersDisagree(Exception):
    """The two reasoners came to different firings: no advice may be given."""

    def __init__(self, stage: str, reading: str, engine: Iterable[str], judge: Iterable[str]):
        self.stage = stage
        self.reading = reading
        self.engine_only = sorted(set(engine) - set(judge))
        self.judge_only = sorted(set(judge) - set(engine))
        super().__init__(
            f"stage {stage}, {reading} firings: engine alone {self.engine_only}, "
            f"judge alone {self.judge_only}"
        )


@dataclass(frozen=True)
class Reasoners:
    """Which reasoners ran."""

    engine: bool
    judge: bool = True

    @property
    def names(self) -> list[str]:
        """Their names, for the record."""
        return ["engine", "judge"] if self.engine else ["judge"]


class StageReasoner:
    """Works out one stage with every reasoner that can run here, and compares them."""

    def __init__(
        self,
        rules: Iterable[Rule],
        vocabulary: Vocabulary,
        stage: int,
        *,
        use_engine: bool = durable.AVAILABLE,
        kept: Translated | None = None,
    ) -> None:
        rules = tuple(rules)
        self._name = vocabulary.stages[stage]
        self._judge = Judge(rules, vocabulary, stage)
        self._engine = None
        if use_engine and rules:
            self._engine = durable.Engine(rules, vocabulary, stage, kept)

    def reason(self, facts: Mapping[str, Value], earlier: Iterable[Claim] = ()) -> StageFindings:
        """Judge the stage, and hold the engine against the judgement.

        Raises:
            ReasonersDisagree: with the rules on which they part.
            EngineFault: when the engine cannot be trusted with this case.
        """
        earlier = tuple(earlier)
        findings = self._judge.judge(facts, earlier)
        if self._engine:
            self._compare("certain", findings.certain, self._engine.fire(facts, earlier))
            possible = self._engine.fire(facts, earlier, lenient=True)
            self._compare("possible", findings.possible, possible)
        return findings

    def judge_alone(
        self, facts: Mapping[str, Value], earlier: Iterable[Claim] = ()
    ) -> StageFindings:
        """Judge the stage without the engine: for "what if", never for an advice."""
        return self._judge.judge(facts, earlier)

    def _compare(self, reading: str, judge: frozenset[str], engine: frozenset[str]) -> None:
        if judge != engine:
            raise ReasonersDisagree(self._name, reading, engine, judge)
