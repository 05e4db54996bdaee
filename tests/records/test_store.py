"""The store of records: append-only, chained, and safe against a process that is killed."""

from __future__ import annotations

import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from advisor.records.store import GENESIS, Store, StoreProblem

WRITER = """
import sys
from pathlib import Path
from advisor.records.store import Store
store = Store(Path(sys.argv[1]))
n = 0
while True:
    entry = store.keep("result", "J-1", {"n": n, "fill": "x" * 400})
    print(entry.seq, entry.hash, flush=True)
    n += 1
"""

KILLS = 200


def test_entries_are_chained_in_order(tmp_path: Path) -> None:
    store = Store(tmp_path / "jobs.sqlite")
    first = store.keep("job", "J-1", {"title": "é, 漢字, <b>"})
    second = store.keep("result", "J-1", {"what": "wall", "value": "6.2 mm"})
    assert first.previous == GENESIS
    assert second.previous == first.hash
    assert [entry.seq for entry in store.entries()] == [1, 2]
    assert [entry.kind for entry in store.entries(kind="result")] == ["result"]
    assert store.verify() is None


@pytest.mark.parametrize("statement", ["UPDATE entries SET document = '{}'", "DELETE FROM entries"])
def test_entries_are_never_changed(tmp_path: Path, statement: str) -> None:
    store = Store(tmp_path / "jobs.sqlite")
    store.keep("job", "J-1", {"title": "t"})
    with (
        closing(sqlite3.connect(store.path)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="never"),
    ):
        connection.execute(statement)


@pytest.mark.parametrize(
    ("statement", "seq", "what"),
    [
        ("UPDATE entries SET document = '{}' WHERE seq = 2", 2, "was changed after it was kept"),
        ("UPDATE entries SET kept_at = 'x' WHERE seq = 1", 1, "was changed after it was kept"),
        ("DELETE FROM entries WHERE seq = 2", 2, "is not there"),
        (
            "UPDATE entries SET previous = 'x' WHERE seq = 3",
            3,
            "is not chained to the entry before it",
        ),
    ],
)
def test_a_change_behind_its_back_is_found(
    tmp_path: Path, statement: str, seq: int, what: str
) -> None:
    store = Store(tmp_path / "jobs.sqlite")
    for number in range(3):
        store.keep("result", "J-1", {"n": number})
    with closing(sqlite3.connect(store.path, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER entries_never_change")
        connection.execute("DROP TRIGGER entries_never_go")
        connection.execute(statement)
    broken = store.verify()
    assert broken is not None
    assert (broken.seq, broken.what) == (seq, what)


def test_a_file_that_is_no_store_is_refused_untouched(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear owner, " * 200)
    before = path.read_bytes()
    with pytest.raises(StoreProblem, match=re.escape(str(path))):
        Store(path)
    assert path.read_bytes() == before


def test_two_writers_wait_for_one_another(tmp_path: Path) -> None:
    path = tmp_path / "jobs.sqlite"
    Store(path)

    def write(name: str) -> None:
        store = Store(path)
        for number in range(25):
            store.keep("result", name, {"n": number})

    writers = [threading.Thread(target=write, args=(f"J-{n}",)) for n in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    store = Store(path)
    assert len(list(store.entries())) == 100
    assert store.verify() is None


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a kill that cannot be caught")
def test_nothing_reported_as_kept_is_lost_when_the_writer_is_killed(tmp_path: Path) -> None:
    path = tmp_path / "jobs.sqlite"
    chance = random.Random(20261125)
    kept: dict[int, str] = {}
    for _ in range(KILLS):
        kept.update(_write_until_killed(path, chance.uniform(0.0, 0.02)))
    store = Store(path)
    held = {entry.seq: entry.hash for entry in store.entries()}
    assert {seq: held.get(seq) for seq in kept} == kept
    assert store.verify() is None
    assert len(kept) > KILLS


def _write_until_killed(path: Path, after: float) -> dict[int, str]:
    """Start a writer, let it keep at least one entry, kill it in mid-write; what it reported."""
    with subprocess.Popen(
        [sys.executable, "-S", "-c", WRITER, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ) as writer:
        assert writer.stdout is not None
        first = writer.stdout.readline()
        timer = threading.Timer(after, writer.kill)
        timer.start()
        rest = writer.stdout.read()
        timer.join()
    lines = [line.split() for line in (first + rest).splitlines()]
    return {int(line[0]): line[1] for line in lines if len(line) == 2 and len(line[1]) == 64}
