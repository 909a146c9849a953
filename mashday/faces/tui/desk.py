"""The desk: what each key means at this moment. No screen toolkit, no clock of its own.

It turns keys into what the session is asked, and keeps what only a screen needs: the number being typed, the
line being written, the page that is open, the last word said.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.engine.decide import by_itself
from mashday.engine.state import State
from mashday.faces import telling
from mashday.faces.entries import entry_lines
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.tui import keys as table
from mashday.faces.tui import pages
from mashday.faces.tui.asked import Asked, Save, Wait
from mashday.faces.tui.entry import KeyGuard, LineEntry, NumberEntry
from mashday.faces.tui.keyline import hints
from mashday.faces.tui.paint import Shown
from mashday.faces.view import View
from mashday.quantities import Unreadable, parse
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

ENTER = ("enter", "ctrl+j")
QUIET_SECONDS = 0.3
TWICE_SECONDS = 3.0
MESSAGE_SECONDS = 60.0
VIEWS_A_SECOND = 2
"""A view is reckoned anew that often: what is due shows within 0.75 s with a tick of a quarter second."""
AHEAD_MINUTES = 5.0
FARTHEST_AHEAD_MINUTES = 24.0 * 60.0
NAVIGATION = frozenset(
    {"home", "end", "up", "down", "left", "right", "pageup", "pagedown", "insert", "delete", "kp_begin"}
)
ANSWERED_BY_NUMBER = (intents.TakeReading, intents.AddWater, intents.GiveAmount, intents.Correct)
BESIDE_A_NUMBER = frozenset({"commit", "erase", "wrong", "quit", "tick"})


class Desk:
    """The keys of one session. `outbox` holds what the session is still to be asked, in order."""

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
        self.outbox: deque[Asked] = deque()
        self.leaving = False
        self.message = ""
        self.doubt = ""
        self.line: LineEntry | None = None
        self.page = pages.OpenPage()
        self.saving = False
        self._snoozing = False
        self._pending: str | None = None
        self._leave_asked = -1e9
        self._now = 0.0
        self._said_at = 0.0
        self._typed = ""
        self._seen: tuple[State, tuple[object, ...], View] | None = None
        self._acts: dict[str, Callable[[], None]] = {
            "commit": self._commit,
            "ok": self._ok,
            "next": self._next,
            "start": lambda: self.ask(intents.Start()),
            "undo": lambda: self.ask(intents.Undo()),
            "hold": self._hold,
            "why": lambda: self._open("Why", lambda: self._answer("why")),
            "again": lambda: self._open("This step", lambda: pages.this_step(self.view())),
            "list": lambda: self._open("Checklist", lambda: pages.whole_list(self.view())),
            "steps": lambda: self._open("Steps", lambda: self._answer("steps")),
            "log": self._open_log,
            "help": lambda: self._open("Keys", lambda: pages.keys_and_words(keys)),
            "unknown": lambda: self.ask(intents.AnswerUnknown()),
            "leave": lambda: self.ask(intents.LeaveIt()),
            "pass": lambda: self._line("starch pass"),
            "fail": lambda: self._line("starch fail"),
            "tick": self._tick_item,
            "more": self._more,
            "skip": self._skip,
            "snooze": self._snooze,
            "mute": lambda: self.ask(intents.Mute()),
            "note": lambda: self._write("note "),
            "word": lambda: self._write(""),
            "keep": lambda: self.ask(intents.KeepIt()),
            "wrong": self._wrong,
            "erase": self._erase,
            "recall": self._recall,
            "units": lambda: self.ask(intents.ChooseUnits()),
            "ahead": lambda: self._ahead(AHEAD_MINUTES),
            "quit": self._quit,
        }

    def greet(self, now: float) -> None:
        """Says how the day was taken up: how long it was away, and whether its last entry was torn."""
        self._now = now
        self.heard(self.session.state.log[-1:])
        if self.session.torn is not None:
            self.say(f"The last entry was not finished, enter it again: {self.session.torn} {self.message}")

    # What comes in

    def key(self, key: str, character: str | None, now: float) -> None:
        """Takes one key pressed at `now` seconds of the screen's own clock."""
        self._now = now
        waiting, self._pending = self._pending, None
        writes = self.line is not None and key not in ENTER
        if self.guard.drops(now) and not writes:
            self.say("Too many keys at once; none of them was taken.")
            return
        if self.line is not None:
            self._write_on(self.line, key, character)
            return
        name = table.name_of(self.keys, key, character)
        if waiting is not None and waiting == name == "quit":
            self._leave_asked = now
        elif waiting is not None:
            self.say(f"Not taken: {table.of(self.keys, waiting).label}. Press it alone.")
        if self._snoozing and self._snoozed(character):
            return
        if character is not None and self.entry.feed(character, now):
            self._close()
            return
        if self.page.title and self._paged(key, name):
            return
        self._act(key, name)

    def paste(self, text: str, now: float) -> None:
        """Takes pasted text: into the line being written, else as the number being typed."""
        self._now = now
        pasted = cleaned(text, 200)
        if self.line is not None:
            self.line.feed(pasted)
        elif not self._takes_whole(pasted):
            self.entry.clear()
            self.say(f"Not taken: that was no number. {self._named('word')} opens a line for words.")

    def _takes_whole(self, pasted: str) -> bool:
        return all(self.entry.feed(character, self._now) for character in pasted)

    def tick(self, now: float) -> None:
        """Lets what waited for quiet happen, and sets a number aside that stood too long."""
        self._now = now
        if self._pending is not None and now - self.guard.last >= QUIET_SECONDS:
            name, self._pending = self._pending, None
            self._acts[name]()
        if self.entry.stale(now):
            self.say(f"{self.entry.aside} set aside, not lost: {self._named('recall')} takes it up again.")
        if self.message and self.line is None and now - self._said_at >= MESSAGE_SECONDS:
            self.message = ""

    # What comes of it

    def say(self, text: str) -> None:
        """Shows this as the last word said."""
        self.message = cleaned(text)
        self._said_at = self._now

    def ask(self, asked: Asked) -> None:
        """Puts something the session is to be asked in the outbox."""
        self.outbox.append(asked)

    def told(self, intent: intents.Intent, outcome: Outcome) -> None:
        """Takes in what came of an intent."""
        doubted, self.doubt = self.doubt, ""
        if outcome.refused is not None:
            self.say(outcome.refused)
        elif outcome.doubt is not None:
            self.doubt = f"{cleaned(outcome.doubt)} {self._ways_out()}"
            self._typed = getattr(intent, "typed", "")
            self.message = ""
        elif not outcome.entries:
            self.say("Forgotten." if isinstance(intent, intents.Wrong) else "Nothing to do.")
        else:
            self.heard(outcome.entries)
            line = telling.carried_through(self.session, outcome)
            if line:
                self.say(f"{self.message} {line}.")
        if doubted and not self.doubt and not isinstance(intent, intents.KeepIt | intents.Wrong):
            self.say(f"{self.message} What was doubted is not kept.")

    def heard(self, entries: tuple[f.Entry, ...]) -> None:
        """Says what happened, the first line of it."""
        state, schedule = self.session.state, self.session.schedule
        told = [line for entry in entries for line in entry_lines(entry, state, schedule)]
        if told:
            self.say(told[0])

    def _ways_out(self) -> str:
        doubted = self.session.doubted
        wrong, yes = self._named("wrong"), self._named("keep")
        if isinstance(doubted, ANSWERED_BY_NUMBER):
            return f"({self._named('commit')} keeps it, {wrong} forgets it)"
        if isinstance(doubted, intents.Done):
            return f"({self._named('next')} again or {yes}: yes; {wrong}: no)"
        return f"({yes}: yes; {wrong}: no)"

    def _named(self, name: str) -> str:
        return table.of(self.keys, name).first

    def _doubts(self, *kinds: type[intents.Intent]) -> bool:
        return bool(self.doubt) and isinstance(self.session.doubted, kinds)

    # What each key does

    def _act(self, key: str, name: str | None) -> None:
        if name is None:
            if key in NAVIGATION:
                self.say("That key gives no number. Is NumLock off?")
            return
        if self.entry.text and name not in BESIDE_A_NUMBER:
            self.say(
                f"{self.entry.text} is typed and not taken yet: {self._named('commit')} takes it,"
                f" {self._named('wrong')} clears it."
            )
        elif table.of(self.keys, name).calm:
            self._pending = name
        else:
            self._acts[name]()

    def _commit(self) -> None:
        if not self.entry.text:
            self.entry.clear()
            if self._doubts(*ANSWERED_BY_NUMBER):
                self.ask(intents.KeepIt())
            else:
                self._ok()
            return
        typed = self.entry.take()
        if self._doubts(*ANSWERED_BY_NUMBER) and typed == self._typed:
            self.ask(intents.KeepIt())
        elif self._is_way(typed):
            self.ask(intents.TakeRemedy(int(typed)))
        else:
            self._line(typed)

    def _is_way(self, typed: str) -> bool:
        """While a remedy is open, a small whole number is the number of a way."""
        offer = self.session.state.offer
        if offer is None or not offer.is_open or self.entry.prefix:
            return False
        return typed.isdigit() and 1 <= int(typed) <= len(offer.options)

    def _line(self, line: str) -> None:
        session = self.session
        meant: Understood = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, Misunderstood):
            self.say(meant.why)
        elif isinstance(meant, Command):
            self._command(meant)
        else:
            self.ask(meant)

    def _command(self, command: Command) -> None:
        same_as_key = {"why": "why", "again": "again", "steps": "steps", "log": "log", "help": "help"}
        if command.word in same_as_key:
            self._acts[same_as_key[command.word]]()
        elif command.word == "quit":
            self.leaving = True
        elif command.word == "wait":
            self._wait(command.argument)
        elif command.word == "save" and command.argument:
            self.ask(Save(command.argument))
        else:
            self.say(" ".join(telling.answer(self.session, command, self.rehearsal)))

    def _answer(self, word: str) -> pages.Page:
        return pages.page(telling.answer(self.session, Command(word), self.rehearsal))

    def _ok(self) -> None:
        session = self.session
        if any(not c.acknowledged for c in calls.calls(session.schedule, session.state, session.t())):
            self.ask(intents.Acknowledge())
        else:
            self.say(f"Nothing waits for that. {self._named('help')} shows the keys.")

    def _next(self) -> None:
        if self.session.state.phase == "idle":
            self.ask(intents.Start())
        else:
            self.ask(intents.KeepIt() if self._doubts(intents.Done) else intents.Done())

    def _skip(self) -> None:
        self.ask(intents.KeepIt() if self._doubts(intents.Skip) else intents.Skip())

    def _hold(self) -> None:
        self.ask(intents.Resume() if self.session.state.phase == "held" else intents.Hold())

    def _tick_item(self) -> None:
        value = self.entry.take() if self.entry.text else None
        self.ask(intents.TickItem(value=value))

    def _more(self) -> None:
        self.entry.clear()
        self.entry.prefix, self.entry.touched = "more", self._now
        self.say(f"How many minutes more? Type them, then {self._named('commit')}.")

    def _snooze(self) -> None:
        self._snoozing = True
        self.say("Quiet for how long? 1, 2 or 5 minutes.")

    def _snoozed(self, character: str | None) -> bool:
        self._snoozing = False
        if character is None or character not in ("1", "2", "5"):
            return False
        self.message = ""
        self.ask(intents.Snooze(int(character)))
        return True

    def _write(self, text: str) -> None:
        self.line = LineEntry(text)
        self.say("Enter takes the line, Esc leaves it.")

    def _write_on(self, line: LineEntry, key: str, character: str | None) -> None:
        if key in ENTER:
            self.line, self.message = None, ""
            if line.text.strip():
                self._line(line.text)
        elif key in ("escape", "ctrl+c", "ctrl+q"):
            self.line, self.message = None, ""
        else:
            line.key(key, character)

    def _wrong(self) -> None:
        if self.entry.text or self.entry.prefix:
            self.entry.clear()
            self.message = ""
        elif self.doubt:
            self.ask(intents.Wrong())

    def _erase(self) -> None:
        if self.entry.text or self.entry.prefix:
            self.entry.erase(self._now)
        else:
            self._wrong()

    def _recall(self) -> None:
        if self.entry.recall(self._now):
            self.message = ""
        else:
            self.say("No number was set aside.")

    def _wait(self, argument: str) -> None:
        try:
            minutes = parse(argument or "1", "time", bare="min")
        except Unreadable as unreadable:
            self.say(str(unreadable))
            return
        self._ahead(minutes)

    def _ahead(self, minutes: float) -> None:
        if self.rehearsal is None:
            self.say("Only a rehearsal can be moved ahead: on a real day the clock runs by itself.")
        elif not 0.0 < minutes <= FARTHEST_AHEAD_MINUTES:
            self.say("Between a second and a day: wait 15 min")
        else:
            self.ask(Wait(minutes))

    def _quit(self) -> None:
        if self._now - self._leave_asked <= TWICE_SECONDS:
            self.leaving = True
        self._leave_asked = self._now
        colon = self._named("word")
        self.say(
            f"{self._named('quit')} once more leaves; the day stays open for: mashday resume."
            f" To end it instead: {colon}finish, to give it up: {colon}abort"
        )

    # Pages

    def _open(self, title: str, lines: Callable[[], pages.Page]) -> None:
        self.page = pages.OpenPage(title, lines)

    def _open_log(self) -> None:
        written = pages.so_far(self.session)
        self._open("The day so far", lambda: written)

    def _close(self) -> None:
        self.page = pages.OpenPage()
        self.message = ""

    def _paged(self, key: str, name: str | None) -> bool:
        """Scrolls or leaves the page; false if the key is to act as on the board."""
        calling = any(not call.acknowledged for call in self.view().calls)
        if name in ("commit", "ok") and calling:
            return False
        if self.page.scrolled("pagedown" if name == "ok" else key):
            return True
        title = self.page.title
        self._close()
        if name is None or name in ("commit", "wrong", "erase") or table.of(self.keys, name).calm:
            return True
        self._act(key, name)
        if self.page.title == title:
            self._close()
        return True

    # What is shown

    def view(self) -> View:
        """The view of the session now; the same one within half a second in which nothing happened."""
        session = self.session
        state, moment = session.state, (self.doubt, session.not_saved, int(session.t() * VIEWS_A_SECOND))
        if self._seen is None or self._seen[0] is not state or self._seen[1] != moment:
            self._seen = state, moment, telling.view_of(session, self.rehearsal, doubt=self.doubt)
        return self._seen[2]

    def has_business(self) -> bool:
        """True if something is to be asked of the session, or a step is to begin now by itself."""
        session = self.session
        return bool(self.outbox) or bool(by_itself(session.schedule, session.state, session.t()))

    def shown(self, view: View) -> Shown:
        """All that stands on the screen."""
        return Shown(
            view=view,
            entry=f"{self.entry.prefix} {self.entry.text}".strip(),
            entry_label=self._entry_label(view),
            message=self.message,
            hints=hints(self.keys, view, rehearsed=self.rehearsal is not None),
            page_title=self.page.title,
            page=self.page.lines(),
            page_top=self.page.top,
            typing=self.line.text if self.line is not None else None,
            ascii_only=self.ascii_only,
            keys=self.keys,
        )

    def _entry_label(self, view: View) -> str:
        """What the number being typed answers."""
        if self.saving:
            return "saving..."
        if self.entry.prefix:
            return "minutes, for this step"
        if self.entry.text and self._is_way(self.entry.text):
            way = next((way for way in view.ways if way.number == int(self.entry.text)), None)
            return f"takes this way: {way.headline}" if way is not None else ""
        if view.question:
            or_way = "the number of a way, or " if view.ways and not self.entry.text else ""
            return f"{or_way}{view.question} ({view.question_unit})"
        return "a temperature, any time" if view.phase in ("running", "held") else ""
