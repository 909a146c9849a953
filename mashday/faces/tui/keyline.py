"""The line of keys at the foot of the board: what can be pressed now, the likeliest first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from mashday.faces.tui import keys as table
from mashday.faces.tui.panels import has_open_items
from mashday.faces.tui.rows import Row, width_of
from mashday.faces.view import View

Hint = tuple[str, str]
"""A key and its label."""
Standing = Literal["", "number", "line", "doubt", "doubted number", "doubted step"]
"""What stands on the screen and wants a key of its own: a typed number, or something that was doubted."""
LAST = ("help", "quit")
_GAP = "  "
_OF_STANDING: dict[Standing, tuple[tuple[str, str], ...]] = {
    "number": (("commit", "take"), ("undo", "clear"), ("erase", "erase")),
    "line": (("commit", "take the line"), ("wrong", "leave it")),
    "doubt": (("keep", "yes"), ("wrong", "no")),
    "doubted number": (("commit", "keep it"), ("wrong", "forget it")),
    "doubted step": (("next", "yes"), ("wrong", "no")),
}


def hints(
    keys: tuple[table.Key, ...],
    view: View,
    *,
    rehearsed: bool,
    standing: Standing = "",
    pedal: tuple[Hint, ...] = (),
    takes: bool = False,
) -> tuple[Hint, ...]:
    """The keys and labels for this moment; first of all what the pedal does, where there is one.

    With `takes` Enter takes what a probe shows.
    """
    found = _hints(keys, view, rehearsed=rehearsed, standing=standing)
    if takes and not standing and not any(call.is_fire_on for call in view.calls):
        enter = table.of(keys, "commit").first
        found = ((enter, "take"), *(hint for hint in found if hint[0] != enter))
    if standing in ("number", "line"):
        return found
    named = {key for key, _ in pedal}
    return (*pedal, *(hint for hint in found if hint[0] not in named))


def _hints(
    keys: tuple[table.Key, ...], view: View, *, rehearsed: bool, standing: Standing
) -> tuple[Hint, ...]:
    if standing:
        named = _OF_STANDING[standing]
        if standing == "doubted number":
            named = ((table.keeper(keys), "keep it"), *named[1:])
        wanted = [(table.of(keys, name), label) for name, label in named]
    else:
        found = [table.of(keys, name) for name in _wanted(view, rehearsed=rehearsed)]
        wanted = [(key, _label(key, view)) for key in found if is_open(key, view)]
    last = [table.of(keys, name) for name in LAST]
    if standing == "line":
        return tuple((key.shown.split()[-1], label) for key, label in wanted)
    return tuple((key.first, label) for key, label in [*wanted, *((key, key.label) for key in last)])


def key_line(hints: Sequence[Hint], width: int) -> Row:
    """The hints in one row, the least likely ones left out where it is short; help and leave always stand."""
    first, last = (
        (list(hints), [])
        if len(hints) <= len(LAST)
        else (list(hints[: -len(LAST)]), list(hints[-len(LAST) :]))
    )
    while first and width_of(_row([*first, *last])) > width:
        first.pop()
    return _row([*first, *last])


def _row(hints: Iterable[Hint]) -> Row:
    row: Row = [(" ", "")]
    for place, (key, label) in enumerate(hints):
        row += [(_GAP if place else "", ""), (key, "key"), (f" {label}", "dim")]
    return row


def _wanted(view: View, *, rehearsed: bool) -> list[str]:
    if view.phase == "idle":
        return ["next", "sheet", "again"]
    calling = any(not call.acknowledged for call in view.calls)
    wanted = ["commit", "snooze"] if calling else []
    if view.phase == "held":
        return [*wanted, "hold", "undo", "why", "again", "note"]
    ahead = ["ahead"] if rehearsed else []
    if view.ways:
        return [*wanted, "leave", "undo", "why", *ahead]
    if view.question == "starch check":
        wanted += ["pass", "fail"]
    wanted += ["next", "undo", "hold", "why", *ahead]
    if view.question:
        wanted += ["unknown"]
    return [*wanted, "again", *(["list"] if has_open_items(view) else []), "terms", "note"]


def is_open(key: table.Key, view: View) -> bool:
    """True if this key does something at this moment."""
    if key.name in ("next", "done"):
        return bool({"start", "done"} & view.moves)
    if key.name == "hold":
        return bool({"hold", "resume"} & view.moves)
    if key.name in ("pass", "fail"):
        return view.question == "starch check"
    if key.name == "list":
        return bool(view.checklist)
    return not key.move or key.move in view.moves


def _label(key: table.Key, view: View) -> str:
    if key.name == "commit":
        return "heat is off" if any(call.is_fire_on for call in view.calls) else "heard"
    if key.name == "next" and any(call.way and call.rings for call in view.calls):
        return "it is done"
    if key.name == "next" and "start" in view.moves:
        return "begin the day"
    if key.name == "next" and has_open_items(view):
        return "tick"
    if key.name == "hold" and "resume" in view.moves:
        return "go on"
    if key.name == "unknown":
        return "cannot say"
    return key.label
