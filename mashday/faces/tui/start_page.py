"""The pages of the start screen and their rows for any width; no screen toolkit in it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size

from mashday.faces.tui.rows import fold, harmless

COLUMN_GAP = 2
WIDEST_TEXT = 48
"""A text wider than this stands alone, its facts below it, lest it part the others from theirs."""
LEAST_FOLD = 12
_WIDE_GAP = re.compile(r"(?<=\S) {3,}")
_FIRST_COLUMN = re.compile(r"\s*\S+(?: \S+)*\s{2,}|\s*")


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen: a session to resume, or a schedule to run or rehearse."""

    what: str
    resumes: bool = False
    rehearse: bool = False


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to pick: it is taken at once (`choice`) or opens a page.

    `facts` stand in columns, or below where there is no room; `below` always stands below.
    """

    text: str
    facts: tuple[str, ...] = ()
    below: str = ""
    choice: Choice | None = None
    opens: Callable[[], Page] | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Offers under one heading."""

    heading: str
    offers: tuple[Offer, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """A page to pick from. `marked` is the place Enter picks at first, `other` what `*` shows instead."""

    title: str
    groups: tuple[Group, ...]
    above: tuple[str, ...] = ()
    marked: int = 0
    other: Callable[[], Page] | None = None
    other_is: str = ""

    @property
    def offers(self) -> tuple[Offer, ...]:
        """All there is to pick, in the order of the numbers."""
        return tuple(offer for group in self.groups for offer in group.offers)


@dataclass(frozen=True, slots=True)
class Reading:
    """A page to read; where `begins` names a schedule, 1 and 2 begin it."""

    title: str
    lines: tuple[str, ...]
    begins: str = ""


Page = Listing | Reading

KEYS: tuple[tuple[str, str], ...] = (
    ("0-9 then Enter", "picks the line of that number"),
    ("arrows, Page keys", "move the mark, or scroll"),
    ("Enter", "picks the marked line; never begins a real day"),
    ("1", "on the page of a schedule: begins the real day"),
    ("2", "on the page of a schedule: begins the rehearsal"),
    ("Esc, Backspace or -", "back, or takes back what is typed"),
    ("*", "among past days: the rehearsed ones, or the real ones again"),
    ("?", "this page"),
    ("q", "back; on the first page: leaves. Ctrl+C leaves from anywhere"),
)


def keys_page() -> Reading:
    """What can be pressed here, and that a number pad is enough."""
    rows = (f"{shown:<20}  {does}" for shown, does in KEYS)
    return Reading("keys", (*rows, "", "A number pad is enough: digits, Enter, - and *."))


def reading_rows(page: Reading, width: int) -> tuple[str, ...]:
    """The lines of a page to read, folded to this width under their second column."""
    return tuple(row for line in page.lines for row in _folded(harmless(line), width))


def _folded(line: str, width: int) -> Iterator[str]:
    """The line in rows; the gaps of a table shrink before anything is folded."""
    if cell_len(line) > width and len(_WIDE_GAP.findall(line)) > 1:
        line = _WIDE_GAP.sub("  ", line)
    if cell_len(line) <= width:
        yield line
        return
    columns = _FIRST_COLUMN.match(line)
    lead = columns.end() if columns is not None and columns.end() <= width // 2 else 0
    first, *rest = fold(line[lead:], max(LEAST_FOLD, width - lead))
    yield line[:lead] + first
    yield from (" " * lead + row for row in rest)


def listing_rows(page: Listing, marked: int, width: int) -> tuple[tuple[str, ...], int]:
    """The rows of a page to pick from at this width, and the place of the last row of the marked offer."""
    rows = [row for line in page.above for row in _folded(line, width)]
    digits = len(str(len(page.offers)))
    columns = _columns(page.offers, width - digits - 4)
    number, last = 0, 0
    for group in page.groups:
        rows += ["", group.heading] if rows else [group.heading]
        for offer in group.offers:
            mark = ">" if number == marked else " "
            lead = f"{mark} {number + 1:>{digits}}  "
            rows += [harmless(row) for row in _offer_rows(offer, lead, columns, width)]
            if number == marked:
                last = len(rows) - 1
            number += 1
    return tuple(rows), last


def _columns(offers: Iterable[Offer], width: int) -> tuple[int, ...]:
    """How wide each column is where the facts fit beside their texts; none where they do not."""
    rows = [(one.text, *one.facts) for one in offers if one.facts and cell_len(one.text) <= WIDEST_TEXT]
    most = max((len(row) for row in rows), default=0)
    widths = [max((cell_len(row[i]) for row in rows if i < len(row)), default=0) for i in range(most)]
    return tuple(widths) if sum(widths) + COLUMN_GAP * (most - 1) <= width else ()


def _offer_rows(offer: Offer, lead: str, columns: tuple[int, ...], width: int) -> Iterator[str]:
    room = max(LEAST_FOLD, width - len(lead))
    text, below = offer.text, [offer.below] if offer.below else []
    if offer.facts and columns and cell_len(text) <= columns[0]:
        cells = zip((text, *offer.facts), columns, strict=False)
        text = (" " * COLUMN_GAP).join(set_cell_size(cell, wide) for cell, wide in cells).rstrip()
        yield lead + text
    else:
        first, *rest = fold(text, room)
        yield lead + first
        yield from (" " * len(lead) + row for row in rest)
        below = [", ".join(fact for fact in offer.facts if fact), *below]
    for line in below:
        if line:
            yield from (" " * len(lead) + row for row in fold(line, room))
