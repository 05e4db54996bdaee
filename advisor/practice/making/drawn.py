"""Cases drawn at random: invented, believable, and with the answers that were wished for.

A case is drawn from the outside in: part and place, the metal as it really is, what the bench
shows of it, then crack, wall, service and shop. What the customer claims may differ from what is
true; the bench always tells the truth.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from types import MappingProxyType

from advisor.advice.rulebook import Rulebook
from advisor.case.model import Answer, Case
from advisor.practice.making.draw import Draw
from advisor.practice.making.draw_crack import draw_crack
from advisor.practice.making.draw_metal import draw_bench, draw_metal, true_metal
from advisor.practice.making.draw_part import draw_part, draw_shop
from advisor.practice.making.draw_wall import draw_holes, draw_path, draw_service, draw_wall
from advisor.practice.making.hopes import Hope
from advisor.practice.making.wishes import Contradiction, Wishes

GENERATED = "(invented, generated for practice)"
"""At the end of the title of every case that was drawn."""


def draw_case(
    book: Rulebook, wishes: Wishes, random: Random, reference: str, hopes: Sequence[Hope] = ()
) -> Case:
    """Draw one case.

    Args:
        book: rules and knowledge.
        wishes: what the answers have to be.
        random: where chance comes from.
        reference: of the case.
        hopes: what is given up where it does not fit.

    Raises:
        Contradiction: no believable case fulfils the wishes this way.
    """
    draw = Draw(book, wishes, random, hopes)
    draw.truth = true_metal(draw)
    draw_part(draw)
    draw_shop(draw)
    draw_metal(draw)
    draw_bench(draw)
    draw_crack(draw)
    draw_wall(draw)
    draw_service(draw)
    draw_holes(draw)
    draw_path(draw)
    _check_promises(draw)
    name = random.choice(draw.frame.part.names)
    ordered = {
        question.id: Answer(draw.answers[question.id])
        for question in book.questionnaire
        if question.id in draw.answers
    }
    title = f"{name[0].upper()}{name[1:]} {GENERATED}"
    return Case(reference, title, "", MappingProxyType(ordered))


def _check_promises(draw: Draw) -> None:
    """Questions that had to be answered are.

    Raises:
        Contradiction: one is not.
    """
    questions = draw.book.questionnaire.by_id
    for name, wish in draw.wishes.items():
        if wish.known and name in questions and name not in draw.answers:
            raise Contradiction
