"""What each person has practised, in one SQLite file of this computer.

Every answer is on disk before it is reported as kept (write-ahead log, full synchronisation), and
an exercise is closed in one step with its marks and with the rules that come back. Two windows
wait for one another. Names never leave the file, except in a table that somebody asks for.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import platformdirs

from advisor.case.problems import InputProblem
from advisor.light_dataclass import dataclass
from advisor.practice.decisions import Given, Mark
from advisor.practice.exercise import Exercise, to_text
from advisor.practice.marking import Result
from advisor.practice.repetition import Card, reviewed

VERSION = 1
BUSY_MS = 20_000
LONGEST_NAME = 60

_SCHEMA = """
CREATE TABLE IF NOT EXISTS attempts (
    id INTEGER PRIMARY KEY,
    person TEXT NOT NULL COLLATE NOCASE,
    class_set TEXT NOT NULL,
    key TEXT NOT NULL,
    rule TEXT NOT NULL,
    stage TEXT NOT NULL,
    subject TEXT NOT NULL,
    level TEXT NOT NULL,
    exercise TEXT NOT NULL,
    rulebook TEXT NOT NULL,
    started TEXT NOT NULL,
    finished TEXT,
    points REAL,
    out_of REAL,
    dangerous INTEGER
);
CREATE INDEX IF NOT EXISTS attempts_by_person ON attempts (person, finished);
CREATE TABLE IF NOT EXISTS answers (
    attempt INTEGER NOT NULL REFERENCES attempts (id) ON DELETE CASCADE,
    decision TEXT NOT NULL,
    given TEXT NOT NULL,
    at TEXT NOT NULL,
    PRIMARY KEY (attempt, decision)
);
CREATE TABLE IF NOT EXISTS marks (
    attempt INTEGER NOT NULL REFERENCES attempts (id) ON DELETE CASCADE,
    decision TEXT NOT NULL,
    given TEXT NOT NULL,
    advised TEXT NOT NULL,
    standing TEXT NOT NULL,
    points REAL NOT NULL,
    out_of REAL NOT NULL,
    rules TEXT NOT NULL,
    PRIMARY KEY (attempt, decision)
);
CREATE TABLE IF NOT EXISTS cards (
    person TEXT NOT NULL COLLATE NOCASE,
    rule TEXT NOT NULL,
    box INTEGER NOT NULL,
    due TEXT NOT NULL,
    right INTEGER NOT NULL,
    missed INTEGER NOT NULL,
    PRIMARY KEY (person, rule)
);
"""


@dataclass(frozen=True)
class Attempt:
    """An exercise that somebody has begun.

    Attributes:
        id: its number.
        person: who.
        class_set: the class set it belongs to, or empty.
        exercise: the exercise as text.
        rulebook: digest of the rules under which it was begun.
        taken: the decisions taken so far.
    """

    id: int
    person: str
    class_set: str
    exercise: str
    rulebook: str
    taken: dict[str, Given]


@dataclass(frozen=True)
class Row:
    """One decision of a finished exercise, for whoever teaches."""

    person: str
    finished: str
    class_set: str
    exercise: str
    level: str
    stage: str
    subject: str
    rule: str
    decision: str
    given: str
    advised: str
    standing: str
    points: float
    out_of: float
    rules: str


def default_path() -> Path:
    """Where progress is kept on this computer."""
    folder = platformdirs.user_data_dir("crackwright", appauthor=False)
    return Path(folder) / "practice.sqlite3"


def checked_name(name: str) -> str:
    """A person's name as it is kept.

    Raises:
        InputProblem: it is empty, too long, or holds what cannot be printed.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
        raise InputProblem(
            f'the name "{plain[:20]}"', f"1 to {LONGEST_NAME} printable characters", field="person"
        )
    return plain


class Store:
    """The progress of everybody who practises on this computer."""

    def __init__(self, path: Path) -> None:
        """Open the store; it is made on first use.

        Raises:
            InputProblem: the file is no such store, or cannot be used.
        """
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.touch(mode=0o600)  # names are for their owner's eyes
        except OSError as error:
            raise InputProblem(
                str(error.strerror).lower(), "a place for progress", file=str(path)
            ) from None
        with self._writing() as connection:
            version = connection.execute("PRAGMA user_version").fetchone()[0]
            if version > VERSION:
                raise InputProblem(
                    f"progress kept by a newer version ({version})",
                    f"version {VERSION} or older; use the newer program",
                    file=str(path),
                )
            for statement in _SCHEMA.split(";\n"):
                if statement.strip():
                    connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {VERSION}")

    # --- people -----------------------------------------------------------------------------

    def people(self) -> list[str]:
        """Everybody who has practised, in order of name."""
        with self._connection() as connection:
            rows = connection.execute("SELECT person FROM attempts GROUP BY person ORDER BY person")
            return [row[0] for row in rows]

    def forget(self, person: str) -> int:
        """Take a person and everything about them out; how many exercises that were."""
        with self._writing() as connection:
            done = connection.execute("DELETE FROM attempts WHERE person = ?", (person,))
            connection.execute("DELETE FROM cards WHERE person = ?", (person,))
            return done.rowcount

    # --- an exercise ------------------------------------------------------------------------

    def begin(
        self, person: str, exercises: Sequence[Exercise], rulebook: str, class_set: str = ""
    ) -> None:
        """Begin exercises that belong together, to be done in this order."""
        rows = [
            (
                person, class_set, one.key, one.rule, one.stage, one.subject, one.level,
                to_text(one), rulebook, _now(),
            )
            for one in exercises
        ]  # fmt: skip
        with self._writing() as connection:
            connection.executemany(
                "INSERT INTO attempts (person, class_set, key, rule, stage, subject, level, "
                "exercise, rulebook, started) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                rows,
            )

    def unfinished(self, person: str, class_set: str = "") -> Attempt | None:
        """The first exercise that a person has begun and not finished."""
        with self._connection() as connection:
            row = connection.execute(
                "SELECT id, person, class_set, exercise, rulebook FROM attempts WHERE person = ? "
                "AND class_set = ? AND finished IS NULL ORDER BY id LIMIT 1",
                (person, class_set),
            ).fetchone()
            if row is None:
                return None
            given = connection.execute(
                "SELECT decision, given FROM answers WHERE attempt = ?", (row[0],)
            )
            taken = {name: tuple(json.loads(text)) for name, text in given}
            return Attempt(row[0], row[1], row[2], row[3], row[4], taken)

    def keep(self, attempt: int, decision: str, given: Given) -> None:
        """Keep a decision; when this returns it is on disk."""
        with self._writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO answers SELECT id, ?, ?, ? FROM attempts "
                "WHERE id = ? AND finished IS NULL",
                (decision, json.dumps(list(given)), _now(), attempt),
            )

    def drop(self, attempt: int) -> None:
        """Give an unfinished exercise up."""
        with self._writing() as connection:
            connection.execute("DELETE FROM attempts WHERE id = ? AND finished IS NULL", (attempt,))

    def finish(self, attempt: int, result: Result, made_for: str, today: date) -> bool:
        """Close an exercise with its marks and put its rules into their boxes, in one step.

        Returns:
            whether it was still open; another window may have closed it.
        """
        with self._writing() as connection:
            open_one = connection.execute(
                "SELECT person FROM attempts WHERE id = ? AND finished IS NULL", (attempt,)
            ).fetchone()
            if open_one is None:
                return False
            connection.execute(
                "UPDATE attempts SET finished = ?, points = ?, out_of = ?, dangerous = ? "
                "WHERE id = ?",
                (_now(), result.points, result.out_of, len(result.dangerous), attempt),
            )
            connection.executemany(
                "INSERT INTO marks VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                [_mark_row(attempt, mark) for mark in result.marks],
            )
            self._review(connection, open_one[0], result, made_for, today)
        return True

    @staticmethod
    def _review(
        connection: sqlite3.Connection, person: str, result: Result, made_for: str, today: date
    ) -> None:
        cards = {card.rule: card for card in _cards(connection, person)}
        right, missed = result.rules(missed=False), result.rules(missed=True)
        for card in reviewed(cards, made_for, right, missed, today):
            connection.execute(
                "INSERT OR REPLACE INTO cards VALUES (?, ?, ?, ?, ?, ?)",
                (person, card.rule, card.box, card.due.isoformat(), card.right, card.missed),
            )

    # --- what has been done -------------------------------------------------------------------

    def cards(self, person: str) -> list[Card]:
        """How well a person knows each rule that came up, soonest due first."""
        with self._connection() as connection:
            return list(_cards(connection, person))

    def done(self, person: str, class_set: str = "") -> list[str]:
        """Keys of the exercises that a person has finished, in order."""
        with self._connection() as connection:
            rows = connection.execute(
                "SELECT key FROM attempts WHERE person = ? AND class_set = ? "
                "AND finished IS NOT NULL ORDER BY id",
                (person, class_set),
            )
            return [row[0] for row in rows]

    def rows(self, person: str | None = None) -> list[Row]:
        """Every decision of every finished exercise, of one person or of all."""
        with self._connection() as connection:
            found = connection.execute(
                "SELECT a.person, a.finished, a.class_set, a.key, a.level, a.stage, a.subject, "
                "a.rule, m.decision, m.given, m.advised, m.standing, m.points, m.out_of, m.rules "
                "FROM attempts a JOIN marks m ON m.attempt = a.id "
                "WHERE ?1 IS NULL OR a.person = ?1 ORDER BY a.id, m.rowid",
                (person,),
            )
            return [Row(*row) for row in found]

    # --- the file -----------------------------------------------------------------------------

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is on disk at its end, or nothing is changed."""
        with self._connection() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
            except BaseException:
                connection.execute("ROLLBACK")
                raise
            connection.execute("COMMIT")

    @contextmanager
    def _connection(self) -> Iterator[sqlite3.Connection]:
        try:
            connection = sqlite3.connect(self.path, timeout=BUSY_MS / 1000, isolation_level=None)
            try:
                connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
                connection.execute("PRAGMA journal_mode = WAL")
                connection.execute("PRAGMA synchronous = FULL")
                connection.execute("PRAGMA foreign_keys = ON")
                connection.execute("PRAGMA secure_delete = ON")
                yield connection
            finally:
                connection.close()
        except sqlite3.Error as error:
            raise InputProblem(
                str(error), "a file of practice progress that can be used", file=str(self.path)
            ) from None


def _cards(connection: sqlite3.Connection, person: str) -> Iterator[Card]:
    rows = connection.execute(
        "SELECT rule, box, due, right, missed FROM cards WHERE person = ? ORDER BY due, box, rule",
        (person,),
    ).fetchall()
    for rule, box, due, right, missed in rows:
        yield Card(rule, box, date.fromisoformat(due), right, missed)


def _mark_row(attempt: int, mark: Mark) -> tuple[object, ...]:
    return (
        attempt, mark.decision, mark.given, mark.advised, mark.standing, mark.points, mark.out_of,
        " ".join(mark.rules),
    )  # fmt: skip


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
