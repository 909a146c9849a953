"""Large digits, drawn as cells of reverse video: they need no glyph, no colour and no seam."""

from __future__ import annotations

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
    " ": "000000000000000",
}
_NARROW = {":": "01010", ".": "00001"}

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
    down = min(down, across if half else max(1, across // 2))
    across = min(across, (down * 3 + 1) // 2 if half else down * 3)
    return across, down


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
