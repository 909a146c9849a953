"""The temperature curve of a day as SVG: targets with their bands, readings, what was done, the steps.

Numbers in, text out. Readings are marks of their own; within a step a thin line leads from one to the next,
for nobody knows better what was between them. It is drawn in black and grey, so that it can be read in print.
SVG 2 elements only, without any reference.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape
from typing import Literal

from mashday.quantities import Units, in_units, unit_word
from mashday.text import cleaned

WIDTH, LEFT, RIGHT = 760.0, 40.0, 96.0
TOP, PLOT = 24.0, 210.0
LANE, MOST_LANES, AXIS = 13.0, 8, 17.0
LETTER = 5.6
"""Width of a letter of the labels, about."""
LEAST_MINUTES = 30.0
ROUNDING = 1.0 / 60.0
"""Minutes by which a round clock time may be missed: a tick must not say the minute before it."""
MARGIN_KELVIN = 2.0
LEAST_DRAWN = 0.5
"""A target that is drawn shorter than this is left out: its step was over at once."""
_LONGEST_LABEL = 18
_TICK_MINUTES = (5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080)
_MOST_TICKS = 11
_TICK_DEGREES = (1, 2, 5, 10, 20, 50)
_MOST_ROWS = 8
_FAINT = 'stroke="#000" stroke-opacity="0.35" stroke-width="0.6"'
_EDGED = ' stroke="#fff" stroke-width="3" paint-order="stroke"'


DotKind = Literal["read", "assumed", "struck"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A step: its label, from which minute of the day to which, and the target it has, Celsius, with its
    band, K."""

    label: str
    from_minute: float
    to_minute: float
    celsius: float | None = None
    band_kelvin: float = 0.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A reading at a minute of the day, Celsius; struck out, or assumed where nobody read."""

    minute: float
    celsius: float
    kind: DotKind = "read"


@dataclass(frozen=True, slots=True)
class Event:
    """Something done at a minute of the day, and its label."""

    minute: float
    label: str


@dataclass(frozen=True, slots=True)
class Curve:
    """All that is drawn; `holds` are the minutes, from and to, in which the day was held."""

    title: str
    told: str
    ends_minute: float
    stretches: tuple[Stretch, ...] = ()
    dots: tuple[Dot, ...] = ()
    additions: tuple[Event, ...] = ()
    remedies: tuple[Event, ...] = ()
    holds: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class _Frame:
    """From minutes and Celsius to places on the drawing."""

    from_minute: float
    to_minute: float
    low: float
    high: float

    def x(self, minute: float) -> float:
        share = (minute - self.from_minute) / (self.to_minute - self.from_minute)
        return LEFT + min(1.0, max(0.0, share)) * (WIDTH - LEFT - RIGHT)

    def y(self, celsius: float) -> float:
        share = (celsius - self.low) / (self.high - self.low)
        return TOP + PLOT * (1.0 - min(1.0, max(0.0, share)))


def curve_svg(curve: Curve, clock: Callable[[float], datetime], units: Units) -> str:
    """The drawing; "" where there is neither reading nor target. `clock` gives the wall clock at a minute."""
    frame = _frame(curve)
    if frame is None:
        return ""
    labels, lanes = _step_labels(curve, frame, clock)
    height = TOP + PLOT + AXIS + lanes * LANE + 6.0
    drawn = [
        f'<svg viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-labelledby="curve-title curve-told">',
        f'<title id="curve-title">{_text(curve.title)}</title>',
        f'<desc id="curve-told">{_text(curve.told)}</desc>',
        *_holds(curve, frame),
        *_degrees(frame, units),
        *_times(frame, clock),
        *_targets(curve, frame),
        *labels,
        *_additions(curve, frame),
        *_remedies(curve, frame),
        *_joined(curve, frame),
        *_dots(curve, frame, units),
        "</svg>",
    ]
    return "\n".join(drawn)


def _frame(curve: Curve) -> _Frame | None:
    shown = [dot.celsius for dot in curve.dots if dot.kind != "struck"]
    for stretch in curve.stretches:
        if stretch.celsius is not None:
            shown += [stretch.celsius - stretch.band_kelvin, stretch.celsius + stretch.band_kelvin]
    if not shown:
        shown = [dot.celsius for dot in curve.dots]
    if not shown:
        return None
    first = min([0.0, *(dot.minute for dot in curve.dots)])
    last = max([first + LEAST_MINUTES, curve.ends_minute, *(dot.minute for dot in curve.dots)])
    return _Frame(first, last, min(shown) - MARGIN_KELVIN, max(shown) + MARGIN_KELVIN)


def _holds(curve: Curve, frame: _Frame) -> list[str]:
    found = []
    for start, end in curve.holds:
        left, right = frame.x(start), frame.x(end)
        found += [
            f'<rect x="{left:.1f}" y="{TOP}" width="{max(1.0, right - left):.1f}" height="{PLOT}"'
            ' fill="#000" fill-opacity="0.07"/>',
            _label((left + right) / 2.0, TOP + PLOT - 5.0, "held", "middle"),
        ]
    return found


def _degrees(frame: _Frame, units: Units) -> list[str]:
    """Level lines at round degrees, with their numbers and the unit."""
    low, high = (in_units(value, "temperature", units) for value in (frame.low, frame.high))
    least = (high - low) / _MOST_ROWS
    step = next((one for one in _TICK_DEGREES if one >= least), math.ceil(least))
    found = [_label(LEFT - 6.0, TOP - 8.0, unit_word("temperature", units), "end")]
    for number in range(math.ceil(low / step), math.floor(high / step) + 1):
        y = frame.y(frame.low + (number * step - low) / (high - low) * (frame.high - frame.low))
        found += [
            _line(LEFT, y, WIDTH - RIGHT, y, 'stroke="#000" stroke-opacity="0.18" stroke-width="0.6"'),
            _label(LEFT - 6.0, y + 3.6, f"{number * step}", "end"),
        ]
    return found


def _times(frame: _Frame, clock: Callable[[float], datetime]) -> list[str]:
    """The axis of time, ticks at round clock times; a line with the date where a new day begins."""
    base = TOP + PLOT
    found = [_line(LEFT, base, WIDTH - RIGHT, base, 'stroke="#000" stroke-width="1.2"')]
    for minute in _round_minutes(frame, clock):
        x, wall = frame.x(minute), clock(minute + ROUNDING)
        found += [
            _line(x, base, x, base + 4.0, 'stroke="#000" stroke-width="1"'),
            _label(x, base + 14.0, f"{wall:%H:%M}", "middle"),
        ]
    for minute in _midnights(frame, clock):
        x = frame.x(minute)
        found += [
            _line(x, TOP, x, base, 'stroke="#000" stroke-width="0.8" stroke-dasharray="2 3"'),
            _label(x + 4.0, TOP + 9.0, f"{clock(minute + ROUNDING):%Y-%m-%d}", "start"),
        ]
    return found


def _round_minutes(frame: _Frame, clock: Callable[[float], datetime]) -> Iterable[float]:
    span = frame.to_minute - frame.from_minute
    step = next((one for one in _TICK_MINUTES if span / one <= _MOST_TICKS), math.ceil(span / _MOST_TICKS))
    began = clock(frame.from_minute)
    into_day = 60.0 * began.hour + began.minute + began.second / 60.0
    minute = frame.from_minute + (math.ceil(into_day / step) * step - into_day)
    while minute <= frame.to_minute:
        yield minute
        minute += step


def _midnights(frame: _Frame, clock: Callable[[float], datetime]) -> Iterable[float]:
    began = clock(frame.from_minute)
    midnight = began.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    minute = frame.from_minute + (midnight - began).total_seconds() / 60.0
    while minute < frame.to_minute and (frame.to_minute - minute) / 1440.0 < 1000.0:
        yield minute
        minute += 1440.0


def _targets(curve: Curve, frame: _Frame) -> list[str]:
    found = []
    for stretch in curve.stretches:
        left, right = frame.x(stretch.from_minute), frame.x(stretch.to_minute)
        if stretch.celsius is None or right - left < LEAST_DRAWN:
            continue
        top, bottom = (frame.y(stretch.celsius + side * stretch.band_kelvin) for side in (1.0, -1.0))
        y = frame.y(stretch.celsius)
        found += [
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}"'
            ' fill="#000" fill-opacity="0.13"/>',
            _line(left, y, right, y, 'stroke="#000" stroke-width="1.4"'),
        ]
    return found


def _step_labels(curve: Curve, frame: _Frame, clock: Callable[[float], datetime]) -> tuple[list[str], int]:
    """When each step began and its name, in as many lanes under the axis as keep them apart; how many.

    The letters are edged in white, so that a line down to a lower label breaks behind the ones above it.
    """
    ends: list[float] = []
    lines: list[str] = []
    labels: list[str] = []
    for stretch in curve.stretches:
        x = frame.x(stretch.from_minute)
        text = f"{clock(stretch.from_minute):%H:%M} {cleaned(stretch.label, _LONGEST_LABEL)}"
        lane = next((lane for lane, end in enumerate(ends) if end < x), len(ends))
        lines.append(_line(x, TOP, x, _lane(min(lane, MOST_LANES)), _FAINT))
        if lane >= MOST_LANES:
            continue
        ends[lane : lane + 1] = [x + LETTER * len(text) + 8.0]
        labels.append(_label(x + 3.0, _lane(lane), text, "start", edged=True))
    return lines + labels, len(ends)


def _lane(lane: int) -> float:
    return TOP + PLOT + AXIS + lane * LANE + 10.0


def _additions(curve: Curve, frame: _Frame) -> list[str]:
    """Arrows up from the axis, each with its amount where the next one leaves room for it."""
    base, found = TOP + PLOT, []
    events = sorted(curve.additions, key=lambda one: one.minute)
    places = [frame.x(event.minute) for event in events]
    for event, x, following in zip(events, places, [*places[1:], WIDTH], strict=False):
        found.append(f'<path d="M{x:.1f} {base - 11.0} l-4 9 h8 z" fill="#000"/>')
        if x + LETTER * len(event.label) + 12.0 < following:
            found.append(_label(x + 6.0, base - 3.0, event.label, "start"))
    return found


def _remedies(curve: Curve, frame: _Frame) -> list[str]:
    """Numbered rings above the plot."""
    found = []
    for event in curve.remedies:
        x = frame.x(event.minute)
        found += [
            _line(x, TOP - 3.0, x, TOP + 8.0, 'stroke="#000" stroke-width="0.8"'),
            f'<circle cx="{x:.1f}" cy="{TOP - 11.0}" r="7.5" fill="#fff" stroke="#000" stroke-width="0.9"/>',
            _label(x, TOP - 7.4, event.label, "middle"),
        ]
    return found


def _joined(curve: Curve, frame: _Frame) -> list[str]:
    """A thin line through the readings of each step: between two of them nobody knows better."""
    found = []
    for stretch in curve.stretches:
        inside = [
            f"{frame.x(dot.minute):.1f},{frame.y(dot.celsius):.1f}"
            for dot in curve.dots
            if dot.kind == "read" and stretch.from_minute <= dot.minute <= stretch.to_minute
        ]
        if len(inside) > 1:
            found.append(
                f'<polyline points="{" ".join(inside)}" stroke="#666" stroke-width="0.8" fill="none"/>'
            )
    return found


def _dots(curve: Curve, frame: _Frame, units: Units) -> list[str]:
    size = 3.2 if len(curve.dots) <= 80 else 1.8
    found = []
    for dot in curve.dots:
        x, y = frame.x(dot.minute), frame.y(dot.celsius)
        if dot.kind == "struck":
            found.append(
                f'<path d="M{x - 4.0:.1f} {y - 4.0:.1f} l8 8 m0 -8 l-8 8" stroke="#000" stroke-width="1.2"'
                ' fill="none"/>'
            )
            if not frame.low <= dot.celsius <= frame.high:
                shown = f"{in_units(dot.celsius, 'temperature', units):.1f}"
                found.append(
                    _label(x + 7.0, y + (10.0 if dot.celsius > frame.high else -4.0), shown, "start")
                )
        else:
            fill = "#000" if dot.kind == "read" else "#fff"
            found.append(
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" fill="{fill}" stroke="#000" stroke-width="1"/>'
            )
    return found


def _line(x1: float, y1: float, x2: float, y2: float, stroke: str) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {stroke}/>'


def _label(x: float, y: float, text: str, anchor: str, *, edged: bool = False) -> str:
    edge = _EDGED if edged else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{edge}>{_text(text)}</text>'


def _text(text: str) -> str:
    return escape(cleaned(text))
