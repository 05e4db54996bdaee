"""The advice in the terminal: verdict and reasons first, then what to do, then what to beware of.

Nothing is said by colour alone; every line is readable at 80 columns and without colour.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from advisor.advice.model import (
    Advice,
    Heat,
    Insert,
    LaidHole,
    Margin,
    MethodStanding,
    Quantity,
    Spread,
    Stitching,
)
from advisor.advice.phrases import Units
from advisor.advice.rulebook import Rulebook
from advisor.case.quantities import Measure, format_measure
from advisor.case.units import DIMENSIONS
from advisor.cli.in_units import in_units

VERDICT_SAYS = {
    "repair": "REPAIR: the work may go ahead as planned below",
    "repair_with_approval": "REPAIR WITH APPROVAL: only after those named below have agreed",
    "investigate": "INVESTIGATE: no go-ahead until the questions below are answered",
    "refer": "REFER: not on the shop's own authority; stop, tag the part, and refer it",
    "replace": "REPLACE: do not repair this part",
}
_VERDICT_STYLE = {
    "repair": "bold green",
    "repair_with_approval": "bold yellow",
    "investigate": "bold yellow",
    "refer": "bold red",
    "replace": "bold red",
}
_FOOTER = (
    "This is workshop guidance. Where a code, an insurer, a class society, the maker or the law "
    "has a say, defer to local codes and licensed practice."
)
_DIMENSION_OF_UNIT = {dimension.unit: name for name, dimension in DIMENSIONS.items()}
_ROOMY = 80  # columns
_FRAME = 6  # columns of a panel that its title cannot have
_MOST_HOWS = 3
_MOST_QUESTIONS = 12
_MOST_MARGINS = 10
_MOST_REASONS = 4


def show_advice(advice: Advice, book: Rulebook, console: Console, units: Units = "si") -> None:
    """Print the whole advice."""
    view = _View(advice, book, console, units)
    view.verdict()
    view.methods()
    view.sizes()
    view.steps()
    view.inspections()
    view.cautions()
    view.doubts()
    view.footer()


def shown(quantity: Quantity | None, units: Units = "si") -> str:
    """A quantity of the plan in the reader's units."""
    if quantity is None:
        return "not given"
    dimension = _DIMENSION_OF_UNIT.get(quantity.unit)
    if dimension is None or quantity.unit in ("1", ""):
        return f"{quantity.value:g}"
    if quantity.unit == "N" and units == "si" and quantity.value >= 1000:
        return f"{quantity.value / 1000:.3g} kN"
    low = quantity.value if quantity.low is None else quantity.low
    high = quantity.value if quantity.high is None else quantity.high
    return format_measure(Measure(low, high, dimension), units)


def plain(name: str) -> str:
    """An id as words."""
    return name.replace("_", " ")


class _View:
    def __init__(self, advice: Advice, book: Rulebook, console: Console, units: Units) -> None:
        self.advice = advice
        self.book = book
        self.console = console
        self.units: Units = units
        self.width = console.width

    def heading(self, text: str) -> None:
        self.console.print()
        self.console.print(Text(text, style="bold underline"))

    def bullets(self, lines: Iterable[Text | str], mark: str = "-") -> None:
        lead = f" {mark} "
        hang = Text(f"\n{' ' * len(lead)}")
        hung = []
        for line in lines:
            text = in_units(line if isinstance(line, Text) else Text(line), self.units)
            wrapped = text.wrap(self.console, max(self.width - len(lead), 1))
            hung.append(Text.assemble(lead, hang.join(wrapped)))
        if hung:
            self.console.print(Text("\n").join(hung), no_wrap=True, overflow="ignore")

    def rule_line(self, rule_id: str) -> Text:
        rule = self.book.rule_by_id[rule_id]
        text = Text(f"{rule.title}. {rule.because}")
        text.append(f" [{rule_id}]", style="dim")
        return text

    # --- parts ------------------------------------------------------------------------------

    def verdict(self) -> None:
        advice, value = self.advice, self.advice.verdict.value
        title = f"{advice.case}: {advice.title}" if advice.title else advice.case
        says = Text(VERDICT_SAYS[value], style=_VERDICT_STYLE[value])
        fits = cell_len(title) <= self.width - _FRAME
        self.console.print(
            Panel(
                says if fits else Text("\n").join((Text(title), says)),
                title=Text(title) if fits else None,
                title_align="left",
                box=box.SQUARE,
            )
        )
        self.bullets(self.rule_line(rule_id) for rule_id in advice.verdict.because)
        if advice.verdict.approval:
            self.heading("Who has to agree")
            self.bullets(
                f"{approval.who}" + (f" ({approval.reference})" if approval.reference else "")
                for approval in advice.verdict.approval
            )

    def methods(self) -> None:
        self.heading("Method")
        if not self.advice.go_ahead:
            self.console.print(Text(" None of these may be begun: the verdict comes first."))
        for method in self.advice.methods:
            self.console.print(
                Text.assemble(
                    " ",
                    (plain(method.method), "bold" if method.standing == "recommended" else ""),
                    f": {plain(method.standing)}",
                )
            )
            self.bullets(self._reasons(method), mark="   -")

    def _reasons(self, method: MethodStanding) -> Iterable[Text]:
        wanted = method.reasons
        if method.standing == "ruled_out":
            wanted = tuple(r for r in wanted if r.effect in ("rule_out", "not_allowed"))[:2]
        for reason in wanted[:_MOST_REASONS]:
            text = Text(f"{_EFFECT_SAYS.get(reason.effect, plain(reason.effect))}: {reason.text}")
            if reason.rule:
                text.append(f" [{reason.rule}]", style="dim")
            yield text

    def sizes(self) -> None:
        if self.advice.stitching:
            self._stitching(self.advice.stitching)
        if any(insert.needed for insert in self.advice.inserts):
            self._inserts(self.advice.inserts)
        if self.advice.heat:
            self._heat(self.advice.heat)

    def _pairs(self, rows: Iterable[tuple[str, str]]) -> None:
        table = Table.grid(padding=(0, 2))
        table.add_column(no_wrap=True)
        table.add_column()
        for name, value in rows:
            table.add_row(f" {name}", in_units(Text(value), self.units))
        self.console.print(table)

    def show(self, quantity: Quantity | None) -> str:
        return shown(quantity, self.units)

    def _stitching(self, seam: Stitching) -> None:
        pin = seam.pin
        self.heading("Pins")
        self._pairs(
            [
                ("pin", f"{pin.thread}, {plain(pin.material)}"),
                ("count", f"{pin.count} in {seam.passes} drilling passes"),
                ("spacing", f"{self.show(pin.pitch)}, overlap {self.show(pin.overlap)}"),
                ("tap drill", self.show(pin.tap_drill)),
                (
                    "spot-face",
                    f"{self.show(pin.spotface_depth)} deep, "
                    f"{self.show(pin.spotface_diameter)} wide",
                ),
                ("threads engaged", f"{pin.engaged_threads:.1f} at the least wall"),
                ("pin length", self.show(pin.length)),
                ("restores", f"{seam.strength.restored_fraction:.0%} of the uncracked strength"),
                ("on the basis", seam.strength.basis),
            ]
        )
        if seam.keys:
            keys = seam.keys
            self.heading("Keys")
            section = keys.section
            self._pairs(
                [
                    ("count", f"{keys.count}, every {self.show(keys.spacing)}"),
                    (
                        "section",
                        f"neck {self.show(section.neck_width)}, lobes "
                        f"{self.show(section.lobe_diameter)} at {self.show(section.lobe_pitch)}, "
                        f"{section.lobes_each_side} each side",
                    ),
                    ("depth", f"{self.show(keys.depth)} in {keys.layers} layers"),
                    ("carries", f"{self.show(keys.capacity)} each"),
                ]
            )
        self._layout(seam)
        self.bullets(seam.notes)

    def _layout(self, seam: Stitching) -> None:
        self.heading("Drilling table")
        names = ("n", "pass", "at", "x", "y", "wall", "pin length", "threads")
        rows = [self._hole(hole) for hole in seam.layout]
        columns = list(zip(names, *rows, strict=True))
        needed = sum(max(map(len, column)) + 2 for column in columns) + 2
        narrow = self.width < max(_ROOMY, needed)
        table = Table(box=box.SIMPLE, padding=(0, 0 if self.width < _ROOMY else 1))
        for name in names:
            table.add_column(name, justify="right", overflow="fold")  # no digit may go
        if narrow:
            for row in rows:
                table.add_row(*row)
        else:  # nothing folds: one tall row is laid out in a fraction of the time
            table.add_row(*("\n".join(column[1:]) for column in columns))
        self.console.print(table)
        unit = "in" if self.units == "us" else "mm"
        self.console.print(Text(f" All lengths of the table in {unit}."))

    def _hole(self, hole: LaidHole) -> tuple[str, ...]:
        places = (hole.at, hole.x, hole.y, hole.wall, hole.pin_length)
        bare = map(self._bare, places)
        return str(hole.n), str(hole.drilling_pass), *bare, f"{hole.engaged_threads:.1f}"

    def _bare(self, quantity: Quantity) -> str:
        if self.units == "us":
            return f"{quantity.value / 25.4:.3f}"
        return f"{quantity.value:.2f}"

    def _inserts(self, inserts: Iterable[Insert]) -> None:
        self.heading("Thread inserts")
        for insert in inserts:
            if not insert.needed:
                self.bullets([f"hole {insert.hole}: none needed"])
                continue
            parts = [
                f"hole {insert.hole}: {plain(insert.kind or 'not feasible')}",
                f"outside {insert.outside_thread}" if insert.outside_thread else "",
                f"length {self.show(insert.length)}" if insert.length else "",
                f"tap drill {self.show(insert.tap_drill)}" if insert.tap_drill else "",
                f"strip safety {insert.strip_safety:.1f}" if insert.strip_safety else "",
                self._ligament(insert.ligament),
            ]
            self.bullets([", ".join(part for part in parts if part)])
            self.bullets(insert.because, mark="   -")

    def _ligament(self, ligament: Quantity | None) -> str:
        if ligament is None:
            return ""
        if ligament.value < 0:
            overlap = replace(ligament, value=-ligament.value)
            return f"the last pin overlaps the bore by {self.show(overlap)}"
        return f"ligament to the last pin {self.show(ligament)}"

    def _heat(self, heat: Heat) -> None:
        self.heading("Heat")
        rows = [
            ("process", plain(heat.process)),
            ("filler", heat.filler or "not given"),
            ("preheat at least", self.show(heat.preheat_min)),
            ("interpass at most", self.show(heat.interpass_max)),
            ("heating at most", self.show(heat.heating_rate_max)),
            ("cooling", plain(heat.cooling)),
            ("cooling at most", self.show(heat.cooling_rate_max)),
            ("after", plain(heat.postheat)),
            ("stress relief at", self.show(heat.stress_relief_temperature)),
            ("energy", self.show(heat.energy)),
        ]
        self._pairs(row for row in rows if row[1] != "not given")

    def steps(self) -> None:
        if not self.advice.steps:
            return
        self.heading("Steps" if self.advice.go_ahead else "Meanwhile")
        for step in self.advice.steps:
            text = Text(step.do)
            if step.hold_point:
                text = Text.assemble(("HOLD POINT ", "bold"), text)
            text.append(f" [{step.rule}]", style="dim")
            self.bullets([text], mark=f"{step.n:2d}.")
            self.bullets((f"beware: {caution}" for caution in step.cautions), mark="    !")

    def inspections(self) -> None:
        if not self.advice.inspections:
            return
        self.heading("Inspection")
        for when in ("before", "during", "after"):
            chosen = [one for one in self.advice.inspections if one.when == when]
            if not chosen:
                continue
            self.console.print(Text(f" {when}", style="bold"))
            for one in chosen:
                text = Text.assemble(
                    ("HOLD POINT " if one.hold_point else "", "bold"),
                    f"{plain(one.method)}: {one.what}. Accept: {one.acceptance}.",
                    (f" [{one.rule}]", "dim"),
                )
                self.bullets([text], mark="  -")

    def cautions(self) -> None:
        texts = [caution.text for caution in self.advice.cautions if caution.text != _FOOTER]
        if texts:
            self.heading("Beware")
            self.bullets(texts, mark="!")

    def doubts(self) -> None:
        advice = self.advice
        if advice.assumptions:
            self.heading("Taken for granted")
            self.bullets(
                one.text + (f" (settled by: {one.question})" if one.question else "")
                for one in advice.assumptions
            )
        if advice.next_questions:
            self.heading("What to find out next")
            for place, one in enumerate(advice.next_questions[:_MOST_QUESTIONS]):
                takes = f" ({self.show(one.effort)})" if one.effort else ""
                self.bullets([Text.assemble((one.id, "bold"), f": {one.question}{takes}")])
                self.bullets(one.decides, mark="   >")
                if place < _MOST_HOWS:
                    self.bullets([one.how], mark="   how:")
            left = len(advice.next_questions) - _MOST_QUESTIONS
            if left > 0:
                self.bullets([f"and {left} more that weigh less"])
        if advice.margins:
            self.heading("Where the advice would turn")
            self.bullets(self._margin(one) for one in advice.margins[:_MOST_MARGINS])
        not_firm = [one for one in advice.spreads if not one.firm]
        if not_firm:
            self.heading("Not firm: known too loosely")
            self.bullets(self._spread(one) for one in not_firm)

    def _spread(self, spread: Spread) -> str:
        return (
            f"{plain(spread.fact)} lies in {self.show(spread.value)}: at its low end "
            f"{spread.at_low}, at its high end {spread.at_high}. The plan takes the safe side: "
            f"{spread.planned_for}. Settled by {spread.question}: {spread.how}"
        )

    def _margin(self, margin: Margin) -> str:
        inside = " (inside the measuring uncertainty)" if margin.inside_uncertainty else ""
        return (
            f"{plain(margin.fact)} is {self.show(margin.value)}; {margin.direction} "
            f"{self.show(margin.flips_at)}{inside}: {margin.changes} [{margin.rule}]"
        )

    def footer(self) -> None:
        advice = self.advice
        ran = " and ".join(advice.program.reasoners["ran"])
        agreed = "agreed" if advice.program.reasoners["agreed"] else "ran alone"
        self.console.print()
        self.console.print(Text(_FOOTER, style="italic"))
        self.console.print(
            Text(
                f"crackwright {advice.program.version}, rule base {advice.rulebook.version} "
                f"({advice.rulebook.digest[:12]}); {ran} {agreed}.",
                style="dim",
            )
        )


_EFFECT_SAYS = {
    "rule_out": "ruled out",
    "allow": "allowed",
    "favour": "for",
    "disfavour": "against",
    "not_allowed": "not allowed",
    "rule_out_unless_known": "may be ruled out",
    "allow_unless_known": "may be allowed",
    "favour_unless_known": "may speak for it",
    "disfavour_unless_known": "may speak against it",
}
