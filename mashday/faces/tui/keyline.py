"""The line of keys at the foot of the board: what can be pressed now, the likeliest first."""

from __future__ import annotations

from collections.abc import Sequence

from mashday.faces.tui import keys as table
from mashday.faces.tui.panels import has_open_items
from mashday.faces.tui.rows import Row, width_of
from mashday.faces.view import View

Hint = tuple[str, str]
"""A key and its label."""
LAST = ("help", "quit")
_GAP = "  "


def hints(keys: tuple[table.Key, ...], view: View, *, rehearsed: bool) -> tuple[Hint, ...]:
    """The keys and labels for this moment."""
    wanted = [*_wanted(view, rehearsed=rehearsed), *LAST]
    found = [table.of(keys, name) for name in wanted]
    return tuple((key.first, _label(key, view)) for key in found if _open(key, view))


def key_line(hints: Sequence[Hint], width: int) -> Row:
    """The hints in one row, the least likely ones left out where it is short; help and leave always stand."""
    first, last = list(hints[: -len(LAST)]), list(hints[-len(LAST) :])
    while first and width_of(_row([*first, *last])) > width:
        first.pop()
    return _row([*first, *last])


def _row(hints: Sequence[Hint]) -> Row:
    row: Row = [(" ", "")]
    for place, (key, label) in enumerate(hints):
        row += [(_GAP if place else "", ""), (key, "key"), (f" {label}", "dim")]
    return row


def _wanted(view: View, *, rehearsed: bool) -> list[str]:
    if view.phase == "idle":
        return ["next"]
    if view.phase == "held":
        return ["hold", "undo", "why", "again", "note"]
    if view.doubt:
        return ["keep", "wrong"]
    wanted = ["ok"] if any(not call.acknowledged for call in view.calls) else []
    if view.ways:
        return [*wanted, "leave", "undo", "why"]
    if view.question == "starch check":
        wanted += ["pass", "fail"]
    if has_open_items(view):
        wanted += ["tick"]
    wanted += ["next", "undo", "hold", "why"]
    if rehearsed:
        wanted += ["ahead"]
    return [*wanted, "unknown", "again", "note"] if view.question else [*wanted, "again", "note"]


def _open(key: table.Key, view: View) -> bool:
    if key.name == "next":
        return bool({"start", "done"} & view.moves)
    if key.name == "hold":
        return bool({"hold", "resume"} & view.moves)
    return not key.move or key.move in view.moves


def _label(key: table.Key, view: View) -> str:
    if key.name == "next" and "start" in view.moves:
        return "begin the day"
    if key.name == "hold" and "resume" in view.moves:
        return "go on"
    if key.name == "unknown":
        return "cannot say"
    return key.label
