"""The filler as planned: whether it suits the metal and the process, and what it would cost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.case.problems import nearest
from advisor.reasoning.tables import Cell
from advisor.review.bench import Bench, Rests, Words, finding, listed, plain
from advisor.review.model import Item
from advisor.review.plan import PlannedHeat

_NAME = "heat.filler"


def judge_filler(bench: Bench, planned: PlannedHeat) -> Iterator[Item]:
    """The filler by its designation in the table of fillers."""
    word = bench.trial.word("filler")
    advised = None if word == "none" else word
    rests = bench.on_fact("filler") if advised else bench.on_fact("method")
    words = Words(planned.filler, advised)
    if planned.filler is None:
        if advised is not None:
            text = f"The plan names no filler; {advised} is asked for."
            words = replace(words, remedy=f"Name it: {advised}.")
            yield finding(_NAME, "missing", "query", rests, text, words)
        return
    row = _row(bench, planned.filler)
    if row is None:
        yield _not_held(bench, planned.filler, words, rests)
        return
    yield _judge_row(bench, row, words, rests)


def _row(bench: Bench, text: str) -> str | None:
    by_plain = {_plain(row): row for row in bench.book.knowledge.tables["fillers"].rows}
    return by_plain.get(_plain(text))


def _plain(text: str) -> str:
    letters = "".join(char for char in text.casefold() if char.isalnum())
    for standard in ("awsa515", "awsa58", "awsa510", "awsa51"):
        letters = letters.removeprefix(standard)
    return letters


def _not_held(bench: Bench, text: str, words: Words, rests: Rests) -> Item:
    rows = bench.book.knowledge.tables["fillers"].rows
    said = f"{text} is no designation that the table of fillers holds, so it is not judged"
    near = nearest(text, rows)
    remedy = "Name the filler by its designation in an open standard, such as ENi-CI."
    said += f"{near.replace('; did', '. Did') if near else '.'}"
    return finding(_NAME, "not_judged", "query", rests, said, replace(words, remedy=remedy))


def _words(cell: Cell | None) -> frozenset[str]:
    value = cell.value if cell else None
    return frozenset(value) if isinstance(value, tuple) else frozenset()


def _judge_row(bench: Bench, row: str, words: Words, rests: Rests) -> Item:
    cells = bench.book.knowledge.tables["fillers"].rows[row]
    material = bench.trial.word("material")
    suits, on = _words(cells.get("suits")), _on_cell(row, "suits", cells.get("suits"))
    remedy = f"Take {words.advised}." if words.advised else "Take the filler that suits the metal."
    words = replace(words, remedy=remedy)
    if material is not None and suits and material not in suits:
        text = f"{row} is for {listed(sorted(plain(one) for one in suits))}, not for "
        text += f"{plain(material)}. {_advised_because(bench, rests)}"
        return finding(_NAME, "contradicts", "stop", _both(rests, on), text.strip(), words)
    cadmium = cells.get("cadmium")
    if cadmium is not None and cadmium.value == "yes":
        text = f"{row} holds cadmium; its fume is poison, and it is barred here."
        return finding(_NAME, "contradicts", "stop", _on_cell(row, "cadmium", cadmium), text, words)
    wrong = _wrong_way(bench, row)
    if wrong is not None:
        on = _on_cell(row, "processes", cells.get("processes"))
        return finding(_NAME, "contradicts", "query", on, wrong, words)
    return _suits(bench, row, words, rests)


def _advised_because(bench: Bench, rests: Rests) -> str:
    return bench.because(rests.rule) if rests.basis == "rule" else ""


def _both(rests: Rests, on: Rests) -> Rests:
    """The rule that names the right filler, with the table that says what the wrong one is for."""
    if rests.basis != "rule":
        return on
    return replace(rests, sources=tuple(dict.fromkeys((*rests.sources, *on.sources))))


def _wrong_way(bench: Bench, row: str) -> str | None:
    """A filler of another process or kind than this method takes."""
    fillers = bench.book.knowledge.tables["fillers"].rows
    methods = bench.book.knowledge.tables["methods"].rows
    processes = _words(fillers[row].get("processes"))
    needs = _words(methods[bench.method or ""].get("needs_processes"))
    joining = needs & {"arc", "tig", "oxyfuel", "furnace"}
    if processes and joining and not processes & joining:
        return (
            f"{row} is used with {listed(sorted(processes))}; {plain(bench.method or '')} works "
            f"with {listed(sorted(joining))}."
        )
    advised = fillers.get(bench.trial.word("filler") or "")
    own, other = fillers[row].get("kind"), advised.get("kind") if advised else None
    if own and other and own.value != other.value:
        return f"{row} is a {plain(str(own.value))}; this method takes a {plain(str(other.value))}."
    return None


def _suits(bench: Bench, row: str, words: Words, rests: Rests) -> Item:
    cells = bench.book.knowledge.tables["fillers"].rows[row]
    machinable = cells.get("machinable")
    cut_later = bench.trial.word("machined_face_role") not in (None, "none")
    if machinable is not None and machinable.value == "no" and cut_later:
        text = f"{row} cannot be machined afterwards, and this face is."
        on = _on_cell(row, "machinable", machinable)
        return finding(_NAME, "contradicts", "query", on, text, words)
    words = replace(words, remedy="")
    note = cells.get("note")
    if row == words.advised:
        text = f"The rules name {row} as well."
        return finding(_NAME, "agrees", "note", rests, text, words)
    first = f"; the rules would take {words.advised} first" if words.advised else ""
    text = f"{row} suits this metal and method{first}."
    if note is not None:
        text += f" To remember: {note.value}."
    return finding(_NAME, "agrees", "note", rests, text, words)


def _on_cell(row: str, column: str, cell: Cell | None) -> Rests:
    return Rests(f"fillers {row} {column}", "table", (), cell.source if cell else ())
