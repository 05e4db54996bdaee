"""``records …``: finished jobs on file, kept only where somebody asks for it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from advisor.cli.exits import Exit
from advisor.cli.shared import (
    CaseArgument,
    JsonOption,
    ShopOption,
    case_from,
    console,
    job_from,
    print_json,
    rulebook,
)

if TYPE_CHECKING:
    from advisor.records.store import Entry, Store

records_app = typer.Typer(
    help="Keep finished jobs in one file, and find them again.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
StoreOption = Annotated[
    Path, typer.Option("--store", metavar="FILE", help="The store; made when it is not there.")
]
ReferenceArgument = Annotated[str, typer.Argument(metavar="CASE", help="The job's reference.")]


def register(app: typer.Typer) -> None:
    """Add the commands of this group."""
    app.add_typer(records_app, name="records")


def _store(path: Path, *, there: bool = True) -> Store:
    from advisor.case.problems import InputProblem
    from advisor.records.store import Store, StoreProblem

    if there and not path.is_file():
        raise InputProblem("no such store", "a file that `records keep` made", file=str(path))
    try:
        return Store(path)
    except StoreProblem as problem:
        raise InputProblem(str(problem), "a store of records", field="--store") from None


@records_app.command(epilog="Example: crackwright records keep case.yaml --store jobs.sqlite")
def keep(case: CaseArgument, store: StoreOption, shop: ShopOption = None) -> None:
    """Keep a job: its answers, its advice, and the digest of the rule base."""
    from advisor.advice.advise import advise
    from advisor.records.jobs import job_document

    read, book = job_from(case, shop)
    document = job_document(read, advise(read, book))
    _say_kept(_store(store, there=False).keep("job", read.reference, document))


@records_app.command(
    epilog='Example: crackwright records result J-17 "pin 4 threads" "6.2" --by "A. B." '
    "--store jobs.sqlite"
)
def result(
    reference: ReferenceArgument,
    what: Annotated[str, typer.Argument(help="What was measured or found.")],
    value: Annotated[str, typer.Argument(help="The value as measured, with its unit.")],
    store: StoreOption,
    by: Annotated[str, typer.Option(help="Who measured it.")] = "",
) -> None:
    """Add a result as measured to a job."""
    _append(store, "result", reference, {"what": what, "value": value, "by": by})


@records_app.command(
    epilog="Example: crackwright records override J-17 stitch.long --reason … --by … "
    "--store jobs.sqlite"
)
def override(
    reference: ReferenceArgument,
    rule: Annotated[str, typer.Argument(metavar="RULE", help="The rule departed from.")],
    store: StoreOption,
    reason: Annotated[str, typer.Option(help="Why.")],
    by: Annotated[str, typer.Option(help="Who decided it.")],
) -> None:
    """Add a departure from a rule to a job, with its reason and name."""
    from advisor.case.problems import InputProblem
    from advisor.reasoning.cursor import nearest

    rules = rulebook().rule_by_id
    if rule not in rules:
        raise InputProblem(f"rule {rule!r}", nearest(rule, rules), field="RULE")
    _append(store, "override", reference, {"rule": rule, "reason": reason, "by": by})


@records_app.command(
    epilog='Example: crackwright records sign J-17 "ends proved" --by "C. D." --store jobs.sqlite'
)
def sign(
    reference: ReferenceArgument,
    what: Annotated[str, typer.Argument(help="The hold point or release that is signed.")],
    store: StoreOption,
    by: Annotated[str, typer.Option(help="Who signs.")],
) -> None:
    """Add a sign-off to a job."""
    _append(store, "sign_off", reference, {"what": what, "by": by})


def _append(path: Path, kind: Any, reference: str, document: dict[str, str]) -> None:
    from advisor.case.problems import InputProblem

    store = _store(path)
    if next(store.entries(case_ref=reference, kind="job"), None) is None:
        known = sorted({entry.case_ref for entry in store.entries(kind="job")})
        from advisor.reasoning.cursor import nearest

        raise InputProblem(
            f"job {reference!r}", nearest(reference, known) if known else "a job that was kept",
            field="CASE",
        )  # fmt: skip
    _say_kept(store.keep(kind, reference, document))


def _say_kept(entry: Entry) -> None:
    typer.echo(f"kept as entry {entry.seq}, hash {entry.hash[:16]}")


@records_app.command("list", epilog="Example: crackwright records list --store jobs.sqlite")
def list_entries(
    store: StoreOption,
    words: Annotated[
        list[str] | None, typer.Argument(metavar="WORD…", help="Only entries with these words.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """List entries, all or those in which every word occurs."""
    from advisor.records.jobs import search

    found = search(_store(store).entries(), words or ())
    if as_json:
        print_json(
            {"schema": "crackwright.records/1", "entries": [_line(entry) for entry in found]}
        )
        return
    _print_table(found)


@records_app.command(epilog="Example: crackwright records like case.yaml --store jobs.sqlite")
def like(case: CaseArgument, store: StoreOption, as_json: JsonOption = False) -> None:
    """Show past jobs like this one, the most like first."""
    from advisor.records.jobs import jobs_like

    found = jobs_like(case_from(case, rulebook()), _store(store).entries(kind="job"))
    if as_json:
        lines = [
            {**_line(one.entry), "likeness": round(one.share, 3), "alike": list(one.alike)}
            for one in found
        ]
        print_json({"schema": "crackwright.records/1", "entries": lines})
        return
    out = console()
    for one in found:
        line = _line(one.entry)
        out.print(
            f"{one.share:4.0%}  {line['case']}: {line['title']} ({line['verdict']}, "
            f"{line['method'] or 'no method'}); alike in {', '.join(one.alike) or 'little'}",
            markup=False,
        )
    if not found:
        out.print("no past job is like this one")


@records_app.command(epilog="Example: crackwright records show J-17 --store jobs.sqlite")
def show(reference: ReferenceArgument, store: StoreOption) -> None:
    """Print everything on file about one job, as JSON."""
    from advisor.case.problems import InputProblem

    found = [_whole(entry) for entry in _store(store).entries(case_ref=reference)]
    if not found:
        raise InputProblem(f"job {reference!r}", "the reference of a job on file", field="CASE")
    print_json({"schema": "crackwright.records/1", "entries": found})


@records_app.command(epilog="Example: crackwright records export all.jsonl --store jobs.sqlite")
def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="JSON lines, one entry a line.")],
    store: StoreOption,
) -> None:
    """Write all entries to a file that other programs can read."""
    from advisor.case.writing import replace_file

    lines = [json.dumps(_whole(entry), ensure_ascii=False) for entry in _store(store).entries()]
    replace_file(file, ("\n".join(lines) + "\n").encode())
    typer.echo(f"{len(lines)} entries written to {file}")


@records_app.command(epilog="Example: crackwright records verify --store jobs.sqlite")
def verify(store: StoreOption) -> None:
    """Walk the chain of hashes: has any entry been changed since it was kept?"""
    opened = _store(store)
    broken = opened.verify()
    if broken is None:
        typer.echo(f"{sum(1 for _ in opened.entries())} entries, chain whole")
        return
    typer.echo(f"entry {broken.seq} {broken.what}", err=True)
    raise typer.Exit(Exit.FAULT_FOUND)


def _line(entry: Entry) -> dict[str, Any]:
    line: dict[str, Any] = {
        "seq": entry.seq, "kept_at": entry.kept_at, "kind": entry.kind, "case": entry.case_ref
    }  # fmt: skip
    if entry.kind != "job":
        return {**line, **entry.document}
    advice = entry.document["advice"]
    methods = [m["method"] for m in advice["methods"] if m["standing"] == "recommended"]
    return {
        **line,
        "title": entry.document["title"],
        "verdict": advice["verdict"]["value"],
        "method": methods[0] if methods else None,
    }


def _whole(entry: Entry) -> dict[str, Any]:
    return {**_line(entry), "hash": entry.hash, "previous": entry.previous, **entry.document}


def _print_table(entries: Iterable[Entry]) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    from advisor.case.visible import visible

    table = Table(box=box.SIMPLE)
    for heading in ("n", "kept", "case", "kind", "what"):
        table.add_column(heading)
    for entry in entries:
        line = _line(entry)
        if entry.kind == "job":
            said = f"{line['verdict']}, {line['method'] or 'no method'}: {line['title']}"
        else:
            said = ", ".join(f"{key} {value}" for key, value in entry.document.items() if value)
        cells = (str(entry.seq), entry.kept_at[:16], entry.case_ref, entry.kind, said)
        table.add_row(*(Text(visible(cell.replace("_", " "))) for cell in cells))
    console().print(table)
