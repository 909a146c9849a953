"""The simulated pot's thermometer as a live one: what a rehearsal reads where a real day has a probe."""

from __future__ import annotations

from mashday.channels.probe import Shown
from mashday.channels.probe_live import Live
from mashday.engine.decision import units_of
from mashday.session.rehearsal import Rehearsal

EVERY_SECONDS = 2.0
"""How often it tells a value, s of the rehearsal's clock: a usual pace of a cheap sensor. Judgement."""
LOOKS_BACK_SECONDS = 60.0


class SimulatedProbe:
    """Hangs in the simulated pot and tells a value every two seconds of the rehearsal's clock."""

    def __init__(self, rehearsal: Rehearsal) -> None:
        session = rehearsal.session
        self._rehearsal = rehearsal
        self._last = session.t()
        self._live = Live(self._last, units=units_of(session.schedule, session.state))

    def start(self) -> None:
        """Nothing has to be begun."""

    def stop(self) -> None:
        """Nothing has to be ended."""

    def look(self) -> Shown:
        """What it tells now."""
        t = self._rehearsal.session.t()
        self._last = max(self._last, t - LOOKS_BACK_SECONDS)
        while self._last + EVERY_SECONDS <= t:
            self._last += EVERY_SECONDS
            self._live.take(self._last, self._rehearsal.probe(self._last))
        return self._live.shown(t)
