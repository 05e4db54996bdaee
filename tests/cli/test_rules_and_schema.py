"""``rules`` and ``schema``: the rule base as a book, the case file for editors."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
import yaml

from advisor.advice.rulebook import STAGES, Rulebook
from advisor.cli.rules_page import page as made_page

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


def test_list_is_in_the_order_of_the_stages(crackwright: Command) -> None:
    heads = re.findall(r"^([a-z]+): ", crackwright("rules", "list").out, re.MULTILINE)
    assert list(dict.fromkeys(heads)) == list(STAGES)
    assert heads == sorted(heads, key=STAGES.index)


@pytest.fixture(scope="module")
def page(rulebook: Rulebook) -> str:
    return made_page(sorted(rulebook.rules, key=lambda rule: rule.stage), rulebook)


def entries(page: str) -> dict[str, str]:
    """By id, what stands under the heading of each rule."""
    parts = re.split(r"^#### \d+\. .*\n\n(?=`)", page.split("## Answers that")[0], flags=re.M)[1:]
    return {part.split("`")[1]: part for part in parts}


def test_page_has_every_rule_with_all_that_is_reviewed(page: str, rulebook: Rulebook) -> None:
    found = entries(page)
    assert list(found) == [r.id for r in sorted(rulebook.rules, key=lambda rule: rule.stage)]
    for rule in rulebook.rules:
        for heading in ("When", "Then", "Because", "Source", "Worked cases"):
            assert found[rule.id].count(f"- **{heading}:**") == 1, rule.id
        assert ("**Caution:**" in found[rule.id]) == bool(rule.caution), rule.id
    for stage in STAGES:
        assert page.count(f"## Stage: {stage}\n") == 1


def test_page_is_in_plain_words(page: str, rulebook: Rulebook) -> None:
    # An id with an underscore is a word of the program; an escaped one is a word all the same.
    said = re.sub(r"`[^`]*`", "", page)
    ids = {*rulebook.steps, *rulebook.inspections, *rulebook.vocabulary.kinds}
    named = {id_ for id_ in ids if "_" in id_ and id_.replace("_", r"\_") in said}
    assert not named
    assert "{" not in said


def test_page_keeps_the_shape_of_a_condition(page: str) -> None:
    entry = entries(page)["stitch.crack-would-run-on"]
    assert (
        "- **When:** any of these\n  - all of these\n    - load is cyclic or shock\n"
        "    - crack location is neither valve seat nor water jacket\n"
    ) in entry
    assert "- **Then:** rules out cold stitch\n" in entry


def test_page_names_worked_cases_by_number(page: str) -> None:
    cases = page.split("## Worked cases")[1]
    numbers = re.search(r"\*\*Worked cases:\*\* ([\d, ]+)", entries(page)["braze.too-hot"])
    assert numbers is not None
    for number in numbers[1].split(", "):
        assert re.search(rf"^{number}\. [a-z]", cases, re.MULTILINE)
    assert len(re.findall(r"^\d+\. ", cases, re.MULTILINE)) == len(SCENARIOS)


def test_page_goes_to_a_file_or_to_the_terminal(crackwright: Command, tmp_path: Path) -> None:
    file = tmp_path / "rules.md"
    arguments = ("rules", "list", "--subject", "braze welding", "--markdown")
    printed = crackwright(*arguments)
    written = crackwright(*arguments, "-o", file)
    assert (written.code, written.out) == (0, "")
    assert file.read_text(encoding="utf-8") == printed.out
    assert "`braze.too-hot`" in printed.out


@pytest.mark.parametrize("name", ["rules.yaml", "folder.md", "nowhere/rules.md"])
def test_page_is_not_written_where_it_must_not(
    name: str, crackwright: Command, tmp_path: Path
) -> None:
    (tmp_path / "folder.md").mkdir()
    (tmp_path / "rules.yaml").write_text("rules: []", encoding="utf-8")
    ended = crackwright("rules", "list", "-o", tmp_path / name)
    assert (ended.code, ended.out) == (2, "")
    assert "-o" in ended.err
    assert (tmp_path / "rules.yaml").read_text(encoding="utf-8") == "rules: []"


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


@pytest.mark.parametrize(
    "rule",
    ["weld.white-iron-never", "verdict.another-shop-can-weld", "verdict.hard-steel-weld",
     "caution.fuel-residue", "procedure.flush-jacket", "before.penetrant-on-the-crack",
     "brittle.ductile-on-trust", "tip.beyond-any-trace", "replace.always-possible",
     "authority.boiler-law"],
)  # fmt: skip
def test_show_fits_a_terminal_and_names_nothing_by_its_id(rule: str, crackwright: Command) -> None:
    text = crackwright("rules", "show", rule).out
    assert max(map(len, text.splitlines())) <= 80
    assert not re.search(r"\w_\w", text)


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
