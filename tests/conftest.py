"""How the tests run. No property has a time limit: a loaded machine is slow; limits belong in benchmarks."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One more than there are cores: some tests wait beside a terminal, and a core is idle meanwhile."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture
def proved(record_property: Callable[[str, object], None]) -> Callable[..., None]:
    """Notes a row of the table that is told after the proofs: `proved(what, cases=, lost=, late=, seen=)`.

    `lost`: what was acknowledged and is gone. `late`: how late the latest call was, as text. `seen`: what
    else came out, in words or figures. What does not apply is left out.
    """

    def note(what: str, *, cases: int, lost: int | None = None, late: str = "-", seen: str = "") -> None:
        record_property("proved", [what, f"{cases:,}", "-" if lost is None else f"{lost:,}", late, seen])

    return note


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """The table of what the proofs of this run came to."""
    reports = [report for found in terminalreporter.stats.values() for report in found]
    rows = [
        value
        for report in reports
        if getattr(report, "when", "") == "call"
        for name, value in report.user_properties
        if name == "proved"
    ]
    if rows:
        terminalreporter.section("proved")
        table = [["test", "cases", "lost", "late", "seen"], *sorted(rows)]
        widths = [max(len(row[column]) for row in table) for column in range(5)]
        for row in table:
            cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
            terminalreporter.write_line("  ".join(cells).rstrip())
