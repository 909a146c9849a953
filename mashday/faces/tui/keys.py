"""The keys of the full screen: one table is the truth; help, key line and README follow from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Key:
    """One ability: its keys (characters, or names of the toolkit), a short label, what it does.

    `move` is the move of the view that must be open for it; "" means always.
    """

    name: str
    keys: tuple[str, ...]
    label: str
    does: str
    move: str = ""
    calm: bool = False

    @property
    def shown(self) -> str:
        """The keys as a person reads them."""
        names = {"enter": "Enter", "space": "Space", "escape": "Esc", "backspace": "Backspace"}
        return " ".join(names.get(key, key) for key in self.keys)


KEYS: tuple[Key, ...] = (
    Key("commit", ("enter",), "take", "takes a typed number, or acknowledges a call; never moves on"),
    Key("ok", ("space",), "ok", "acknowledges a call", "ok"),
    Key("next", ("+", "n"), "next", "this step is done, on to the next", "done", calm=True),
    Key("start", ("b",), "begin", "begins the day", "start", calm=True),
    Key("undo", ("-", "u"), "undo", "takes back the last thing entered", "undo", calm=True),
    Key("hold", ("*", "h"), "hold", "holds the day, or goes on again", calm=True),
    Key("why", ("/", "w"), "why", "shows the working behind the number"),
    Key("again", ("a",), "again", "says the instruction again"),
    Key("unknown", ("k",), "unknown", "you cannot say: it is assumed and marked", "unknown", calm=True),
    Key("leave", ("l",), "leave it", "leaves the reading as it is", "leave", calm=True),
    Key("pass", ("p",), "starch gone", "the starch check passed", "done"),
    Key("fail", ("f",), "starch left", "the starch check failed", "done"),
    Key("tick", ("t",), "tick", "ticks the next item of the checklist", "tick"),
    Key("more", ("e",), "more time", "more minutes for this step: type them, then Enter", "more"),
    Key("skip", ("g",), "skip", "leaves this step out", "skip", calm=True),
    Key("snooze", ("s",), "snooze", "quiet for 1, 2 or 5 minutes: s, then the number, then Enter", "snooze"),
    Key("mute", ("m",), "mute", "all quiet for two minutes; a new call breaks through", "mute"),
    Key("note", ("o",), "note", "a note: type it, then Enter", "note"),
    Key("word", (":",), "words", "any word of the line mode: type it, then Enter"),
    Key("keep", ("y",), "keep it", "what was doubted is right"),
    Key("wrong", ("x", "escape"), "wrong", "what was doubted is wrong; clears what is typed"),
    Key("erase", ("backspace",), "erase", "erases the last character"),
    Key("recall", ("r",), "take up", "takes up a number that was set aside"),
    Key("units", ("v",), "units", "metric or US units", "units"),
    Key("steps", ("i",), "steps", "the steps with their clock times"),
    Key("log", ("j",), "log", "the readings so far, with their numbers"),
    Key("ahead", (">",), "ahead", "in a rehearsal: five minutes ahead"),
    Key("help", ("?",), "help", "this page"),
    Key("quit", ("q", "ctrl+c", "ctrl+q"), "leave", "pressed twice: leaves; the day stays open", calm=True),
)
"""Keys with `calm` wait a moment and act only if no other key comes: a sleeve or a spoon moves nothing."""

BY_NAME = {key.name: key for key in KEYS}


def remapped(keys: tuple[Key, ...], other: Mapping[str, tuple[str, ...]]) -> tuple[Key, ...]:
    """The table with other keys for some names. ValueError for an unknown name or a key used twice."""
    for name in other:
        if name not in BY_NAME:
            raise ValueError(f"no key is called {name!r}; there are {', '.join(BY_NAME)}")
    changed = tuple(replace(key, keys=other[key.name]) if key.name in other else key for key in keys)
    seen: dict[str, str] = {}
    for key in changed:
        for one in key.keys:
            if one in seen or (len(one) == 1 and one.isdigit()) or one in (".", ","):
                raise ValueError(
                    f"the key {one!r} has two meanings: {seen.get(one, 'number')} and {key.name}"
                )
            seen[one] = key.name
    return changed


def name_of(keys: tuple[Key, ...], key: str, character: str | None) -> str | None:
    """The ability a pressed key stands for; None if it stands for none."""
    pressed = {key, "enter" if key == "ctrl+j" else key}
    if character is not None and len(character) == 1 and character.isascii() and character.isprintable():
        pressed.add("space" if character == " " else character)
        if character.isalpha():
            pressed.add(character.lower())
    return next((one.name for one in keys if pressed & set(one.keys)), None)


def help_rows(keys: tuple[Key, ...]) -> tuple[str, ...]:
    """The page of keys, one a line."""
    rows = [f"{'digits . ,':<12} begin a number, from anywhere; a unit may follow (63.5 C, 146 F, 17 L)"]
    return (*rows, *(f"{key.shown:<12} {key.does}" for key in keys))
