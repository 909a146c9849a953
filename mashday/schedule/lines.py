"""Where in a TOML text each key stands, so that a problem can name its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

Path = tuple[str | int, ...]
"""Keys and, in lists, places counted from 0."""

_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\n\[\]{}=,.]"
    r"|[^\s\[\]{}=,.#\"']+",
    re.DOTALL,
)


def key_lines(text: str) -> dict[Path, int]:
    """The line, counted from 1, of every key, table and list item of a text that `tomllib` reads."""
    return _Scan(text).lines


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """The line of the path, or of the nearest thing around it that has one."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


class _Scan:
    """One pass over the tokens of a sound TOML text."""

    def __init__(self, text: str) -> None:
        self.lines: dict[Path, int] = {}
        self._tokens = list(_tokens(text))
        self._next = 0
        self._counts: dict[Path, int] = {}
        self._document()

    def _document(self) -> None:
        table: Path = ()
        while (token := self._peek()) is not None:
            if token == "\n":
                self._next += 1
            elif token == "[":
                table = self._header()
            else:
                self._pair(table)

    def _header(self) -> Path:
        line = self._line()
        self._next += 1
        of_list = self._peek() == "["
        self._next += of_list
        path = self._within(self._key("]"))
        self._next += 2 if of_list else 1
        if of_list:
            place = self._counts.get(path, 0)
            self._counts[path] = place + 1
            path = (*path, place)
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], line)
        return path

    def _within(self, keys: Path) -> Path:
        """The keys of a header, with the place of the last item wherever one names a list of tables."""
        path: Path = ()
        for key in keys[:-1]:
            path = (*path, key)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        return (*path, *keys[-1:])

    def _pair(self, table: Path) -> None:
        line = self._line()
        keys = self._key("=")
        self._next += 1
        for length in range(1, len(keys) + 1):
            self.lines.setdefault((*table, *keys[:length]), line)
        self._value((*table, *keys))

    def _key(self, end: str) -> Path:
        keys: list[str | int] = []
        while (token := self._peek()) not in (end, None):
            self._next += 1
            if token is not None and token not in (".", "\n"):
                keys.append(_unquoted(token))
        return tuple(keys)

    def _value(self, path: Path) -> None:
        match self._peek():
            case "[":
                self._list(path)
            case "{":
                self._inline_table(path)
            case _:
                self._next += 1
                while self._peek() not in (",", "]", "}", "\n", None):
                    self._next += 1

    def _list(self, path: Path) -> None:
        self._next += 1
        place = 0
        while (token := self._peek()) not in ("]", None):
            if token in (",", "\n"):
                place += token == ","
                self._next += 1
                continue
            self.lines.setdefault((*path, place), self._line())
            self._value((*path, place))
        self._next += 1

    def _inline_table(self, path: Path) -> None:
        self._next += 1
        while (token := self._peek()) not in ("}", None):
            if token in (",", "\n"):
                self._next += 1
                continue
            self._pair(path)
        self._next += 1

    def _peek(self) -> str | None:
        return self._tokens[self._next][0] if self._next < len(self._tokens) else None

    def _line(self) -> int:
        return self._tokens[self._next][1]


def _tokens(text: str) -> Iterator[tuple[str, int]]:
    line = 1
    for match in _TOKEN.finditer(text):
        token = match[0]
        if not token.startswith("#"):
            yield token, line
        line += token.count("\n")


def _unquoted(token: str) -> str:
    if token[0] not in "\"'":
        return token
    return str(tomllib.loads(f"text = {token}")["text"])
