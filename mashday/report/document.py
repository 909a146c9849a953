"""A report as a document: sections of paragraphs, lists, tables, large figures and one drawing.

Built once, written by several writers. Its texts are plain: a writer cleans and escapes every one of them,
whatever is in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A few sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Lines:
    """A list of short lines; `ticked` ones have a box to tick before them, `flowing` ones may follow each
    other in one line in print."""

    rows: tuple[str, ...]
    ticked: bool = False
    flowing: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: of words, of short words in one line, of what names the row, of numbers, of boxes
    to tick, or left blank to be written in."""

    head: str
    holds: Literal["words", "short", "names", "numbers", "boxes", "blank"] = "words"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell with something under its text: a smaller line, a checklist. `struck` is crossed out."""

    text: str
    under: str = ""
    items: tuple[str, ...] = ()
    struck: bool = False


Row = tuple[str | Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table. A row has a cell for each column that is neither of boxes nor blank, in their order."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that is read from afar, what it is, and a word on it."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Figures:
    """The numbers that matter most, side by side."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing, as SVG of this program's own making, and what it shows in words."""

    svg: str
    told: str


Part = Paragraph | Lines | Table | Figures | Drawing


@dataclass(frozen=True, slots=True)
class Section:
    """Parts under a title, "" for none; a narrow one may stand beside other narrow ones."""

    title: str
    parts: tuple[Part, ...]
    narrow: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report: title, what stands under it, sections, and the last line of all."""

    title: str
    under: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str = ""


def cells(table: Table, row: Row) -> tuple[Cell | None, ...]:
    """The cells of a row for every column of its table, None where there is a box or a blank."""
    given = iter(row)
    return tuple(
        None if column.holds in ("boxes", "blank") else _cell(next(given)) for column in table.columns
    )


def _cell(given: str | Cell) -> Cell:
    return given if isinstance(given, Cell) else Cell(given)
