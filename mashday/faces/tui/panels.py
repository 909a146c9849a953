"""The parts of the board, each a pure function from the view and its room to rows.

Meaning never rests on colour alone: a call is reverse video and says CALL, a reading says "good" or how far
off it is, a step under way has its mark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from mashday.faces import insistence
from mashday.faces.tui import digits
from mashday.faces.tui.curve import curve_rows
from mashday.faces.tui.rows import Row, filled, fold, width_of
from mashday.faces.view import GOES_ON, MICROPHONE_WORDS, CallLine, ItemLine, StepLine, View

MOST_CALLS = 3
ITEMS_AT_ONCE = 7
"""Items of a checklist shown at once, the last one done and the next ones (Degani & Wiener, NASA CR-177549:
long lists are cut into pieces, and after an interruption the last item done is shown)."""


def head(view: View, width: int, *, rehearsed: bool = False) -> Row:
    """Which step of the day, how long still, what time it is; all of it plain text."""
    step = (
        f" {view.step_number}/{view.step_count}  {view.step_title}" if view.step_number else f" {view.name}"
    )
    name = f"  {view.name}" if view.step_number else ""
    mark = "  REHEARSAL" if rehearsed else ""
    state = {"held": "  HELD ", "complete": "  over", "aborted": "  given up"}.get(view.phase, "")
    mic = f" {MICROPHONE_WORDS[view.microphone]} " if view.microphone else ""
    right = f"{' ' if mic else ''}{view.countdown + '   ' if view.countdown else ''}{view.time_of_day} "
    room = width - width_of([(step + state + mark + mic + right, "")]) - 1
    if room < 0:
        step = fold(step, max(1, width_of([(step, "")]) + room), 1)[0]
    if width_of([(name, "")]) > room:
        name = ""
    row: Row = [(step, "head"), (state, "call" if state else ""), (mark, "head"), (name, "dim")]
    gap = max(1, width - width_of(row) - width_of([(mic + right, "")]))
    shown: Row = [(mic, "call" if view.microphone == "open" else "dim")] if mic else []
    return [*row, (" " * gap, ""), *shown, (right, "head")]


def banners(view: View, width: int, room: int, *, word_key: str) -> list[Row]:
    """ONLY A LOOK, NOT SAVED, a doubt, and the calls that are on: each in reverse video and in words."""
    rows: list[Row] = []
    if view.view_only:
        go_on = f"{word_key}save {GOES_ON} " if view.can_go_on else ""
        text = f"ONLY A LOOK  {go_on}{view.view_only}"
        rows += [filled(f" {line}", width, "call") for line in fold(text, width - 2, 4)]
    if view.not_saved:
        text = f"NOT SAVED  {word_key}save keeps the day elsewhere. {view.not_saved}"
        rows += [filled(f" {line}", width, "danger") for line in fold(text, width - 2, 3)]
    if view.doubt:
        rows += [filled(f" {line}", width, "call") for line in fold(f"SURE?  {view.doubt}", width - 2, 3)]
    standing = [call for call in view.calls if not call.acknowledged]
    kept = standing[: max(1, min(MOST_CALLS, room - len(rows)))]
    rows += [_call(call, len(standing) - len(kept) if call is kept[-1] else 0, width) for call in kept]
    return _insisting(rows, kept, width, room)


CALLED = {"soon": "SOON", "now": "CALL", "danger": "DANGER"}
CALL_STYLES = {"soon": "soon", "now": "call", "danger": "danger"}


def _call(call: CallLine, others: int, width: int) -> Row:
    quiet = f"  (quiet {_clock(call.quiet_seconds)} more)" if call.quiet_seconds > 0.0 else ""
    more = f"  and {others} more" if others else ""
    return filled(f" {CALLED[call.urgency]}  {call.text}{more}{quiet}", width, CALL_STYLES[call.urgency])


def _clock(seconds: float) -> str:
    whole = math.ceil(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def _insisting(rows: list[Row], calls: Sequence[CallLine], width: int, room: int) -> list[Row]:
    """The rows with a bar of reverse video round them, the wider the longer nobody has answered."""
    ringing = [call for call in calls if call.rings]
    if not ringing:
        return rows
    grown = max(insistence.level(call.urgency, call.late_seconds) for call in ringing)
    bar = filled("", width, CALL_STYLES[ringing[0].urgency])
    below = [bar] if grown >= 1 and len(rows) < room else []
    above = [bar] if grown >= 2 and len(rows) + len(below) < room else []
    return [*above, *rows, *below]


def large(plain: str, text: str, width: int, height: int, style: str, *, half: bool) -> list[Row]:
    """A text in large digits, exactly `height` rows; the plain one where there is no room for them."""
    drawn = digits.cells(text, width, height, half=half)
    if drawn is None:
        rows: list[Row] = [[(plain.center(width), "now")]]
    else:
        pad = (" " * ((width - len(drawn[0])) // 2), "")
        rows = [[pad, *_lit(cells, style)] for cells in drawn]
    above = (height - len(rows)) // 2
    return [[] for _ in range(above)] + rows + [[] for _ in range(height - len(rows) - above)]


def _lit(cells: list[digits.Cell], style: str) -> Row:
    row: Row = []
    for cell, run in groupby(cells):
        count = len(list(run))
        if cell == ("1", "1"):
            row.append((" " * count, style))
        elif cell == ("0", "0"):
            row.append((" " * count, ""))
        else:
            row.append((("▀" if cell[0] == "1" else "▄") * count, f"{style}-half"))
    return row


def facts(view: View, width: int, height: int) -> list[Row]:
    """What the countdown counts to, the target, the last reading, what is asked next; at most `height` rows.

    Each word stands above what it names, before it, or the whole is cut short, as there is room.
    """
    below, after = _facts_below_words(view, width), _facts_after_words(view, width)
    widest = max((width_of([run]) + 2 for _, texts in _said(view) for run in texts), default=0)
    if len(below) <= height and widest <= width:
        return below
    if len(after) <= height:
        return after
    few = _few_facts(view, width, 2)
    return few if len(few) <= height else _few_facts(view, width, 1)[: max(0, height)]


def _said(view: View) -> list[tuple[str, list[tuple[str, str]]]]:
    """The words and what stands under each, with its style."""
    said = [("target", [(view.target, "now")])] if view.target else []
    if view.last_reading:
        said.append(("last read", [(view.last_reading, "now"), *_verdict(view)]))
    if view.question:
        said.append(("asked next", [(view.question, ""), (view.question_due, "")]))
    return said


def _verdict(view: View) -> list[tuple[str, str]]:
    style = {True: "good", False: "off", None: ""}[view.good]
    return [(view.verdict, style)] if view.verdict else []


def _label(view: View, width: int, most: int) -> list[Row]:
    rows: list[Row] = []
    if view.countdown_label:
        style = "over" if view.overdue else "dim"
        rows += [[(line, style)] for line in fold(view.countdown_label, width, most)]
    if view.step_left:
        rows.append([("step ", "dim"), (f"{view.step_left} left", "")])
    return rows


def _facts_below_words(view: View, width: int) -> list[Row]:
    rows = _label(view, width, 2)
    for word, texts in _said(view):
        rows.append([(word, "dim")])
        for text, style in texts:
            rows += [[(f"  {line}", style)] for line in fold(text, width - 2)]
    return rows


def _facts_after_words(view: View, width: int) -> list[Row]:
    rows = _label(view, width, 2)
    for word, texts in _said(view):
        name = word.split()[0]
        (text, style), *others = texts
        first, *rest = fold(f"{name} {text}", width)
        rows.append([(name, "dim"), (first[len(name) :], style)])
        rows += [[(f"  {line}", style)] for line in fold(" ".join(rest), width - 2)] if rest else []
        for other, other_style in others:
            rows += [[(f"  {line}", other_style)] for line in fold(other, width - 2)]
    return rows


def _few_facts(view: View, width: int, label_rows: int) -> list[Row]:
    rows = _label(view, width, label_rows)
    if view.target:
        rows.append([("target ", "dim"), (view.target.split(",")[0], "now")])
    if view.last_reading:
        rows.append([("last ", "dim"), (view.last_reading, "now")])
    rows += [[("  ", ""), verdict] for verdict in _verdict(view)]
    if view.question:
        rows.append([("next ", "dim"), (view.question_due, "")])
    return rows


def ways(view: View, width: int, room: int, *, leave_key: str) -> list[Row]:
    """What is off and the ways to put it right: all they ask for, then of what they do as much as goes in."""
    top: list[Row] = [[(f" {line}", "off")] for line in fold(view.remedy, width - 2, 2)]
    whole = [fold(way.headline, width - 6, 3) for way in view.ways]
    if len(top) + sum(map(len, whole)) > room:
        whole = [fold(way.headline, width - 6, 1) for way in view.ways]
    spare = room - len(top) - sum(map(len, whole))
    if spare > len(view.ways):
        top.append([(f" number, then Enter takes one; {leave_key} leaves it; or read again", "dim")])
        spare -= 1
    rows = top
    for place, (way, lines) in enumerate(zip(view.ways, whole, strict=True)):
        style = "now" if way.possible else "dim"
        rows.append([(f" {way.number}  ", "key" if way.possible else "dim"), (lines[0], style)])
        rows += [[(f"    {line}", style)] for line in lines[1:]]
        kept = sum(1 for later in view.ways[1:] if later.details) if place == 0 else 0
        shown = _whole_pieces(way.details, width - 6, max(1, spare - kept) if spare > 0 else 0)
        rows += [[(f"    {line}", "dim")] for line in shown]
        spare -= len(shown)
    return rows[:room]


def _whole_pieces(details: tuple[str, ...], width: int, most: int) -> list[str]:
    """As many of the details as go whole into so many lines."""
    for count in range(len(details), 0, -1):
        lines = fold("; ".join(details[:count]), width)
        if len(lines) <= most:
            return lines
    return []


MORE_FROM = 4
"""Rows of the step list from which the last one says how many more steps there are."""
STAGE_MARKS = {"done": "x", "now": ">", "to come": " "}


def stages(view: View, width: int, room: int) -> list[Row]:
    """The stages of the way that was taken, the one that is now marked."""
    rows: list[Row] = []
    for place, stage in enumerate(view.stages, 1):
        style = {"now": "now", "done": "dim"}.get(stage.mark, "")
        first, *more = fold(stage.text, width - 6)
        rows.append([(f" {STAGE_MARKS.get(stage.mark, ' ')} {place}  {first}", style)])
        rows += [[(f"      {line}", style)] for line in more]
    return rows[: max(0, room)]


def marked(texts: Sequence[str], width: int, room: int, style: str = "") -> list[Row]:
    """Lines that want attention, whole ones only, as many as there is room for."""
    rows: list[Row] = []
    for text in texts:
        lines = fold(text, width - 4)
        if len(rows) + len(lines) <= room:
            rows += [[(f" {'!' if place == 0 else ' '} {line}", style)] for place, line in enumerate(lines)]
    return rows


def has_open_items(view: View) -> bool:
    """True while an item of the checklist is open."""
    return any(not item.ticked for item in view.checklist)


def checklist(view: View, width: int, room: int, *, tick_key: str) -> list[Row]:
    """The last item done and the next ones, under a word on how this list is gone through."""
    first_open = next((i for i, item in enumerate(view.checklist) if not item.ticked), 0)
    done = sum(item.ticked for item in view.checklist)
    how = "read one and do it" if view.reads_first else "look at each"
    rows: list[Row] = [
        [(f" {done} of {len(view.checklist)} done; {how}: {tick_key} ticks the next one", "dim")]
    ]
    for item in view.checklist[max(0, first_open - 1) :][:ITEMS_AT_ONCE]:
        rows += item_rows(item, width, is_next=item.number == first_open + 1)
    return rows[:room]


def item_rows(item: ItemLine, width: int, *, is_next: bool) -> list[Row]:
    """One item of a checklist with its mark, and the value it was answered with."""
    value = f": {item.value}" if item.value else ""
    style = "dim" if item.ticked else "now" if is_next else ""
    text = fold(f"{item.text}{value}", width - 6, 3 if is_next else 2)
    mark = "[x]" if item.ticked else "[>]" if is_next else "[ ]"
    return [[(f" {mark} {text[0]}", style)], *([(f"     {line}", style)] for line in text[1:])]


def steps(view: View, width: int, room: int) -> list[Row]:
    """The steps round the present one; times as planned and as they are now expected."""
    if not view.steps or room <= 0:
        return []
    now = next((i for i, step in enumerate(view.steps) if step.mark == "now"), 0)
    count = min(room, len(view.steps))
    before = 1 if count >= 3 else 0
    start = max(0, min(now - before, len(view.steps) - count))
    rows = [_step(step, width) for step in view.steps[start : start + count]]
    hidden = len(view.steps) - start - count
    if hidden and count >= MORE_FROM:
        rows[-1] = [(f"      and {hidden + 1} more steps", "dim")]
    return rows


def _step(step: StepLine, width: int) -> Row:
    mark = {"before": "-", "done": "x", "skipped": "-", "now": ">", "to come": " "}[step.mark]
    planned = f"({step.planned})" if step.planned != step.actual and not step.extra else ""
    right = step.actual
    if width >= 40:
        right += f"  {step.target:>8}"
    if width >= 56:
        right = f"{planned:>7} {right} {step.minutes:>11}"
    room = max(4, width - len(right) - 7)
    style = {"before": "dim", "done": "dim", "skipped": "dim", "now": "now", "to come": ""}[step.mark]
    title = fold(step.title, room, 1)[0]
    return [
        (
            f" {mark} {step.place} {title}{' ' * (room - width_of([(title, '')]))} {right}",
            style,
        )
    ]


def trouble(view: View, width: int, room: int) -> list[Row]:
    """The lines of the step for when it goes wrong, if there is room for them."""
    if not view.if_it_goes_wrong or room < 2:
        return []
    rows: list[Row] = [[("if it goes wrong", "dim")]]
    for text in view.if_it_goes_wrong:
        lines = fold(text, width - 2)
        if len(rows) + len(lines) <= room:
            rows += [[(f"  {line}", "")] for line in lines]
    return rows if len(rows) > 1 else []


def working(view: View, width: int, room: int) -> list[Row]:
    """The working behind the number, where all of it has room."""
    rows: list[Row] = [[("why", "dim")]]
    for text in view.why:
        rows += [[(f"  {line}", "")] for line in fold(text, width - 2)]
    return rows if len(view.why) > 1 and len(rows) <= room else []


def outlook(view: View, width: int, room: int) -> list[Row]:
    """What the rest of the day is now expected to bring."""
    rows: list[Row] = [[(line, "")] for text in view.outlook for line in fold(text, width)]
    return rows if len(rows) <= room else []


def curve(view: View, width: int, room: int, *, ascii_only: bool) -> list[Row]:
    """The temperature curve in at most `room` rows; none where nothing was read."""
    return [[(line, "")] for line in curve_rows(view.curve, width, room, view.units, ascii_only=ascii_only)]
