"""What was found about schedule files, told as text or as values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mashday.schedule.door import Problem
from mashday.text import cleaned, quoted

LONGEST_NAME = 300
Findings = tuple[str, Sequence[Problem]]


def check_values(results: Sequence[Findings]) -> dict[str, Any]:
    """The findings of several files as plain values for JSON."""
    return {
        "files": [
            {
                "file": file,
                "ok": not any(problem.severity == "error" for problem in problems),
                "problems": [
                    {
                        "severity": problem.severity,
                        "key": problem.key,
                        "line": problem.line,
                        "found": problem.found,
                        "remedy": problem.remedy,
                    }
                    for problem in problems
                ],
            }
            for file, problems in results
        ]
    }


def check_words(results: Sequence[Findings]) -> str:
    """The findings of several files as text, one a line."""
    lines = []
    for file, problems in results:
        name = cleaned(file, LONGEST_NAME) or quoted(file)
        if not problems:
            lines.append(f"{name}: sound, and the day is feasible")
        lines += [f"{name}: {problem.severity}: {problem}" for problem in problems]
    return "\n".join(lines) + "\n"
