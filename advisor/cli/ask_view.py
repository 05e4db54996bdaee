"""How a question and its explanation look."""

from __future__ import annotations

from rich.text import Text

from advisor.advice.doubt.asking import Outlook, Pending
from advisor.advice.rulebook import Rulebook
from advisor.case.asking import choice_ids
from advisor.case.model import Case
from advisor.case.questions import UNKNOWN_WORD, Choice, Field, Question
from advisor.case.units import DIMENSIONS
from advisor.case.writing import to_plain
from advisor.cli.ask_terminal import Terminal

KEYS = "? explains, unknown is an answer, back goes back, quit ends"
_SHORT_LIST = 5
_MOST_GRADES = 24


def show_question(question: Question, look: Outlook, case: Case, terminal: Terminal) -> None:
    """A question with its choices, and how far along one is."""
    left = len(look.pending)
    progress = f"{look.answered} answered, about {left} left that matter"
    terminal.say()
    terminal.say(Text(progress, style="dim"))
    terminal.say(Text.assemble((question.text, "bold"), f" [{question.id}]"))
    _show_choices(choice_ids(question), terminal)
    hint = _hint(question)
    if hint:
        terminal.say(hint, indent=2)
    answer = case.answers.get(question.id)
    if answer is not None:
        terminal.say(f"Answered: {_typed(to_plain(answer.value))}; Enter keeps it.", indent=2)


def _typed(plain: object) -> str:
    if isinstance(plain, list):
        return "[" + ", ".join(_typed(each) for each in plain) + "]"
    if isinstance(plain, dict):
        return "{" + ", ".join(f"{key}: {each}" for key, each in plain.items()) + "}"
    return str(plain)


def _show_choices(ids: tuple[str, ...], terminal: Terminal) -> None:
    """Numbered choices: one in a line while they are few, else in columns, down before across."""
    shown = [f"{number:>2} {id_}" for number, id_ in enumerate(ids, start=1)]
    if not shown:
        return
    wide = max(map(len, shown)) + 2
    across = 1 if len(shown) <= _SHORT_LIST else max(1, (terminal.columns - 2) // wide)
    down = -(-len(shown) // across)
    for row in range(down):
        line = "".join(f"{each:<{wide}}" for each in shown[row::down])
        terminal.say(line.rstrip(), indent=2)


def _hint(question: Question) -> str:
    if question.type == "several":
        return "Several with commas between them."
    if question.type == "list":
        return "yes to enter them one by one, no where there is none."
    if question.type == "mapping":
        return "yes to enter them one by one."
    if question.type == "grade":
        return "A designation, such as EN-GJL-250."
    return _examples(question)


def _examples(entry: Question | Field) -> str:
    if not entry.dimension:
        return ""
    given = entry.unit_examples if isinstance(entry, Question) else ()
    return "Such as " + " or ".join((given or DIMENSIONS[entry.dimension].examples)[:3])


def explain_question(
    question: Question, pending: Pending | None, case: Case, book: Rulebook, terminal: Terminal
) -> None:
    """Why a question is asked, how to find the answer out, and what the choices mean."""
    how = question.how
    effort = f" Takes about {how.effort:g} min." if how.effort else ""
    _headed("Why", question.why, terminal)
    _headed("How", how.steps + effort, terminal)
    _headed("With", how.tool, terminal)
    _headed("How sure", how.uncertainty, terminal)
    if pending:
        _headed("Can still decide", "; ".join(pending.heaviest), terminal)
    if question.type == "grade":
        _headed("Held in the tables", _grades(case, book), terminal)
    explain_choices(question.choices, terminal)
    for part in question.fields:
        terminal.item(f"{part.id}:", part.text)
    _headed("Typed as", "; ".join(_ways(question)), terminal)
    terminal.say(f"At every question: {KEYS}.", indent=2)


def explain_field(part: Field, terminal: Terminal) -> None:
    """What one part of a list's member means."""
    terminal.say(part.text, indent=2)
    explain_choices(part.choices, terminal)
    if part.dimension:
        terminal.say(_examples(part), indent=2)
    terminal.say("Enter leaves it out." if part.optional else "This one is needed.", indent=2)


def explain_choices(choices: tuple[Choice, ...], terminal: Terminal) -> None:
    """What the choices mean, in plain words."""
    for number, choice in enumerate(choices, start=1):
        terminal.item(f"{number:>2}", f"{choice.id}: {choice.means}")


def _headed(heading: str, text: str, terminal: Terminal) -> None:
    if text:
        terminal.item(f"{heading}:", text)


def _ways(question: Question) -> list[str]:
    if question.type in ("choice", "several"):
        return [f"its number, its name, or the beginning of it; or {UNKNOWN_WORD}"]
    if question.type == "yes_no":
        return [f"yes, no or {UNKNOWN_WORD}"]
    return [*question.unit_examples, UNKNOWN_WORD]


def _grades(case: Case, book: Rulebook) -> str:
    """Designations of the metal answered, or of every metal."""
    rows = book.knowledge.tables["grades"].rows
    material = case.value("material")
    fitting = [
        name
        for name, row in rows.items()
        if not isinstance(material, str)
        or "material" not in row
        or row["material"].value == material
    ]
    more = f" and {len(fitting) - _MOST_GRADES} more" if len(fitting) > _MOST_GRADES else ""
    return ", ".join(fitting[:_MOST_GRADES]) + more
