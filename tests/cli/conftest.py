"""The command line run inside the test process, where one rule book serves all tests."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from advisor.advice.rulebook import Rulebook, load_rulebook
from advisor.cli.main import main

ROOT = Path(__file__).parents[2]
SCENARIOS = sorted((ROOT / "scenarios").glob("*.yaml"))

JACKET = """\
case: T-1
title: Coolant jacket split by frost (invented)
answers:
  part_kind: engine_block
  governed_by: [none]
  failure_consequence: loss_of_use
  replacement: obsolete
  repair_intent: permanent
  material: gray_iron
  material_grade: EN-GJL-250
  material_evidence: workshop_tests
  base_condition: [sound]
  magnet: strong
  chip_test: crumbles
  ring_test: dull
  file_test: cuts
  heat_checks: none
  crack_location: water_jacket
  crack_length: 180 mm +/- 3 mm
  crack_depth: through
  crack_ends_found: penetrant
  crack_branches: 0
  crack_count: 1
  crack_moves: 0.01 mm
  crack_faces_offset: 0 mm
  missing_metal: no
  crack_cause: freezing
  cause_removed: yes
  machined_face_role: none
  access: one_side
  behind_wall: coolant
  wall_thickness: 6.5 mm +/- 0.3 mm
  wall_thickness_max: 8 mm
  wall_measured_by: ultrasonic
  ultrasonic_velocity: 4650 m/s
  ultrasonic_set_velocity: 4650 m/s
  holes: []
  nearest_edge: 40 mm
  nearest_passage: 25 mm
  fluid: coolant
  pressure: 1.1 bar
  temperature_max: 110 degC
  temperature_min: -20 degC
  thermal_cycling: slow
  load: none
  span: 90 mm
  leak_tight: yes
  site: workshop
  heat_allowed: none
  distortion: none
  processes: [drill_tap, penetrant, magnetic_particle, ultrasonic, pressure_test, machining]
  welder_qualified: no
  hazards: [none]
"""
"""An invented case of an ordinary job: cold stitching of a frost crack."""


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


Command = Callable[..., Ended]


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test writes where a person's reports and settings are, or sees their wishes."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    for name in ("COLUMNS", "NO_COLOR", "CRACKWRIGHT_DEBUG"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    return load_rulebook()


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    path = tmp_path / "jacket.yaml"
    path.write_text(JACKET, encoding="utf-8")
    return path


@pytest.fixture
def crackwright(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """Run a command in this process: arguments in, exit code and both outputs out."""

    def run(*arguments: str | Path, stdin: str | bytes = "") -> Ended:
        raw = stdin.encode() if isinstance(stdin, str) else stdin
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8"))
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        return Ended(code, *capsys.readouterr())

    return run


def environment(**more: str) -> dict[str, str]:
    """What a process of its own needs to find the program."""
    path = os.pathsep.join(p for p in (str(ROOT), os.environ.get("PYTHONPATH", "")) if p)
    return {**os.environ, "PYTHONPATH": path, **more}


PROGRAM = [sys.executable, "-m", "advisor.cli.main"]


def in_own_process(
    *arguments: str | Path, stdin: str = "", **more: str
) -> subprocess.CompletedProcess[str]:
    """Run the program as a process of its own."""
    return subprocess.run(
        [*PROGRAM, *map(str, arguments)],
        input=stdin,
        capture_output=True,
        text=True,
        env=environment(**more),
        timeout=60,
        check=False,
    )
