"""Progress on disk: nothing that was reported kept is lost, whatever happens to the program."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from advisor.case.problems import InputProblem
from advisor.practice.decisions import Mark
from advisor.practice.exercise import Exercise, to_text
from advisor.practice.marking import Result
from advisor.practice.progress import by_rule, by_subject, to_csv
from advisor.practice.repetition import DAYS, Card, reviewed
from advisor.practice.store import VERSION, Store, checked_name

from .conftest import environment

TODAY = date(2026, 3, 2)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "progress" / "practice.sqlite3"


@pytest.fixture
def store(path: Path) -> Store:
    return Store(path)


def mark(decision: str, standing: str, *rules: str) -> Mark:
    points = 4.0 if standing == "right" else 0.0
    return Mark(decision, decision, "this", "that", standing, points, 4.0, "", rules)  # type: ignore[arg-type]


def done(store: Store, exercise: Exercise, person: str, *marks: Mark, today: date = TODAY) -> None:
    store.begin(person, [exercise], "rules")
    attempt = store.unfinished(person)
    assert attempt is not None
    assert store.finish(attempt.id, Result(marks), exercise.rule, today)


# --- an exercise ----------------------------------------------------------------------------------


def test_an_exercise_is_kept_decision_by_decision(store: Store, exercise: Exercise) -> None:
    store.begin("Kim", [exercise], "rules")
    attempt = store.unfinished("Kim")
    assert attempt is not None
    assert attempt.exercise == to_text(exercise)
    store.keep(attempt.id, "verdict", ("refer",))
    store.keep(attempt.id, "approvals", ("owner", "insurer"))
    again = Store(store.path).unfinished("kim")  # another window; names are told apart loosely
    assert again is not None
    assert again.taken == {"verdict": ("refer",), "approvals": ("owner", "insurer")}
    assert Store(store.path).unfinished("Robin") is None


def test_a_finished_exercise_is_closed_once(store: Store, exercise: Exercise) -> None:
    store.begin("Kim", [exercise], "rules")
    attempt = store.unfinished("Kim")
    assert attempt is not None
    result = Result((mark("verdict", "right", "a.rule"),))
    assert store.finish(attempt.id, result, "a.rule", TODAY)
    assert not store.finish(attempt.id, result, "a.rule", TODAY)  # the other window was first
    store.keep(attempt.id, "verdict", ("repair",))  # and its late answer changes nothing
    assert store.unfinished("Kim") is None
    assert store.done("Kim") == [exercise.key]
    assert len(store.rows("Kim")) == 1


def test_exercises_that_belong_together_come_in_order(store: Store, exercise: Exercise) -> None:
    store.begin("Kim", [replace(exercise, key="x/a"), replace(exercise, key="x/b")], "rules")
    first = store.unfinished("Kim")
    assert first is not None
    assert json.loads(first.exercise)["key"] == "x/a"
    store.drop(first.id)
    second = store.unfinished("Kim")
    assert second is not None
    assert json.loads(second.exercise)["key"] == "x/b"


def test_class_sets_are_kept_apart(store: Store, exercise: Exercise) -> None:
    store.begin("Kim", [exercise], "rules", "evening/4")
    assert store.unfinished("Kim") is None
    assert store.unfinished("Kim", "evening/4") is not None


def test_a_person_can_be_forgotten(store: Store, exercise: Exercise) -> None:
    done(store, exercise, "Kim", mark("verdict", "wrong", "a.rule"))
    done(store, exercise, "Robin", mark("verdict", "right", "a.rule"))
    assert store.people() == ["Kim", "Robin"]
    assert store.forget("Kim") == 1
    assert store.people() == ["Robin"]
    assert store.rows("Kim") == []
    assert store.cards("Kim") == []
    assert b"Kim" not in store.path.read_bytes()


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x00b", "a\x1b[31m"])
def test_names_that_cannot_be_kept(name: str) -> None:
    with pytest.raises(InputProblem):
        checked_name(name)


def test_names_are_kept_plain() -> None:
    assert checked_name("  Ana  María ") == "Ana María"


# --- spaced repetition ----------------------------------------------------------------------------


def test_a_missed_rule_comes_back_today_and_then_later_and_later() -> None:
    cards: dict[str, Card] = {}
    today = TODAY
    [card] = reviewed(cards, "a", [], ["a"], today)
    assert (card.box, card.due, card.missed) == (0, today, 1)
    for days in DAYS[1:]:
        [card] = reviewed({"a": card}, "b", ["a"], [], today)
        assert card.due == today + timedelta(days=days)
        today = card.due
    [card] = reviewed({"a": card}, "b", ["a"], [], today)
    assert card.due == today + timedelta(days=DAYS[-1])
    [card] = reviewed({"a": card}, "b", ["a"], ["a"], today)
    assert (card.box, card.due) == (0, today)  # a miss counts, whatever else was right


def test_rules_go_into_their_boxes(store: Store, exercise: Exercise) -> None:
    marks = (
        mark("verdict", "wrong", "rule.one"),
        mark("method", "right", "rule.two", exercise.rule),
        mark("pin", "defensible", "rule.three"),
    )
    done(store, exercise, "Kim", *marks)
    boxes = {card.rule: card.box for card in store.cards("Kim")}
    assert boxes == {"rule.one": 0, exercise.rule: 1}
    assert next(iter(store.cards("Kim"))).rule == "rule.one"  # soonest due first


# --- tables ---------------------------------------------------------------------------------------


def test_progress_by_rule_and_subject(store: Store, exercise: Exercise) -> None:
    done(store, exercise, "Kim", mark("verdict", "right", "a.a"), mark("method", "wrong", "b.b"))
    done(store, exercise, "Kim", mark("method", "dangerous", "b.b"))
    rows = store.rows("Kim")
    [subject] = by_subject(rows)
    assert (subject.name, subject.decisions, subject.right) == (exercise.subject, 3, 1)
    assert [(one.name, one.right, one.dangerous) for one in by_rule(rows)] == [
        ("b.b", 0, 1),
        ("a.a", 1, 0),
    ]


def test_the_table_for_teachers_runs_nothing(store: Store, exercise: Exercise) -> None:
    done(store, exercise, "=cmd()", mark("verdict", "right", "a.a"))
    lines = to_csv(store.rows()).splitlines()
    assert lines[0].startswith("person,finished,class_set,exercise,level,stage,subject,rule")
    assert lines[1].startswith("'=cmd(),")


# --- files that are none --------------------------------------------------------------------------


def test_a_file_that_is_no_store_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "practice.sqlite3"
    path.write_bytes(b"this is no database, but it is somebody's file\n" * 50)
    before = path.read_bytes()
    with pytest.raises(InputProblem) as wrong:
        Store(path)
    assert wrong.value.file == str(path)
    assert path.read_bytes() == before


def test_a_store_of_a_newer_version_is_left_alone(store: Store) -> None:
    with sqlite3.connect(store.path) as connection:
        connection.execute(f"PRAGMA user_version = {VERSION + 1}")
    connection.close()
    with pytest.raises(InputProblem, match="newer"):
        Store(store.path)


def test_a_place_that_cannot_be_used_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("a file, and no folder")
    with pytest.raises(InputProblem):
        Store(tmp_path / "file" / "practice.sqlite3")


# --- crashes and two windows ----------------------------------------------------------------------

KILLED = """
import os, random, signal, sys, time
from pathlib import Path
from advisor.practice.store import Store

path, text, times = Path(sys.argv[1]), sys.stdin.read(), int(sys.argv[2])
store = Store(path)
class Kept:
    key = rule = stage = subject = level = "x"
import advisor.practice.store as module
module.to_text = lambda exercise: text
for round_ in range(times):
    person = f"round {round_}"
    store.begin(person, [Kept()], "rules")
    attempt = store.unfinished(person).id
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        number = 0
        while True:
            store.keep(attempt, f"decision {number}", (str(number),))
            os.write(writing, f"{number}\\n".encode())  # reported kept
            number += 1
    os.close(writing)
    first = os.read(reading, 4)  # the writing has begun
    time.sleep(random.Random(round_).uniform(0.0, 0.03))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    told = first
    while more := os.read(reading, 65536):
        told += more
    os.close(reading)
    reported = told.decode().split("\\n")[:-1]
    taken = Store(path).unfinished(person).taken
    lost = [one for one in reported if taken.get(f"decision {one}") != (one,)]
    print(len(reported), len(taken), len(lost))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_kill_9_in_the_middle_of_writing_loses_nothing_reported(
    path: Path, exercise: Exercise
) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", KILLED, str(path), "20"],
        input=to_text(exercise),
        capture_output=True,
        text=True,
        env=environment(),
        timeout=120,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    rounds = [tuple(map(int, line.split())) for line in ended.stdout.splitlines()]
    assert len(rounds) == 20
    assert all(reported > 0 and lost == 0 for reported, _, lost in rounds)
    assert all(taken - reported in (0, 1) for reported, taken, _ in rounds)  # one may be on its way
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


WRITES = """
import sys
from pathlib import Path
from advisor.practice.store import Store
import advisor.practice.store as module

class Kept:
    key = rule = stage = subject = level = "x"
module.to_text = lambda exercise: "{}"
store = Store(Path(sys.argv[1]))
for number in range(60):
    store.begin(sys.argv[2], [Kept()], "rules", str(number))
    attempt = store.unfinished(sys.argv[2], str(number)).id
    store.keep(attempt, "verdict", (str(number),))
"""


def test_two_windows_write_at_once(path: Path) -> None:
    """Both begin with no file at all, and neither loses or delays the other for good."""
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITES, str(path), person],
            env=environment(),
            stderr=subprocess.PIPE,
            text=True,
        )
        for person in ("Kim", "Robin")
    ]
    for writer in writers:
        _, said = writer.communicate(timeout=120)
        assert writer.returncode == 0, said
    store = Store(path)
    for person in ("Kim", "Robin"):
        for number in range(60):
            attempt = store.unfinished(person, str(number))
            assert attempt is not None
            assert attempt.taken == {"verdict": (str(number),)}


def test_a_step_that_fails_changes_nothing(
    store: Store, exercise: Exercise, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Marks and boxes go to disk together or not at all."""
    store.begin("Kim", [exercise], "rules")
    attempt = store.unfinished("Kim")
    assert attempt is not None

    def fail(*_: object) -> None:
        raise RuntimeError("the lights go out")

    broken: Callable[..., None] = fail
    monkeypatch.setattr(Store, "_review", staticmethod(broken))
    with pytest.raises(RuntimeError):
        store.finish(attempt.id, Result((mark("verdict", "wrong", "a.a"),)), "a.a", TODAY)
    assert store.unfinished("Kim") is not None
    assert store.rows("Kim") == []
    assert store.cards("Kim") == []
