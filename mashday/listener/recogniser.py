"""What turns an utterance into text, and what is made of it: a line only where every recogniser agrees."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from mashday.channels.listener_lines import Asked, Told
from mashday.listener.strict import line


class Recogniser(Protocol):
    """Turns sound into text."""

    def text(self, pcm: bytes, kind: Asked) -> str:
        """What was said, as this recogniser writes it; may be empty. `kind` is what was asked for."""


def understood(pcm: bytes, kind: Asked, recognisers: Sequence[Recogniser]) -> Told:
    """The line that was said, if each recogniser's text is that line as a whole; else that it is unclear.

    The raw text is that of the first. The next is asked only where those before it understood.
    """
    raw = ""
    found: str | None = None
    for place, recogniser in enumerate(recognisers):
        text = recogniser.text(pcm, kind)
        meant = line(text, kind)
        raw = raw or text
        if meant is None or (place > 0 and meant != found):
            return Told("unclear", raw=raw)
        found = meant
    return Told("heard", found or "", raw) if found else Told("unclear", raw=raw)
