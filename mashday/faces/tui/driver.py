"""A sturdier way to read the keys of a Linux or macOS terminal. Not to be imported on Windows."""

from __future__ import annotations

import codecs
import os
import signal
from queue import Queue
from threading import Thread
from typing import Any

from textual import events
from textual.drivers import linux_driver
from textual.geometry import Size

PATIENCE_SECONDS, LOOK_SECONDS = 2.0, 0.25
"""How long a terminal that takes nothing is waited for on leaving, and how often it is looked at before."""
MOST_WAITING = 20
"""Writes that wait at most. The toolkit stops the whole program at 30; giving the terminal back takes 8."""


class _Decoder:
    """Decodes what the terminal sends; a byte that is no text becomes a sign, the end of input ends."""

    def __init__(self, driver: SturdyDriver) -> None:
        self._inner = codecs.getincrementaldecoder("utf-8")("replace")
        self._driver = driver

    def decode(self, data: bytes, final: bool = False) -> str:
        if not data and not final:
            self._driver.terminal_gone()
        return self._inner.decode(data, final)


class SturdyDriver(linux_driver.LinuxDriver):
    """The toolkit's driver, kept alive by bad bytes and stray signals, ended when the terminal is gone.

    A terminal that takes nothing holds neither the day up nor its end.
    """

    _gone = False
    _lost = False
    _leaving = False

    def terminal_gone(self) -> None:
        """Asks the program to leave, once, and keeps the reader from spinning meanwhile."""
        if not self._gone:
            self._gone = True
            self._app.call_later(self._app.exit, None, 129)
        self.exit_event.wait(0.5)

    def run_input_thread(self) -> None:
        """Reads keys with the forgiving decoder in place of the strict one."""

        def forgiving(encoding: str) -> Any:
            return lambda: _Decoder(self)

        room = vars(linux_driver)
        strict = room["getincrementaldecoder"]
        room["getincrementaldecoder"] = forgiving
        try:
            super().run_input_thread()
        except OSError:
            self.terminal_gone()
        finally:
            room["getincrementaldecoder"] = strict

    def write(self, data: str) -> None:
        """Writes. Where much waits this is lost, and all is painted anew once the terminal takes again."""
        if self._waiting() < MOST_WAITING or self._leaving:
            super().write(data)
        elif not self._lost:
            self._lost = True
            self._loop.call_soon_threadsafe(self._paint_anew)

    def _paint_anew(self) -> None:
        if self._waiting():
            self._loop.call_later(LOOK_SECONDS, self._paint_anew)
        else:
            self._lost = False
            self._app.refresh()

    def _waiting(self) -> int:
        """How many writes wait."""
        queue: Queue[str | None] | None = getattr(self._writer_thread, "_queue", None)
        return 0 if queue is None else queue.qsize()

    def stop_application_mode(self) -> None:
        """Gives the terminal back: none of that is lost."""
        self._leaving = True
        super().stop_application_mode()

    def start_application_mode(self) -> None:
        """Takes the terminal, at the start and after a stop."""
        self._leaving = False
        super().start_application_mode()  # type: ignore[no-untyped-call]
        signal.signal(signal.SIGWINCH, lambda *_: self._loop.call_soon_threadsafe(self._resized))

    def _resized(self) -> None:
        """Tells the size the terminal has now. Told from within the signal, an older size could come last: a
        second signal interrupts the telling of the first."""
        if not self._in_band_window_resize:
            size = Size(*self._get_terminal_size())
            self._app.post_message(events.Resize(size, size))

    def close(self) -> None:
        """Ends the writing, or leaves it to itself where the terminal takes nothing."""
        closing = Thread(target=super().close, daemon=True)
        closing.start()
        closing.join(PATIENCE_SECONDS)

    def _get_terminal_size(self) -> tuple[int, int]:
        """The size by the terminal itself: an exported COLUMNS would hold for ever, whatever is resized."""
        try:
            width, height = os.get_terminal_size(self.fileno)
        except OSError:
            return super()._get_terminal_size()
        return (width, height) if width > 0 and height > 0 else super()._get_terminal_size()

    def _sigcont_application(self, *_: Any) -> None:
        """Begins anew only after a stop of our own; the terminal may hold anything now, so all is painted."""
        if self._must_signal_resume:
            super()._sigcont_application()
        self._app.call_later(self._app.refresh)
