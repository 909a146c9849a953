"""The board as rows of styled text: a pure function from what is shown and the size to rows.

A row is a list of runs, each a text and the name of a style. Nothing here knows the screen toolkit, so
every size and state can be tested and printed as text. Meaning never rests on colour alone: a call is
reverse video and says CALL, a reading says "good" or how far off it is.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from mashday.faces.tui import digits
from mashday.faces.tui.curve import curve_rows
from mashday.faces.view import CallLine, StepLine, View

Run = tuple[str, str]
Row = list[Run]

WIDE = 100
NARROWEST, LOWEST = 20, 5


@dataclass(frozen=True, slots=True)
class Shown:
    """All that stands on the screen: the view, what is being typed, the last word said, a page over it."""

    view: View = field(default_factory=View)
    entry: str = ""
    entry_label: str = ""
    message: str = ""
    key_line: str = ""
    page_title: str = ""
    page: tuple[str, ...] = ()
    page_top: int = 0
    typing: str | None = None
    ascii_only: bool = False


def paint(shown: Shown, width: int, height: int) -> list[Row]:
    """The rows of a screen of this size, exactly `height` of them and none wider than `width`."""
    if width < NARROWEST or height < LOWEST:
        rows = _tiny(shown, width, height)
    elif shown.page_title:
        rows = _page(shown, width, height)
    else:
        rows = _board(shown, width, height)
    rows = [_clipped(row, width) for row in rows[:height]]
    return rows + [[] for _ in range(height - len(rows))]


def text_of(rows: Iterable[Row]) -> str:
    """The rows as plain text; lit cells of the large digits are blanks, as in a capture."""
    return "\n".join("".join(text for text, _ in row).rstrip() for row in rows)


def _clipped(row: Row, width: int) -> Row:
    found: Row = []
    left = width
    for text, style in row:
        if left <= 0:
            break
        found.append((text[:left], style))
        left -= len(text)
    return found


def _fold(text: str, width: int, most: int) -> list[str]:
    """The text in at most `most` lines, the last one cut with dots where it is longer."""
    lines = textwrap.wrap(text, max(1, width)) or [""]
    if len(lines) > most:
        lines = lines[:most]
        lines[-1] = lines[-1][: max(0, width - 3)].rstrip() + "..."
    return lines


def _filled(text: str, width: int, style: str) -> Row:
    return [(text[:width].ljust(width), style)]


def _tiny(shown: Shown, width: int, height: int) -> list[Row]:
    view = shown.view
    text = f"{view.countdown} {view.instruction}".strip() or "mashday"
    return [[(line, "")] for line in _fold(text, width, max(1, height))]


def _page(shown: Shown, width: int, height: int) -> list[Row]:
    body = [line for text in shown.page for line in (textwrap.wrap(text, width - 2) or [""])]
    room = max(1, height - 3)
    top = min(shown.page_top, max(0, len(body) - room))
    rows: list[Row] = [_filled(f" {shown.page_title}", width, "head"), []]
    rows += [[(f" {line}", "")] for line in body[top : top + room]]
    rows += [[] for _ in range(height - 1 - len(rows))]
    more = f"{top + 1}-{min(len(body), top + room)} of {len(body)} lines; " if len(body) > room else ""
    rows.append([(f" {more}Space or arrows: on; Esc: back", "dim")])
    return rows


def _board(shown: Shown, width: int, height: int) -> list[Row]:
    view = shown.view
    top: list[Row] = [_head(view, width)]
    style = "now" if view.phase in ("running", "idle") else "call"
    lines = _fold(view.instruction, width - 2, 3 if height >= 24 else 2)
    top += [[(f" {line}", style)] for line in lines]
    top += _banners(shown, width, height)
    bottom = _foot(shown, width)
    large = _digit_rows(height) if view.countdown else 0
    room = height - len(top) - len(bottom)
    large = min(large, max(0, room))
    facts = _facts(view, width)
    middle = _countdown(shown, width, large)
    panel_room = room - len(middle) - min(len(facts), 4)
    if panel_room < 0:
        facts = facts[: max(0, room - len(middle))]
        panel_room = 0
    else:
        facts = facts[:4]
    rows = top + middle + facts + _panel(shown, width, panel_room)
    rows += [[] for _ in range(height - len(rows) - len(bottom))]
    return rows[: height - len(bottom)] + bottom


def _digit_rows(height: int) -> int:
    """Rows for the large digits: the least multiple of two and a half that is 21 % of the screen."""
    rows = 2.5
    while rows < 0.21 * height:
        rows += 2.5
    return int(rows + 0.5)


def _head(view: View, width: int) -> Row:
    step = f"{view.step_number}/{view.step_count} {view.step_title}" if view.step_number else view.name
    left = f" {step}"
    if view.phase == "held":
        left += "  HELD"
    right = f"{view.countdown + ' ' if view.countdown else ''}{view.time_of_day} "
    gap = width - len(left) - len(right)
    if gap < 1:
        left, gap = left[: max(0, width - len(right) - 1)], 1
    return [(f"{left}{' ' * gap}{right}", "head")]


def _banners(shown: Shown, width: int, height: int) -> list[Row]:
    """NOT SAVED, a doubt, and the calls that are on: each in reverse video and in words."""
    view = shown.view
    rows: list[Row] = []
    if view.not_saved:
        text = f" NOT SAVED: {view.not_saved} Type : then save FOLDER"
        rows += [_filled(line, width, "danger") for line in _fold(text, width, 2)]
    if view.doubt:
        rows += [_filled(f" {line}", width, "call") for line in _fold(view.doubt, width - 2, 2)]
    standing = [call for call in view.calls if not call.acknowledged]
    most = 1 if height < 24 else 3
    rows += [_call(call, width) for call in standing[:most]]
    return rows


def _call(call: CallLine, width: int) -> Row:
    quiet = f"  (quiet {call.quiet_seconds:.0f} s)" if call.quiet_seconds > 0.0 else ""
    style = "danger" if call.urgency == "danger" else "call"
    return _filled(f" CALL  {call.text}{quiet}", width, style)


def _countdown(shown: Shown, width: int, height: int) -> list[Row]:
    view = shown.view
    if height <= 0 or not view.countdown:
        return []
    text = view.countdown
    half = not shown.ascii_only
    if text.count(":") == 2 and width < 80:
        text = text.rsplit(":", 1)[0]
    drawn = digits.cells(text, width - 2, height, half=half)
    if drawn is None:
        return [[(view.countdown.center(width), "bold")]]
    style = "digits-over" if view.overdue else "digits"
    pad = max(0, (width - len(drawn[0])) // 2)
    rows: list[Row] = []
    for cells in drawn:
        row: Row = [(" " * pad, "")]
        for cell, run in groupby(cells):
            count = len(list(run))
            if cell == ("1", "1"):
                row.append((" " * count, style))
            elif cell == ("0", "0"):
                row.append((" " * count, ""))
            else:
                row.append((("▀" if cell[0] == "1" else "▄") * count, f"{style}-half"))
        rows.append(row)
    return rows + [[] for _ in range(height - len(rows))]


def _facts(view: View, width: int) -> list[Row]:
    rows: list[Row] = []
    label = f" {view.countdown} {view.countdown_label}" if view.countdown_label else ""
    if label or view.thermometer:
        row: Row = [(label, "dim")]
        if view.thermometer:
            row += [("  simulated thermometer ", "dim"), (view.thermometer, "bold")]
        rows.append(row)
    if view.target:
        rows.append([(" target  ", "dim"), (view.target, "")])
    if view.last_reading:
        row = [(" last    ", "dim"), (view.last_reading, "")]
        if view.verdict:
            row.append((f"  {view.verdict}", "good" if view.good else "off"))
        rows.append(row)
    if view.question:
        rows.append([(" next    ", "dim"), (f"{view.question}, {view.question_due}", "")])
    return rows


def _panel(shown: Shown, width: int, room: int) -> list[Row]:
    """What fills the lower part: a remedy, a checklist, else the steps, beside them the curve."""
    view = shown.view
    if room <= 0:
        return []
    if view.ways:
        return _remedy(view, width, room)
    if width >= WIDE:
        left_width = width * 11 // 20
        left = _list(view, left_width, room)
        right = _side(shown, width - left_width - 1, room)
        return _beside(left, right, left_width, room)
    return _list(view, width, room)


def _list(view: View, width: int, room: int) -> list[Row]:
    """The checklist while it has open items, else the steps; and what goes with them where there is room."""
    open_items = [item for item in view.checklist if not item.ticked]
    rows = _checklist(view, width, min(room, 8)) if open_items else _steps(view, width, room)
    if open_items and room - len(rows) >= 5:
        rows += [[], *_steps(view, width, room - len(rows) - 1)]
    if not open_items and room - len(rows) >= 3 and view.cautions:
        rows.append([])
        for caution in view.cautions:
            rows += [[(f" ! {line}", "dim")] for line in textwrap.wrap(caution, width - 4)]
    return rows[:room]


def _beside(left: Sequence[Row], right: Sequence[Row], left_width: int, room: int) -> list[Row]:
    rows = []
    for y in range(min(room, max(len(left), len(right)))):
        row = _clipped(left[y], left_width) if y < len(left) else []
        used = sum(len(text) for text, _ in row)
        rows.append([*row, (" " * (left_width + 1 - used), ""), *(right[y] if y < len(right) else [])])
    return rows


def _side(shown: Shown, width: int, room: int) -> list[Row]:
    """The curve and the outlook, or the lines for when it goes wrong."""
    view = shown.view
    rows: list[Row] = []
    outlook = [line for text in view.outlook for line in textwrap.wrap(text, width)]
    for line in curve_rows(
        view.curve, width, min(room - len(outlook) - 1, 14), view.units, ascii_only=shown.ascii_only
    ):
        rows.append([(line, "curve")])
    if outlook and len(rows) + len(outlook) + 1 <= room:
        rows += [[], *([(line, "")] for line in outlook)]
    if view.if_it_goes_wrong and len(rows) + 2 <= room:
        rows += [[], [("if it goes wrong", "dim")]]
        for text in view.if_it_goes_wrong:
            rows += [[(line, "dim")] for line in textwrap.wrap(text, width, subsequent_indent="  ")]
    return rows[:room]


def _remedy(view: View, width: int, room: int) -> list[Row]:
    rows: list[Row] = [[(f" {view.remedy}", "off")]]
    spare = room - 1 - len(view.ways)
    for way in view.ways:
        style = "now" if way.possible else "dim"
        lines = _fold(way.headline, width - 6, 2 if spare > 2 else 1)
        rows.append([(f" {way.number}  ", "key" if way.possible else "dim"), (lines[0], style)])
        rows += [[(f"    {line}", style)] for line in lines[1:]]
        for detail in way.details:
            for line in textwrap.wrap(detail, width - 6):
                if spare > 0:
                    rows.append([(f"    {line}", "dim")])
                    spare -= 1
    return rows[:room]


def _checklist(view: View, width: int, room: int) -> list[Row]:
    """At most seven items: the last one done, and the next ones."""
    first_open = next((i for i, item in enumerate(view.checklist) if not item.ticked), 0)
    start = max(0, first_open - 1)
    rows: list[Row] = []
    done = sum(item.ticked for item in view.checklist)
    rows.append([(f" list: {done} of {len(view.checklist)} done, t ticks the next", "dim")])
    for item in view.checklist[start : start + min(7, room - 1)]:
        mark = "[x]" if item.ticked else "[ ]"
        value = f": {item.value}" if item.value else ""
        is_next = item.number == first_open + 1
        text = _fold(f"{item.text}{value}", width - 6, 2 if is_next else 1)
        style = "dim" if item.ticked else "now" if is_next else ""
        rows.append([(f" {mark} {text[0]}", style)])
        rows += [[(f"     {line}", style)] for line in text[1:]]
    return rows[:room]


def _steps(view: View, width: int, room: int) -> list[Row]:
    """The steps round the present one; times planned and as they are now expected."""
    if not view.steps:
        return []
    now = next((i for i, step in enumerate(view.steps) if step.mark == "now"), 0)
    count = min(room, len(view.steps))
    start = max(0, min(now - 1, len(view.steps) - count))
    return [_step(step, width) for step in view.steps[start : start + count]]


def _step(step: StepLine, width: int) -> Row:
    mark = {"done": "x", "skipped": "-", "now": ">", "to come": " "}[step.mark]
    times = step.actual if step.planned == step.actual or width < 44 else f"{step.planned} {step.actual}"
    right = f"{times:>11} {step.minutes:>9} {step.target:>8}" if width >= 50 else f"{times:>5}"
    title_width = max(4, width - len(right) - 7)
    style = {"done": "dim", "skipped": "dim", "now": "bold", "to come": ""}[step.mark]
    return [(f" {mark} {step.number:2d} {step.title[:title_width]:<{title_width}} {right}", style)]


def _foot(shown: Shown, width: int) -> list[Row]:
    """The last word said, what is being typed, and what can be pressed."""
    rows: list[Row] = []
    if shown.message:
        rows += [[(f" {line}", "")] for line in _fold(shown.message, width - 2, 2)]
    if shown.typing is not None:
        rows.append([(" > ", "key"), (shown.typing[-(width - 5) :] + "_", "bold")])
    elif shown.entry:
        rows.append([(" > ", "key"), (f"{shown.entry}_", "entry"), (f"  {shown.entry_label}", "dim")])
    else:
        rows.append([(" > ", "dim"), (shown.entry_label, "dim")])
    rows.append([(f" {shown.key_line}"[:width].ljust(width), "keys")])
    return rows
