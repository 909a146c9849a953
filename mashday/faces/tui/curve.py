"""The temperature curve as lines of text: target band, readings, water added, now."""

from __future__ import annotations

from collections.abc import Callable

from mashday.faces.view import Band, Curve
from mashday.quantities import Units, in_units

NOW = "now"
LEAST_WIDTH, LEAST_HEIGHT, MARGIN = 24, 4, 7
_LEAST_SPAN_MINUTES = 30.0
_MOST_SPAN_MINUTES = 120.0
_LEAD_MINUTES = 5.0
_MARGIN_KELVIN = 2.0


def curve_rows(curve: Curve, width: int, height: int, units: Units, *, ascii_only: bool) -> list[str]:
    """The newest part of the curve in `height` rows of `width` columns; empty where there is no room for it
    or nothing in it.

    Readings are single marks, not joined: nobody knows what was between them.
    """
    if width < LEAST_WIDTH or height < LEAST_HEIGHT or not (curve.readings or curve.bands):
        return []
    start, end = _span(curve)
    readings = [(minute, celsius) for minute, celsius in curve.readings if minute >= start]
    bands = [band for band in curve.bands if band.to_minute >= start]
    if not readings and not bands:
        return []
    plot_width, plot_height = width - MARGIN, height - 1
    low, high = _range(readings, bands)
    grid = [[" "] * plot_width for _ in range(plot_height)]

    def column(minute: float) -> int:
        return min(plot_width - 1, max(0, round((minute - start) / (end - start) * (plot_width - 1))))

    def row(celsius: float) -> int:
        share = (celsius - low) / (high - low)
        return plot_height - 1 - min(plot_height - 1, max(0, round(share * (plot_height - 1))))

    for band in bands:
        _shade(grid, band, column, row, ":" if ascii_only else "░")
    for minute in curve.additions:
        if minute >= start:
            grid[plot_height - 1][column(minute)] = "^"
    for minute, celsius in readings:
        grid[row(celsius)][column(minute)] = "o" if ascii_only else "●"
    labels = {0: high, plot_height - 1: low}
    labels |= {row(band.celsius): band.celsius for band in bands}
    in_band = {y for band in bands for y in (row(band.celsius),)}
    lines = []
    for y, cells in enumerate(grid):
        label = f"{in_units(labels[y], 'temperature', units):5.1f}" if y in labels else "     "
        edge = ("=" if ascii_only else "╪") if y in in_band else ("|" if ascii_only else "│")
        lines.append(f"{label} {edge}{''.join(cells)}")
    lines.append(" " * MARGIN + _time_axis(curve, start, end, plot_width))
    return lines


def _time_axis(curve: Curve, start: float, end: float, width: int) -> str:
    """Clock times at both ends, and where now is, if that is between them."""
    left, right = curve.clock(start), curve.clock(end)
    axis = left + right.rjust(width - len(left))
    at = round((curve.now_minute - start) / (end - start) * (width - 1)) - 1
    if len(left) < at < width - len(right) - len(NOW):
        axis = axis[:at] + NOW + axis[at + len(NOW) :]
    return axis


def _range(readings: list[tuple[float, float]], bands: list[Band]) -> tuple[float, float]:
    values = [celsius for _, celsius in readings]
    values += [band.celsius + side * band.band_kelvin for band in bands for side in (-1.0, 1.0)]
    return min(values) - _MARGIN_KELVIN, max(values) + _MARGIN_KELVIN


def _span(curve: Curve) -> tuple[float, float]:
    """From a little before the first rest, or the first reading, but at most the newest two hours."""
    first = min([minute for minute, _ in curve.readings] + [band.from_minute for band in curve.bands])
    if curve.bands:
        first = max(first, curve.bands[0].from_minute - _LEAD_MINUTES)
    start = max(first, curve.now_minute - _MOST_SPAN_MINUTES)
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
