"""Words from outside (files, keys, names) made safe to keep, to show and to quote."""

from __future__ import annotations

import difflib
import re
import shlex
import unicodedata
from collections.abc import Iterable
from pathlib import Path

UNSEEN_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""General categories of characters that show as nothing, steer a terminal, or stand for nothing: controls,
format characters (zero width, direction), surrogates, private use, unassigned, line and paragraph ends.
Unicode Standard, section 4.5, table 4-4."""

MARKS_IN_A_ROW = 2
"""Combining marks that may follow one another, so that no pile of them runs over its neighbours. Common
practice, no source."""

QUOTED_CHARACTERS = 40

_MARK_CATEGORIES = frozenset({"Mn", "Mc", "Me"})
_CATEGORY_WORDS = {
    "Cc": "a control character",
    "Cf": "an invisible format character",
    "Cs": "half a character",
    "Co": "a private-use character",
    "Cn": "an unassigned character",
    "Zl": "a line separator",
    "Zp": "a paragraph separator",
}
_COMMON_WORDS = {"\n": "a line break", "\r": "a line break", "\t": "a tab", "\x1b": "an escape character"}


def cleaned(text: str, limit: int = 500) -> str:
    """The text as one line that is safe to keep and to show, at most `limit` characters long.

    Characters of `UNSEEN_CATEGORIES` are left out (those that part words become a space), runs of spaces
    become one, combining marks beyond `MARKS_IN_A_ROW` are dropped, and the rest is in Normalization Form C
    (Unicode Standard Annex 15). Cleaning what is clean changes nothing. May be empty; never fails.
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())[:limit].rstrip()
    spaced = "".join(" " if character.isspace() else character for character in text)
    seen = "".join(c for c in spaced if unicodedata.category(c) not in UNSEEN_CATEGORIES)
    thinned = _thinned(unicodedata.normalize("NFC", seen))
    return " ".join(unicodedata.normalize("NFC", thinned).split())[:limit].rstrip()


def problem(text: str, limit: int = 500) -> str | None:
    """Why a text from a file is refused, as the end of a sentence that begins with its name; None if sound.

    Places are counted from 1. Runs of spaces and unnormalized letters are no reason: `cleaned` mends them.
    """
    if not text.strip():
        return "is empty"
    if len(text) > limit:
        return f"is {len(text)} characters long, and {limit} is the most"
    marks = 0
    for place, character in enumerate(text, start=1):
        category = unicodedata.category(character)
        if category in UNSEEN_CATEGORIES:
            words = _COMMON_WORDS.get(character, _CATEGORY_WORDS[category])
            return f"holds {words} (U+{ord(character):04X}) at character {place}"
        marks = marks + 1 if category in _MARK_CATEGORIES else 0
        if marks > MARKS_IN_A_ROW:
            return f"piles up more than {MARKS_IN_A_ROW} combining marks at character {place}"
    return None


def quoted(text: str, limit: int = QUOTED_CHARACTERS) -> str:
    """The text between quotation marks in plain ASCII, everything else escaped, for an error message.

    At most `limit` characters stand between the marks; a text that is cut ends in three dots.
    """
    whole = ascii(text[: limit + 1])
    if len(text) <= limit and len(whole) <= limit + 2:
        return whole
    kept = text[:limit]
    while len(ascii(kept)) > limit - 1:
        kept = kept[:-1]
    mark = ascii(kept)[-1]
    return f"{ascii(kept)[:-1]}...{mark}"


def shell_word(path: Path) -> str:
    """A path as one word of a command, to be pasted as it stands; one that holds what cannot be seen is
    cleaned of it."""
    text = str(path)
    unseen = any(unicodedata.category(character) in UNSEEN_CATEGORIES for character in text)
    return shlex.quote(cleaned(text, 4096) if unseen else text)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was most likely meant to be, or None if none is near (case aside)."""
    by_folded = {candidate.casefold(): candidate for candidate in known}
    near = difflib.get_close_matches(word[:100].casefold(), list(by_folded), n=1)
    return by_folded[near[0]] if near else None


def minutes_and_seconds(minutes: float) -> str:
    """A time to the second: "20 s", "1 min 20 s", "4 min"."""
    whole, seconds = divmod(round(60.0 * minutes), 60)
    if not seconds:
        return f"{whole} min"
    return f"{whole} min {seconds:02d} s" if whole else f"{seconds} s"


def slug(name: str) -> str:
    """A part of a file name made from a person's words: `[a-z0-9-]{1,40}`, "session" if nothing is left."""
    letters = unicodedata.normalize("NFKD", name[:400].casefold())
    bare = "".join(c for c in letters if unicodedata.category(c) not in _MARK_CATEGORIES)
    return re.sub("[^a-z0-9]+", "-", bare).strip("-")[:40].rstrip("-") or "session"


def _thinned(text: str) -> str:
    kept: list[str] = []
    marks = 0
    for character in text:
        marks = marks + 1 if unicodedata.category(character) in _MARK_CATEGORIES else 0
        if marks <= MARKS_IN_A_ROW:
            kept.append(character)
    return "".join(kept)
