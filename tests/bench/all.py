"""All benchmarks, or those named, and one table of them: ours, a bare floor measured beside it, ratio, limit.

    .venv/bin/python tests/bench/all.py [--quick] [NAME ...]

A name is that of a file of this folder, whose first lines say what it measures and by what, what its floor
is and what its limits stand for. Progress goes to standard error. Exits 1 when a limit is passed, naming
it. Takes about ten minutes on two cores, with --quick (fewer rounds, days and hours) about two.
"""

from __future__ import annotations

import argparse
import importlib
import sys

from table import Row, progress, told

BENCHMARKS = (
    "start",
    "paint",
    "echo",
    "idle",
    "append",
    "replay",
    "prospect",
    "models",
    "rehearsals",
    "long_day",
)
LINUX_ONLY = {"paint", "echo", "idle", "long_day"}
"""They need a pseudo-terminal or read /proc."""


def main() -> int:
    """Runs them and prints the table; 1 when a limit is passed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--quick", action="store_true", help="fewer rounds, days and hours")
    parser.add_argument("names", metavar="NAME", nargs="*", help=f"of: {' '.join(BENCHMARKS)}")
    options = parser.parse_args()
    unknown = sorted({*options.names} - {*BENCHMARKS})
    if unknown:
        parser.error(f"no benchmark: {' '.join(unknown)}; there are: {' '.join(BENCHMARKS)}")
    rows: list[Row] = []
    for name in options.names or BENCHMARKS:
        if name in LINUX_ONLY and sys.platform != "linux":
            print(f"{name} left out: Linux only", file=sys.stderr)
            continue
        rows.extend(progress(name, importlib.import_module(name).rows(quick=options.quick)))
    return told(rows)


if __name__ == "__main__":
    sys.exit(main())
