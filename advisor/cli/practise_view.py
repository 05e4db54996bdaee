"""How an exercise, its marks and somebody's progress look in the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sized
from datetime import date

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from advisor.advice.phrases import fact_text
from advisor.advice.rulebook import Rulebook
from advisor.cli.ask_terminal import Terminal
from advisor.practice.decisions import STANDING_SAYS, Decision, Mark, Standing
from advisor.practice.exercise import answers_behind
from advisor.practice.making.traps import TRAP_SAYS
from advisor.practice.marking import Result
from advisor.practice.picture import draw
from advisor.practice.progress import Tally, by_decision, by_rule, by_subject
from advisor.practice.repetition import Card
from advisor.practice.store import Row
from advisor.practice.story import Story, label_of, tell
from advisor.practice.teaching import Lesson, lesson, overlooked
from advisor.practice.worked import Worked

_STYLE: dict[Standing, str] = {
    "right": "bold green",
    "defensible": "bold yellow",
    "careful": "bold yellow",
    "wrong": "bold red",
    "dangerous": "bold red",
    "missed": "dim",
}
_MOST_LESSONS = 2
_MOST_WEAK = 12

# --- the case -------------------------------------------------------------------------------------


def show_case(worked: Worked, terminal: Terminal) -> None:
    """The case as customer and bench present it."""
    exercise = worked.exercise
    story = tell(worked.thinking, worked.units)
    terminal.say()
    terminal.say(Text(story.title, style="bold"))
    origin = "generated for practice" if exercise.generated else "a worked case"
    terminal.say(Text(f"Level: {exercise.level}; {origin}. Nobody's real part.", style="dim"))
    if exercise.changed:
        now = _answer_of(worked, story, exercise.changed)
        terminal.say(
            f"The same case as before but for one answer: {label_of(exercise.changed)}{now}."
        )
    for paragraph in story.told:
        terminal.say()
        terminal.say(paragraph)
    terminal.say()
    for line in draw(exercise.case, worked.units):
        terminal.say(Text(f"  {line}".rstrip(), no_wrap=True))
    _show_bench(story, terminal)
    if exercise.level == "easy":
        _show_where_to_look(worked, terminal)


def _answer_of(worked: Worked, story: Story, question: str) -> str:
    found = (line.found for _, lines in story.bench for line in lines if line.question == question)
    text = next(found, "")
    kinds, values = worked.book.vocabulary.kinds, worked.thinking.values
    if not text and question in kinds and values[question].known:
        text = fact_text(kinds[question], values[question], worked.units)
    return f", now {text or 'not known'}"


def _show_bench(story: Story, terminal: Terminal) -> None:
    for heading, lines in story.bench:
        terminal.say()
        terminal.say(Text(heading, style="bold"))
        for line in lines:
            terminal.item(f"{line.label}:", line.found)
    if story.open:
        terminal.say()
        terminal.item("Nobody has looked at:", ", ".join(story.open), indent=0)


def _show_where_to_look(worked: Worked, terminal: Terminal) -> None:
    rule = worked.book.rule_by_id[worked.exercise.rule]
    names = sorted(answers_behind(worked.thinking, (rule,)) & worked.exercise.case.answers.keys())
    if names:
        terminal.say()
        terminal.item("Look closely at:", ", ".join(map(label_of, names)), indent=0)


def show_decision(decision: Decision, terminal: Terminal) -> None:
    """One question with its options."""
    terminal.say()
    terminal.say(Text(decision.text, style="bold"))
    for number, option in enumerate(decision.options, start=1):
        terminal.item(f"{number:>2}", option.says)
    if decision.form == "several":
        terminal.say("Several with commas between them.", indent=2)


def show_help(decision: Decision | None, keys: str, terminal: Terminal) -> None:
    """What to look at, and how an answer is typed."""
    if decision:
        terminal.say(decision.help, indent=2)
        typed = "a number" if decision.form == "number" else "the number of an option"
        terminal.say(f"Typed as {typed}.", indent=2)
    terminal.say(f"At every question: {keys}.", indent=2)


# --- the marks ------------------------------------------------------------------------------------


def show_result(worked: Worked, result: Result, out: Console) -> None:
    """Every decision with its mark and what it teaches, then the sum."""
    out.print()
    out.print(Text(f"Marks: {worked.exercise.case.title}", style="bold underline"))
    taught: set[str] = set()
    for number, mark in enumerate(result.marks, start=1):
        _show_mark(number, mark, out)
        _teach(worked, mark, taught, out)
    out.print()
    out.print(Text("What this case was about", style="bold"))
    _show_lesson(lesson(worked.thinking, worked.exercise.rule, worked.units), out)
    missed = overlooked(worked.thinking, worked.exercise.rule)
    if missed:
        _item("if overlooked:", missed, out, indent=5)
    out.print()
    for trap in worked.exercise.traps:
        out.print(Text(f"What was misleading here: {TRAP_SAYS[trap]}"))
    out.print(_sum_says(result))


def _show_mark(number: int, mark: Mark, out: Console) -> None:
    out.print()
    out.print(
        Text.assemble(
            (f"{number}. {mark.asked} ", "bold"),
            (STANDING_SAYS[mark.standing], _STYLE[mark.standing]),
            f" ({mark.points:g} of {mark.out_of:g})",
        )
    )
    if mark.given and mark.standing != "missed":
        _item("you:", mark.given, out)
    if mark.standing != "right" and mark.advised:
        _item("advice:", mark.advised, out)
    if mark.says:
        _item("", mark.says, out)


def _item(lead: str, text: str, out: Console, indent: int = 3) -> None:
    table = Table.grid(padding=(0, 1))
    if lead:
        table.add_column(no_wrap=True)
    table.add_column()
    table.add_row(*([Text(lead, style="bold"), Text(text)] if lead else [Text(text)]))
    out.print(Padding(table, (0, 0, 0, indent), expand=False))


def _teach(worked: Worked, mark: Mark, taught: set[str], out: Console) -> None:
    """Whole lessons where something was not right; a line where it was."""
    for rule in mark.rules[:_MOST_LESSONS]:
        found = lesson(worked.thinking, rule, worked.units)
        if mark.standing == "right" or rule in taught:
            _item("rule:", f"{found.title} [{found.rule}]", out)
        else:
            _show_lesson(found, out)
        taught.add(rule)


def _show_lesson(found: Lesson, out: Console) -> None:
    _item("rule:", f"{found.title} [{found.rule}]", out)
    for sign in found.see:
        _item("see:", sign, out, indent=5)
    _item("so:", found.follows, out, indent=5)
    _item("because:", found.because, out, indent=5)
    if found.ignored:
        _item("if ignored:", found.ignored, out, indent=5)
    if found.agree:
        _item("has to agree:", found.agree, out, indent=5)
    for source in found.sources:
        _item("source:", source, out, indent=5)


def _sum_says(result: Result) -> Text:
    share = result.points / result.out_of if result.out_of else 1.0
    text = Text.assemble(
        ("Sum: ", "bold"), f"{result.points:g} of {result.out_of:g} points ({share:.0%}). "
    )
    if result.dangerous:
        text.append(
            "Not passed: a dangerous answer, whatever the points.", style=_STYLE["dangerous"]
        )
    elif result.passed:
        text.append("Passed.", style=_STYLE["right"])
    else:
        text.append("Not passed yet.", style=_STYLE["careful"])
    return text


# --- progress -------------------------------------------------------------------------------------


def show_summary(
    person: str,
    rows: list[Row],
    cards: list[Card],
    today: date,
    book: Rulebook,
    out: Console,
) -> None:
    """What somebody has practised, the weakest first."""
    exercises = {(row.finished, row.exercise) for row in rows}
    out.print(
        Text(f"{person}: {_count(exercises, 'exercise')}, {_count(rows, 'decision')}", style="bold")
    )
    if not rows:
        return
    _tallies("by subject", by_subject(rows), out)
    _tallies("by kind of decision", by_decision(rows), out)
    named = {rule.id: rule.title for rule in book.rules}
    weak = [one for one in by_rule(rows) if one.points < one.out_of][:_MOST_WEAK]
    _tallies("rules to practise", weak, out, named)
    due = [card for card in cards if card.due <= today]
    out.print(Text(f"{len(due)} rules come back today, {len(cards) - len(due)} later."))
    out.print()


def _count(things: Sized, what: str) -> str:
    return f"{len(things)} {what}{'s' * (len(things) != 1)}"


def _tallies(
    heading: str, tallies: Iterable[Tally], out: Console, named: dict[str, str] | None = None
) -> None:
    table = Table(title=heading, title_justify="left", box=box.SIMPLE)
    table.add_column("", overflow="fold")
    for name in ("points", "right", "dangerous"):
        table.add_column(name, justify="right", no_wrap=True)
    for one in tallies:
        says = f"{named[one.name]} [{one.name}]" if named and one.name in named else one.name
        table.add_row(
            Text(says.replace("_", " ") if not named else says),
            f"{one.points:g} of {one.out_of:g}",
            f"{one.right} of {one.decisions}",
            str(one.dangerous) if one.dangerous else "",
        )
    out.print(table)
