"""A checked rule book kept between runs, so that a start does not read and check it all again.

The key is the digest of every rule and knowledge file together with the versions of program and
Python: any change of a single byte makes a new entry. The cache lives in the user's own cache
folder, is written whole or not at all, and losing it costs a second at most.
"""

from __future__ import annotations

import contextlib
import copyreg
import dataclasses
import gc
import io
import os
import pickle
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

import platformdirs

from advisor import __version__
from advisor.reasoning import conditions
from advisor.reasoning.rules import Effect, SourceRef
from advisor.reasoning.tables import Knowledge, Table

_KEPT = 4
"""Entries that stay; older ones are removed."""


def _proxy(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(entries)


def _reduce_proxy(proxy: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _proxy, (dict(proxy),)


copyreg.pickle(MappingProxyType, _reduce_proxy)

_CONDITIONS = frozenset(
    (conditions.Test, conditions.Known, conditions.All, conditions.Any, conditions.Not)
)
_OFTEN_ALIKE = _CONDITIONS | {Effect, SourceRef}
"""Small things of which rules have many that are equal: each is kept once."""


class _Tables(Mapping[str, Table]):
    """Tables of which each is unpickled when it is first asked for: a run needs few of them."""

    def __init__(self, packed: Mapping[str, bytes]) -> None:
        self._packed = packed
        self._opened: dict[str, Table] = {}

    def __getitem__(self, name: str) -> Table:
        if name not in self._opened:
            self._opened[name] = pickle.loads(self._packed[name])
        return self._opened[name]

    def __contains__(self, name: object) -> bool:
        return name in self._packed

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


class _Packer(pickle.Pickler):
    """Pickles so that reading is quick; writing is rare."""

    def __init__(self, file: Any) -> None:
        super().__init__(file, protocol=pickle.HIGHEST_PROTOCOL)
        self._seen: dict[Any, Any] = {}

    def reducer_override(self, kept: Any) -> Any:
        """How things are kept for which the usual way is slow to read or not there."""
        kind = type(kept)
        if kind is Knowledge:
            tables = {name: packed(table) for name, table in kept.tables.items()}
            return Knowledge, (_Tables(tables), kept.sources)
        if kind in _OFTEN_ALIKE and (first := self._seen.setdefault(kept, kept)) is not kept:
            return _itself, (first,)
        if kind in _CONDITIONS:  # a constructor fills slots quicker than unpickling does
            return kind, tuple(getattr(kept, field.name) for field in dataclasses.fields(kind))
        return NotImplemented


def _itself(kept: Any) -> Any:
    return kept


def packed(kept: object) -> bytes:
    """Something as it is kept."""
    file = io.BytesIO()
    _Packer(file).dump(kept)
    return file.getvalue()


def cache_folder() -> Path | None:
    """Where rule books are kept; None where caching is turned off."""
    if os.environ.get("CRACKWRIGHT_NO_CACHE"):
        return None
    return Path(platformdirs.user_cache_dir("crackwright", appauthor=False))


def _entry(folder: Path, digest: str) -> Path:
    python = f"{sys.version_info.major}{sys.version_info.minor}"
    return folder / f"rulebook-{__version__}-py{python}-{digest}.pickle"


def recall(digest: str) -> Any | None:
    """The rule book of this digest, or None."""
    folder = cache_folder()
    if folder is None:
        return None
    try:
        content = _entry(folder, digest).read_bytes()
        with _no_garbage_collection():
            return pickle.loads(content)
    except Exception:  # a cache that cannot be read is as good as none
        return None


@contextlib.contextmanager
def _no_garbage_collection() -> Iterator[None]:
    """A rule book is many small things that stay: looking for garbage among them is in vain."""
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
        gc.freeze()
    finally:
        if enabled:
            gc.enable()


def keep(digest: str, rulebook: object) -> None:
    """Keep a rule book; a folder that cannot be written is left alone."""
    folder = cache_folder()
    if folder is None:
        return
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(packed(rulebook))
            Path(name).replace(_entry(folder, digest))
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        _sweep(folder)


def _sweep(folder: Path) -> None:
    entries = sorted(folder.glob("rulebook-*.pickle"), key=lambda p: p.stat().st_mtime)
    for old in entries[:-_KEPT]:
        old.unlink(missing_ok=True)
