"""An explanation as a tree in the terminal; what was shown once is not shown again."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text
from rich.tree import Tree

from advisor.advice.explain import Node
from advisor.advice.phrases import Units
from advisor.cli.in_units import in_units

_STYLE = {"rule": "bold", "caution": "bold yellow", "source": "dim", "note": "italic"}
_LEAD = {"caution": "beware: ", "source": "source: ", "rule": "rule: ", "fact": ""}


def show_node(node: Node, console: Console, units: Units = "si") -> None:
    """Print an explanation from the item down to its sources."""
    tree = Tree(_label(node, units), guide_style="dim")
    console.print(_grow(tree, node, set(), units))


def _grow(tree: Tree, node: Node, shown: set[tuple[Node, ...]], units: Units) -> Tree:
    for below in node.because:
        answer = _lone_answer(below)
        if answer:
            tree.add(_label(below, units).append(f" ({answer.text})"))
        elif len(below.because) > 1 and below.because in shown:
            tree.add(_label(below, units).append(" (shown above)", style="italic"))
        else:
            shown.add(below.because)
            _grow(tree.add(_label(below, units)), below, shown, units)
    return tree


def _lone_answer(node: Node) -> Node | None:
    """The one fact below a test, where nothing stands below that."""
    if node.kind != "fact" or len(node.because) != 1:
        return None
    below = node.because[0]
    return below if below.kind == "fact" and not below.because else None


def _label(node: Node, units: Units) -> Text:
    text = Text(_LEAD.get(node.kind, "") + node.text, style=_STYLE.get(node.kind, ""))
    if node.kind != "source":  # a title is what it is
        text = in_units(text, units)
    if node.kind == "rule" and node.ref:
        text.append(f" [{node.ref}]", style="not bold dim")
        if node.truth and node.truth != "true":
            text.append(f" ({'did not fire' if node.truth == 'false' else 'cannot tell'})")
    return text
