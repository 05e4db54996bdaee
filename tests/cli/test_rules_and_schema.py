"""``rules`` and ``schema``: the rule base as a book, the case file for editors."""

from __future__ import annotations

import json

import jsonschema
import pytest
import yaml

from advisor.advice.rulebook import STAGES, Rulebook

from .conftest import JACKET, SCENARIOS, Command


def test_list_has_every_rule_once(crackwright: Command, rulebook: Rulebook) -> None:
    ended = crackwright("rules", "list")
    words = ended.out.split()
    assert ended.code == 0
    assert all(words.count(rule.id) >= 1 for rule in rulebook.rules)
    assert ended.out.rstrip().endswith(f"{len(rulebook.rules)} rules")
    assert max(map(len, ended.out.splitlines())) <= 80


def test_list_of_a_stage_and_a_subject(crackwright: Command, rulebook: Rulebook) -> None:
    verdict = [rule.id for rule in rulebook.rules if STAGES[rule.stage] == "verdict"]
    shown = crackwright("rules", "list", "--stage", "verdict").out
    assert shown.rstrip().endswith(f"{len(verdict)} rules")
    assert "braze." in crackwright("rules", "list", "--subject", "BRAZE").out


def test_list_as_a_page_to_review(crackwright: Command, rulebook: Rulebook) -> None:
    page = crackwright("rules", "list", "--markdown").out
    assert page.count("\n### ") == len(rulebook.rules)
    assert page.count("- Because: ") == len(rulebook.rules)
    assert page.count("- Source: ") == len(rulebook.rules)


def test_show_is_a_handbook_entry(crackwright: Command) -> None:
    text = crackwright("rules", "show", "stitch.irons-that-tap").out
    for part in ("[stitch.irons-that-tap]", "Stage: ", "When: ", "Then: ", "Because: ", "Source: "):
        assert part in text


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("show", "stitch.irons-that-tab"), "did you mean stitch.irons-that-tap?"),
        (("list", "--stage", "methods"), "did you mean method?"),
    ],
)
def test_wrong_names(arguments: tuple[str, ...], says: str, crackwright: Command) -> None:
    ended = crackwright("rules", *arguments)
    assert (ended.code, ended.out) == (2, "")
    assert says in ended.err


def test_sources_say_how_they_were_seen(crackwright: Command, rulebook: Rulebook) -> None:
    text = crackwright("rules", "sources").out
    assert text.startswith("PRACTICE [common practice, no source]")
    assert f"{len(rulebook.knowledge.sources)} sources" in text
    assert max(map(len, text.splitlines())) <= 80


def test_schema_accepts_what_the_program_accepts(crackwright: Command) -> None:
    schema = json.loads(crackwright("schema").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    for text in (JACKET, *(path.read_text(encoding="utf-8") for path in SCENARIOS)):
        check.validate(yaml.safe_load(text))


def test_schema_refuses_what_the_program_refuses(crackwright: Command) -> None:
    check = jsonschema.Draft202012Validator(json.loads(crackwright("schema").out))
    for wrong in ("gray_iron", "6.5 mm +/- 0.3 mm"):
        broken = JACKET.replace(wrong, "6.5", 1)
        assert not check.is_valid(yaml.safe_load(broken))
