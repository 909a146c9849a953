"""Words that the desk answers itself: a page, a file, a rehearsal moved ahead, what to do said again."""

from __future__ import annotations

from collections.abc import Callable

from mashday.faces import telling
from mashday.faces.herald import Herald
from mashday.faces.lines import Command
from mashday.faces.tui.asked import Asked, Save, Wait
from mashday.faces.tui.opened import Opened
from mashday.quantities import Unreadable, parse
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session

FARTHEST_AHEAD_MINUTES = 24.0 * 60.0


class Words:
    """Answers words. `say` shows the last word said, `ask` asks the session's worker."""

    def __init__(
        self,
        session: Session,
        rehearsal: Rehearsal | None,
        herald: Herald | None,
        opened: Opened,
        *,
        say: Callable[[str], None],
        ask: Callable[[Asked], None],
    ) -> None:
        self._session = session
        self._rehearsal = rehearsal
        self._herald = herald
        self._opened = opened
        self._say = say
        self._ask = ask
        self._pages: dict[str, Callable[[], None]] = {
            "again": self.again,
            "steps": opened.steps,
            "log": opened.so_far,
            "help": opened.help,
            "explain": opened.terms,
        }

    def take(self, command: Command) -> None:
        """Does what this word asks for."""
        if command.word in self._pages and not command.argument:
            self._pages[command.word]()
        elif command.word == "why":
            self._opened.why(command.argument)
        elif command.word == "trouble":
            self._opened.trouble()
        elif command.word == "heard":
            self._say(telling.heard(self._herald, command.argument))
        elif command.word == "wait":
            self._wait(command.argument)
        elif command.word == "save" and (command.argument or self._session.is_in_need):
            self._ask(Save(command.argument))
        else:
            self._say(" ".join(telling.answer(self._session, command, self._rehearsal)))

    def again(self) -> None:
        """Opens the step in full, and says once more what to do."""
        self._opened.this_step()
        if self._herald is not None:
            lines = telling.answer(self._session, Command("again"), self._rehearsal)
            self._herald.tell(lines, urgent=True)

    def ahead(self, minutes: float) -> None:
        """Moves a rehearsal's clock on by so many minutes."""
        if self._rehearsal is None:
            self._say("Only a rehearsal can be moved ahead: on a real day the clock runs by itself.")
        elif not 0.0 < minutes <= FARTHEST_AHEAD_MINUTES:
            self._say("Between a second and a day: wait 15 min")
        else:
            self._ask(Wait(minutes))

    def _wait(self, argument: str) -> None:
        try:
            minutes = parse(argument or "1", "time", bare="min")
        except Unreadable as unreadable:
            self._say(str(unreadable))
            return
        self.ahead(minutes)
