"""When the bell rings: when a call is due, and again and again while nobody answers it."""

from __future__ import annotations

import math
from collections.abc import Iterable

from mashday.faces import insistence
from mashday.faces.view import CallLine


class Bell:
    """Knows since when each call has rung, and when last; asked at every tick, it rings one stroke a tick."""

    def __init__(self) -> None:
        self._first: dict[str, float] = {}
        self._last: dict[str, float] = {}
        self._owed = 0

    def rings(self, calls: Iterable[CallLine], now: float) -> bool:
        """True if the bell is to ring one stroke at `now` seconds for any of these calls."""
        ringing = [call for call in calls if call.rings]
        for call in ringing:
            stood = now - self._first.setdefault(call.key, now)
            if now - self._last.get(call.key, -math.inf) >= insistence.pause_seconds(call.urgency, stood):
                self._last[call.key] = now
                self._owed = max(self._owed, insistence.strokes(call.urgency, stood))
        self._owed = self._owed if ringing else 0
        if not self._owed:
            return False
        self._owed -= 1
        return True
