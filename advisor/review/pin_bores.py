"""Holes beside a row of pins that are bored for inserts."""

from __future__ import annotations

from dataclasses import replace

from advisor.advice.seam import bores
from advisor.engineering.crack_path import Bore, CrackPoint
from advisor.engineering.limits import OutOfRange
from advisor.review.bench import Bench


def planned_bores(bench: Bench, path: tuple[CrackPoint, ...]) -> tuple[Bore, ...]:
    """Holes beside the crack at the width to which the plan bores them.

    A plan that says nothing of inserts is taken to bore what the case needs.
    """
    planned = bench.plan.inserts
    advised = bench.trial.objects.get("insert_bores", ())
    assert isinstance(advised, tuple)
    if planned is None:
        wanted = dict(advised)
    else:
        wanted = {}
        needed = dict(advised)
        for insert in planned:
            index = insert.hole - 1
            hole = needed.get(index, (None, None))[0]
            if insert.outside_thread is not None and hole is not None:
                wanted[index] = (hole, insert.outside_thread.read.diameter_mm)
            elif index in needed:
                wanted[index] = needed[index]
    given = bench.given
    given = replace(given, objects={**given.objects, "insert_bores": tuple(wanted.items())})
    try:
        return bores(given, path)
    except OutOfRange:
        return ()
