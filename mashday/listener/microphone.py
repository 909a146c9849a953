"""The microphone of this machine, by PortAudio: open between a question and its answer, and else closed."""

from __future__ import annotations

from typing import Any

from mashday.listener.faults import CannotListen, lacks
from mashday.listener.sound_in import FRAME_SAMPLES, RATE_HZ, Waiting
from mashday.text import cleaned, quoted


class Microphone:
    """An input of this machine, by its number or a part of its name; the usual one if None is named."""

    def __init__(self, device: str | None) -> None:
        """CannotListen if there is no such input, or it cannot give what is wanted."""
        try:
            import sounddevice  # noqa: PLC0415 - an extra of its own
        except ModuleNotFoundError as missing:
            raise lacks("sounddevice", "listen") from missing
        except OSError as error:
            raise CannotListen(
                "The library PortAudio is not on this machine. Install it (on Debian: apt install"
                " libportaudio2), or let another program record: --pcm command:PROGRAM"
            ) from error
        self._library = sounddevice
        self._device = int(device) if device is not None and device.isdecimal() else device
        self._waiting = Waiting()
        self._stream: Any = None
        try:
            sounddevice.check_input_settings(**self._settings)
        except (sounddevice.PortAudioError, ValueError) as error:
            raise self._fault(error) from error

    @property
    def gap(self) -> bool:
        """True if some sound went missing since it was opened."""
        return self._waiting.gap

    def open(self) -> None:
        """Open the microphone; CannotListen if it is gone or taken."""
        self._waiting.open()
        try:
            self._stream = self._library.RawInputStream(
                **self._settings, blocksize=FRAME_SAMPLES, callback=self._take, finished_callback=self._ended
            )
            self._stream.start()
        except (self._library.PortAudioError, ValueError) as error:
            raise self._fault(error) from error

    def frame(self, seconds: float) -> bytes | None:
        """The next frame; None if it did not come within that time."""
        return self._waiting.take(seconds)

    def shut(self) -> None:
        """Close the microphone."""
        self._waiting.shut()
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.abort(ignore_errors=True)
            stream.close(ignore_errors=True)

    def end(self) -> None:
        """Close it for good."""
        self.shut()

    @property
    def _settings(self) -> dict[str, Any]:
        return {"device": self._device, "channels": 1, "dtype": "int16", "samplerate": RATE_HZ}

    def _take(self, data: Any, frames: int, moment: Any, status: Any) -> None:
        self._waiting.put(bytes(data), gap=bool(status.input_overflow))

    def _ended(self) -> None:
        if self._stream is not None:
            self._waiting.fail("The microphone has stopped. Look at its plug.")

    def _fault(self, error: Exception) -> CannotListen:
        which = "No microphone" if self._device is None else f"No microphone {quoted(str(self._device))}"
        return CannotListen(
            f"{which} can be opened ({cleaned(str(error), 120)}). There are: {self._inputs()}."
            " Name one behind --device, or let another program record: --pcm command:PROGRAM"
        )

    def _inputs(self) -> str:
        found = [
            f"{place} {cleaned(str(device['name']), 40)}"
            for place, device in enumerate(self._library.query_devices())
            if device["max_input_channels"] > 0
        ]
        return ", ".join(found) or "none on this machine"
