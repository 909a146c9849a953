"""Pictures of the board for the README, drawn from the same rows the terminal gets.

tests/faces/tui/test_tui_pictures.py keeps them in tests/golden/pictures and holds them against the board.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from rich.cells import cell_len

from mashday.faces.tui.rows import Row
from mashday.faces.tui.style import styles

ACROSS, DOWN, BASE = 8.0, 17.0, 12.5
PAPER, INK = "#1b1d1f", "#d8d8d4"
COLOURS = {"yellow": "#e5c454", "red": "#ef6f6c", "green": "#8fc97a", "cyan": "#76c7d0"}


def svg(rows: Iterable[Row], columns: int) -> str:
    """The rows as an SVG of so many columns; reverse video as lit boxes, which need no font."""
    lines = list(rows)
    width, height = columns * ACROSS + 16.0, len(lines) * DOWN + 12.0
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}"'
        f' font-family="monospace" font-size="13.3" xml:space="preserve">',
        f'<rect width="{width:.0f}" height="{height:.0f}" rx="6" fill="{PAPER}"/>',
    ]
    for y, row in enumerate(lines):
        x = 0
        for text, style in row:
            drawn += _run(text, style, 8.0 + x * ACROSS, 6.0 + y * DOWN)
            x += cell_len(text)
    return "\n".join([*drawn, "</svg>"]) + "\n"


def _run(text: str, style: str, x: float, y: float) -> Iterable[str]:
    look = styles().get(style)
    colour = INK if look is None or look.color is None else COLOURS.get(look.color.name, INK)
    reverse, width = bool(look and look.reverse), cell_len(text) * ACROSS
    if reverse:
        yield f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{DOWN:g}" fill="{colour}"/>'
    if set(text) <= set("▀▄"):
        top = y if text[:1] == "▀" else y + DOWN / 2.0
        yield f'<rect x="{x:g}" y="{top:g}" width="{width:g}" height="{DOWN / 2.0:g}" fill="{colour}"/>'
    elif text.strip():
        bare = text.lstrip(" ")
        x += (len(text) - len(bare)) * ACROSS
        bare = bare.rstrip(" ")
        bold = ' font-weight="bold"' if look and look.bold else ""
        dim = ' opacity="0.6"' if look and look.dim else ""
        fill = PAPER if reverse else colour
        yield (
            f'<text x="{x:g}" y="{y + BASE:g}" textLength="{cell_len(bare) * ACROSS:g}"'
            f' fill="{fill}"{bold}{dim}>{escape(bare)}</text>'
        )
