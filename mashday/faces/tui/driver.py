"""A sturdier way to read the keys of a Linux or macOS terminal. Not to be imported on Windows."""

from __future__ import annotations

import codecs
import os
from typing import Any

from textual.drivers import linux_driver


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
    """The toolkit's driver, kept alive by bad bytes and stray signals, ended when the terminal is gone."""

    _gone = False

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
