"""A checked rule book kept between runs, so that a start does not read and check it all again.

The key is the digest of every rule and knowledge file together with the versions of program and
Python: any change of a single byte makes a new entry. The cache lives in the user's own cache
folder, is written whole or not at all, and losing it costs a quarter of a second.
"""

from __future__ import annotations

import contextlib
import copyreg
import os
import pickle
import sys
import tempfile
from pathlib import Path
from types import MappingProxyType
from typing import Any

import platformdirs

from advisor import __version__

_KEPT = 4
"""Entries that stay; older ones are removed."""


def _proxy(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(entries)


def _reduce_proxy(proxy: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _proxy, (dict(proxy),)


copyreg.pickle(MappingProxyType, _reduce_proxy)


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
        with _entry(folder, digest).open("rb") as file:
            return pickle.load(file)
    except Exception:  # a cache that cannot be read is as good as none
        return None


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
                pickle.dump(rulebook, file, protocol=pickle.HIGHEST_PROTOCOL)
            Path(name).replace(_entry(folder, digest))
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        _sweep(folder)


def _sweep(folder: Path) -> None:
    entries = sorted(folder.glob("rulebook-*.pickle"), key=lambda p: p.stat().st_mtime)
    for old in entries[:-_KEPT]:
        old.unlink(missing_ok=True)
