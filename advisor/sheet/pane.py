"""A panel of the drawing with its place on the paper."""

from __future__ import annotations

from advisor.light_dataclass import dataclass
from advisor.sheet.labels import Box
from advisor.sheet.view import Panel, View, turned

WIDTH = 180.0
"""Of every drawing [mm of paper]."""

LABEL_SIZE = 2.4
ACROSS = 11.0
"""How far lines square to the crack reach past the pins [mm of paper]."""


@dataclass(frozen=True)
class Pane:
    """A panel, the map to the paper, and what belongs to it without head and dimensions."""

    panel: Panel
    view: View
    box: Box

    def holds(self, x: float, y: float) -> bool:
        """Whether a place of the part belongs to this panel."""
        return self.panel.holds(turned(x, y, self.view.turn)[0])

    def reach(self, pin_radius: float) -> float:
        """Half the length of lines square to the crack [mm of the part]."""
        return ACROSS / self.view.scale + pin_radius
