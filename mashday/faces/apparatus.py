"""What is set up beside the pot with the program: who makes calls heard, who sends lines, what is read."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.channels.door import Door
from mashday.faces.herald import Herald
from mashday.faces.listening import Listening
from mashday.faces.probing import Probing


@dataclass(frozen=True, slots=True)
class Apparatus:
    """The channels of a day beside the keys and the screen; None for each one that is not there."""

    herald: Herald | None = None
    door: Door | None = None
    probing: Probing | None = None
    listening: Listening | None = None

    def close(self) -> None:
        """Ends all of them. Never waits, never raises."""
        for channel in (self.listening, self.herald, self.door, self.probing):
            if channel is not None:
                channel.close()
