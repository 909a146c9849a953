"""Where a result goes, and the exit codes."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

DONE, NOT_DONE, REFUSED = 0, 1, 2


def write(options: argparse.Namespace, told: str) -> int:
    """Writes a result to standard output or to the file named."""
    told = told.rstrip("\n") + "\n"
    if options.output is None:
        print(told, end="")
    else:
        Path(options.output).write_text(told, encoding="utf-8")
    return DONE


def written_json(value: Any) -> str:
    """A value as JSON text."""
    return json.dumps(value, indent=2, ensure_ascii=True)
