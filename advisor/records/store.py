"""Finished jobs on file: one SQLite file, append-only, every entry chained to the one before.

Nothing is kept unless a person asks for it. An entry is on disk before it is reported as kept
(write-ahead log, full synchronisation), so that a power cut loses nothing that was reported; two
writers wait for one another. The chain of hashes shows any later change of an entry.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

from advisor.light_dataclass import dataclass

Kind = Literal["job", "result", "override", "sign_off"]
KINDS: tuple[Kind, ...] = ("job", "result", "override", "sign_off")

GENESIS = "0" * 64
"""What the first entry is chained to."""

BUSY_MS = 20_000

_SCHEMA = """
CREATE TABLE IF NOT EXISTS entries (
    seq INTEGER PRIMARY KEY,
    kept_at TEXT NOT NULL,
    kind TEXT NOT NULL,
    case_ref TEXT NOT NULL,
    document TEXT NOT NULL,
    previous TEXT NOT NULL,
    hash TEXT NOT NULL UNIQUE
);
CREATE INDEX IF NOT EXISTS entries_by_case ON entries (case_ref, seq);
CREATE TRIGGER IF NOT EXISTS entries_never_change BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER IF NOT EXISTS entries_never_go BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
"""


class StoreProblem(Exception):
    """A file that is no store of records, or one that cannot be used."""


@dataclass(frozen=True)
class Entry:
    """One entry.

    Attributes:
        seq: its number, from 1.
        kept_at: when it was kept, UTC, ISO 8601.
        kind: job (case and advice), result (as measured), override or sign_off.
        case_ref: the job's reference.
        document: what was kept.
        previous: hash of the entry before.
        hash: hash of this entry.
    """

    seq: int
    kept_at: str
    kind: Kind
    case_ref: str
    document: Mapping[str, Any]
    previous: str
    hash: str


@dataclass(frozen=True)
class Break:
    """Where the chain is broken, and how."""

    seq: int
    what: str


class Store:
    """The store in one file; made on first use."""

    def __init__(self, path: Path) -> None:
        """Open a store.

        Raises:
            StoreProblem: the file is no store, or cannot be opened.
        """
        self.path = path
        try:
            with self._connection() as connection:
                connection.executescript(_SCHEMA)
        except sqlite3.Error as error:
            raise StoreProblem(f"{path}: {error}") from None

    def keep(self, kind: Kind, case_ref: str, document: Mapping[str, Any]) -> Entry:
        """Append an entry; when this returns it is on disk.

        Raises:
            StoreProblem: it could not be kept; nothing was changed.
        """
        if kind not in KINDS:
            raise StoreProblem(f"found kind {kind!r}; expected one of {', '.join(KINDS)}")
        text = canonical(document)
        kept_at = datetime.now(UTC).isoformat(timespec="milliseconds")
        try:
            with self._connection() as connection:
                connection.execute("BEGIN IMMEDIATE")
                last = connection.execute(
                    "SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1"
                ).fetchone()
                seq, previous = (last[0] + 1, last[1]) if last else (1, GENESIS)
                digest = entry_hash(seq, kept_at, kind, case_ref, text, previous)
                connection.execute(
                    "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)",
                    (seq, kept_at, kind, case_ref, text, previous, digest),
                )
                connection.execute("COMMIT")
        except sqlite3.Error as error:
            raise StoreProblem(f"{self.path}: {error}; nothing was kept") from None
        return Entry(seq, kept_at, kind, case_ref, json.loads(text), previous, digest)

    def entries(self, *, case_ref: str | None = None, kind: Kind | None = None) -> Iterator[Entry]:
        """Entries in order, all or those of one job or kind."""
        query = "SELECT * FROM entries WHERE (?1 IS NULL OR case_ref = ?1) "
        query += "AND (?2 IS NULL OR kind = ?2) ORDER BY seq"
        with self._connection() as connection:
            for row in connection.execute(query, (case_ref, kind)):
                yield _entry(row)

    def verify(self) -> Break | None:
        """Walk the chain; the first entry that does not fit, or None."""
        previous, expected = GENESIS, 1
        with self._connection() as connection:
            for row in connection.execute("SELECT * FROM entries ORDER BY seq"):
                seq, kept_at, kind, case_ref, text, before, digest = row
                if seq != expected:
                    return Break(expected, "is not there")
                if before != previous:
                    return Break(seq, "is not chained to the entry before it")
                if entry_hash(seq, kept_at, kind, case_ref, text, before) != digest:
                    return Break(seq, "was changed after it was kept")
                previous, expected = digest, seq + 1
        return None

    @contextmanager
    def _connection(self) -> Iterator[sqlite3.Connection]:
        connection = sqlite3.connect(self.path, timeout=BUSY_MS / 1000, isolation_level=None)
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
            yield connection
        finally:
            connection.close()


def canonical(document: Mapping[str, Any]) -> str:
    """A document as text that is the same for the same content."""
    return json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def entry_hash(seq: int, kept_at: str, kind: str, case_ref: str, text: str, previous: str) -> str:
    """sha256 over an entry and the hash of the one before it."""
    parts = json.dumps([seq, kept_at, kind, case_ref, text, previous], ensure_ascii=False)
    return hashlib.sha256(parts.encode()).hexdigest()


def _entry(row: tuple[Any, ...]) -> Entry:
    seq, kept_at, kind, case_ref, text, previous, digest = row
    return Entry(seq, kept_at, kind, case_ref, json.loads(text), previous, digest)
