"""Reading thread designations: metric, unified, 55 degree and 60 degree pipe threads.

Nothing is guessed: a designation that is not complete, or names no standard thread, is refused
with the nearest one that exists.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from enum import StrEnum
from fractions import Fraction
from typing import Final, Literal

from advisor.engineering.limits import OutOfRange
from advisor.engineering.thread_limits import ThreadLimits, metric_limits, unified_limits
from advisor.engineering.thread_series import (
    ISO_261,
    ISO_261_LARGEST_COARSE,
    ISO_261_THIRD_CHOICE,
    MM_PER_INCH,
    PIPE_55,
    PIPE_60,
    UN_CONSTANT_PITCHES,
    UNC,
    UNF,
    UNIFIED_SERIES,
    fraction_text,
    inch_size,
    inch_size_text,
)
from advisor.light_dataclass import dataclass

Side = Literal["internal", "external"]
LONGEST_TEXT: Final = 64


class ThreadSystem(StrEnum):
    """Families of threads that do not mate with one another."""

    METRIC = "metric"
    UNIFIED = "unified"
    PIPE_55_PARALLEL = "pipe_55_parallel"
    PIPE_55_SEALING = "pipe_55_sealing"
    PIPE_60 = "pipe_60"


@dataclass(frozen=True)
class Designation:
    """A thread as named.

    Attributes:
        system: family
        size: size as designated, without the letters: `16`, `3/4`, `#10`
        series: coarse, fine or special (metric); UNC, UN, ...; G, R, Rc, Rp; NPT, ...
        diameter_mm: major diameter; pipe outside diameter for 60 degree pipe threads [mm]
        pitch_mm: pitch [mm]
        threads_per_inch: None for metric threads [1/in]
        tolerance: tolerance class as written, None where not given
        side: internal or external where the designation says so
        taper: whether this thread is taper
        left_hand: left-hand thread
        coil_hole: oversize tapped hole for a helical wire insert (STI)
        engagement: length of engagement group S, N or L where given
        text: canonical spelling
    """

    system: ThreadSystem
    size: str
    series: str
    diameter_mm: float
    pitch_mm: float
    threads_per_inch: float | None
    tolerance: str | None
    side: Side | None
    taper: bool
    left_hand: bool
    coil_hole: bool
    engagement: str | None
    text: str

    @property
    def is_pipe(self) -> bool:
        """Whether this is a pipe thread of any kind."""
        return self.system not in (ThreadSystem.METRIC, ThreadSystem.UNIFIED)

    @property
    def measure_system(self) -> Literal["metric", "unified"]:
        """Which drills and which outside threads go with it."""
        inch = self.system in (ThreadSystem.UNIFIED, ThreadSystem.PIPE_60)
        return "unified" if inch else "metric"


class DesignationError(OutOfRange):
    """A text that names no thread; `hint` says what would be right."""

    def __init__(self, text: str, problem: str, hint: str | None = None) -> None:
        super().__init__("thread", repr(text), problem, hint)


_SIZE = r"(?P<size>\d+[ -]\d+/\d+|\d+/\d+|#?\d+|\d*\.\d+)"
_LEFT = r"(?:[ -]?(?P<left>LH))?"
_TOLERANCE = r"\d[A-Ha-h](?:\d[A-Ha-h])?(?:/\d[A-Ha-h](?:\d[A-Ha-h])?)?"
_METRIC = re.compile(
    rf"M(?P<d>\d{{1,3}}(?:\.\d{{1,3}})?)(?:x(?P<pitch>\d*\.?\d+))?(?:-(?P<tolerance>{_TOLERANCE}))?"
    rf"(?:-(?P<engagement>[SNL]))?{_LEFT}(?: ?(?P<coil>STI))?"
)
_UNIFIED = re.compile(
    rf"{_SIZE}-(?P<tpi>\d+ 1/2|\d+(?:\.\d+)?) ?(?P<series>UN[A-Z]*|NC|NF|NEF)"
    rf"(?:[ -](?P<tolerance>[123][ABab]))?{_LEFT}(?: ?(?P<coil>STI))?"
)
_NPT = re.compile(
    rf"{_SIZE}(?:-(?P<tpi>\d+ 1/2|\d+(?:\.\d+)?))? ?(?P<series>NPT[FR]?|NPS[CMLH]){_LEFT}"
)
_G = re.compile(rf"G ?{_SIZE} ?(?P<tolerance>[AB])?{_LEFT}")
_ISO_7 = re.compile(rf"(?P<series>R|RC|RP) ?{_SIZE}{_LEFT}")

_PIPE_ALIASES: Final = {"BSPP": "G", "PF": "G", "PS": "Rp"}
_TAPER_ALIASES: Final = ("BSPT", "PT")
_UNIFIED_ALIASES: Final = {"NC": "UNC", "NF": "UNF", "NEF": "UNEF"}
# UNR and UNJ are the unified series with a rounded root; sizes and limits of pitch are the same.
_ROUNDED_ROOT: Final = re.compile(r"UN[RJ]([CFS]|EF)?")
_SERIES_KNOWN: Final = ("UNC", "UNF", "UNEF", "UN", "UNS")


def parse_designation(text: str, allow_special: bool = False) -> Designation:
    """Read a thread designation.

    Args:
        text: such as `M16`, `M16x1.5-6H`, `3/4-10 UNC-2B`, `#10-32 UNF`, `1/2-14 NPT`, `G 1/2`,
            `Rc 3/8`; the signs \N{MULTIPLICATION SIGN}, long dashes, decimal commas, vulgar
            fractions and inch marks are understood
        allow_special: accept a metric pitch or size outside ISO 261

    Returns:
        the thread

    Validity: sizes of ISO 261, ASME B1.1, ISO 228-1, ISO 7-1, ASME B1.20.1 held here.

    Raises:
        DesignationError: (an OutOfRange) text that names no such thread, with a hint.

    Example:
        >>> d = parse_designation("M16")
        >>> d.pitch_mm, d.text
        (2.0, 'M16')
        >>> parse_designation("1 1/8 - 7 unc").text
        '1-1/8-7 UNC'
        >>> parse_designation("1/2-12 UNC")
        Traceback (most recent call last):
        ...
        advisor.engineering.designations.DesignationError: thread = '1/2-12 UNC': 1/2 in the UNC \
series has 13 threads per inch, not 12; did you mean 1/2-13 UNC?

    Source: ISO 965-1, ASME B1.1, B1.13M, B1.20.1, ISO 228-1, ISO 7-1 designation clauses (read
    second-hand).
    """
    if len(text) > LONGEST_TEXT:
        raise DesignationError(text[:LONGEST_TEXT] + "...", "is too long for a thread")
    plain = _normalise(text)
    if not plain:
        raise DesignationError(text, "is empty", "write for example M16x2 or 3/4-10 UNC")
    for pattern, read in (
        (_METRIC, _read_metric),
        (_G, _read_g),
        (_ISO_7, _read_iso_7),
        (_NPT, _read_npt),
        (_UNIFIED, _read_unified),
    ):
        match = pattern.fullmatch(plain)
        if match:
            return read(text, match, allow_special)
    raise DesignationError(text, "is no thread designation", _hint(plain))


def _normalise(text: str) -> str:
    plain = re.sub(r"(\d)(?=[¼-¾⅐-⅞])", r"\1 ", text)
    plain = unicodedata.normalize("NFKC", plain).strip()
    plain = re.sub("[‐‑‒–—−]", "-", plain).replace("⁄", "/")
    plain = re.sub(r"[×✕✖]|(?<=[\d ])\*(?=[\d ])", "x", plain)
    plain = re.sub(r"[\"″”“]|′+|(?<=\d)''|(?<=\d) ?in(?:ch|\.)?(?=[\s-]|$)", "", plain)
    plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    plain = re.sub(r"^(?:no\.? ?|№ ?)(?=\d)", "#", plain, flags=re.IGNORECASE)
    plain = re.sub(r"\s+", " ", plain)
    plain = re.sub(r" ?- ?", "-", plain)
    plain = re.sub(r"(?<=\d) ?[xX] ?(?=[\d.])", "x", plain)
    plain = re.sub(r"^m ?(?=\d)", "M", plain, flags=re.IGNORECASE)
    if plain.startswith("M"):
        return re.sub(r"(?i)\b(lh|sti)$", lambda m: m[0].upper(), plain.replace("- ", "-"))
    return _aliases(plain.upper())


def _aliases(plain: str) -> str:
    """Rewrite older pipe thread names to the ISO letter, size behind it."""
    for old, new in _PIPE_ALIASES.items():
        size = re.sub(rf"^{old}\b ?|\b ?{old}$", "", plain)
        if size != plain:
            return f"{new.upper()} {size.strip()}"
    return plain


def _hint(plain: str) -> str:
    loose = re.fullmatch(r"M(\d+(?:\.\d+)?)[ /-](\d+(?:\.\d+)?)", plain)
    if loose:
        return f"did you mean M{loose[1]}x{loose[2]}?"
    bare = re.fullmatch(rf"{_SIZE}-(?P<tpi>\d+(?:\.\d+)?)", plain)
    if bare:
        size, tpi = bare["size"], float(bare["tpi"])
        found = [f"{s}-{n:g} {name}" for s, n, name in _listed(size) if n == tpi]
        return f"name the series: {found[0]}?" if found else "name the series: UNC, UNF, UN, NPT"
    taper = re.search(r"\b(?:BSPT|PT)\b", plain)
    if taper:
        size = (plain[: taper.start()] + plain[taper.end() :]).strip() or "1/2"
        return f"write Rc {size} for a tapped hole, R {size} for a pipe end"
    if re.search(r"\b(?:BSW|BSF|BSC|W ?\d)", plain):
        return "Whitworth machine threads are not held; measure diameter and pitch"
    if re.match(r"TR ?\d|ACME", plain):
        return "power screw threads are not held"
    if re.fullmatch(_SIZE, plain):
        found = [f"{size}-{n:g} {name}" for size, n, name in _listed(plain)]
        return f"a size alone is no thread; write for example {found[0] if found else 'M16'}"
    return "write for example M16x2, 3/4-10 UNC-2B, 1/2-14 NPT, G 1/2 or Rc 3/8"


# Metric


def _read_metric(text: str, match: re.Match[str], allow_special: bool) -> Designation:
    diameter = float(match["d"])
    pitches = ISO_261.get(diameter, ())
    if not pitches and not allow_special:
        near = sorted(sorted(ISO_261, key=lambda size: abs(size - diameter))[:2])
        names = " or ".join(f"M{size:g}" for size in near)
        raise DesignationError(text, f"M{diameter:g} is not in ISO 261", f"nearest are {names}")
    has_coarse = bool(pitches) and diameter <= ISO_261_LARGEST_COARSE
    has_coarse = has_coarse and diameter not in (ISO_261_THIRD_CHOICE - {9.0, 11.0})
    if match["pitch"] is None:
        if not has_coarse:
            hint = f"write the pitch, one of {_numbers(pitches)}" if pitches else "write the pitch"
            raise DesignationError(text, f"M{diameter:g} has no coarse pitch", hint)
        pitch = pitches[0]
    else:
        pitch = float(match["pitch"])
    if pitch not in pitches and not allow_special:
        problem = f"M{diameter:g} has no pitch {pitch:g} in ISO 261"
        nearest = min(pitches, key=lambda p: abs(p - pitch))
        name = f"M{diameter:g}x{nearest:g}"
        raise DesignationError(text, problem, f"nearest is {name}; it has {_numbers(pitches)}")
    if not 0.0 < pitch < diameter / 3.0:
        raise DesignationError(text, f"pitch {pitch:g} does not fit diameter {diameter:g}")
    coarse = has_coarse and pitch == pitches[0]
    series = "coarse" if coarse else "fine" if pitch in pitches else "special"
    tolerance = match["tolerance"]
    name = f"M{diameter:g}" if coarse else f"M{diameter:g}x{pitch:g}"
    tails = [tolerance, match["engagement"], "LH" if match["left"] else None]
    canonical = "-".join([name, *(tail for tail in tails if tail)])
    return Designation(
        system=ThreadSystem.METRIC,
        size=f"{diameter:g}",
        series=series,
        diameter_mm=diameter,
        pitch_mm=pitch,
        threads_per_inch=None,
        tolerance=tolerance,
        side=_metric_side(text, tolerance),
        taper=False,
        left_hand=bool(match["left"]),
        coil_hole=bool(match["coil"]),
        engagement=match["engagement"],
        text=canonical + (" STI" if match["coil"] else ""),
    )


def _metric_side(text: str, tolerance: str | None) -> Side | None:
    """Capital letters are holes, small ones bolts; a pair 6H/6g is neither."""
    if tolerance is None or "/" in tolerance:
        return None
    letters = {letter for letter in tolerance if letter.isalpha()}
    if all(letter.isupper() for letter in letters):
        return "internal"
    if all(letter.islower() for letter in letters):
        return "external"
    problem = f"class {tolerance} mixes hole (capital) and bolt (small) letters"
    raise DesignationError(text, problem, "write 6H for a hole, 6g for a bolt, 6H/6g for both")


# Unified


def _listed(size: str) -> list[tuple[str, float, str]]:
    """Listed series of a size as (canonical size, threads per inch, series)."""
    return [
        (name, table[name], series)
        for name in _size_names(size)
        for series, table in UNIFIED_SERIES.items()
        if name in table
    ]


def _size_names(size: str) -> list[str]:
    """Sizes that a text may mean: `10` is a number size, `2` may be #2 or 2 inches."""
    if size.startswith("#"):
        return [f"#{int(size[1:])}"] if int(size[1:]) <= 12 else []
    if "." in size:
        return [inch_size_text(float(size))] if 0.06 <= float(size) <= 6.0 else []
    name = size.replace(" ", "-")
    if "/" in name:
        whole, _, fraction = name.rpartition("-")
        top, bottom = (int(part) for part in fraction.split("/"))
        if bottom == 0 or not top < bottom:
            return []
        return [fraction_text(Fraction(top, bottom) + (int(whole) if whole else 0))]
    number = int(name)
    inches = [str(number)] if 1 <= number <= 6 else []
    return [*inches, f"#{number}"] if number <= 12 else []


def _threads_per_inch(text: str) -> float:
    whole, _, half = text.partition(" ")
    return float(whole) + (0.5 if half else 0.0)


def _series_name(text: str, written: str) -> tuple[str, str]:
    """Series as written in canonical form, and the series whose sizes it has."""
    written = _UNIFIED_ALIASES.get(written, written)
    rounded = _ROUNDED_ROOT.fullmatch(written)
    base = f"UN{rounded[1] or ''}" if rounded else written
    if base not in _SERIES_KNOWN:
        raise DesignationError(text, f"{written} is no unified series", "UNC, UNF, UNEF, UN, UNS")
    return written, base


def _read_unified(text: str, match: re.Match[str], allow_special: bool) -> Designation:
    series, base = _series_name(text, match["series"])
    threads = _threads_per_inch(match["tpi"])
    names = _size_names(match["size"])
    size = _unified_size(text, names, threads, base)
    tolerance = match["tolerance"].upper() if match["tolerance"] else None
    side: Side | None = None
    if tolerance:
        side = "internal" if tolerance.endswith("B") else "external"
    head = f"{size}-{threads:g} {series}"
    canonical = "-".join(
        [head, *(tail for tail in (tolerance, "LH" if match["left"] else None) if tail)]
    )
    return Designation(
        system=ThreadSystem.UNIFIED,
        size=size,
        series=series,
        diameter_mm=round(_inches(size) * MM_PER_INCH, 9),
        pitch_mm=MM_PER_INCH / threads,
        threads_per_inch=threads,
        tolerance=tolerance,
        side=side,
        taper=False,
        left_hand=bool(match["left"]),
        coil_hole=bool(match["coil"]),
        engagement=None,
        text=canonical + (" STI" if match["coil"] else ""),
    )


def _inches(size: str) -> float:
    return float(size) if "." in size else inch_size(size)


def _unified_size(text: str, names: list[str], threads: float, series: str) -> str:
    """The size meant, checked against the series."""
    if not names or not 4.0 <= threads <= 80.0:
        raise DesignationError(text, "is no unified size", "write for example 3/4-10 UNC")
    if series == "UNS":
        return _coarse_enough(text, names, threads)
    if series == "UN":
        if threads not in UN_CONSTANT_PITCHES:
            pitches = _numbers(UN_CONSTANT_PITCHES)
            raise DesignationError(text, f"UN threads have {pitches} per inch", "UNS if special")
        return _coarse_enough(text, names, threads)
    table = UNIFIED_SERIES[series]
    for name in names:
        if table.get(name) == threads:
            return name
    raise DesignationError(text, *_series_mismatch(names, threads, series))


def _coarse_enough(text: str, names: list[str], threads: float) -> str:
    """First size that is more than three pitches across."""
    for name in names:
        if _inches(name) * threads > 3.0:
            return name
    raise DesignationError(text, f"{threads:g} threads per inch are too few for this size")


def _series_mismatch(names: list[str], threads: float, series: str) -> tuple[str, str]:
    table = UNIFIED_SERIES[series]
    listed = [name for name in names if name in table]
    if not listed:
        wanted = _inches(names[0])
        nearest = min(table, key=lambda name: abs(inch_size(name) - wanted))
        hint = f"did you mean {nearest}-{table[nearest]:g} {series}?"
        return f"the {series} series has no size {names[0]}", hint
    name = min(listed, key=lambda item: abs(table[item] - threads))
    others = [other for other, sizes in UNIFIED_SERIES.items() if sizes.get(name) == threads]
    meant = others[0] if others else series
    right = f"{name}-{threads:g} {meant}" if others else f"{name}-{table[name]:g} {series}"
    problem = f"{name} in the {series} series has {table[name]:g} threads per inch, not {threads:g}"
    return problem, f"did you mean {right}?"


# Pipe threads


def _pipe_name(text: str, written: str, sizes: Iterable[str]) -> str:
    names = [name for name in _size_names(written) if not name.startswith("#")]
    known = list(sizes)
    if names and names[0] in known:
        return names[0]
    raise DesignationError(text, f"{written} is not a pipe size held", f"sizes: {', '.join(known)}")


def _read_g(text: str, match: re.Match[str], allow_special: bool) -> Designation:
    return _pipe_55(text, "G", match["size"], match["tolerance"], bool(match["left"]))


def _read_iso_7(text: str, match: re.Match[str], allow_special: bool) -> Designation:
    return _pipe_55(text, match["series"].capitalize(), match["size"], None, bool(match["left"]))


def _pipe_55(
    text: str, series: str, written: str, tolerance: str | None, left: bool
) -> Designation:
    size = _pipe_name(text, written, PIPE_55)
    row = PIPE_55[size]
    side: Side | None = "internal" if series in ("Rc", "Rp") else None
    if series == "R" or tolerance:
        side = "external"
    parts = [series, size, tolerance, "LH" if left else None]
    return Designation(
        system=ThreadSystem.PIPE_55_PARALLEL if series == "G" else ThreadSystem.PIPE_55_SEALING,
        size=size,
        series=series,
        diameter_mm=row.major_mm,
        pitch_mm=MM_PER_INCH / row.threads_per_inch,
        threads_per_inch=row.threads_per_inch,
        tolerance=tolerance,
        side=side,
        taper=series in ("R", "Rc"),
        left_hand=left,
        coil_hole=False,
        engagement=None,
        text=" ".join(part for part in parts if part),
    )


def _read_npt(text: str, match: re.Match[str], allow_special: bool) -> Designation:
    size = _pipe_name(text, match["size"], PIPE_60)
    row = PIPE_60[size]
    series = match["series"]
    if match["tpi"] is not None and _threads_per_inch(match["tpi"]) != row.threads_per_inch:
        problem = f"{size} {series} has {row.threads_per_inch:g} threads per inch"
        right = f"did you mean {size}-{row.threads_per_inch:g} {series}?"
        raise DesignationError(text, problem, right)
    left = bool(match["left"])
    return Designation(
        system=ThreadSystem.PIPE_60,
        size=size,
        series=series,
        diameter_mm=round(row.outside_in * MM_PER_INCH, 9),
        pitch_mm=MM_PER_INCH / row.threads_per_inch,
        threads_per_inch=row.threads_per_inch,
        tolerance=None,
        side=None,
        taper=series.startswith("NPT"),
        left_hand=left,
        coil_hole=False,
        engagement=None,
        text=f"{size}-{row.threads_per_inch:g} {series}" + (" LH" if left else ""),
    )


def _numbers(values: Iterable[float]) -> str:
    return ", ".join(f"{value:g}" for value in values)


# What goes with a designation


def limits_of(thread: Designation) -> ThreadLimits:
    """Limits of size of a metric or unified thread and its mate.

    A metric tolerance class in the designation is used for its own side; the other side, and a
    designation without a class, is taken as 6g and 6H; unified threads as 2A and 2B.

    Args:
        thread: a parsed designation

    Returns:
        limits [mm]

    Validity: metric and unified threads; unified classes 2A, 2B and the closer 3A, 3B (taken as
    class 2, the safe side for strength).

    Raises:
        OutOfRange: a pipe thread, class 1A or 1B, or a tolerance class the standard lacks.

    Example:
        >>> limits_of(parse_designation("M12x1.5-6H")).hole_minor_max
        10.676

    Source: ISO 965-1, ASME B1.1 (read second-hand).
    """
    if thread.system is ThreadSystem.METRIC:
        bolt, hole = "6g", "6H"
        for part in (thread.tolerance or "").split("/"):
            if part and part[-1].isupper():
                hole = part
            elif part:
                bolt = part
        return metric_limits(thread.diameter_mm, thread.pitch_mm, bolt, hole)
    if thread.system is ThreadSystem.UNIFIED and thread.threads_per_inch is not None:
        if (thread.tolerance or "2").startswith("1"):
            raise OutOfRange("tolerance class", thread.tolerance, "classes 1A and 1B are not held")
        inches = round(thread.diameter_mm / MM_PER_INCH, 9)
        _, base = _series_name(thread.text, thread.series)
        return unified_limits(inches, thread.threads_per_inch, base)
    raise OutOfRange("thread", thread.text, "limits are held for metric and unified threads")


def look_alikes(thread: Designation) -> tuple[str, ...]:
    """Threads of another family that start into this one and then bind, leak or strip.

    Metric against UNC and UNF: diameters within 5 % and pitches within 7 %. Pipe threads: the same
    size of the other family; diameters of 55 and 60 degree pipe threads differ by under 4 %.

    Args:
        thread: a parsed designation

    Returns:
        one sentence for each

    Validity: the series held here.

    Example:
        >>> look_alikes(parse_designation("G 1/2"))
        ('1/2-14 NPT: 60 degrees, 14 threads per inch, 21.34 mm; does not mate with G 1/2',)

    Source: dimensions of the standards (computed).
    """
    own = thread.text.split("-LH")[0]
    if thread.system is ThreadSystem.PIPE_60:
        row = PIPE_55.get(thread.size)
        facts = (
            f"55 degrees, {row.threads_per_inch:g} threads per inch, {row.major_mm:.2f} mm"
            if (row)
            else ""
        )
        return (f"G or R {thread.size}: {facts}; does not mate with {own}",) if row else ()
    if thread.is_pipe:
        pipe = PIPE_60.get(thread.size)
        if pipe is None:
            return ()
        name = f"{pipe.size}-{pipe.threads_per_inch:g} NPT"
        outside = pipe.outside_in * MM_PER_INCH
        facts = f"60 degrees, {pipe.threads_per_inch:g} threads per inch, {outside:.2f} mm"
        return (f"{name}: {facts}; does not mate with {own}",)
    alike = []
    for name, diameter, pitch in _other_family(thread.system):
        near_diameter = abs(diameter / thread.diameter_mm - 1.0) <= 0.05
        if near_diameter and abs(pitch / thread.pitch_mm - 1.0) <= 0.07:
            facts = f"{diameter:.2f} mm, pitch {pitch:.3f} mm"
            alike.append(f"{name}: {facts}; does not mate with {own}")
    return tuple(alike)


def _other_family(system: ThreadSystem) -> list[tuple[str, float, float]]:
    if system is ThreadSystem.UNIFIED:
        return [
            (f"M{size:g}x{pitch:g}", size, pitch)
            for size, pitches in ISO_261.items()
            if size not in ISO_261_THIRD_CHOICE
            for pitch in pitches
        ]
    return [
        (f"{size}-{threads:g} {series}", inch_size(size) * MM_PER_INCH, MM_PER_INCH / threads)
        for series, table in (("UNC", UNC), ("UNF", UNF))
        for size, threads in table.items()
    ]
