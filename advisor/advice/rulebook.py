"""The rule book: questions, tables, facts, rules, steps and inspections, read and checked once."""

from __future__ import annotations

import functools
import hashlib
import os
from collections.abc import Iterable, Mapping
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING

import advisor
from advisor.advice import rulebook_cache
from advisor.advice.library import (
    Inspection,
    Step,
    check_texts,
    load_inspections,
    load_steps,
)
from advisor.case.model import Case
from advisor.case.questions import Question, Questionnaire, load_questionnaire
from advisor.case.reading import read_case
from advisor.case.units import DIMENSIONS
from advisor.case.yaml_text import Document, read_yaml
from advisor.light_dataclass import dataclass
from advisor.reasoning.conditions import Condition, Test, leaves
from advisor.reasoning.cursor import Cursor
from advisor.reasoning.facts_file import Declarations, load_declarations
from advisor.reasoning.rules import Rule, RuleContext, TableLimit, load_rules, parse_when
from advisor.reasoning.tables import Knowledge, load_knowledge
from advisor.reasoning.translation import Translated, translate
from advisor.reasoning.vocabulary import FactKind, Vocabulary

if TYPE_CHECKING:
    from advisor.advice.shop import Shop

STAGES = (
    "material",
    "triage",
    "demands",
    "method",
    "verdict",
    "sizing",
    "procedure",
    "inspection",
    "caution",
)
"""The stages of reasoning in order."""

METHODS = (
    "cold_stitch",
    "cold_stitch_with_keys",
    "braze_weld",
    "arc_weld_cool_nickel",
    "arc_weld_full_preheat",
    "oxyfuel_fusion_weld",
    "tig_weld",
    "arc_weld_steel",
    "patch_plate",
    "threaded_plug",
    "resin_repair",
    "impregnation",
    "replace_part",
)
"""Every method that the rule base knows."""


@dataclass(frozen=True)
class Rulebook:
    """Everything that an advice depends on besides the case.

    ``ordinary`` are cases that nobody worries about. No advice depends on them: their answers are
    tried first when it is asked what a case can come to. ``translated`` are the rules of each
    stage in the engine's language; where rules were laid over, the engine does not use it.
    """

    version: str
    digest: str
    questionnaire: Questionnaire
    knowledge: Knowledge
    vocabulary: Vocabulary
    declarations: Declarations
    rules: tuple[Rule, ...]
    steps: Mapping[str, Step]
    inspections: Mapping[str, Inspection]
    asked_when: Mapping[str, Condition]
    folder: Path
    ordinary: tuple[Case, ...]
    translated: Mapping[str, Translated]
    shop: Shop | None = None

    @functools.cached_property
    def rule_by_id(self) -> Mapping[str, Rule]:
        """Rules by id."""
        return {rule.id: rule for rule in self.rules}

    @functools.cached_property
    def limits(self) -> Mapping[str, tuple[float, ...]]:
        """Every limit that rules hold a number against, by fact, smallest first."""
        found: dict[str, set[float]] = {}
        for rule in self.rules:
            for leaf in leaves(rule.when):
                if isinstance(leaf, Test) and self.vocabulary[leaf.fact].type == "number":
                    found.setdefault(leaf.fact, set()).add(leaf.limit)
        return {fact: tuple(sorted(limits)) for fact, limits in found.items()}

    def of_stage(self, stage: str) -> tuple[Rule, ...]:
        """The rules of one stage, in file order."""
        index = self.vocabulary.stage_index(stage)
        return tuple(rule for rule in self.rules if rule.stage == index)


def data_folder() -> Path:
    """Folder that holds rules, knowledge and scenarios, in an installed copy or a checkout."""
    package = Path(advisor.__file__).parent
    installed = package / "_data"
    return installed if installed.is_dir() else package.parent


@functools.lru_cache(maxsize=4)
def load_rulebook(folder: Path | None = None) -> Rulebook:
    """Read the rule book.

    Args:
        folder: holds ``rules/`` and ``knowledge/``; the built-in one if None.

    Raises:
        KnowledgeProblem: a file that cannot be used, with file, line and what would be right.
    """
    base = folder or data_folder()
    found = digest(base)
    kept = rulebook_cache.recall(f"{found}{_place(base)}")
    if isinstance(kept, Rulebook) and kept.digest == found:
        return kept
    rulebook = read_rulebook(base, found)
    rulebook_cache.keep(f"{found}{_place(base)}", rulebook)
    return rulebook


def _place(base: Path) -> str:
    """A mark of the folder and of the code that reads it: neither may be another one."""
    total = hashlib.sha256(str(base).encode())
    for path, name in _files(Path(advisor.__file__).parent, ("advice", "case", "reasoning"), ".py"):
        found = os.stat(path)
        total.update(f"{name} {found.st_size} {found.st_mtime_ns}".encode())
    return total.hexdigest()[:16]


def read_rulebook(base: Path, digest_: str) -> Rulebook:
    """Read and check all rule and knowledge files below a folder.

    Raises:
        KnowledgeProblem: a file that cannot be used, with file, line and what would be right.
    """
    from advisor.reasoning.boxes import refuse_faults  # needed only where files are read anew

    knowledge_folder, rules_folder = base / "knowledge", base / "rules"
    knowledge = load_knowledge(knowledge_folder)
    questionnaire = load_questionnaire(knowledge_folder / "questions")
    steps = load_steps(knowledge_folder / "steps.yaml")
    inspections = load_inspections(knowledge_folder / "inspections.yaml", knowledge.sources)
    lists = lists_of(knowledge, steps, inspections)
    answers = answer_kinds(questionnaire, knowledge)
    fact_files = sorted((knowledge_folder / "facts").glob("*.yaml"))
    declarations = load_declarations(fact_files, STAGES, answers, knowledge, lists)
    vocabulary = Vocabulary(STAGES, (*answers, *declarations.kinds))
    for name in ("steps.yaml", "inspections.yaml"):
        check_texts(knowledge_folder / name, vocabulary.kinds)
    context = rule_context(vocabulary, knowledge, lists, questionnaire)
    rules = load_rules(sorted(rules_folder.glob("[0-9]*.yaml")), context)
    refuse_faults(rules, vocabulary)
    for rule in rules:
        _ = rule.reads  # worked out now, so that it is kept with the rule
    return Rulebook(
        version=_version(rules_folder / "rulebook.yaml"),
        digest=digest_,
        questionnaire=questionnaire,
        knowledge=knowledge,
        vocabulary=vocabulary,
        declarations=declarations,
        rules=rules,
        steps=steps,
        inspections=inspections,
        asked_when=asking_conditions(questionnaire, context),
        folder=base,
        ordinary=tuple(
            read_case(path, questionnaire)
            for path in sorted((knowledge_folder / "cases").glob("*.yaml"))
        ),
        translated={
            stage: translate(tuple(rule for rule in rules if rule.stage == at), vocabulary, at)
            for at, stage in enumerate(STAGES)
        },
    )


def asking_conditions(questionnaire: Questionnaire, context: RuleContext) -> dict[str, Condition]:
    """When each question is asked at all; a question without a condition always is.

    Raises:
        KnowledgeProblem: a condition that rules could not state.
    """
    last = len(context.vocabulary.stages)
    return {
        question.id: parse_when(_cursor(question), context, last)
        for question in questionnaire
        if question.ask_when is not None
    }


def _cursor(question: Question) -> Cursor:
    return Cursor.top(Document(f"question {question.id}, ask_when", question.ask_when, {}))


def lists_of(
    knowledge: Knowledge, steps: Mapping[str, Step], inspections: Mapping[str, Inspection]
) -> dict[str, tuple[str, ...]]:
    """The closed lists of words that facts and effects take from tables and libraries."""
    return {
        "methods": METHODS,
        "methods_or_none": (*METHODS, "none"),
        "steps": tuple(steps),
        "inspections": tuple(inspections),
        "approvals": tuple(knowledge.tables["approvals"].rows),
        "fillers": (*knowledge.tables["fillers"].rows, "none"),
    }


def _version(path: Path) -> str:
    return Cursor.top(read_yaml(path)).mapping(("version", "date"))["version"].text()


def digest(base: Path) -> str:
    """sha256 over the rules and the knowledge, names and contents in order of names."""
    total = hashlib.sha256()
    for path, name in _files(base, ("knowledge", "rules"), ".yaml"):
        with open(path, "rb", buffering=0) as file:
            content = file.read()
        total.update(name.encode() + b"\0")
        total.update(hashlib.sha256(content.replace(b"\r\n", b"\n")).digest())
    return total.hexdigest()


def _files(base: Path, folders: Iterable[str], suffix: str) -> list[tuple[str, str]]:
    """Paths of files, and their names below the base with slashes, in order of names."""
    found = [
        (os.path.join(place, name), (folder, *place[len(top) :].split(os.sep)[1:], name))
        for folder, top in ((folder, str(base / folder)) for folder in folders)
        for place, _, names in os.walk(top)
        for name in names
        if name.endswith(suffix)
    ]
    return [(path, "/".join(parts)) for path, parts in sorted(found, key=itemgetter(1))]


# --- answers as facts ---------------------------------------------------------------------------


def answer_kinds(questionnaire: Questionnaire, knowledge: Knowledge) -> tuple[FactKind, ...]:
    """Declarations of the answers that rules may read."""
    grades = tuple(knowledge.tables["grades"].rows)
    kinds = (_answer_kind(question, grades) for question in questionnaire.questions)
    return tuple(kind for kind in kinds if kind is not None)


def _answer_kind(question: Question, grades: tuple[str, ...]) -> FactKind | None:
    says = question.id.replace("_", " ")
    labels = {choice.id: choice.label for choice in question.choices}
    if question.type in ("choice", "several"):
        return FactKind(
            question.id,
            "word" if question.type == "choice" else "members",
            says=says,
            choices=tuple(labels),
            labels=labels,
        )
    if question.type == "yes_no":
        return FactKind(question.id, "word", says=says, choices=("no", "yes"))
    if question.type == "grade":
        return FactKind(question.id, "word", says=says, choices=grades)
    if question.type in ("measure", "number"):
        dimension = question.dimension or "number"
        unit = DIMENSIONS[dimension].unit
        return FactKind(question.id, "number", says=says, dimension=dimension, unit=unit)
    return None


def rule_context(
    vocabulary: Vocabulary,
    knowledge: Knowledge,
    lists: Mapping[str, tuple[str, ...]],
    questionnaire: Questionnaire,
) -> RuleContext:
    """What the rules of this project may refer to."""

    def look_up(table: str, row: str, column: str) -> TableLimit | str:
        if table not in knowledge.tables:
            return f"table {table}, which does not exist"
        if row not in knowledge.tables[table].rows:
            return f"row {row}, which table {table} does not have"
        if column not in knowledge.tables[table].columns:
            return f"column {column}, which table {table} does not have"
        cell = knowledge.cell(table, row, column)
        if cell is None:
            return f"cell {column} of {row} in {table}, which is empty"
        if not isinstance(cell.value, int | float):
            return f"cell {column} of {row} in {table}, which is not one number"
        return TableLimit(float(cell.value), cell.unit, cell.source)

    methods = lists["methods"]
    return RuleContext(
        vocabulary=vocabulary,
        targets={
            "rule_out": methods,
            "allow": methods,
            "favour": methods,
            "disfavour": methods,
            "require_step": lists["steps"],
            "require_inspection": lists["inspections"],
            "require_approval": lists["approvals"],
        },
        source_ids=frozenset(knowledge.sources),
        questions=frozenset(questionnaire.by_id),
        look_up=look_up,
    )
