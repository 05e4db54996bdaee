"""Advising many cases over a cluster: the same function that `crackwright triage` maps over cores.

Needs the extra `cluster` (`pip install 'crackwright[cluster]'`). Run without a scheduler's address
it starts two worker processes on this machine; with one it uses the cluster that answers there,
whose workers need crackwright installed in the same version.

    python docs/triage_on_a_cluster.py scenarios
    python docs/triage_on_a_cluster.py --scheduler tcp://SCHEDULER:8786 cases.csv
"""

from __future__ import annotations

import argparse
from pathlib import Path

from distributed import Client, LocalCluster

from advisor.advice.triage import triage_one, waiting_cases


def main() -> None:
    """Advise the cases named on the command line and print a line for each, in their order."""
    parser = argparse.ArgumentParser(description="Triage over a cluster.")
    parser.add_argument("paths", nargs="+", type=Path)
    parser.add_argument("--scheduler", help="address of a running scheduler")
    arguments = parser.parse_args()
    if arguments.scheduler:
        with Client(arguments.scheduler) as client:
            advise_all(client, arguments.paths)
        return
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        advise_all(client, arguments.paths)


def advise_all(client: Client, paths: list[Path]) -> None:
    """One task a case; advising is pure, so a lost worker's tasks are simply done again."""
    tasks = client.map(triage_one, list(waiting_cases(paths)))
    for row in client.gather(tasks):
        print(f"{row.case:8} {row.verdict or row.problem:22} {row.method:24} {row.title}")


if __name__ == "__main__":
    main()
