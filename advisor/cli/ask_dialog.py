"""The questions as a person meets them: one at a time, with a way back, out, and to the reasons."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.doubt.asking import Outlook, outlook
from advisor.advice.rulebook import Rulebook
from advisor.advice.shop import case_in_shop
from advisor.case.asking import choose, read_field, read_reply
from advisor.case.problems import InputProblem
from advisor.case.questions import Field, Question
from advisor.case.reading import CaseProblems
from advisor.case.writing import Plain
from advisor.cli.ask_file import CaseFile, path_for
from advisor.cli.ask_terminal import EndOfInput, Terminal
from advisor.cli.ask_view import KEYS, explain_field, explain_question, show_question
from advisor.cli.shared import grades_of


class Quit(Exception):
    """The person has had enough."""


class Back(Exception):
    """The person wants what came before."""


def ask_reference(terminal: Terminal) -> str:
    """The job reference of a new case.

    Raises:
        InputProblem: there is none.
        Quit: the person has had enough.
    """
    terminal.say("Which job is it? Its number or another reference; the case file is named by it.")
    while True:
        try:
            reference = terminal.read("reference> ")
            if reference.lower() in ("quit", "exit"):
                raise Quit
            path_for(reference)
            return reference
        except EndOfInput:
            right = "a reference on the first line, or crackwright ask CASE.yaml"
            raise InputProblem("no job reference", right) from None
        except InputProblem as wrong:
            terminal.say(_one_line(wrong))


class Dialog:
    """Asks until nothing that is open can change the advice, or the person quits."""

    def __init__(self, file: CaseFile, book: Rulebook, terminal: Terminal) -> None:
        self._file = file
        self._book = book
        self._terminal = terminal
        by_line = sorted(file.case.answers.items(), key=lambda item: item[1].line)
        self._answered = [name for name, _ in by_line]
        self._again: str | None = None
        self._sharpen = False

    def run(self) -> None:
        """Ask; every way out keeps the answers and says where they are."""
        self._welcome()
        try:
            self._terminal.say(self._ask_on())
        except Quit:
            pass
        except EndOfInput:
            self._terminal.say("There is no more input.")
        except SystemExit:
            self._terminal.say()
            self._say_kept()
            raise
        self._say_kept()

    def _welcome(self) -> None:
        case = self._file.case
        begun = (
            f"Going on with {self._file.path}." if case.answers else f"New case {case.reference}."
        )
        self._terminal.say(f"{begun} At every question: {KEYS}.")

    def _say_kept(self) -> None:
        if self._file.case.answers:
            self._terminal.say(f"The answers are kept in {self._file.path}.")
            self._terminal.say()

    def _ask_on(self) -> str:
        """Ask one question after the other; why there are no more."""
        while True:
            look = self._outlook()
            name = self._again
            if name is None:
                end = self._end(look)
                if end:
                    return end
                name = next(iter(look.pending))
            try:
                self._ask(self._book.questionnaire.by_id[name], look)
                self._answered.append(name)
                self._again = None
            except Back:
                self._go_back()

    def _outlook(self, without: str | None = None) -> Outlook:
        case = self._file.case
        if without:
            case = case.with_answers({without: None})
        return outlook(case_in_shop(case, self._book.shop), self._book)

    def _end(self, look: Outlook) -> str:
        """Why there is nothing more to ask; empty while there is."""
        verdict = look.verdict.replace("_", " ")
        if look.stands and not look.goes_ahead:
            return f"Nothing that is still open can change the verdict: {verdict}."
        if not look.pending:
            return "Nothing that is still open can change the advice."
        if look.steers or self._sharpen or not look.goes_ahead:
            return ""
        left = len(look.pending)
        self._terminal.say()
        self._terminal.say(
            f"Verdict and method can no longer change. {left} more would sharpen the plan."
        )
        self._sharpen = self._agreed("Go on? (yes, no)> ")
        return "" if self._sharpen else "Verdict and method stand."

    def _go_back(self) -> None:
        if self._answered:
            self._again = self._answered.pop()
        else:
            self._terminal.say("This is the first question.")

    # --- one question -----------------------------------------------------------------------

    def _ask(self, question: Question, look: Outlook) -> None:
        show_question(question, look, self._file.case, self._terminal)

        def explain() -> None:
            case = self._file.case
            pending = look.pending
            if question.id in case.answers:  # as it was before this answer
                pending = self._outlook(without=question.id).pending
            explain_question(question, pending.get(question.id), case, self._book, self._terminal)

        while True:
            text = self._read("> ", explain)
            if not text and question.id in self._file.case.answers:
                return
            try:
                if self._take(question, text):
                    return
            except InputProblem as wrong:
                if wrong.file and not isinstance(wrong, CaseProblems):
                    raise  # the file, not the answer
                self._terminal.say(_one_line(wrong))

    def _take(self, question: Question, text: str) -> bool:
        """Take an answer and write the file; False where the person went back into the question.

        Raises:
            InputProblem: the answer is wrong.
        """
        plain: Plain | None
        if question.type in ("list", "mapping") and text.lower() in ("y", "yes"):
            gather = self._members if question.type == "list" else self._parts
            plain = gather(question)
        elif question.type == "list" and text.lower() in ("n", "no", "none"):
            plain = []
        else:
            plain = read_reply(question, text, grades_of(self._book))
        if not plain and plain != []:
            return False
        self._file.set({question.id: plain})
        return True

    def _read(self, prompt: str, explain: Callable[[], None]) -> str:
        """A line that is none of the words that work everywhere.

        Raises:
            Back, Quit, EndOfInput: what the person typed instead.
        """
        while True:
            text = self._terminal.read(prompt)
            word = text.lower()
            if word in ("?", "help"):
                explain()
            elif word == "back":
                raise Back
            elif word in ("quit", "exit"):
                raise Quit
            else:
                return text

    def _agreed(self, prompt: str) -> bool:
        """Whether the person says yes; Enter means no."""

        def explain() -> None:
            self._terminal.say("yes or no; Enter means no.", indent=2)

        while True:
            try:
                text = self._read(prompt, explain)
            except Back:
                return False
            if not text:
                return False
            try:
                return choose(text, ("yes", "no"), {}, "") == "yes"
            except InputProblem as wrong:
                self._terminal.say(_one_line(wrong))

    # --- lists ------------------------------------------------------------------------------

    def _members(self, question: Question) -> Plain | None:
        """The members of a list, part by part, until there are no more."""
        members: list[dict[str, str]] = []
        while True:
            parts = self._parts(question, f" {len(members) + 1}")
            if parts:
                members.append(parts)
            if not members:
                return None
            if not self._agreed("Another? (yes, no)> "):
                return list(members)

    def _parts(self, question: Question, number: str = "") -> dict[str, str] | None:
        """The parts of one member; None where the person went back out of it."""
        given: dict[str, str] = {}
        index = 0
        name = question.id.removesuffix("s") + number
        while index < len(question.fields):
            part = question.fields[index]
            try:
                text = self._part(question, part, f"{name}, {part.id}> ")
            except Back:
                if index == 0:
                    return None
                index -= 1
                given.pop(question.fields[index].id, None)
                continue
            if text:
                given[part.id] = text
            index += 1
        return given or None

    def _part(self, question: Question, part: Field, prompt: str) -> str:
        def explain() -> None:
            explain_field(part, self._terminal)

        while True:
            text = self._read(prompt, explain)
            if not text and part.optional:
                return ""
            try:
                return read_field(question, part, text)
            except InputProblem as wrong:
                self._terminal.say(_one_line(wrong))


def _one_line(wrong: InputProblem) -> str:
    first = wrong.problems[0] if isinstance(wrong, CaseProblems) else wrong
    return f"Found {first.found}; expected {first.expected}"
