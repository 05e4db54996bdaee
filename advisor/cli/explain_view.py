"""An explanation as a tree in the terminal."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text
from rich.tree import Tree

from advisor.advice.explain import Node

_STYLE = {"rule": "bold", "caution": "bold yellow", "source": "dim", "note": "italic"}
_LEAD = {"caution": "beware: ", "source": "source: ", "rule": "rule: ", "fact": ""}


def show_node(node: Node, console: Console) -> None:
    """Print an explanation from the item down to its sources."""
    console.print(_grow(Tree(_label(node), guide_style="dim"), node))


def _grow(tree: Tree, node: Node) -> Tree:
    for below in node.because:
        _grow(tree.add(_label(below)), below)
    return tree


def _label(node: Node) -> Text:
    text = Text(_LEAD.get(node.kind, "") + node.text, style=_STYLE.get(node.kind, ""))
    if node.kind == "rule" and node.ref:
        text.append(f" [{node.ref}]", style="not bold dim")
        if node.truth and node.truth != "true":
            text.append(f" ({'did not fire' if node.truth == 'false' else 'cannot tell'})")
    return text
