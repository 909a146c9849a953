"""The temperature curve as lines of text: target band, readings, water added, now."""

from __future__ import annotations

from collections.abc import Callable

from mashday.faces.view import Band, Curve
from mashday.quantities import Units, in_units

_LEAST_SPAN_MINUTES = 30.0
_MARGIN_KELVIN = 2.0


def curve_rows(curve: Curve, width: int, height: int, units: Units, *, ascii_only: bool) -> list[str]:
    """The curve in `height` rows of `width` columns; empty where there is nothing or no room for it."""
    if width < 24 or height < 4 or not (curve.readings or curve.bands):
        return []
    plot_width, plot_height = width - 7, height - 1
    low, high = _range(curve)
    start, end = _span(curve)
    grid = [[" "] * plot_width for _ in range(plot_height)]

    def column(minute: float) -> int:
        return min(plot_width - 1, max(0, round((minute - start) / (end - start) * (plot_width - 1))))

    def row(celsius: float) -> int:
        share = (celsius - low) / (high - low)
        return plot_height - 1 - min(plot_height - 1, max(0, round(share * (plot_height - 1))))

    for band in curve.bands:
        _shade(grid, band, column, row, ":" if ascii_only else "░")
    for minute in curve.additions:
        grid[plot_height - 1][column(minute)] = "^"
    for minute, celsius in curve.readings:
        grid[row(celsius)][column(minute)] = "o" if ascii_only else "●"
    labels = {0: high, plot_height - 1: low}
    if plot_height >= 6:
        labels[plot_height // 2] = low + (high - low) * (plot_height - 1 - plot_height // 2) / (
            plot_height - 1
        )
    lines = []
    for y, cells in enumerate(grid):
        label = f"{in_units(labels[y], 'temperature', units):5.1f}" if y in labels else "     "
        lines.append(f"{label} {'|' if ascii_only else '│'}{''.join(cells)}")
    left, right = f"{start:.0f} min", f"{end:.0f} min"
    lines.append(" " * 7 + left + right.rjust(plot_width - len(left)))
    return lines


def _range(curve: Curve) -> tuple[float, float]:
    values = [celsius for _, celsius in curve.readings]
    values += [band.celsius + side * band.band_kelvin for band in curve.bands for side in (-1.0, 1.0)]
    return min(values) - _MARGIN_KELVIN, max(values) + _MARGIN_KELVIN


def _span(curve: Curve) -> tuple[float, float]:
    first = [minute for minute, _ in curve.readings] + [band.from_minute for band in curve.bands]
    start = min(first)
    return start, max(curve.now_minute, start + _LEAST_SPAN_MINUTES)


def _shade(
    grid: list[list[str]],
    band: Band,
    column: Callable[[float], int],
    row: Callable[[float], int],
    shade: str,
) -> None:
    top, bottom = row(band.celsius + band.band_kelvin), row(band.celsius - band.band_kelvin)
    for y in range(top, bottom + 1):
        for x in range(column(band.from_minute), column(band.to_minute) + 1):
            grid[y][x] = shade
