"""How long things take, beside others that do the like. Scripts, not tests: nothing here asserts.

    python tests/benchmarks [SECTION] [--rounds 15] [--plans 1000]

All runs are interleaved and told as medians and as ratios, so that a busy machine tells the same story. The sections are
the modules beside this one; all of them run unless one is named. Timings of a checkout lie where compiled code is not
kept; run it with the package installed.
"""

from __future__ import annotations

import argparse
from importlib import import_module

SECTIONS = ("checking", "readings", "trials", "hours", "mends", "editing", "scale")


def main() -> None:
    parser = argparse.ArgumentParser(description="Times shootlint beside others.")
    parser.add_argument("section", nargs="?", choices=SECTIONS, help="run this section alone")
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--plans", type=int, default=1000, help="how many plans one process checks")
    call = parser.parse_args()
    for section in [call.section] if call.section else SECTIONS:
        plans = [call.plans] if section == "checking" else []
        import_module(section).run(call.rounds, *plans)


if __name__ == "__main__":
    main()
