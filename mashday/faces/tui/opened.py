"""The page that is open over the board: which one, and how it is opened and closed."""

from __future__ import annotations

from collections.abc import Callable

from mashday.faces import telling
from mashday.faces.lines import Command
from mashday.faces.tui import keys as table
from mashday.faces.tui import pages
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session


class Opened:
    """`page` is the one that is open, without a title while none is; its lines are told as it is read."""

    def __init__(
        self,
        session: Session,
        rehearsal: Rehearsal | None,
        keys: tuple[table.Key, ...],
        view: Callable[[], View],
    ) -> None:
        self.page = pages.OpenPage()
        self._session = session
        self._rehearsal = rehearsal
        self._keys = keys
        self._view = view

    def close(self) -> None:
        """Closes the page."""
        self.page = pages.OpenPage()

    def help(self) -> None:
        """Opens the keys and words."""
        self._open("Keys", lambda: pages.keys_and_words(self._keys, self._view()))

    def this_step(self) -> None:
        """Opens the step in full."""
        self._open("This step", lambda: pages.this_step(self._view()))

    def terms(self) -> None:
        """Opens the words of the trade that belong to the step."""
        self._open("Words of the trade", lambda: pages.terms(self._view()))

    def checklist(self) -> None:
        """Opens the whole list of the step."""
        self._open("Checklist", lambda: pages.whole_list(self._view()))

    def why(self, about: str = "") -> None:
        """Opens the reasons for the step, or for what is asked about."""
        self._answer("Why", Command("why", about))

    def steps(self) -> None:
        """Opens the steps of the day."""
        self._answer("Steps", Command("steps"))

    def trouble(self) -> None:
        """Opens what to do when the step goes wrong."""
        self._answer("If it goes wrong", Command("trouble"))

    def so_far(self) -> None:
        """Opens the day so far, as it stands now."""
        written = pages.so_far(self._session)
        self._open("The day so far", lambda: written)

    def summary(self) -> None:
        """Opens the summary of a day that is over."""
        written = pages.summary(self._session)
        self._open("The day is over", lambda: written)

    def _answer(self, title: str, command: Command) -> None:
        self._open(title, lambda: pages.page(telling.answer(self._session, command, self._rehearsal)))

    def _open(self, title: str, lines: Callable[[], pages.Page]) -> None:
        self.page = pages.OpenPage(title, lines)
