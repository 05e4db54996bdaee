"""Reading YAML as text: what stays as written, where it stands, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from advisor.case import yaml_text
from advisor.case.yaml_text import Document, YamlProblem, field_name, parse_yaml, read_yaml


def test_every_scalar_stays_as_it_was_written() -> None:
    text = 'a: no\nb: 1e-5\nc: 2024-01-01\nd: 012\ne: 0.375"\nf: \'null\'\ng: ""\nh: 1_000\n'
    assert parse_yaml(text, "f").data == {
        "a": "no", "b": "1e-5", "c": "2024-01-01", "d": "012", "e": '0.375"', "f": "null",
        "g": "", "h": "1_000",
    }  # fmt: skip


def test_empty_and_null_are_none() -> None:
    assert parse_yaml("a:\nb: ~\nc: null\nd: [null, x]", "f").data == {
        "a": None,
        "b": None,
        "c": None,
        "d": [None, "x"],
    }


def test_positions_count_from_one_and_a_key_stands_for_its_value() -> None:
    document = parse_yaml("case: J\nanswers:\n  holes:\n    - {thread: M8, depth: 9 mm}\n", "f")
    assert document.positions == {
        (): (1, 1),
        ("case",): (1, 1),
        ("answers",): (2, 1),
        ("answers", "holes"): (3, 3),
        ("answers", "holes", 0): (4, 7),
        ("answers", "holes", 0, "thread"): (4, 8),
        ("answers", "holes", 0, "depth"): (4, 20),
    }


def test_place_of_what_is_not_written_is_that_of_the_nearest_entry_above() -> None:
    document = parse_yaml("case: J\nanswers:\n  holes: []\n", "f")
    assert document.place(("answers", "holes", 3, "depth")) == (3, 3)
    assert document.place(("nothing",)) == (1, 1)
    assert Document("f", {}, {}).place(()) == (1, 1)


def test_positions_are_counted_in_characters() -> None:
    assert parse_yaml("ö: {ü: 1, é: 2}", "f").positions["ö", "é"] == (1, 11)


def test_names_of_fields_count_members_from_one() -> None:
    assert field_name(("answers", "holes", 0, "depth")) == "answers.holes[1].depth"
    assert field_name(()) == ""


REFUSED = [
    ("", "f: found an empty file; expected entries of the form `key: value`"),
    ("# only a remark\n", "f: found an empty file; expected entries of the form `key: value`"),
    (
        "- a\n- b\n",
        "f:1:1: found a bare value or a list at the top; expected entries of the form `key: value`",
    ),
    (
        "just words",
        "f:1:1: found a bare value or a list at the top; expected entries of the form `key: value`",
    ),
    (
        "a: 1\nb: 2\na: 3\n",
        'f:3:1: found the key "a" a second time (first in line 1); expected each key once',
    ),
    (
        "t: {b: 1, b: 2}",
        'f:1:11: t: found the key "b" a second time (first in line 1); expected each key once',
    ),
    ("a: &x 1", "f:1:4: a: found the anchor &x; expected values without anchors"),
    ("a: *x", "f:1:4: a: found the alias *x; expected the value written out in full"),
    (
        "a: !!python/name:os.system x",
        "f:1:4: a: found the tag tag:yaml.org,2002:python/name:os.system; "
        "expected values without tags",
    ),
    ("a: ! x", "f:1:4: a: found the tag !; expected values without tags"),
    (
        "a: 1\n---\nb: 2\n",
        "f:2:1: found a second document; expected one document in a file, no `---` after it",
    ),
    ("a: \x1b[31m", "f:1:4: found the control character U+001B; expected printable text"),
    ('a: "\\0"', "f:1:4: a: found the control character U+0000; expected printable text"),
    ("? [a]\n: b\n", "f:1:3: found a list or mapping as a key; expected a single word as a key"),
    ("~: 3", "f:1:1: found an entry without a name; expected `key: value`"),
    (
        "a: b: c",
        "f:1:5: found broken YAML (mapping values are not allowed in this context); "
        "expected `key: value`, and quotes around a text with `: ` in it",
    ),
    (
        "a:\n\tb: 1",
        "f:2:1: found broken YAML (found character that cannot start any token); expected spaces "
        "in place of tabs, and quotes around a text that starts with @, %, ` or a tab",
    ),
    (
        "a: 'x",
        "f:1:6: found broken YAML (found unexpected end of stream); expected the closing quote",
    ),
    (
        "a: [1, 2",
        "f:2:1: found broken YAML (did not find expected ',' or ']'); "
        "expected a closing bracket, and commas between the members",
    ),
    (
        "a:\n  b: 1\n c: 2\n",
        "f:3:2: found broken YAML (did not find expected key); "
        "expected entries of one mapping indented alike",
    ),
]


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_refused_with_place_and_remedy(text: str, message: str) -> None:
    with pytest.raises(YamlProblem) as caught:
        parse_yaml(text, "f")
    assert str(caught.value) == message


@pytest.mark.parametrize("text", [text for text, _ in REFUSED])
def test_the_pure_loader_refuses_the_same(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yaml_text, "_LOADER", yaml.SafeLoader)
    with pytest.raises(YamlProblem):
        parse_yaml(text, "f")


@pytest.mark.parametrize("escape", [r"\uD800", r"\UFFFFFFFF", r"\x7F"])
@pytest.mark.parametrize("loader", [yaml.SafeLoader, yaml_text._LOADER])
def test_impossible_characters_in_escapes(
    escape: str, loader: type, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(yaml_text, "_LOADER", loader)
    with pytest.raises(YamlProblem):
        parse_yaml(f'a: "{escape}"', "f")


def test_depth_is_limited() -> None:
    parse_yaml("a: " + "[" * 19 + "]" * 19, "f")
    with pytest.raises(YamlProblem, match="found more than 20 levels"):
        parse_yaml("a: " + "[" * 20 + "]" * 20, "f")
    with pytest.raises(YamlProblem):
        parse_yaml("a: " + "[" * 500_000, "f")


def test_size_is_limited(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_text("a: " + "x" * 100, encoding="utf-8")
    with pytest.raises(YamlProblem, match="found more than 50 bytes; expected a file of at most"):
        read_yaml(path, 50)
    with pytest.raises(YamlProblem, match="found 103 characters"):
        parse_yaml("a: " + "x" * 100, "f", 50)


def test_bytes_that_are_not_utf8(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes("a: ü\nbü: ".encode() + "ü".encode("latin-1"))
    with pytest.raises(YamlProblem) as caught:
        read_yaml(path)
    assert caught.value.message == (
        f"{path}:2:5: found the byte 0xfc, which is not UTF-8; expected a text file saved as UTF-8"
    )


def test_a_byte_order_mark_and_windows_line_ends_do_not_matter(tmp_path: Path) -> None:
    path = tmp_path / "windows.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    document = read_yaml(path)
    assert document.data == {"a": "1", "b": "2"}
    assert document.positions["b",] == (2, 1)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(YamlProblem, match="found no such file or directory; expected a YAML file"):
        read_yaml(tmp_path / "absent.yaml")
    with pytest.raises(YamlProblem, match="found is a directory"):
        read_yaml(tmp_path)


plain_data = st.recursive(
    st.text(max_size=8).filter(lambda text: not yaml_text._FORBIDDEN.search(text)),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text("abc", min_size=1), inner, max_size=3)
    ),
    max_leaves=10,
)


@given(st.dictionaries(st.text("abcxyz", min_size=1), plain_data, min_size=1, max_size=4))
def test_reads_back_what_a_yaml_writer_wrote(data: dict[str, object]) -> None:
    text = yaml.safe_dump(data, default_style='"')
    assert parse_yaml(text, "f").data == data


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_by_both_loaders(text: str) -> None:
    results = []
    for loader in (yaml.SafeLoader, yaml_text._LOADER):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(yaml_text, "_LOADER", loader)
            try:
                results.append(parse_yaml(text, "f").data)
            except YamlProblem:
                results.append(None)
    # The two parsers differ in a few corners of the language, never in what they read.
    assert None in results or results[0] == results[1]
