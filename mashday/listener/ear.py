"""The loop of a listener: asked, it opens its source, hears one utterance, shuts it, tells what was said."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from queue import Empty, SimpleQueue

from mashday.channels.listener_lines import Ask, Shut, Told
from mashday.listener.faults import CannotListen
from mashday.listener.recogniser import Recogniser, understood
from mashday.listener.sound_in import FRAME_SECONDS, Source
from mashday.listener.utterance import LONGEST_SECONDS, Cutter, Silence, Utterance
from mashday.listener.voices import Voices

Asks = SimpleQueue[Ask | Shut | None]
"""What is asked, as it comes; None once nobody will ask any more."""

DEAD_SECONDS = 20.0
"""So long nothing but zeros is no quiet room: a microphone that is switched off or may not be used."""
GRACE_SECONDS = 2.0
"""How much later than by the sound itself an answer is given up where sound comes slowly or not at all."""
LOOK_SECONDS = 0.1
"""How long a frame is waited for before what is asked is looked at again."""
DEAD = (
    "The microphone gives only zeros. See whether it is switched on, whether this terminal may use it,"
    " and whether --device names the right one."
)
NOTHING_COMES = "No sound comes from the microphone or the program that records."


class Ear:
    """Listens when asked. `tell` gets every line; the detector and the recognisers see only what is open."""

    def __init__(
        self,
        source: Source,
        voices: Voices,
        recognisers: Sequence[Recogniser],
        asks: Asks,
        tell: Callable[[Told], None],
    ) -> None:
        self._source = source
        self._voices = voices
        self._recognisers = recognisers
        self._asks = asks
        self._tell = tell
        self._waiting: list[Ask | Shut | None] = []
        self._dead_frames = 0
        self._told_troubles: set[str] = set()

    def run(self) -> None:
        """Answer until nobody asks any more. CannotListen once no sound is to be had; told as trouble."""
        self._tell(Told("ready"))
        while (asked := self._next()) is not None:
            if isinstance(asked, Ask):
                try:
                    self.answer(asked)
                except CannotListen as fault:
                    self._tell(Told("trouble", str(fault)))
                    raise

    def answer(self, ask: Ask) -> None:
        """Open, hear one utterance, shut, tell. CannotListen if there is no sound to be had."""
        self._source.open()
        try:
            self._tell(Told("open", number=ask.number))
            self._voices.begin()
            try:
                heard = self._utterance(ask)
            except CannotListen:
                self._tell(Told("closed", number=ask.number))
                raise
            gap = self._source.gap
        finally:
            self._source.shut()
        self._tell(replace(self._told(ask, heard, gap=gap), number=ask.number))
        if self._dead_frames * FRAME_SECONDS >= DEAD_SECONDS:
            self._tell_trouble(DEAD)

    def _told(self, ask: Ask, heard: Utterance | Silence | None, *, gap: bool) -> Told:
        if heard is None:
            return Told("closed")
        if isinstance(heard, Silence):
            return Told("silence")
        if gap or not heard.whole:
            return Told("unclear")
        told = understood(heard.pcm, ask.kind, self._recognisers)
        return Told("closed") if self._is_asked() else told

    def _utterance(self, ask: Ask) -> Utterance | Silence | None:
        """What is heard; None if something else is asked meanwhile."""
        cutter = Cutter(ask.seconds)
        gives_up = time.monotonic() + ask.seconds + GRACE_SECONDS
        came = False
        while not self._is_asked():
            frame = self._source.frame(LOOK_SECONDS)
            if frame is not None:
                came = True
                self._note(frame)
                found = cutter.feed(frame, self._voices.likely(frame))
                if found is not None:
                    return found
            if time.monotonic() > gives_up + (LONGEST_SECONDS if cutter.speaking else 0.0):
                if not came:
                    self._tell_trouble(NOTHING_COMES)
                return Utterance(b"", whole=False) if cutter.speaking else Silence()
        return None

    def _note(self, frame: bytes) -> None:
        """Counts frames that hold only zeros, one after the other."""
        if any(frame):
            self._dead_frames = 0
            self._told_troubles.clear()
        else:
            self._dead_frames += 1

    def _tell_trouble(self, words: str) -> None:
        """Says it once, until sound has come again."""
        if words not in self._told_troubles:
            self._told_troubles.add(words)
            self._tell(Told("trouble", words))

    def _is_asked(self) -> bool:
        """True if something was asked since, or nobody will ask any more."""
        with contextlib.suppress(Empty):
            self._waiting.append(self._asks.get_nowait())
        return bool(self._waiting)

    def _next(self) -> Ask | Shut | None:
        return self._waiting.pop(0) if self._waiting else self._asks.get()
