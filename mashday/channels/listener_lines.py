"""What a day and a listener say to each other: one line each way, plain words, so that any listener will do.

The day writes to the listener's standard input, the listener to its standard output:

    ask temperature 8      open the microphone for a temperature; nothing said for 8 s ends it
    shut                   close it now: something is said aloud
    ready                  the listener can be asked
    open                   the microphone is open
    heard 64.5 | Sixty-four point five.
                           a whole answer as a line of the line mode, and what was said for it
    unclear | Sixty five four.
                           something was said that is no answer
    silence                nobody said anything in the time
    closed                 the microphone was closed by `shut`
    trouble WORDS          what is wrong, in words

After `ask` comes `open`, then exactly one of heard, unclear, silence or closed, and the microphone is shut
from then on. What a listener writes beside these lines counts for nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast, get_args

from mashday.text import cleaned

Asked = Literal["temperature", "gravity", "volume", "mass", "minutes", "ph", "count", "keep", "words"]
"""What is listened for: a number of that kind, the answer to a doubt, or words alone.

Words are understood whatever is asked, but beside a doubt only those that answer it.
"""
Word = Literal["ready", "open", "heard", "unclear", "silence", "closed", "trouble"]

LONGEST = 400
LONGEST_ASKED_SECONDS = 60.0
_SPLIT = " | "


@dataclass(frozen=True, slots=True)
class Ask:
    """Open the microphone for an answer of this kind; `seconds` without a voice end it."""

    kind: Asked
    seconds: float


@dataclass(frozen=True, slots=True)
class Shut:
    """Close the microphone now."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a listener tells: the line it heard or words of trouble, and the raw text of what was said."""

    word: Word
    line: str = ""
    raw: str = ""


def asked_line(asked: Ask | Shut) -> str:
    """The line that asks it."""
    return f"ask {asked.kind} {asked.seconds:g}" if isinstance(asked, Ask) else "shut"


def asked_from(line: str) -> Ask | Shut | None:
    """What this line asks of a listener; None if it asks nothing that is known."""
    match cleaned(line, LONGEST).split():
        case ["shut"]:
            return Shut()
        case ["ask", kind, seconds] if kind in get_args(Asked):
            try:
                found = float(seconds)
            except ValueError:
                return None
            return Ask(cast(Asked, kind), found) if 0.0 < found <= LONGEST_ASKED_SECONDS else None
    return None


def told_line(told: Told) -> str:
    """The line that tells it."""
    line, raw = cleaned(told.line, LONGEST).replace("|", " "), cleaned(told.raw, LONGEST)
    return f"{told.word} {line}".rstrip() + (f"{_SPLIT}{raw}" if raw else "")


def told_from(line: str) -> Told | None:
    """What this line of a listener tells; None if it counts for nothing."""
    text = cleaned(line, LONGEST)
    head, split, raw = text.partition(_SPLIT)
    word, _, rest = head.strip().partition(" ")
    if word not in get_args(Word) or (word in ("heard", "trouble")) != bool(rest.strip()):
        return None
    return Told(cast(Word, word), rest.strip(), raw.strip() if split else "")
