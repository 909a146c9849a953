"""What the screen asks of the session's worker: an intent, a copy elsewhere, time to pass."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine.intents import Intent


@dataclass(frozen=True, slots=True)
class Save:
    """The whole day is to be written to this folder."""

    folder: str


@dataclass(frozen=True, slots=True)
class Wait:
    """The rehearsal's clock is to be moved on by so many minutes."""

    minutes: float


Asked = Intent | Save | Wait
