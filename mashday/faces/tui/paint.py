"""The board: what stands where on a screen of a given size. Pure, and without the screen toolkit.

From the top: which step and how long still; what to do; what calls; the countdown with its facts beside it;
the steps, the checklist or the ways of a remedy, with the curve beside them; the last word said, what is
being typed, and the keys. Where rows are short the lower part gives way first, then the facts.
"""

from __future__ import annotations

import re
import string
import textwrap
from dataclasses import dataclass, field, replace

from rich.cells import cell_len

from mashday.faces.tui import digits, panels
from mashday.faces.tui.keyline import Hint, key_line
from mashday.faces.tui.keys import KEYS, Key, of
from mashday.faces.tui.pages import FOOT
from mashday.faces.tui.rows import Row, beside, clipped, filled, fold
from mashday.faces.view import View

NARROWEST, LOWEST = 20, 5
HEAT_OFF = "OFF"
"""Stands large while a fire that is to go off is not said to be off."""
DIGITS_LEAST, DIGITS_MOST = 0.21, 0.34
"""Share of the rows the large digits take. The least gives digits of 40 mm on a full screen of 194 mm, past
the 14 mm of 16 minutes of arc at three metres (NUREG-0700 rev. 2, 1.3.1-4)."""
DIGITS_WIDTHS = (0.64, 0.73)
DIGITS_MARGIN = 2
FACTS_BESIDE_FROM = 52
CURVE_BESIDE_FROM = 76
SIDE_WITH_LISTS_FROM = 110
STEPS_LEAST = 5
ROOM_FOR_GAPS = 10
_FIRST_COLUMN = re.compile(r"\s*\S+(?: \S+)*\s{2,}")


@dataclass(frozen=True, slots=True)
class Shown:
    """All that stands on the screen: the view, what is being typed, the last word said, a page over it.

    `probe` is what a live thermometer shows, `prefill` what of it one key takes, `live` its bare number where
    that is what the step waits for.
    """

    view: View = field(default_factory=View)
    entry: str = ""
    entry_label: str = ""
    probe: str = ""
    prefill: str = ""
    live: str = ""
    message: str = ""
    hints: tuple[Hint, ...] = ()
    notices: tuple[str, ...] = ()
    rehearsed: bool = False
    page_title: str = ""
    page: tuple[str, ...] = ()
    page_top: int = 0
    page_keeps: int | None = None
    page_foot: str = FOOT
    typing: str | None = None
    ascii_only: bool = False
    keys: tuple[Key, ...] = KEYS


def paint(shown: Shown, width: int, height: int) -> list[Row]:
    """The rows of a screen of this size, exactly `height` of them and none wider than `width`."""
    if width < NARROWEST or height < LOWEST:
        rows = _too_small(shown, width, height)
    elif shown.page_title:
        rows = _page(shown, width, height)
    else:
        rows = _board(shown, width, height)
    rows = [clipped(row, width) for row in rows[:height]]
    return rows + [[] for _ in range(height - len(rows))]


def _too_small(shown: Shown, width: int, height: int) -> list[Row]:
    standing = [call for call in shown.view.calls if not call.acknowledged]
    call = f"CALL {standing[0].text}. " if standing else ""
    text = (
        f"{shown.view.countdown} {call}Terminal too small: make it {NARROWEST} by {LOWEST} or more.".strip()
    )
    return [[(line, "")] for line in fold(text, width, max(1, height))]


def _page(shown: Shown, width: int, height: int) -> list[Row]:
    """A page of text under the head and the calls, so that nothing that is due hides behind it."""
    top: list[Row] = []
    if shown.view.time_of_day:
        top = [
            panels.head(shown.view, width, rehearsed=shown.rehearsed),
            *_banners(shown, width, max(1, height - 6)),
        ]
    bottom = _foot(shown, width, height) if shown.typing is not None or shown.entry else []
    top.append(filled(f" {shown.page_title}", width, "title"))
    as_written = any(width - 2 < cell_len(text) <= width for text in shown.page)
    indent = "" if as_written else " "
    pieces = [_page_lines(text, width if as_written else width - 2) for text in shown.page]
    body = [line for piece in pieces for line in piece]
    room = max(1, height - len(top) - len(bottom) - 1)
    wanted = shown.page_top
    if shown.page_keeps is not None:
        wanted = max(0, sum(len(piece) for piece in pieces[: shown.page_keeps + 1]) - room + 1)
    first = min(wanted, max(0, len(body) - room))
    rows = [*top, *([(f"{indent}{line}", "")] for line in body[first : first + room])]
    rows += [[] for _ in range(height - 1 - len(bottom) - len(rows))]
    more = f"{first + 1}-{min(len(body), first + room)} of {len(body)}; " if len(body) > room else ""
    rows.append([(f" {more}{shown.page_foot}", "dim")])
    return rows + bottom


def _page_lines(text: str, width: int) -> list[str]:
    """A line of a page; where it is too long the rest stands under its second column."""
    columns = _FIRST_COLUMN.match(text)
    indent = columns.end() if columns is not None and columns.end() <= width // 2 else 2
    return textwrap.wrap(text, max(4, width), subsequent_indent=" " * indent) or [""]


def _board(shown: Shown, width: int, height: int) -> list[Row]:
    view = shown.view
    bottom = _foot(shown, width, height)
    top = [panels.head(view, width, rehearsed=shown.rehearsed), *_instruction(view, width, height)]
    top += _banners(shown, width, max(1, height // 6))
    top = top[: max(1, height - len(bottom))]
    room = height - len(top) - len(bottom)
    middle = _clock(shown, width, height, room)
    if middle and room - len(middle) > ROOM_FOR_GAPS:
        middle = [[], *middle, []] if height >= 30 else [[], *middle]
    lower = _lower(shown, width, room - len(middle))
    rows = [*top, *middle, *lower]
    rows += [[] for _ in range(height - len(rows) - len(bottom))]
    return rows[: height - len(bottom)] + bottom


def _banners(shown: Shown, width: int, room: int) -> list[Row]:
    return panels.banners(shown.view, width, room, word_key=of(shown.keys, "word").first)


def _instruction(view: View, width: int, height: int) -> list[Row]:
    most = 1 if height < 12 else 2 if height < 30 else 3
    rows: list[Row] = [[(f" {line}", "now")] for line in fold(view.instruction, width - 2, most)]
    if height >= 30 and view.instruction:
        rows += [[(f" {line}", "")] for text in view.details[:3] for line in fold(text, width - 2, 2)]
    return rows


@dataclass(frozen=True, slots=True)
class _Large:
    """What stands in large digits: its shorter ways too, and the style it is drawn in."""

    plain: str
    ways: tuple[str, ...]
    style: str


def _large(shown: Shown) -> _Large | None:
    """The number being typed, else the countdown; None where neither is."""
    typed = shown.entry.replace(",", ".").rstrip(" " + string.ascii_letters)
    if shown.entry and digits.drawable(typed):
        return _Large(shown.entry, (typed, *_newest(typed)), "digits-typed")
    view = shown.view
    if any(call.is_fire_on for call in view.calls):
        return _Large(HEAT_OFF, (HEAT_OFF,), "digits-over")
    if shown.live:
        return _Large(shown.live, (shown.live,), "digits")
    if not view.countdown:
        return None
    return _Large(view.countdown, digits.shorter(view.countdown), "digits-over" if view.overdue else "digits")


def _newest(typed: str) -> tuple[str, ...]:
    """Of several numbers typed, the newest alone."""
    return (typed.rsplit(maxsplit=1)[-1],) if " " in typed.strip() else ()


def _clock(shown: Shown, width: int, height: int, room: int) -> list[Row]:
    """The large digits, the facts beside them or, where it is narrow, below them."""
    view, large = shown.view, _large(shown)
    if large is not None and large.plain == shown.live:
        view = replace(view, countdown_label=f"probe: {shown.probe}", overdue=False)
    if large is None:
        most = min(room, 6)
        return [[(" ", ""), *row] for row in panels.facts(view, width - 2, most)]
    half = not shown.ascii_only
    wanted = DIGITS_LEAST * height
    most = min(room, max(5, int(DIGITS_MOST * height)))
    if width < FACTS_BESIDE_FROM:
        text = digits.chosen(large.ways, width - 2, most, wanted, half=half)
        high = _rows_needed(text, width - 2, most, half=half)
        below = panels.facts(view, width - 2, min(4, room - high))
        return [
            *panels.large(large.plain, text, width, high, large.style, half=half),
            *([(" ", ""), *row] for row in below),
        ]
    for share in DIGITS_WIDTHS:
        left = int(share * width)
        text = digits.chosen(large.ways, left - 1, most, wanted, half=half)
        if digits.rows_of(text, left - 1, most, half=half) >= wanted:
            break
    high = _rows_needed(text, left - 1, most, half=half)
    drawn = digits.scale(text, left - 1, most, half=half)
    if drawn is not None:
        left = min(left, digits.units(text) * drawn[0] + DIGITS_MARGIN)
    facts = panels.facts(view, width - left - 1, high)
    return beside(panels.large(large.plain, text, left, high, large.style, half=half), facts, left)


def _rows_needed(text: str, width: int, most: int, *, half: bool) -> int:
    """Whole rows the digits take, one where they cannot be drawn."""
    rows = digits.rows_of(text, width, most, half=half)
    return max(1, min(most, int(rows + 0.5)))


def _lower(shown: Shown, width: int, room: int) -> list[Row]:
    """A remedy, a checklist, else the steps; beside them the curve and what is expected."""
    view = shown.view
    if room <= 0:
        return []
    if width < CURVE_BESIDE_FROM:
        return _list(shown, width, room)
    whole = width < SIDE_WITH_LISTS_FROM and (view.ways or panels.has_open_items(view))
    left_width = width if whole else min(width * 11 // 20, 90)
    right = [] if whole else _side(shown, width - left_width - 2, room)
    if not right:
        left_width = width
    left = _list(shown, left_width, room)
    return beside(left, right, left_width, gap=2)[:room]


def _list(shown: Shown, width: int, room: int) -> list[Row]:
    view = shown.view
    warnings = (*shown.notices, *view.cautions)
    if view.ways:
        return panels.ways(view, width, room, leave_key=of(shown.keys, "leave").first)
    if panels.has_open_items(view):
        rows = panels.checklist(view, width, room, tick_key=of(shown.keys, "next").first)
        marked = panels.marked(warnings, width, room - len(rows))
        rows += marked
        if room - len(rows) > STEPS_LEAST:
            rows += [[], *panels.steps(view, width, room - len(rows) - 1)]
        return rows
    rows = panels.stages(view, width, room)
    rows += [[]] if rows else []
    marked = panels.marked(warnings, width, room - len(rows) - min(STEPS_LEAST, len(view.steps)))
    return rows + panels.steps(view, width, room - len(rows) - len(marked)) + marked


def _side(shown: Shown, width: int, room: int) -> list[Row]:
    """The curve, the outlook, and the lines for when it goes wrong, as far as there is room."""
    view = shown.view
    outlook = panels.outlook(view, width, room)
    plot = room if room < 14 else min(room - len(outlook) - 1, 16)
    rows = panels.curve(view, width, plot, ascii_only=shown.ascii_only)
    for part in (panels.outlook, panels.trouble, panels.working):
        gap = 1 if rows else 0
        found = part(view, width, room - len(rows) - gap)
        if found:
            rows += [*([[]] * gap), *found]
    return rows


def _entry_line(shown: Shown, room: int) -> tuple[str, str]:
    """What a number answers, and what a live or simulated thermometer shows, as much of both as goes in."""
    name, shows = "simulated thermometer", shown.view.thermometer
    if shown.probe:
        name, shows = "probe", "" if shown.prefill or shown.live else shown.probe
    beside = f"   {name} {shows}" if shows else ""
    if shows and cell_len(shown.entry_label + beside) > room:
        beside = f"   {name.split()[0]} {shows.split(',')[0]}"
    left = room - cell_len(beside)
    return (fold(shown.entry_label, left, 1)[0] if left > 8 else ""), beside


def _foot(shown: Shown, width: int, height: int) -> list[Row]:
    """The last word said, what is being typed, and what can be pressed."""
    rows: list[Row] = []
    lines = fold(shown.message, width - 2, 2 if height >= 20 else 1) if shown.message else []
    rows += [[(f" {line}", "")] for line in lines]
    if not lines and height >= 20:
        rows.append([])
    label, thermometer = _entry_line(shown, width - 7 - cell_len(shown.entry or shown.prefill))
    if shown.typing is not None:
        kept = shown.typing[-max(1, width - 5) :]
        rows.append([(" > ", "key"), (f"{kept}_", "now")])
    elif shown.entry:
        rows.append([(" > ", "key"), (f"{shown.entry}_", "entry"), (f"  {label}{thermometer}", "")])
    elif shown.prefill:
        rows.append([(" > ", "key"), (shown.prefill, "entry"), (f"  {label}", "dim")])
    else:
        rows.append([(" > ", "dim"), (f"{label}{thermometer}", "dim")])
    if height >= 8:
        rows.append(key_line(shown.hints, width))
    return rows
