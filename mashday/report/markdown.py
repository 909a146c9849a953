"""A document as Markdown: CommonMark with the tables and task lists of GitHub Flavored Markdown (0.29-gfm).

Every text is escaped, so that nothing in it is markup.
"""

from __future__ import annotations

import re

from mashday.report.document import (
    Cell,
    Column,
    Document,
    Drawing,
    Figures,
    Lines,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
    cells,
)
from mashday.text import cleaned

LONGEST_TEXT = 4000
_ANYWHERE = re.compile(r"[\\`*_\[\]<>&|~$#]|://|\bwww\.|(?<=\S)@(?=\S)", re.IGNORECASE)
_AT_THE_START = re.compile(r"[+=:-]|[0-9]{1,9}(?=[.)](?:\s|$))")
_RULES = {
    "words": ":---",
    "short": ":---",
    "names": ":---",
    "numbers": "---:",
    "boxes": ":---:",
    "blank": "---",
}


def markdown(document: Document) -> str:
    """The document as Markdown, ending in a line break."""
    blocks = [f"# {_escaped(document.title)}", *(_paragraph(line) for line in document.under)]
    for section in document.sections:
        blocks += _section(section)
    if document.foot:
        blocks += ["---", _paragraph(document.foot)]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _section(section: Section) -> list[str]:
    parts = [block for part in section.parts for block in _part(part)]
    return [f"## {_escaped(section.title)}", *parts] if section.title else parts


def _part(part: Part) -> list[str]:
    match part:
        case Paragraph():
            return [_paragraph(part.text)]
        case Lines():
            return [_lines(part.rows, ticked=part.ticked)]
        case Table():
            return [_table(part), *_checklists(part)]
        case Figures():
            told = [(f"{one.label}: {one.value}", one.note) for one in part.figures]
            return ["\n".join(f"- **{_escaped(what)}**{_aside(note)}" for what, note in told)]
        case Drawing():
            return [_paragraph(part.told)]


def _aside(note: str) -> str:
    return f" ({_escaped(note)})" if note else ""


def _paragraph(text: str) -> str:
    return _not_a_block(_escaped(text))


def _lines(rows: tuple[str, ...], *, ticked: bool = False) -> str:
    mark = "- [ ] " if ticked else "- "
    return "\n".join(f"{mark}{_not_a_block(_escaped(row))}" for row in rows)


def _table(table: Table) -> str:
    heads = _row([_escaped(column.head) for column in table.columns])
    rules = _row([_RULES[column.holds] for column in table.columns])
    return "\n".join([heads, rules, *(_row(_told(table, row)) for row in table.rows)])


def _row(texts: list[str]) -> str:
    return f"| {' | '.join(texts)} |"


def _told(table: Table, row: Row) -> list[str]:
    return [
        _blank(column) if cell is None else _of_cell(cell)
        for column, cell in zip(table.columns, cells(table, row), strict=True)
    ]


def _blank(column: Column) -> str:
    return r"\[ \]" if column.holds == "boxes" else ""


def _of_cell(cell: Cell) -> str:
    text = _escaped(cell.text)
    struck = f"~~{text}~~" if cell.struck and text else text
    return f"{struck}; {_escaped(cell.under)}" if cell.under else struck


def _checklists(table: Table) -> list[str]:
    """What hangs under cells of a table: a Markdown table has no lists in it."""
    found = (cell for row in table.rows for cell in cells(table, row) if cell is not None and cell.items)
    return [
        block for cell in found for block in (f"### {_escaped(cell.text)}", _lines(cell.items, ticked=True))
    ]


def _escaped(text: str) -> str:
    return _ANYWHERE.sub(_backslashed, cleaned(text, LONGEST_TEXT))


def _backslashed(found: re.Match[str]) -> str:
    """The markup as text; an "@" in a word behind a comment, for a backslash leaves the address a link."""
    if found[0] == "://":
        return r":\//"
    if found[0] == "@":
        return "<!-- -->@"
    return f"{found[0][:-1]}\\{found[0][-1]}"


def _not_a_block(escaped: str) -> str:
    """The text, begun so that no line of it begins a heading, a list, a rule or a definition."""
    found = _AT_THE_START.match(escaped)
    if found is None:
        return escaped
    end = found.end() if found[0][0].isdigit() else 0
    return f"{escaped[:end]}\\{escaped[end:]}"
