"""Bytes cut into whole lines, whatever pieces they come in."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.lines import LONGEST_LINE, MOST_LINES_A_SECOND, Lines


def cut(pieces: list[bytes], **settings) -> tuple[list[str], Lines]:
    taken: list[str] = []
    lines = Lines(taken.append, seconds=lambda: 0.0, **settings)
    for piece in pieces:
        lines.feed(piece)
    return taken, lines


def test_a_half_line_waits_for_its_end():
    assert cut([b"T=6"])[0] == []
    assert cut([b"T=6", b"5.1\r", b"\n\n64"])[0] == ["T=65.1"]


def test_reading_begun_in_the_middle_of_a_line_drops_the_rest_of_it():
    assert cut([b"4.", b"5\n64.6\n"], from_middle=True)[0] == ["64.6"]


def test_what_is_not_utf_8_is_marked_and_never_left_out():
    assert cut([b"6\xff4.5\n"])[0] == ["6\N{REPLACEMENT CHARACTER}4.5"]


def test_a_line_too_long_is_thrown_away_whole():
    taken, lines = cut([b"64.5\n" + b"6" * (LONGEST_LINE + 1), b"66\n64.6\n", b"7" * 5000 + b"\n64.7\n"])
    assert taken == ["64.5", "64.6", "64.7"]
    assert lines.noise == 2


def test_of_a_flood_the_newest_lines_are_kept():
    taken, lines = cut([b"".join(b"%d\n" % n for n in range(1000))])
    assert taken == [str(n) for n in range(1000 - MOST_LINES_A_SECOND, 1000)]
    assert lines.noise == 1000 - MOST_LINES_A_SECOND


def test_a_new_second_has_room_again():
    taken: list[str] = []
    now = [0.0]
    lines = Lines(taken.append, seconds=lambda: now[0])
    assert lines.feed(b"1\n" * 60)
    assert lines.feed(b"2\n")
    now[0] = 1.0
    assert not lines.feed(b"3\n")
    assert taken == ["1"] * MOST_LINES_A_SECOND + ["3"]


def test_the_rest_is_given_up_once():
    _, lines = cut([b"64.5\n7"])
    assert (lines.end(), lines.end()) == ("7", "")


@given(st.lists(st.text(alphabet="0123456789.,T=C ", max_size=8), max_size=20), st.data())
def test_however_the_bytes_are_parted_the_lines_are_the_same(rows, data):
    whole = "".join(f"{row}\n" for row in rows).encode()
    places = sorted(data.draw(st.lists(st.integers(0, len(whole)), max_size=6)))
    pieces = [whole[a:b] for a, b in zip([0, *places], [*places, len(whole)], strict=True)]
    assert cut(pieces)[0] == [row.strip() for row in rows if row.strip()]


@given(st.lists(st.binary(max_size=300), max_size=10))
def test_any_bytes_are_taken(pieces):
    taken, _ = cut(pieces)
    assert all(line and line == line.strip() for line in taken)
