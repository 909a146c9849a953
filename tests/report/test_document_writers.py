"""A document in HTML and Markdown: whatever its texts are, the only markup in it is ours."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from mashday.report.document import (
    Cell,
    Column,
    Document,
    Drawing,
    Figure,
    Figures,
    Lines,
    Paragraph,
    Section,
    Table,
)
from mashday.report.html import html
from mashday.report.markdown import markdown

COLUMNS = (
    Column("", "boxes"),
    Column("What", "names"),
    Column("Trust", "short"),
    Column("Of", "numbers"),
    Column("Written in", "blank"),
)
OURS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "section", "div", "span",
    "h1", "h2", "p", "ul", "li", "dl", "dt", "dd", "table", "thead", "tbody", "tr", "th", "td", "s",
    "figure", "figcaption", "svg",
}  # fmt: skip
HOSTILE = st.sampled_from(
    (
        "<script>alert(1)</script>", "</td></tr></table>", "a|b\\|c\\\\|d", "`x` *y* _z_ ~~w~~", "[a](b)",
        "<!-- x", "&lt;b&gt;", "\u202egnidaer\u202c", "line\nbreak\r\n# heading", "- item", "1. one", "1.5 L",
        "+", "=====", "---", "> quoted", "    code", "![x](y)", "http://x.y www.x.y", "\x1b[2J\x00\x85",
        "\ud800", "'\"", "{{x}}", "${x}", "</style><img src=x>", "]]>", "foo #",
    )
)  # fmt: skip
TEXTS = HOSTILE | st.text(max_size=40)


def document(text: str) -> Document:
    """A document with the text in every place a text can stand."""
    return Document(
        text,
        (text, text),
        (
            Section(
                text,
                (
                    Figures((Figure(text, text, text),)),
                    Paragraph(text),
                    Lines((text, text), ticked=True),
                    Lines((text,), flowing=True),
                    Table(COLUMNS, ((Cell(text, text, (text, text), struck=True), text, text),) * 2),
                    Drawing("<svg></svg>", text),
                ),
                narrow=True,
            ),
            Section("", (Paragraph(text),)),
        ),
        text,
    )


class Tags(HTMLParser):
    """What a reader of HTML finds in a page."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.opened: list[str] = []
        self.closed: list[str] = []
        self.attributes: set[str] = set()
        self.others: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.opened.append(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_endtag(self, tag: str) -> None:
        self.closed.append(tag)

    def handle_comment(self, data: str) -> None:
        self.others.append(data)

    def handle_pi(self, data: str) -> None:
        self.others.append(data)

    def unknown_decl(self, data: str) -> None:
        self.others.append(data)


PLAIN = Tags(html(document("plain")))


@given(TEXTS)
@example("")
def test_no_text_brings_a_tag_into_the_page(text: str) -> None:
    found = Tags(html(document(text)))
    assert set(found.opened) <= OURS
    assert found.attributes <= {"lang", "dir", "charset", "http-equiv", "content", "name", "class", "scope"}
    assert found.others == []


@given(TEXTS.filter(lambda text: text.strip() != ""))
def test_every_text_gives_the_same_tags_as_a_plain_one(text: str) -> None:
    found = Tags(html(document(f"x {text}")))
    assert (found.opened, found.closed) == (PLAIN.opened, PLAIN.closed)


def test_every_tag_is_closed_that_has_an_end() -> None:
    assert sorted(PLAIN.closed) == sorted(tag for tag in PLAIN.opened if tag != "meta")


@pytest.mark.parametrize("word", ["<script", "http:", "https:", "url(", "@import", "src=", "href=", "onload"])
def test_a_page_asks_for_nothing_from_elsewhere(word: str) -> None:
    assert word not in html(document("plain"))


def table_rows(written: str) -> list[str]:
    return [line for line in written.splitlines() if line.startswith("|")]


def columns(row: str) -> int:
    """The cells of a row as GitHub Flavored Markdown 0.29 parts them: at pipes without a backslash."""
    return len(re.findall(r"(?:\\.|[^|\\])*\|", row)) - 1


@given(TEXTS)
def test_a_markdown_table_keeps_its_columns(text: str) -> None:
    rows = table_rows(markdown(document(text)))
    assert len(rows) == 4
    assert {columns(row) for row in rows} == {len(COLUMNS)}


@given(TEXTS.filter(lambda text: text.strip() != ""))
def test_no_text_begins_a_block_of_markdown(text: str) -> None:
    plain, found = (
        [kind(line) for line in markdown(document(one)).splitlines()] for one in ("x", f"{text} x")
    )
    assert found == plain


def kind(line: str) -> str:
    """What a line begins, as CommonMark 0.31 has it."""
    begun = re.match(r"(#{1,6} |- \[ \] |- |---|\||>|\+ |[0-9]+[.)] |=+$|    |```|~~~|<|$)", line)
    return "text" if begun is None else begun[0]


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("18.6 L", "18.6 L"),
        ("1. one", "1\\. one"),
        ("- one", "\\- one"),
        ("a|b", "a\\|b"),
        ("*a*", "\\*a\\*"),
        ("foo #", "foo \\#"),
        ("x://y", "x:\\//y"),
        ("<b>", "\\<b\\>"),
        ("see www.x.y", "see www\\.x.y"),
        ("a@b.c", "a<!-- -->@b.c"),  # GFM 0.29: an address is linked where it stands in one piece of text
        ("2 @ 20 C", "2 @ 20 C"),
    ],
)
def test_only_what_would_be_markup_is_escaped_in_markdown(text: str, written: str) -> None:
    assert f"\n{written}\n" in markdown(Document("x", (text,), ()))


def test_a_row_is_written_with_its_boxes_and_blanks() -> None:
    written = markdown(Document("x", (), (Section("y", (Table(COLUMNS, (("a", "b", "c"),)),)),)))
    assert "| \\[ \\] | a | b | c |  |" in written
    page = html(Document("x", (), (Section("y", (Table(COLUMNS, (("a", "b", "c"),)),)),)))
    assert '<span class="box"></span>' in page and '<td class="blank"></td>' in page


def test_the_items_of_a_cell_follow_the_table_in_markdown() -> None:
    table = Table((Column("Step"),), ((Cell("1 heat", items=("lid on", "tap shut")),),))
    written = markdown(Document("x", (), (Section("y", (table,)),)))
    assert written.endswith("| 1 heat |\n\n### 1 heat\n\n- [ ] lid on\n- [ ] tap shut\n")


def test_what_is_struck_is_crossed_out_in_both() -> None:
    table = Table((Column("Read"),), ((Cell("58.0 C", struck=True),),))
    day = Document("x", (), (Section("y", (table,)),))
    assert "| ~~58.0 C~~ |" in markdown(day)
    assert "<s>58.0 C</s>" in html(day)


def test_narrow_sections_stand_beside_each_other() -> None:
    narrow = Section("a", (Paragraph("b"),), narrow=True)
    page = html(Document("x", (), (narrow, narrow, Section("c", (Paragraph("d"),)), narrow)))
    assert page.count('<div class="narrow">') == 2


def test_a_long_page_is_printed_closer() -> None:
    short, long = (Document("x", (), (Section("y", (Lines(("z",) * count),)),)) for count in (5, 60))
    assert '<body class="wide">' in html(short) and '<body class="close">' in html(long)
