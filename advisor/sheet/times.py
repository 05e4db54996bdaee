"""The time that the job takes: what is counted, what one takes, what multiplies it, what is left
out because no time is on file.

    time = count x time of one x factors

Times and factors are habits of the trade (`knowledge/durations.yaml`, `duration_factors.yaml`);
plan with the high end.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from advisor.advice.model import Advice
from advisor.light_dataclass import dataclass
from advisor.reasoning.tables import Cell, Knowledge
from advisor.sheet.words import plain

PER_LENGTH = 300.0  # mm; what `per_300_mm` means
WALL_POINTS_EVERY = 25.0  # mm; the closer end of what the inspection asks
_ROUND_UP_TO = 15.0  # min


@dataclass(frozen=True)
class TimeLine:
    """One activity of the estimate, times in minutes."""

    activity: str
    name: str
    count: int
    each: tuple[float, float]
    factor: float
    unattended: tuple[float, float]
    note: str = ""

    @property
    def low(self) -> float:
        """Low end of the hands-on time [min]."""
        return self.count * self.each[0] * self.factor

    @property
    def high(self) -> float:
        """High end of the hands-on time [min]."""
        return self.count * self.each[1] * self.factor


@dataclass(frozen=True)
class Estimate:
    """The whole estimate.

    Attributes:
        lines: what is counted.
        basis: factors and what was taken, in words.
        untimed: numbers of steps for which no time is on file.
        missing: other work without a time on file.
    """

    lines: tuple[TimeLine, ...]
    basis: tuple[str, ...]
    untimed: tuple[int, ...]
    missing: tuple[str, ...]

    @property
    def low(self) -> float:
        """Low end of the hands-on time [min]."""
        return sum(line.low for line in self.lines)

    @property
    def high(self) -> float:
        """High end of the hands-on time [min]."""
        return sum(line.high for line in self.lines)

    @property
    def plan_with(self) -> float:
        """The high end, rounded up to a quarter of an hour [min]."""
        return math.ceil(self.high / _ROUND_UP_TO - 1e-9) * _ROUND_UP_TO

    @property
    def unattended(self) -> tuple[float, float]:
        """Time that runs by itself, both ends [min]."""
        ends = [line.unattended for line in self.lines]
        return sum(low for low, _ in ends), sum(high for _, high in ends)


@dataclass(frozen=True)
class Circumstances:
    """What the case says about the time of the work; None where it is not known."""

    crack_length: float
    material: str | None
    site: str | None


def estimate(advice: Advice, knowledge: Knowledge, circumstances: Circumstances) -> Estimate:
    """Estimate the time of a plan.

    Args:
        advice: the plan; a stitched one brings pins and keys, an insert its kind.
        knowledge: holds `durations`, `duration_factors`, `duration_uses`.
        circumstances: length of the crack with its branches [mm], material, site.
    """
    return _Estimator(advice, knowledge, circumstances).run()


class _Estimator:
    def __init__(self, advice: Advice, knowledge: Knowledge, about: Circumstances) -> None:
        self.advice = advice
        self.about = about
        self.durations = knowledge.tables["durations"].rows
        self.factors = knowledge.tables["duration_factors"].rows
        self.uses = knowledge.tables["duration_uses"].rows
        self.lines: dict[str, TimeLine] = {}
        self.basis: list[str] = []
        self.missing: list[str] = []

    def run(self) -> Estimate:
        """Count activities in the order of the work."""
        seam = self.advice.stitching
        self._pins_timed = seam is not None and (
            pin_row(seam.pin.major_diameter.value, self.durations)[0] is not None
        )
        self.site, self.cutting = self._site_factor(), self._material_factor()
        for inspection in self.advice.inspections:
            if inspection.when == "before":
                self._work(inspection.id)
        untimed = [step.n for step in self.advice.steps if not self._step(step.id)]
        for inspection in self.advice.inspections:
            if inspection.when != "before":
                self._work(inspection.id)
        self._inserts()
        return Estimate(
            lines=tuple(self.lines.values()),
            basis=tuple(self.basis),
            untimed=tuple(untimed),
            missing=tuple(dict.fromkeys(self.missing)),
        )

    # --- factors ------------------------------------------------------------------------------

    def _factor(self, row: str) -> float | None:
        cell = self.factors.get(row, {}).get("factor")
        return float(cell.value) if cell and isinstance(cell.value, int | float) else None

    def _site_factor(self) -> float:
        site = self.about.site
        factor = self._factor(site) if site else None
        if factor is None:
            self.basis.append("where the work is done is not known: times of a workshop are taken")
            return 1.0
        self.basis.append(f"{plain(site or '')}: x {factor:g} on all times")
        hard = self._factor("overhead_or_confined")
        if hard:
            self.basis.append(f"not asked: overhead or in a confined space, x {hard:g}")
        return factor

    def _material_factor(self) -> float:
        material = self.about.material
        factor = self._factor(material) if material else None
        if factor is None:
            name = plain(material) if material else "a metal that is not known"
            self.basis.append(f"no factor on file for {name}: cutting times are those of gray iron")
            return 1.0
        self.basis.append(f"{plain(material or '')}: x {factor:g} on pins, keys, inserts, dressing")
        return factor

    # --- activities ---------------------------------------------------------------------------

    def _step(self, step: str) -> bool:
        """Count one step; False where no time is on file."""
        if step in _PIN_STEPS:
            return self._pins()
        return self._work(step)

    def _work(self, work: str) -> bool:
        row = self.uses.get(work)
        if row is None:
            return work in _TIMED_WITH_PINS and self._pins_timed
        activities = row["activities"].value
        pieces = row["pieces"].value if "pieces" in row else "one"
        assert isinstance(activities, tuple)
        for activity in activities:
            self._count(activity, str(pieces))
        return True

    def _count(self, activity: str, pieces: str) -> None:
        row = self.durations[activity]
        kind = str(row["each"].value)
        count = {
            "job": 1,
            "per_300_mm": math.ceil(self.about.crack_length / PER_LENGTH),
            "per_point": math.ceil(self.about.crack_length / WALL_POINTS_EVERY) + 1,
            "piece": self._pieces(pieces),
        }[kind]
        before = self.lines.get(activity)
        if before and kind != "piece":
            return  # done once, whoever asks for it
        self._add(activity, count + (before.count if before else 0))

    def _pieces(self, pieces: str) -> int:
        seam = self.advice.stitching
        if pieces == "keys":
            return seam.keys.count if seam and seam.keys else 0
        return 2 if pieces == "ends" else 1

    def _add(self, activity: str, count: int, note: str = "") -> None:
        if count == 0:
            return
        row = self.durations[activity]
        cutting = self.cutting if activity.startswith("pin_") or activity in _CUTTING else 1.0
        self.lines[activity] = TimeLine(
            activity=activity,
            name=str(row["name"].value),
            count=count,
            each=_ends(row["time"]),
            factor=self.site * cutting,
            unattended=_ends(row["unattended"]) if "unattended" in row else (0.0, 0.0),
            note=note,
        )

    def _pins(self) -> bool:
        seam = self.advice.stitching
        if seam is None:
            return False
        row, note = pin_row(seam.pin.major_diameter.value, self.durations)
        if row is None:
            self.missing.append(f"pins {seam.pin.thread}: larger than any on file")
            return False
        self._add(row, seam.pin.count, note)
        return True

    def _inserts(self) -> None:
        for insert in self.advice.inserts:
            if insert.needed and insert.kind:
                row = "wire_insert" if insert.kind == "helical_wire" else "solid_insert"
                before = self.lines.get(row)
                self._add(row, 1 + (before.count if before else 0))


_PIN_STEPS = frozenset({"drill_first_pass"})
_TIMED_WITH_PINS = frozenset(
    (
        "next_passes",
        "seat_shoulder_half",
        "seat_shoulder_thin",
        "tap_holes",
        "tap_blind",
        "set_pins_dry",
        "trim_without_peening",
        "end_holes",
        "mark_row",
    )
)
_CUTTING = frozenset({"key", "wire_insert", "solid_insert", "dress", "machine_face", "grind_band"})


def pin_row(diameter: float, durations: Mapping[str, Mapping[str, Cell]]) -> tuple[str | None, str]:
    """The row of `durations` for a pin, and what to say about it.

    The next larger size stands for a size that is not on file; above the largest there is none.
    """
    sizes = sorted(float(row[len("pin_m") :]) for row in durations if row.startswith("pin_m"))
    fitting = next((size for size in sizes if size >= diameter - 1e-9), None)
    if fitting is None:
        return None, ""
    note = "" if abs(fitting - diameter) < 1e-9 else f"time of M{fitting:g}, the next on file"
    return f"pin_m{fitting:g}", note


def _ends(cell: Cell) -> tuple[float, float]:
    low = cell.low if cell.low is not None else cell.value
    high = cell.high if cell.high is not None else cell.value
    assert isinstance(low, int | float)
    assert isinstance(high, int | float)
    return float(low), float(high)


def clock(minutes: float) -> str:
    """Minutes as hours and minutes.

    >>> clock(45), clock(90), clock(120), clock(2880)
    ('45 min', '1 h 30 min', '2 h', '48 h')
    """
    hours, rest = divmod(round(minutes), 60)
    parts = [f"{hours} h"] if hours else []
    parts += [f"{rest} min"] if rest or not hours else []
    return " ".join(parts)


def span(low: float, high: float) -> str:
    """A range of times.

    >>> span(20, 40), span(10, 10)
    ('20 min to 40 min', '10 min')
    """
    first, last = clock(low), clock(high)
    return last if first == last else f"{first} to {last}"
