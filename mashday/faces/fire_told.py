"""That a fire is to go off is answered by nothing that was on its way before it was told.

A bare word, or one key, answers it only once a face has told it and it has stood a while; by its name it is
answered at any time.
"""

from __future__ import annotations

from mashday.engine import calls
from mashday.session.session import Session

SEEN_SECONDS = 1.0
"""What comes sooner behind a call was on its way before it. Judgement."""


def ringing(session: Session) -> calls.Call | None:
    """The fire that rings just now; None if none does."""
    found = calls.calls(session.schedule, session.state, session.t())
    return next((call for call in found if call.rings and call.way == "fire"), None)
