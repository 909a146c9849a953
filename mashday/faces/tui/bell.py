"""When the bell rings: once when a call is due, and again and again while nobody answers it."""

from __future__ import annotations

from collections.abc import Iterable

from mashday.faces.view import CallLine

DANGER_SECONDS = 5.0
FIRST_SECONDS, FIRST_MINUTE, LATER_SECONDS = 10.0, 60.0, 30.0
"""Every ten seconds in the first minute, then every half minute; a danger every five. Judgement, no source:
it must not give up, and a call in reverse video stands meanwhile."""


class Bell:
    """Knows since when each call has rung, and when last."""

    def __init__(self) -> None:
        self._first: dict[str, float] = {}
        self._last: dict[str, float] = {}

    def rings(self, calls: Iterable[CallLine], now: float) -> bool:
        """True if the bell is to ring at `now` seconds for any of these calls."""
        due = False
        for call in calls:
            if not call.rings:
                continue
            first = self._first.setdefault(call.key, now)
            pause = FIRST_SECONDS if now - first < FIRST_MINUTE else LATER_SECONDS
            if call.urgency == "danger":
                pause = DANGER_SECONDS
            if now - self._last.get(call.key, -1e9) >= pause:
                self._last[call.key] = now
                due = True
        return due
