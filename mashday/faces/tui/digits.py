"""Large digits, drawn as cells of reverse video: they need no glyph, no colour and no seam.

Three by five pixels a digit. An `h` stands between hours and minutes and a `'` behind minutes where
the seconds are left out, so that neither is taken for minutes and seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

_ROWS = 5
_WIDE = {
    "0": "111101101101111",
    "1": "010110010010111",
    "2": "111001111100111",
    "3": "111001111001111",
    "4": "101101111001001",
    "5": "111100111001111",
    "6": "111100111101111",
    "7": "111001010010010",
    "8": "111101111101111",
    "9": "111101111001111",
    "+": "000010111010000",
    "-": "000000111000000",
    "h": "100100111101101",
    "O": "111101101101111",
    "F": "111100110100100",
    " ": "000000000000000",
}
_NARROW = {":": "01010", ".": "00001", "'": "11000"}
TALLEST = 1.25
"""How many times as high as wide a pixel may be drawn. ISO 9241-3 asks for digits 0.7 to 0.9 as wide as high;
three by five pixels of this shape are 0.5, still plain at three metres by eye."""

Cell = tuple[str, str]
"""Upper and lower half of a screen cell: "1" is lit."""


def units(text: str) -> int:
    """How many cells wide the text is at the smallest scale, gaps included."""
    return sum(1 if character in _NARROW else 3 for character in text) + max(0, len(text) - 1)


def drawable(text: str) -> bool:
    """True if every character has a shape."""
    return bool(text) and all(character in _WIDE or character in _NARROW for character in text)


@lru_cache(maxsize=128)
def bitmap(text: str, across: int, down: int) -> tuple[str, ...]:
    """The text as rows of 0 and 1, each pixel `across` wide and `down` high."""
    rows: list[str] = []
    for y in range(_ROWS):
        parts = [_NARROW[c][y] if c in _NARROW else _WIDE[c][3 * y : 3 * y + 3] for c in text]
        rows += ["0".join(parts)] * down
    return tuple("".join(bit * across for bit in row) for row in rows)


def scale(text: str, width: int, height: int, *, half: bool) -> tuple[int, int] | None:
    """The largest pixel that fits, across and down (in half rows with `half`); None if none does."""
    per_row = 2 if half else 1
    across, down = width // max(1, units(text)), height * per_row // _ROWS
    if not drawable(text) or across < 1 or down < 1:
        return None
    square = across if half else across / 2
    down = min(down, max(1, round(square * TALLEST - 0.01)))
    across = min(across, (down * 3 + 1) // 2 if half else down * 3)
    return across, down


def rows_of(text: str, width: int, height: int, *, half: bool) -> float:
    """How many rows high the text would be drawn in this room; 0 where it cannot be."""
    size = scale(text, width, height, half=half)
    return 0.0 if size is None else size[1] * _ROWS / (2 if half else 1)


def shorter(countdown: str) -> tuple[str, ...]:
    """The countdown and the shorter ways to say it: "1:29:48" as "1h29", "+02:34" as "+2:34" or "+02'"."""
    parts = countdown.split(":")
    if len(parts) == 3:
        return countdown, f"{parts[0]}h{parts[1]}"
    if countdown.startswith("+0"):
        return countdown, f"+{countdown[2:]}"
    if countdown.startswith("+"):
        return countdown, f"{parts[0]}'"
    return (countdown,)


def chosen(ways: Sequence[str], width: int, height: int, wanted: float, *, half: bool) -> str:
    """The first of these ways to say it that is drawn `wanted` rows high; else the one drawn highest."""
    rows = [rows_of(way, width, height, half=half) for way in ways]
    high_enough = [way for way, high in zip(ways, rows, strict=True) if high >= wanted]
    return high_enough[0] if high_enough else ways[rows.index(max(rows))]


def cells(text: str, width: int, height: int, *, half: bool) -> list[list[Cell]] | None:
    """The text as rows of cells, as large as fits; None where it cannot be drawn."""
    size = scale(text, width, height, half=half)
    if size is None:
        return None
    rows = bitmap(text, *size)
    if not half:
        return [[(bit, bit) for bit in row] for row in rows]
    if len(rows) % 2:
        rows = (*rows, "0" * len(rows[0]))
    return [list(zip(upper, lower, strict=True)) for upper, lower in zip(rows[::2], rows[1::2], strict=True)]
