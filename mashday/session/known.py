"""What the days kept in the sessions folder teach of a pot: a function of these files alone.

Rehearsed days teach nothing, nor does a file that cannot be read or was damaged: what could be believed of it
may have gone on in a file of its own.
"""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from mashday.engine.facts import PotKnown
from mashday.engine.lessons import MOST_DAYS, learned
from mashday.session.library import days


def known_pot(folder: Path, name: str) -> PotKnown | None:
    """What the real days of the pot of this name teach, the latest `MOST_DAYS` that were begun; None if
    nothing."""
    of_it = (day for day in days(folder) if day.schedule.pot.name == name)
    latest = list(
        islice(
            (day for day in of_it if day.was_begun and not (day.rehearsed or day.damaged or day.went_on)),
            MOST_DAYS,
        )
    )
    return learned((day.schedule, day.state) for day in reversed(latest))
