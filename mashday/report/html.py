"""A document as one HTML file: no script, nothing from elsewhere, its look inside it.

Every text is escaped; a drawing goes in as it is, for it is of this program's own making. The elements and
their use follow the HTML Living Standard.
"""

from __future__ import annotations

from functools import cache
from html import escape
from importlib.resources import files
from itertools import groupby

from mashday.report.document import (
    Cell,
    Column,
    Document,
    Drawing,
    Figure,
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
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""What the page may load: its own style and nothing else (Content Security Policy Level 3)."""
MOST_TOGETHER = 14
"""Rows that are kept together on a sheet or in a column."""
MOST_LINES = 32
"""Rows and items beyond which the page is printed closer, so that a long day stays on its sheet."""


def html(document: Document) -> str:
    """The document as an HTML file in UTF-8, ending in a line break."""
    body = [
        "<header>",
        f"<h1>{_escaped(document.title)}</h1>",
        *(f"<p>{_escaped(line)}</p>" for line in document.under),
        "</header>",
        "<main>",
        *_sections(document.sections),
        "</main>",
    ]
    if document.foot:
        body.append(f"<footer><p>{_escaped(document.foot)}</p></footer>")
    head = [
        "<!DOCTYPE html>",
        '<html lang="en" dir="ltr">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_escaped(document.title)}</title>",
        f"<style>\n{_look()}</style>",
        "</head>",
        f'<body class="{"close" if _is_long(document) else "wide"}">',
    ]
    return "\n".join([*head, *body, "</body>", "</html>"]) + "\n"


@cache
def _look() -> str:
    return files("mashday.report").joinpath("page.css").read_text(encoding="utf-8")


def _is_long(document: Document) -> bool:
    parts = [part for section in document.sections for part in section.parts]
    lines = sum(len(part.rows) for part in parts if isinstance(part, Table | Lines))
    tables = [part for part in parts if isinstance(part, Table)]
    hung = (cell for table in tables for row in table.rows for cell in cells(table, row))
    return lines + sum(len(cell.items) for cell in hung if cell is not None) > MOST_LINES


def _sections(sections: tuple[Section, ...]) -> list[str]:
    """The sections; narrow ones that follow each other side by side."""
    found = []
    for narrow, group in groupby(sections, lambda section: section.narrow):
        told = [row for section in group for row in _section(section)]
        found += ['<div class="narrow">', *told, "</div>"] if narrow else told
    return found


def _section(section: Section) -> list[str]:
    title = [f"<h2>{_escaped(section.title)}</h2>"] if section.title else []
    flowing = all(isinstance(part, Lines) and part.flowing for part in section.parts)
    long = sum(len(part.rows) for part in section.parts if isinstance(part, Table | Lines)) > MOST_TOGETHER
    begun = f'<section class="{"flowing" if flowing else "long" if long else "short"}">'
    return [begun, *title, *(row for part in section.parts for row in _part(part)), "</section>"]


def _part(part: Part) -> list[str]:
    match part:
        case Paragraph():
            return [f"<p>{_escaped(part.text)}</p>"]
        case Lines():
            return _lines(part.rows, ticked=part.ticked)
        case Table():
            return _table(part)
        case Figures():
            return ['<dl class="figures">', *(_figure(one) for one in part.figures), "</dl>"]
        case Drawing():
            return [f"<figure>\n{part.svg}\n<figcaption>{_escaped(part.told)}</figcaption>\n</figure>"]


def _figure(one: Figure) -> str:
    note = f"<dd>{_escaped(one.note)}</dd>" if one.note else ""
    return f'<div><dt>{_escaped(one.label)}</dt><dd class="value">{_escaped(one.value)}</dd>{note}</div>'


def _lines(rows: tuple[str, ...], *, ticked: bool) -> list[str]:
    kind = ' class="ticked"' if ticked else ""
    return [f"<ul{kind}>", *(f"<li>{_escaped(row)}</li>" for row in rows), "</ul>"]


def _table(table: Table) -> list[str]:
    heads = "".join(
        f'<th scope="col" class="{column.holds}">{_escaped(column.head)}</th>' for column in table.columns
    )
    return [
        "<table>",
        f"<thead><tr>{heads}</tr></thead>",
        "<tbody>",
        *(_row(table, row) for row in table.rows),
        "</tbody>",
        "</table>",
    ]


def _row(table: Table, row: Row) -> str:
    told = zip(table.columns, cells(table, row), strict=True)
    return f"<tr>{''.join(_cell(column, cell) for column, cell in told)}</tr>"


def _cell(column: Column, cell: Cell | None) -> str:
    inside = ""
    if column.holds == "boxes":
        inside = '<span class="box"></span>'
    elif cell is not None:
        text = _escaped(cell.text)
        inside = f"<s>{text}</s>" if cell.struck else text
        if cell.under:
            inside += f'<span class="under">{_escaped(cell.under)}</span>'
        if cell.items:
            items = "".join(f"<li>{_escaped(item)}</li>" for item in cell.items)
            inside += f'<ul class="ticked">{items}</ul>'
    return f'<td class="{column.holds}">{inside}</td>'


def _escaped(text: str) -> str:
    return escape(cleaned(text, LONGEST_TEXT))
