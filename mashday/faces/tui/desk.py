"""The desk: what each key means at this moment. No screen toolkit, no clock of its own.

It turns keys into intents for the session and keeps what only a screen needs: the number being typed, the
line being written, the page that is open, the last word said.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.faces import telling
from mashday.faces.entries import entry_lines
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.tui import keys as table
from mashday.faces.tui.entry import KeyGuard, NumberEntry
from mashday.faces.tui.paint import Shown
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

QUIET_SECONDS = 0.3
TWICE_SECONDS = 3.0
AHEAD_MINUTES = 5.0
NAVIGATION = frozenset(
    {"home", "end", "up", "down", "left", "right", "pageup", "pagedown", "insert", "delete"}
)
ON_PAGE = frozenset({"down", "right", "pagedown", "space"})
ANSWERED_BY_NUMBER = (intents.TakeReading, intents.AddWater, intents.GiveAmount, intents.Correct)


class Desk:
    """The keys of one session. `outbox` holds what the session is still to be asked."""

    def __init__(
        self,
        session: Session,
        rehearsal: Rehearsal | None = None,
        *,
        keys: tuple[table.Key, ...] = table.KEYS,
        ascii_only: bool = False,
    ) -> None:
        self.session = session
        self.rehearsal = rehearsal
        self.keys = keys
        self.ascii_only = ascii_only
        self.guard = KeyGuard()
        self.entry = NumberEntry()
        self.outbox: deque[intents.Intent] = deque()
        self.waits = 0.0
        self.leaving = False
        self.message = ""
        self.doubt = ""
        self.typing: str | None = None
        self.page_title = ""
        self.page: tuple[str, ...] = ()
        self.page_top = 0
        self.saving = False
        self._pending: str | None = None
        self._leave_asked = -1e9
        self._now = 0.0
        self._acts: dict[str, Callable[[], None]] = {
            "commit": self._commit,
            "ok": self._ok,
            "next": self._next,
            "start": lambda: self.ask(intents.Start()),
            "undo": lambda: self.ask(intents.Undo()),
            "hold": self._hold,
            "why": lambda: self._open("Why", telling.answer(session, Command("why"), rehearsal)),
            "again": self._again,
            "unknown": lambda: self.ask(intents.AnswerUnknown()),
            "leave": lambda: self.ask(intents.LeaveIt()),
            "pass": lambda: self._line("starch pass"),
            "fail": lambda: self._line("starch fail"),
            "tick": lambda: self.ask(intents.TickItem()),
            "more": lambda: self._begin("more"),
            "skip": self._skip,
            "snooze": lambda: self._begin("snooze"),
            "mute": lambda: self.ask(intents.Mute()),
            "note": lambda: self._type("note "),
            "word": lambda: self._type(""),
            "keep": lambda: self.ask(intents.KeepIt()),
            "wrong": self._wrong,
            "erase": lambda: self.entry.erase(self._now),
            "recall": self._recall,
            "units": lambda: self.ask(intents.ChooseUnits()),
            "steps": lambda: self._open("Steps", telling.answer(session, Command("steps"), rehearsal)),
            "log": lambda: self._open("Readings", telling.log(session)),
            "ahead": self._ahead,
            "help": lambda: self._open("Keys", self._help()),
            "quit": self._quit,
        }

    def key(self, key: str, character: str | None, now: float) -> None:
        """Takes one key pressed at `now` seconds of the screen's own clock."""
        self._now = now
        self._pending = None
        if self.guard.drops(now):
            self.message = "Too many keys at once; nothing was taken."
            return
        if self.typing is not None:
            self._typed(key, character)
        elif self.page_title:
            self._paged(key, character)
        elif character is not None and self.entry.feed(character, now):
            self.message = ""
        else:
            self._act(key, character)

    def _act(self, key: str, character: str | None) -> None:
        name = table.name_of(self.keys, key, character)
        if name is None:
            if key in NAVIGATION:
                self.message = "That was no number: is NumLock off?"
            return
        if self.entry.text and name not in ("commit", "erase", "wrong", "quit"):
            self.message = "A number stands typed: Enter takes it, Backspace erases."
            return
        one = next(one for one in self.keys if one.name == name)
        if one.calm:
            self._pending = name
        else:
            self._acts[name]()

    def tick(self, now: float) -> None:
        """Lets what waited for quiet happen, and sets a number aside that stood too long."""
        self._now = now
        if self._pending is not None and now - self.guard.last >= QUIET_SECONDS:
            name, self._pending = self._pending, None
            self._acts[name]()
        if self.entry.stale(now):
            self.message = f"{self.entry.aside} set aside, not lost: r takes it up again."

    def paste(self, text: str, now: float) -> None:
        """Takes pasted text: into the line being written, else as the number being typed."""
        text = cleaned(text, 200)
        if self.typing is not None:
            self.typing += text
            return
        for character in text[:20]:
            self.entry.feed(character, now)

    def ask(self, intent: intents.Intent) -> None:
        """Puts an intent in the outbox."""
        self.outbox.append(intent)

    def told(self, outcome: Outcome) -> None:
        """Takes in what came of an intent."""
        self.doubt = ""
        if outcome.refused is not None:
            self.message = cleaned(outcome.refused)
        elif outcome.doubt is not None:
            self.doubt = f"{cleaned(outcome.doubt)} {self._ways_out()}"
            self.message = ""
        elif not outcome.entries:
            self.message = "Forgotten."
        self.heard(outcome.entries)

    def _ways_out(self) -> str:
        doubted = self.session.doubted
        if isinstance(doubted, ANSWERED_BY_NUMBER):
            return "[Enter keeps it, x forgets it]"
        if isinstance(doubted, intents.Done):
            return "[+ again: yes, x: no]"
        return "[y: yes, x: no]"

    def heard(self, entries: tuple[f.Entry, ...]) -> None:
        """Says the last thing that happened."""
        told = [
            line
            for entry in entries
            for line in entry_lines(entry, self.session.state, self.session.schedule)
        ]
        if told:
            self.message = told[0].strip()

    def _commit(self) -> None:
        if self.entry.text:
            self._line(self._take_or(self.entry.take()))
        elif self.doubt and isinstance(self.session.doubted, ANSWERED_BY_NUMBER):
            self.ask(intents.KeepIt())
        else:
            self._ok()

    def _take_or(self, typed: str) -> str:
        """In the remedy view a small whole number is the number of a way."""
        offer = self.session.state.offer
        if offer is not None and offer.is_open and typed.isdigit() and 1 <= int(typed) <= len(offer.options):
            return f"take {typed}"
        return typed

    def _line(self, line: str) -> None:
        session = self.session
        meant: Understood = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, Misunderstood):
            self.message = meant.why
        elif isinstance(meant, Command):
            self._command(meant)
        else:
            self.ask(meant)

    def _command(self, command: Command) -> None:
        if command.word == "quit":
            self.leaving = True
        elif command.word == "wait":
            self.message = "On the screen, > moves a rehearsal five minutes ahead."
            if self.rehearsal is not None:
                self._ahead()
        elif command.word == "save":
            self.message = telling.save(self.session, command.argument)[0]
        elif command.word == "help":
            self._open("Keys", self._help())
        else:
            self._open(command.word.capitalize(), telling.answer(self.session, command, self.rehearsal))

    def _help(self) -> tuple[str, ...]:
        words = telling.answer(self.session, Command("help"), self.rehearsal)
        return (*table.help_rows(self.keys), "", "Words, after :", "", *words)

    def _ok(self) -> None:
        session = self.session
        if any(not c.acknowledged for c in calls.calls(session.schedule, session.state, session.t())):
            self.ask(intents.Acknowledge())

    def _next(self) -> None:
        if self.session.state.phase == "idle":
            self.ask(intents.Start())
        elif self.doubt and isinstance(self.session.doubted, intents.Done):
            self.ask(intents.KeepIt())
        else:
            self.ask(intents.Done())

    def _skip(self) -> None:
        doubted = self.doubt and isinstance(self.session.doubted, intents.Skip)
        self.ask(intents.KeepIt() if doubted else intents.Skip())

    def _hold(self) -> None:
        self.ask(intents.Resume() if self.session.state.phase == "held" else intents.Hold())

    def _again(self) -> None:
        self.message = telling.answer(self.session, Command("again"), self.rehearsal)[0]

    def _begin(self, prefix: str) -> None:
        self.entry.clear()
        self.entry.prefix = prefix
        self.message = "How many minutes? Type them, then Enter."

    def _type(self, text: str) -> None:
        self.typing = text
        self.message = "Enter takes the line, Esc leaves it."

    def _wrong(self) -> None:
        if self.entry.text or self.entry.prefix:
            self.entry.clear()
        elif self.doubt:
            self.ask(intents.Wrong())

    def _recall(self) -> None:
        if not self.entry.recall(self._now):
            self.message = "No number was set aside."

    def _ahead(self) -> None:
        if self.rehearsal is None:
            self.message = "Only a rehearsal can be moved ahead."
        else:
            self.waits += AHEAD_MINUTES

    def _quit(self) -> None:
        if self._now - self._leave_asked <= TWICE_SECONDS:
            self.leaving = True
        self._leave_asked = self._now
        self.message = "Once more to leave. The day stays open: mashday resume."

    def _open(self, title: str, lines: tuple[str, ...]) -> None:
        self.page_title, self.page, self.page_top = title, tuple(cleaned_row(line) for line in lines), 0

    def _paged(self, key: str, character: str | None) -> None:
        if key in ON_PAGE:
            self.page_top += 1 if key == "down" else 10
        elif key in ("up", "left", "pageup"):
            self.page_top = max(0, self.page_top - (1 if key == "up" else 10))
        elif character is not None and self.entry.feed(character, self._now):
            self.page_title = ""
        else:
            self.page_title = ""

    def _typed(self, key: str, character: str | None) -> None:
        assert self.typing is not None
        if key in ("enter", "ctrl+j"):
            line, self.typing, self.message = self.typing, None, ""
            self._line(line)
        elif key in ("escape", "ctrl+c"):
            self.typing, self.message = None, ""
        elif key == "backspace":
            self.typing = self.typing[:-1]
        elif character is not None and character.isprintable() and len(self.typing) < 400:
            self.typing += character

    def view(self) -> View:
        """The view of the session now."""
        return telling.view_of(self.session, self.rehearsal, doubt=self.doubt)

    def shown(self, view: View) -> Shown:
        """All that stands on the screen."""
        label = f"{view.question} ({view.question_unit})" if view.question else "a number, any time"
        if self.entry.prefix:
            label = f"minutes: {self.entry.prefix}"
        if self.saving:
            label = "saving..."
        return Shown(
            view=view,
            entry=f"{self.entry.prefix} {self.entry.text}".strip(),
            entry_label=label,
            message=self.message,
            key_line=self._key_line(view),
            page_title=self.page_title,
            page=self.page,
            page_top=self.page_top,
            typing=self.typing,
            ascii_only=self.ascii_only,
        )

    def _key_line(self, view: View) -> str:
        """What can be pressed now, the likeliest first."""
        wanted = ["start", "leave", "tick", "unknown", "next", "undo", "hold", "why", "skip", "help", "quit"]
        if view.question == "starch check":
            wanted = ["pass", "fail", *wanted]
        if any(not call.acknowledged for call in view.calls):
            wanted = ["ok", *wanted]
        if self.rehearsal is not None and view.phase == "running":
            wanted.insert(-2, "ahead")
        shown = []
        for name in wanted:
            key = next(one for one in self.keys if one.name == name)
            allowed = not key.move or key.move in view.moves
            if name == "hold":
                allowed = bool({"hold", "resume"} & view.moves)
            if allowed:
                first = key.keys[0]
                label = "go on" if name == "hold" and "resume" in view.moves else key.label
                shown.append(f"{'Space' if first == 'space' else first} {label}")
        return "  ".join(shown)


def cleaned_row(line: str) -> str:
    """A line of a page without anything a terminal could act on; its columns stay."""
    return "".join(character if character.isprintable() else " " for character in line)
