"""Before the fire is lit: whether a call would be heard, the day on paper, and what else is to be seen to."""

from __future__ import annotations

from collections.abc import Callable

from mashday.engine import intents
from mashday.faces.herald import Herald
from mashday.faces.view import View
from mashday.schedule.model import SetUp
from mashday.session.session import Session


class BeforeTheFire:
    """What stands on the board until the set-up is done. `named` gives the key of an ability."""

    def __init__(
        self,
        session: Session,
        herald: Herald | None,
        notices: tuple[str, ...],
        *,
        say: Callable[[str], None],
        named: Callable[[str], str],
    ) -> None:
        self._session = session
        self._herald = herald
        self._say = say
        self._named = named
        self._notices = notices
        self._paper = f"The day on paper, in case the screen fails: {named('sheet')} writes it to a file"

    def greet(self, view: View) -> None:
        """Tries out what makes the day heard."""
        if self._herald is not None and self._is_now(view):
            self._herald.try_out()

    def asks_whether_heard(self, view: View) -> bool:
        """True while it is asked whether the signal was heard."""
        return self._is_now(view) and self._herald is not None and self._herald.asks_whether_heard

    def takes(self, said: intents.Intent, view: View) -> bool:
        """Takes a yes or a no for that question; false if it is for another."""
        if not isinstance(said, intents.KeepIt | intents.Wrong) or not self.asks_whether_heard(view):
            return False
        self.answer_heard(yes=isinstance(said, intents.KeepIt))
        return True

    def answer_heard(self, *, yes: bool) -> None:
        """Takes the answer to the question whether the signal was heard."""
        if self._herald is not None:
            self._say(self._herald.answer_heard(yes))

    def on_paper(self) -> None:
        """The day is on paper: that is no longer to be seen to."""
        self._paper = ""

    def notices(self, view: View) -> tuple[str, ...]:
        """What to see to, a line each; nothing once the set-up is done."""
        if not self._is_now(view):
            return ()
        notices = (*self._notices, self._paper) if self._paper else self._notices
        if self._herald is None or not self.asks_whether_heard(view):
            return notices
        yes, no = self._named("keep"), self._named("wrong")
        return (f"{self._herald.question} {yes}: yes, {no}: no", *notices)

    def _is_now(self, view: View) -> bool:
        first = self._session.schedule.step(1)
        if view.view_only:
            return False
        return view.phase == "idle" or (view.step_number == 1 and isinstance(first, SetUp))
