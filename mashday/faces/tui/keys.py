"""The keys of the full screen: one table is the truth; help, key line and README follow from it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from mashday.text import quoted


@dataclass(frozen=True, slots=True)
class Key:
    """One ability: its keys (characters, or names of the toolkit), a short label, what it does.

    `move` is the move of the view that must be open for it; "" means always. One with `calm` waits a moment
    and acts only if no other key comes, so that a sleeve or a spoon moves nothing.
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
        return " ".join(_read(key) for key in self.keys)

    @property
    def first(self) -> str:
        """The key to name first."""
        return _read(self.keys[0])


_READ = {
    "enter": "Enter",
    "space": "Space",
    "escape": "Esc",
    "tab": "Tab",
    "shift+tab": "Shift+Tab",
    "pagedown": "PageDown",
    "pageup": "PageUp",
    "backspace": "Backspace",
    "ctrl+c": "Ctrl+C",
    "ctrl+q": "Ctrl+Q",
}
LONGEST_NAME = 24


def _read(key: str) -> str:
    """A key as a person reads it: what is no character of its own begins with a capital."""
    return _READ.get(key, key if len(key) == 1 else "+".join(part.capitalize() for part in key.split("+")))


KEYS: tuple[Key, ...] = (
    Key("commit", ("enter",), "take", "takes a typed number, or acknowledges a call; never moves on"),
    Key("ok", ("space",), "ok", "acknowledges a call; in a typed number, parts two places", "ok"),
    Key(
        "next",
        ("+",),
        "next step",
        "a part of a remedy that calls is done; else the next item of the list, with the value it asks for;"
        " else on to the next step",
        "done",
        calm=True,
    ),
    Key(
        "go",
        ("tab",),
        "pedal",
        "the pedal: the one next thing, whatever it is; what is hard to take back wants a second press",
    ),
    Key(
        "back",
        ("shift+tab",),
        "back",
        "the other pedal: no, leave it, starch still there; pressed twice it takes back the last thing",
    ),
    Key(
        "done",
        ("n",),
        "next step",
        "this step is done, on to the next; asks while items are open",
        "done",
        calm=True,
    ),
    Key("start", ("b",), "begin", "begins the day", "start", calm=True),
    Key("undo", ("-", "u"), "undo", "takes back the last thing entered", "undo", calm=True),
    Key("hold", ("*", "h"), "hold", "holds the day, or goes on again", calm=True),
    Key(
        "tick",
        ("t",),
        "tick",
        "ticks the next item of the list; after a number, with that value",
        "tick",
    ),
    Key("unknown", ("k",), "unknown", "you cannot say: it is assumed and marked", "unknown", calm=True),
    Key("pass", ("p",), "starch gone", "the starch check passed"),
    Key("fail", ("f",), "starch left", "the starch check failed"),
    Key("leave", ("l",), "leave it", "leaves the reading as it is, in a remedy", "leave", calm=True),
    Key("probe", ("=",), "probe", "takes what the probe shows; Enter does that too where it is asked for"),
    Key("keep", ("y",), "yes", "what was doubted is right"),
    Key("wrong", ("x", "escape"), "wrong", "what was doubted is wrong; clears what is typed"),
    Key("erase", ("backspace",), "erase", "erases the last character typed"),
    Key("recall", ("r",), "take up", "takes up a number that was set aside"),
    Key("more", ("e",), "more time", "more minutes for this step: type them, then Enter (-5: fewer)", "more"),
    Key("skip", ("g",), "skip", "leaves this step out; asks first", "skip", calm=True),
    Key("snooze", ("s",), "snooze", "quiet for a while: then 1, 2 or 5 minutes", "snooze"),
    Key("mute", ("m",), "mute", "all quiet for two minutes; a new call breaks through", "mute"),
    Key("why", ("/", "w"), "why", "the working behind the number"),
    Key("again", ("a",), "this step", "all of this step: what to do, cautions, when it goes wrong"),
    Key("terms", ("d",), "words", "the trade's words of this step, in plain language"),
    Key("sheet", ("z",), "on paper", "writes the plan of the day to a file, to print before the fire is lit"),
    Key("list", ("c",), "list", "the whole checklist of this step"),
    Key("steps", ("i",), "steps", "the steps with their clock times"),
    Key("log", ("j",), "so far", "the day so far, with the numbers of the readings"),
    Key("note", ("o",), "note", "a note: type it, then Enter", "note"),
    Key("word", (":",), "words", "any word of the line mode: type it, then Enter"),
    Key("units", ("v",), "units", "metric or US units", "units"),
    Key("ahead", (">",), "ahead", "in a rehearsal: five minutes ahead"),
    Key("help", ("?",), "help", "the page of keys and words"),
    Key("quit", ("q", "ctrl+c", "ctrl+q"), "leave", "twice: leaves; the day stays open", calm=True),
)


def of(keys: Iterable[Key], name: str) -> Key:
    """The ability of this name; KeyError if there is none."""
    for key in keys:
        if key.name == name:
            return key
    raise KeyError(name)


def remapped(other: Mapping[str, str | Iterable[str]], keys: tuple[Key, ...] = KEYS) -> tuple[Key, ...]:
    """The table with other keys for some names. Ctrl+C leaves whatever is said.

    ValueError, in a sentence, for an unknown name, a name left without a key, a key that begins a number
    and a key used twice.
    """
    wanted = {name: (said,) if isinstance(said, str) else tuple(said) for name, said in other.items()}
    names = [key.name for key in keys]
    for name, said in wanted.items():
        if name not in names:
            raise ValueError(f"keys: no key is called {quoted(name)}; there are {', '.join(names)}.")
        if not said:
            raise ValueError(f"keys: {name} has no key left; name at least one.")
        for one in said:
            if not isinstance(one, str) or not 1 <= len(one) <= LONGEST_NAME or not one.isprintable():
                raise ValueError(f"keys: {name} names {quoted(str(one))}, and that is no key.")
            if (len(one) == 1 and one.isdigit()) or one in (".", ","):
                raise ValueError(f"keys: {name} names {quoted(one)}, and that begins a number.")
    changed = tuple(replace(key, keys=wanted.get(key.name, key.keys)) for key in keys)
    changed = tuple(
        replace(key, keys=(*key.keys, "ctrl+c")) if key.name == "quit" and "ctrl+c" not in key.keys else key
        for key in changed
    )
    seen: dict[str, str] = {}
    for key in changed:
        for one in key.keys:
            if one in seen:
                raise ValueError(f"keys: {quoted(one)} has two meanings, {seen[one]} and {key.name}.")
            seen[one] = key.name
    return changed


PRESENTER = ("pagedown", "pageup")
"""What the forward and back buttons of a presenter send."""
HARMLESS = ("enter", "space")
"""Keys that may be a pedal beside what they do: with nothing typed they are one."""
_ALSO = {
    "return": "enter",
    "pgdn": "pagedown",
    "page_down": "pagedown",
    "pgup": "pageup",
    "page_up": "pageup",
}
_NAME_OF_A_KEY = re.compile(
    r"(?:(?:ctrl|alt|shift|super)\+)*"
    r"(?:f[1-9]|f[12][0-9]|f3[0-5]|pagedown|pageup|home|end|insert|delete|up|down|left|right|kp_begin|tab|enter"
    r"|space|escape|backspace|pause|menu|print_screen|scroll_lock|media_\w+|(?:raise|lower|mute)_volume|[!-~])"
)
"""Keys by the names of the toolkit."""


def with_pedal(keys: tuple[Key, ...], pedal: str | None) -> tuple[Key, ...]:
    """The table with a pedal: "presenter", the name of the key that it sends, or two names: forward and back.

    ValueError, in a sentence, for what is no key, begins a number or has a meaning already.
    """
    if pedal is None:
        return keys
    named = PRESENTER if pedal.strip().lower() == "presenter" else tuple(map(_named, pedal.split()))
    if not 1 <= len(named) <= 2 or not all(_NAME_OF_A_KEY.fullmatch(one) for one in named):
        raise ValueError(
            f"--pedal: {quoted(pedal)} is no key; name presenter, enter, or a key as f4. Two keys, such as"
            ' "f7 f8", are forward and back.'
        )
    wanted = dict(zip(("go", "back"), named, strict=False))
    for name, one in wanted.items():
        if one.isdigit() or one in (".", ","):
            raise ValueError(f"--pedal: {quoted(one)} begins a number; choose another key.")
        taken = next((key.name for key in keys if one in key.keys and key.name != name), None)
        if taken is not None and not (name == "go" and one in HARMLESS):
            raise ValueError(f"--pedal: {quoted(one)} has a meaning already, {taken}; choose another key.")
    if len(set(named)) < len(named):
        raise ValueError(f"--pedal: {quoted(named[0])} cannot be forward and back; name two keys.")
    return tuple(
        replace(key, keys=(wanted[key.name], *(one for one in key.keys if one != wanted[key.name])))
        if key.name in wanted
        else key
        for key in keys
    )


def _named(key: str) -> str:
    """The name of a key as the toolkit writes it, where people write it in another way."""
    lower = key.lower()
    return _ALSO.get(lower, lower)


def has_pedal(keys: Iterable[Key], name: str = "go") -> bool:
    """True if a pedal was named; with "back", if one was for that."""
    return of(keys, name).keys[0] != of(KEYS, name).keys[0]


def is_pedal(keys: Iterable[Key], name: str | None, key: str) -> bool:
    """True if this key, which stands for `name`, is a pedal where nothing is typed."""
    pressed = "enter" if key == "ctrl+j" else key
    return name in ("go", "back") or (name in ("commit", "ok") and pressed in of(keys, "go").keys)


def keeper(keys: Iterable[Key]) -> str:
    """The ability that keeps a doubted number: commit, or yes where a pedal sends the key of commit."""
    return "keep" if of(keys, "commit").keys[0] in of(keys, "go").keys else "commit"


def name_of(keys: tuple[Key, ...], key: str, character: str | None) -> str | None:
    """The ability a pressed key stands for; None if it stands for none.

    Goes by the character first: keypads name the same character otherwise. A capital counts as its small
    letter where it has no meaning of its own.
    """
    pressed = ["enter" if key == "ctrl+j" else key]
    if character is not None and len(character) == 1 and character.isascii() and character.isprintable():
        pressed = ["space" if character == " " else character, character.lower()]
    for one in pressed:
        names = [ability.name for ability in keys if one in ability.keys]
        if names:
            return next((name for name in names if name != "go"), "go")
    return None


NUMBER_KEYS = "0-9 . ,"
NUMBER_DOES = (
    "begin a number, from anywhere; a unit may follow (63.5 C, 146 F, 17 L, 12 P); Enter takes it;"
    " several temperatures with spaces between are places"
)


NUMBER_ROW = f"{NUMBER_KEYS:<16}  {NUMBER_DOES}"
"""The line of the page of keys about numbers."""


def rows(keys: Iterable[Key]) -> tuple[str, ...]:
    """Lines of the page of keys, one a key."""
    return tuple(f"{key.shown:<16}  {key.does}" for key in keys)


def table(keys: tuple[Key, ...] = KEYS) -> str:
    """The keys as a Markdown table, for the README."""
    rows = [(f"`{NUMBER_KEYS}`", NUMBER_DOES)]
    for key in keys:
        names = " ".join(f"`{_read(one)}`" for one in key.keys)
        rows.append((names.replace("|", "\\|"), key.does))
    lines = ["| key | what it does |", "|---|---|", *(f"| {shown} | {does} |" for shown, does in rows)]
    return "\n".join(lines) + "\n"
