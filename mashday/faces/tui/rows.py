"""Rows of styled text: what the screen is painted from, and the tools that fit text into them.

A row is a list of runs, each a text and the name of a style. Widths are counted in screen cells, so that a
wide character takes the two it needs.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from functools import lru_cache

from rich.cells import cell_len, set_cell_size

Run = tuple[str, str]
Row = list[Run]


def text_of(rows: Iterable[Row]) -> str:
    """The rows as plain text; lit cells of the large digits are blanks, as in a capture."""
    return "\n".join("".join(text for text, _ in row).rstrip() for row in rows)


def harmless(text: str) -> str:
    """The text without anything a terminal could act on; its columns stay."""
    return "".join(character if character.isprintable() else " " for character in text)


def width_of(row: Row) -> int:
    """How many cells wide the row is."""
    return sum(cell_len(text) for text, _ in row)


def clipped(row: Row, width: int) -> Row:
    """The row cut to at most `width` cells."""
    found: Row = []
    left = width
    for text, style in row:
        if left <= 0:
            break
        needed = cell_len(text)
        found.append((text if needed <= left else set_cell_size(text, left), style))
        left -= needed
    return found


def fold(text: str, width: int, most: int | None = None) -> list[str]:
    """The text in lines of at most `width` cells, at most `most` of them; what is cut ends in dots."""
    return list(_folded(text, max(1, width), most))


@lru_cache(maxsize=512)
def _folded(text: str, width: int, most: int | None) -> tuple[str, ...]:
    lines = textwrap.wrap(text, width) or [""]
    if any(cell_len(line) > width for line in lines):
        lines = textwrap.wrap(text, max(1, width // 2)) or [""]
    if most is not None and len(lines) > most:
        lines = lines[: max(1, most)]
        lines[-1] = set_cell_size(lines[-1], max(0, width - 3)).rstrip() + "..."
    return tuple(lines)


def filled(text: str, width: int, style: str) -> Row:
    """One row of one style over its whole width."""
    return [(set_cell_size(text, width), style)]


def beside(left: Sequence[Row], right: Sequence[Row], left_width: int, gap: int = 1) -> list[Row]:
    """Two stacks of rows side by side, the left one `left_width` cells wide."""
    rows = []
    for y in range(max(len(left), len(right))):
        row = clipped(left[y], left_width) if y < len(left) else []
        if y < len(right):
            row = [*row, (" " * (left_width + gap - width_of(row)), ""), *right[y]]
        rows.append(row)
    return rows
