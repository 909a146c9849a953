"""Salvage: the most that can be believed of a damaged session file. Nothing is ever repaired in place.

Whatever the sums vouch for is what was written, wherever it is found: in the file itself, in the file as it
was before an editor changed its line ends, in the whole copy beside it, or in the copy and what was written
after it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from mashday.session.faults import JournalFault, shown
from mashday.session.frames import Scan, said_sound, scanned

_MARK = b"\xef\xbb\xbf"


def salvaged(data: bytes, copy: bytes | None, path: Path) -> Scan:
    """What the bytes of a session file hold; where they are damaged, with what `copy` (.bak) makes up for it.

    The scan then says so in `damage`, also where the file ends before its copy does, which no sum can see.
    JournalFault if nothing of it can be believed.
    """
    own: Scan | None = None
    try:
        own = scanned(data, path)
        if own.damage is None and (copy is None or len(copy) <= own.end):
            return own
        wrong = own.damage or f"The end of {shown(path)} is gone."
    except JournalFault as refused:
        wrong = str(refused)
    best, by = own, ""
    for candidate, where in _candidates(data, copy):
        try:
            found = scanned(candidate, path)
        except JournalFault:
            continue
        of_this_day = own is None or found.header == own.header
        if of_this_day and (best is None or len(found.tables) > len(best.tables)):
            best, by = found, where
    if best is None:
        raise JournalFault(wrong)
    if best is own:
        return own
    first = wrong.partition(". ")[0].removesuffix(".")
    return replace(best, damage=f"{first}. {said_sound(by, len(best.tables))}")


def _candidates(data: bytes, copy: bytes | None) -> Iterator[tuple[bytes, str]]:
    """Bytes that may be what was written, and by what they are."""
    unedited = data.removeprefix(_MARK).replace(b"\r\n", b"\n")
    if unedited != data:
        yield unedited, "But for the line ends,"
    if copy is None or copy == data:
        return
    end_of_copy = copy[-len(b'sum = "00000000"\n') :]
    yield copy, "In the copy beside it (.bak)"
    place = unedited.find(end_of_copy)
    if place >= 0:
        after = unedited[place + len(end_of_copy) :]
        yield copy + after, "With the copy beside it (.bak)"
