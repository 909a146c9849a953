"""Bytes from outside cut into whole lines, bounded in length and in number."""

from __future__ import annotations

import re
import time
from collections.abc import Callable

LONGEST_LINE = 4096
"""A line of more bytes than this is thrown away: cut, it might end in the middle of a number."""
MOST_LINES_A_SECOND = 50
"""What comes beyond this in one second is thrown away, the newest lines kept. Judgement, no source."""
CHUNK = 65536
"""How many bytes a reader asks for at once."""
BREATH_SECONDS = 0.02
"""How long a reader rests after more came than is taken, so that a flood costs little."""

_ENDS = re.compile(rb"[\r\n]")


class Lines:
    """Cuts what is fed to it into lines and hands each whole one on; a half line waits for its end.

    `noise` counts the lines thrown away. Where reading begins `from_middle` of a stream, what comes before
    the first line end is no whole line and is dropped.
    """

    def __init__(
        self,
        take: Callable[[str], None],
        *,
        from_middle: bool = False,
        seconds: Callable[[], float] = time.monotonic,
    ) -> None:
        self.noise = 0
        self._take = take
        self._seconds = seconds
        self._rest = b""
        self._dropping = from_middle
        self._second = -1.0
        self._taken = 0

    def feed(self, data: bytes) -> bool:
        """Take these bytes. True if more came than is taken: the reader had better rest a moment."""
        before = self.noise
        *whole, rest = _ENDS.split(self._rest + data)
        if self._dropping and whole:
            self._dropping = False
            whole = whole[1:]
        self._rest = b"" if self._dropping else rest
        if len(self._rest) > LONGEST_LINE:
            self.noise += 1
            self._rest = b""
            self._dropping = True
        short = [line for line in whole if len(line) <= LONGEST_LINE]
        lines = [text for line in short if (text := _text(line))]
        kept = lines[len(lines) - min(len(lines), self._room()) :]
        self.noise += len(whole) - len(short) + len(lines) - len(kept)
        self._taken += len(kept)
        for line in kept:
            self._take(line)
        return self.noise > before

    def end(self) -> str:
        """What came after the last line end, forgotten here; empty if there is none."""
        rest, self._rest = self._rest, b""
        self._dropping = False
        return _text(rest)

    def _room(self) -> int:
        now = self._seconds()
        if not 0 <= now - self._second < 1.0:
            self._second = now
            self._taken = 0
        return MOST_LINES_A_SECOND - self._taken


def _text(line: bytes) -> str:
    return line.decode("utf-8", "replace").strip()
