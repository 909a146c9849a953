"""What a day and a listener say to each other: one line each way, plain words, so that any listener will do.

The day writes to the listener's standard input, the listener to its standard output:

    ask 7 temperature 8    open the microphone for a temperature; nothing said for 8 s ends it
    shut                   close it now: something is said aloud
    ready                  the listener can be asked
    open 7                 the microphone is open
    heard 7 64.5 | Sixty-four point five.
                           a whole answer as a line of the line mode, and what was said for it
    unclear 7 | Sixty five four.
                           something was said that is no answer
    silence 7              nobody said anything in the time
    closed 7               the microphone was closed by `shut`
    trouble WORDS          what is wrong, in words

Each `ask` has a number of its own. After it comes `open` with that number, then exactly one of heard,
unclear, silence or closed, and the microphone is shut from then on. An answer with another number, and
whatever else a listener writes, counts for nothing.
"""

from __future__ import annotations

import re
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
_NUMBER = re.compile(r"[0-9]{1,9}")
_OF_NO_ASK = ("ready", "trouble")


@dataclass(frozen=True, slots=True)
class Ask:
    """Open the microphone for an answer of this kind; `seconds` without a voice end it. Its answer bears the
    `number`."""

    kind: Asked
    seconds: float
    number: int = 0


@dataclass(frozen=True, slots=True)
class Shut:
    """Close the microphone now."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a listener tells: the line it heard or words of trouble, the raw text of what was said, and the
    number of what was asked."""

    word: Word
    line: str = ""
    raw: str = ""
    number: int = 0


def asked_line(asked: Ask | Shut) -> str:
    """The line that asks it."""
    return f"ask {asked.number} {asked.kind} {asked.seconds:g}" if isinstance(asked, Ask) else "shut"


def asked_from(line: str) -> Ask | Shut | None:
    """What this line asks of a listener; None if it asks nothing that is known."""
    match cleaned(line, LONGEST).split():
        case ["shut"]:
            return Shut()
        case ["ask", number, kind, seconds] if _NUMBER.fullmatch(number) and kind in get_args(Asked):
            try:
                found = float(seconds)
            except ValueError:
                return None
            right = 0.0 < found <= LONGEST_ASKED_SECONDS
            return Ask(cast(Asked, kind), found, int(number)) if right else None
    return None


def told_line(told: Told) -> str:
    """The line that tells it."""
    line, raw = cleaned(told.line, LONGEST).replace("|", " "), cleaned(told.raw, LONGEST)
    head = told.word if told.word in _OF_NO_ASK else f"{told.word} {told.number}"
    return f"{head} {line}".rstrip() + (f"{_SPLIT}{raw}" if raw else "")


def told_from(line: str) -> Told | None:
    """What this line of a listener tells; None if it counts for nothing."""
    text = cleaned(line, LONGEST)
    head, split, raw = text.partition(_SPLIT)
    word, _, rest = head.strip().partition(" ")
    number = "0"
    if word not in _OF_NO_ASK:
        number, _, rest = rest.strip().partition(" ")
    if word not in get_args(Word) or (word in ("heard", "trouble")) != bool(rest.strip()):
        return None
    if not _NUMBER.fullmatch(number):
        return None
    return Told(cast(Word, word), rest.strip(), raw.strip() if split else "", int(number))
