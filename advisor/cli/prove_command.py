"""``rules prove`` and ``rules impact``: the rule base proves itself; what a change touches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from advisor.cli.exits import Exit, tell
from advisor.cli.shared import console, print_json, rulebook

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.advice.proofs.counterexample import Counterexample
    from advisor.advice.proofs.impact import Impact
    from advisor.advice.proofs.proof import Proof
    from advisor.advice.rulebook import Rulebook

SCHEMA = "crackwright.prove/1"
FREE = (
    "Numbers from formulas are free within what is known of each formula: what is proved holds, "
    "and a case that breaks a proof is thought through before it is called real."
)


def register(rules_app: typer.Typer) -> None:
    """Add the commands."""
    rules_app.command("prove", epilog="Example: crackwright rules prove --only promise")(prove)
    rules_app.command("impact", epilog="Example: crackwright rules impact braze.too-hot")(impact)


def prove(
    only: Annotated[
        list[str] | None,
        typer.Option(help="Only this group (pairs, reading, chain, promise) or proof."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for the cases that break a proof.")
    ] = None,
    timeout: Annotated[float, typer.Option(help="Seconds for one question to the solver.")] = 20.0,
    json: Annotated[bool, typer.Option("--json", help="One JSON document.")] = False,
) -> None:
    """Prove the rule base: rules in pairs, who reads what, whole chains, and the promises."""
    from advisor.advice.proofs.prove import GROUPS, prove, tasks
    from advisor.case.problems import InputProblem
    from advisor.reasoning.cursor import nearest
    from advisor.reasoning.prover.solve import ProverMissing, available

    book, wanted = rulebook(), tuple(only or ())
    legal = {*GROUPS, *(task.id for task in tasks(book))}
    for name in wanted:
        if name not in legal:
            raise InputProblem(f"{name!r}", nearest(name, legal), field="--only")
    if not available() and not {"pairs", "reading"}.issuperset(wanted or GROUPS):
        right = f"{ProverMissing()}, or --only pairs --only reading"
        raise InputProblem("no solver", right, field="rules prove")
    proofs = prove(book, only=wanted, timeout=timeout, tell=lambda proof: tell(_line(proof)))
    files = write_cases(proofs, out)
    if json:
        print_json(document(proofs, files, book))
    else:
        _show(proofs, files, console())
    if any(proof.outcome != "proved" for proof in proofs):
        raise typer.Exit(Exit.FAULT_FOUND)


def _line(proof: Proof) -> str:
    return f"{proof.outcome:10} {proof.seconds:6.2f} s  {proof.group}: {proof.id}"


def write_cases(proofs: list[Proof], out: Path | None) -> dict[tuple[str, int], Path]:
    """Write each case that breaks a proof to a file; gives the files by proof and fault."""
    import tempfile

    files: dict[tuple[str, int], Path] = {}
    for proof in proofs:
        for index, fault in enumerate(proof.faults):
            if fault.example is None:
                continue
            if out is None:
                out = Path(tempfile.mkdtemp(prefix="crackwright-prove-"))
            out.mkdir(parents=True, exist_ok=True)
            number = f"-{index + 1}" if len(proof.faults) > 1 else ""
            path = out / f"{proof.id}{number}.yaml"
            path.write_text(case_file(proof, fault.says, fault.example), encoding="utf-8")
            files[proof.id, index] = path
    return files


def case_file(proof: Proof, says: str, example: Counterexample) -> str:
    """A case that breaks a proof as a case file, with what it breaks in comments above it."""
    from advisor.case.writing import case_text, to_plain

    head = [f"Breaks: {proof.says}", f"How: {says}"]
    if example.real:
        head.append("Thought through, this case breaks it.")
    else:
        head.append("A formula's value was taken as free; thought through, this case does not")
        head.append("break it. Taken: " + (", ".join(sorted(example.free)) or "nothing else"))
    answers = {name: to_plain(answer.value) for name, answer in example.case.answers.items()}
    text = case_text(f"breaks {proof.id}", "", "", answers)
    return "".join(f"# {line}\n" for line in head) + text


def document(
    proofs: list[Proof], files: dict[tuple[str, int], Path], book: Rulebook
) -> dict[str, Any]:
    """The report as one JSON document."""
    return {
        "schema": SCHEMA,
        "rulebook": {"version": book.version, "digest": book.digest},
        "note": FREE,
        "outcome": "proved" if all(p.outcome == "proved" for p in proofs) else "broken",
        "seconds": round(sum(proof.seconds for proof in proofs), 2),
        "proofs": [
            {
                "id": proof.id,
                "group": proof.group,
                "says": proof.says,
                "outcome": proof.outcome,
                "seconds": round(proof.seconds, 3),
                "faults": [
                    {
                        "says": fault.says,
                        "case": str(files[proof.id, n]) if (proof.id, n) in files else None,
                        "real": None if fault.example is None else fault.example.real,
                        "taken_as_free": sorted(fault.example.free) if fault.example else [],
                    }
                    for n, fault in enumerate(proof.faults)
                ],
            }
            for proof in proofs
        ],
    }


def _show(proofs: list[Proof], files: dict[tuple[str, int], Path], to: Console) -> None:
    for proof in proofs:
        if proof.outcome == "proved":
            continue
        to.print(f"{proof.outcome}: {proof.says} ({proof.id})", markup=False)
        for index, fault in enumerate(proof.faults):
            to.print(f"  {fault.says}", markup=False)
            path = files.get((proof.id, index))
            if path is not None:
                to.print(f"  case: {path}", markup=False)
                to.print(path.read_text(encoding="utf-8"), markup=False)
    proved = sum(proof.outcome == "proved" for proof in proofs)
    seconds = sum(proof.seconds for proof in proofs)
    to.print(f"{proved} of {len(proofs)} proved in {seconds:.0f} s.", markup=False)
    if any(proof.group in ("chain", "promise") for proof in proofs):
        to.print(FREE, markup=False)


def impact(
    name: Annotated[
        str, typer.Argument(metavar="ID", help="A rule, fact, formula, table or table.row.column.")
    ],
    json: Annotated[bool, typer.Option("--json", help="One JSON document.")] = False,
) -> None:
    """Show what a change of a rule, fact, formula or table cell would touch."""
    from dataclasses import asdict

    from advisor.advice.proofs.impact import UnknownThing
    from advisor.advice.proofs.impact import impact as find
    from advisor.case.problems import InputProblem

    try:
        found = find(rulebook(), name)
    except UnknownThing as unknown:
        raise InputProblem(repr(unknown.name), unknown.expected, field="ID") from unknown
    if json:
        print_json({"schema": "crackwright.impact/1", **asdict(found)})
    else:
        _show_impact(found, console())


_SHOWN = 12


def _show_impact(found: Impact, to: Console) -> None:
    to.print(f"{found.kind} {found.id}", markup=False)
    for kind, names in found.direct.items():
        if names:
            to.print(f"  {_DIRECT.get(kind, kind)}: {', '.join(names)}", markup=False)
    to.print("It can change:", markup=False)
    for what in ("scenarios", "steps", "inspections", "formulas", "facts", "rules", "promises"):
        names = getattr(found, what)
        listed = ", ".join(names[:_SHOWN])
        if len(names) > _SHOWN:
            listed += f" and {len(names) - _SHOWN} more"
        to.print(f"  {len(names)} {what}" + (f": {listed}" if names else ""), markup=False)


_DIRECT = {
    "rule": "rules that read it",
    "formula": "formulas that read it",
    "table": "look-ups by it",
    "question": "questions asked because of it",
    "text": "texts that show it",
    "advice": "parts of the advice that print it",
    "fact": "facts read from it",
}
