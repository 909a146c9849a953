"""The desk: the table of what each key does, and the way of a key to it. No screen toolkit, no clock.

It keeps what only a screen needs, and an outbox of what the session is to be asked. What a key means beyond
that is told by the rooms beside it: what answers, what is typed, what is opened, what is shown.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import closing
from mashday.faces.apparatus import Apparatus
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.outside import Came, Outside, Said
from mashday.faces.tui import keys as table
from mashday.faces.tui import pages
from mashday.faces.tui.answering import Answering, calling
from mashday.faces.tui.asked import Asked
from mashday.faces.tui.before_fire import BeforeTheFire
from mashday.faces.tui.entry import KeyGuard, LineEntry
from mashday.faces.tui.footwork import IS_NUMLOCK_OFF, NAVIGATION, WENT_ON, Footwork
from mashday.faces.tui.opened import Opened
from mashday.faces.tui.paint import Shown
from mashday.faces.tui.showing import Showing
from mashday.faces.tui.to_close import ToClose
from mashday.faces.tui.typed import ENTER, Typed
from mashday.faces.tui.voice import Voice
from mashday.faces.tui.words import Words
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

QUIET_SECONDS = 0.3
TWICE_SECONDS = 3.0
AHEAD_MINUTES = 5.0
MEANT_FOR_WHAT_STOOD = frozenset({"next", "done", "skip", "undo"})
BESIDE_A_NUMBER = frozenset({"commit", "erase", "wrong", "quit", "tick"})
CLOSED_BY = {str(digit): which for digit, which in enumerate(closing.QUESTIONS, 1)}
LEAVE_WHEN_OVER = frozenset({"commit", "wrong", "quit"})


class Desk:
    """The keys of one session. `outbox` holds what the session is still to be asked, in order."""

    def __init__(
        self,
        session: Session,
        rehearsal: Rehearsal | None = None,
        *,
        keys: tuple[table.Key, ...] = table.KEYS,
        ascii_only: bool = False,
        notices: tuple[str, ...] = (),
        apparatus: Apparatus | None = None,
    ) -> None:
        self.session = session
        self.rehearsal = rehearsal
        self.outside = Outside(apparatus or Apparatus(), session, rehearsal)
        self.herald = self.outside.herald
        self.keys = keys
        self.guard = KeyGuard()
        self.outbox: deque[Asked] = deque()
        self.leaving = False
        self.over = False
        self.voice = Voice(session, self._answered_by)
        self.typed = Typed(self.voice, self._named, self._line, self.ask)
        self.entry = self.typed.entry
        self.to_close = ToClose(session, self.typed)
        self._summary = pages.OpenPage()
        self._key_before = ""
        self.saving = False
        self._pending: str | None = None
        self._leave_asked = -1e9
        self._now = 0.0
        self._pressed_at: tuple[object, ...] = ()
        self._showing = Showing(
            self.outside, self.voice, self.typed, session, rehearsal, keys=keys, ascii_only=ascii_only
        )
        self._opened = Opened(session, rehearsal, keys, self.view)
        self._words = Words(session, rehearsal, self.herald, self._opened, say=self.say, ask=self.ask)
        self._before_fire = BeforeTheFire(session, self.herald, notices, say=self.say, named=self._named)
        self._answering = Answering(
            session,
            self.voice,
            self.entry,
            view=self.view,
            say=self.say,
            ask=self.ask,
            take_live=self.take_live,
            named=self._named,
        )
        self.footwork = Footwork(self)
        self._acts: dict[str, Callable[[], None]] = {
            "commit": self._commit,
            "ok": lambda: self._answering.ok(self._now),
            "next": lambda: self._answering.next(self.guard.last, self._now),
            "done": lambda: self._answering.done(self.guard.last),
            "start": lambda: self.ask(intents.Start()),
            "undo": lambda: self.ask(intents.Undo()),
            "hold": self._answering.hold,
            "why": self._opened.why,
            "again": self._words.again,
            "terms": self._opened.terms,
            "sheet": lambda: self._command(Command("sheet")),
            "list": self._opened.checklist,
            "steps": self._opened.steps,
            "log": self._opened.so_far,
            "help": self._opened.help,
            "unknown": lambda: self.ask(intents.AnswerUnknown()),
            "leave": lambda: self.ask(intents.LeaveIt()),
            "pass": lambda: self._line("starch pass"),
            "fail": lambda: self._line("starch fail"),
            "tick": self._answering.tick_item,
            "more": lambda: self.typed.more(self._now),
            "skip": lambda: self._answering.skip(self.guard.last),
            "snooze": self._snooze,
            "mute": lambda: self.ask(intents.Mute()),
            "note": lambda: self.typed.write("note ", self._now),
            "word": lambda: self.typed.write("", self._now),
            "probe": lambda: self._came(self.outside.probe("")),
            "keep": self._keep,
            "wrong": self._wrong,
            "erase": lambda: self.typed.erase(self._now),
            "recall": lambda: self.typed.recall(self._now),
            "units": lambda: self.ask(intents.ChooseUnits()),
            "ahead": lambda: self._words.ahead(AHEAD_MINUTES),
            "quit": self._quit,
        }

    @property
    def message(self) -> str:
        """The last word said."""
        return self.voice.message

    @property
    def doubt(self) -> str:
        """What is doubted, and the ways out."""
        return self.voice.asks_sure()

    @property
    def page(self) -> pages.OpenPage:
        """The page over the board; without a title where none is open."""
        return self._opened.page

    @property
    def line(self) -> LineEntry | None:
        """The line of words being typed, if one is."""
        return self.typed.line

    def greet(self, now: float) -> None:
        """Says how the day was taken up; before the fire is lit, tries out what makes it heard."""
        self._now = now
        self.voice.greet(now)
        self._before_fire.greet(self.view())

    # What comes in

    def key(self, key: str, character: str | None, now: float) -> None:
        """Takes one key pressed at `now` seconds of the screen's own clock."""
        quiet, self._now = now - self.guard.last, now
        again, self._key_before = key == self._key_before, key
        waiting, self._pending = self._pending, None
        writes = self.typed.line is not None and key not in ENTER
        if self.footwork.key(key, character, now):
            if waiting is not None:
                self._not_taken(waiting)
            return
        if self.guard.drops(now) and not writes:
            if self.typed.line is not None:
                self.say("That Enter came too fast behind the other keys: press it once more.")
                return
            self.typed.burst(now)
            return
        if self.over and self.typed.line is not None and self.page.scrolled(key):
            return
        if self.typed.write_on(key, character):
            return
        name = table.name_of(self.keys, key, character)
        if waiting is not None and waiting == name == "quit":
            self._leave_asked = now
        elif waiting is not None:
            self._not_taken(waiting)
        if self.over:
            self._when_over(key, character, name, quiet, again=again)
            return
        if self.typed.snoozed(character, now):
            return
        if character is not None and self.entry.feed(character, now):
            self.close_page()
            return
        if self.page.title and self._paged(key, name):
            return
        self._act(key, name)

    def _when_over(
        self, key: str, character: str | None, name: str | None, quiet: float, *, again: bool
    ) -> None:
        """What a key does to what stands on the screen of a day that is over."""
        if self.doubt:
            if name in ("commit", "keep") and quiet >= QUIET_SECONDS:
                self._keep()
            elif name in ("wrong", "erase"):
                self._wrong()
        elif self.page is not self._summary:
            if not self.page.scrolled("pagedown" if name == "ok" else key):
                self._see_whether_over()
        elif self.to_close.asked() is not None:
            self.voice.message = ""
            if not self.to_close.key(key, character, name, quiet, again=again):
                self._paged(key, name)
        elif not self._writes_a_closing_line(character):
            self._paged(key, name)

    def _not_taken(self, name: str) -> None:
        self.say(f"Not taken: {table.of(self.keys, name).label}. Press it alone.")

    def _sees(self, name: str) -> tuple[object, ...]:
        """What a key that waits for quiet is for; what is taken back is the last entry of all."""
        return (self.session.state.seq,) if name == "undo" else self._answering.sees()

    def _still_meant(self, name: str) -> bool:
        """False, with a word, if the day went on between a key and the quiet after it."""
        if self._sees(name) == self._pressed_at:
            return True
        self.say(WENT_ON)
        return False

    def paste(self, text: str, now: float) -> None:
        """Takes pasted text: into the line being written, else as the number being typed."""
        self._now = now
        if self.over and self.typed.line is None:
            self.to_close.paste(text)
            return
        self.typed.paste(text, now)

    def tick(self, now: float) -> None:
        """Lets what waited for quiet happen, and sets a number aside that stood too long."""
        self._now = now
        if self._pending is not None and now - self.guard.last >= QUIET_SECONDS:
            name, self._pending = self._pending, None
            if name not in MEANT_FOR_WHAT_STOOD or self._still_meant(name):
                self._acts[name]()
        self.footwork.tick(now)
        self._answering.tick(now)
        self.typed.tick(now)
        self._answering.meant_otherwise(self.typed.set_aside_at)
        if self.voice.doubts_too_long(now) and not self.outbox:
            self._answering.meant_otherwise(now)
            self.ask(intents.Wrong())

    def look_outside(self) -> None:
        """Takes what came in beside the keys: lines by the door, and what the probe says."""
        typed = self.entry.text or self.entry.prefix or self.line
        pressed = self._pending or self.footwork.waits
        busy = bool(typed or pressed or self.outbox or self.saving)
        sending = bool(self.outbox or self.saving)
        for came in self.outside.look(busy=busy, doubting=bool(self.doubt), sending=sending):
            self._came(came)

    def _came(self, came: Came) -> None:
        if isinstance(came, Said):
            self.say(came.text)
        else:
            self.ask(came)

    # What comes of it

    def say(self, text: str) -> None:
        """Shows this as the last word said."""
        self.voice.say(text, self._now)

    def ask(self, asked: Asked) -> None:
        """Puts something the session is to be asked in the outbox."""
        self.outbox.append(asked)

    def told(self, intent: intents.Intent, outcome: Outcome) -> None:
        """Takes in what came of an intent."""
        self.voice.told(intent, outcome, self._now)
        closes = any(isinstance(entry.fact, f.DayEnded | f.ClosingLine) for entry in outcome.entries)
        if closes and self.to_close.asked() is not None:
            self.voice.message = ""
        if outcome.refused is not None and self.herald is not None:
            self.herald.say(outcome.refused)
        self._say_why_no_copy()
        self._see_whether_over()
        self.footwork.told()

    def heard(self, entries: tuple[f.Entry, ...]) -> None:
        """Takes in what happened by itself."""
        self.voice.heard(entries, self._now)
        self._say_why_no_copy()
        if entries or not self.over:
            self._see_whether_over()

    def _say_why_no_copy(self) -> None:
        why = cleaned(self.session.why_no_copy())
        if why:
            self.say(f"{self.message} {why}".strip())

    def _see_whether_over(self) -> None:
        """When the day has ended, its summary stands on the screen until it is left, with what is added."""
        if self.session.state.is_over:
            self.over = True
            self._opened.summary()
            self.page.top = self._summary.top
            self._summary = self.page

    def _writes_a_closing_line(self, character: str | None) -> bool:
        """Opens a line for one of the three questions, its question above it; false for any other key."""
        which = CLOSED_BY.get(character or "")
        if which is None or self.session.view_only:
            return False
        written = self.session.state.closing_line(which)
        self.typed.write(f"{closing.WORD_OF[which]} {written}", self._now)
        self.say(f"{closing.QUESTIONS[which]} {self.message}")
        return True

    def _answered_by(self, name: str) -> str:
        """The key that answers a doubt."""
        return self._named(table.keeper(self.keys) if name == "commit" else name)

    def _named(self, name: str) -> str:
        return table.of(self.keys, name).first

    # What each key does

    def _act(self, key: str, name: str | None) -> None:
        if name is None:
            if key in NAVIGATION:
                self.footwork.navigated(self._now)
                self.say(IS_NUMLOCK_OFF)
            return
        if self.entry.text and name == "undo":
            self.typed.wrong()
        elif self.entry.text and name not in BESIDE_A_NUMBER and not self._answering.takes(name):
            self.say(
                f"{self.entry.text} is typed and not taken yet: {self._named('commit')} takes it,"
                f" {self._named('wrong')} clears it."
            )
        elif table.of(self.keys, name).calm:
            self._pending, self._pressed_at = name, self._sees(name)
        else:
            self._acts[name]()

    def _commit(self) -> None:
        if line := self._answering.enter(self._now):
            self._line(line)

    def take_live(self) -> bool:
        """Takes what the probe shows, where that is asked for and no fire calls; false if it took nothing."""
        probing = self.outside.probing
        fire = any(call.is_fire_on for call in self.view().calls)
        if probing is None or fire or not probing.prefilled():
            return False
        self._came(self.outside.probe(""))
        return True

    def _line(self, line: str) -> None:
        session = self.session
        closes = self.to_close.questions
        if closes.left_out(line, session.state):
            return
        if (answer := closes.answered(line, session.schedule, session.state, session.t())) is not None:
            self.ask(answer)
            return
        meant: Understood = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, Misunderstood):
            self.say(meant.why)
        elif isinstance(meant, Command):
            self._command(meant)
        elif meant == intents.Acknowledge() and self._answering.word_ok(self.typed.line_since, self._now):
            return
        elif not self._heard(meant):
            self.ask(meant)

    def _command(self, command: Command) -> None:
        if command.word == "probe":
            self._came(self.outside.probe(command.argument))
        elif command.word == "quit":
            self.leaving = True
        else:
            if command.word == "sheet":
                self._before_fire.on_paper()
            self._words.take(command)

    def _snooze(self) -> None:
        if calling(self.session):
            self.typed.snooze(self._now)
        else:
            self.say("Nothing calls just now.")

    def _quit(self) -> None:
        if self._now - self._leave_asked <= TWICE_SECONDS:
            self.leaving = True
        self._leave_asked = self._now
        colon = self._named("word")
        if self.session.not_saved is not None:
            self.say(
                f"{self._named('quit')} once more leaves. The day is NOT SAVED: it is then kept in another"
                f" folder, or now with {colon}save"
            )
            return
        self.say(
            f"{self._named('quit')} once more leaves; the day stays open for: mashday resume."
            f" To end it instead: {colon}finish, to give it up: {colon}abort"
        )

    def _keep(self) -> None:
        if not self._heard(intents.KeepIt()):
            self.ask(intents.KeepIt())

    def _wrong(self) -> None:
        if not self._heard(intents.Wrong()):
            self.typed.wrong()

    def _heard(self, said: intents.Intent) -> bool:
        """Takes a yes or a no for what was said to the listener, or for the question whether the signal was
        heard; false if it is for another."""
        free = not self.doubt and not self.entry.text
        came = self.outside.by_hand(said) if free else None
        if came is not None:
            self._came(came)
            return True
        return free and self._before_fire.takes(said, self.view())

    def answer_heard(self, *, yes: bool) -> None:
        """Takes the answer to the question whether the signal was heard."""
        self._before_fire.answer_heard(yes=yes)

    def asks_whether_heard(self, view: View) -> bool:
        """True while it is asked whether the signal was heard."""
        return self._before_fire.asks_whether_heard(view)

    # Pages

    def close_page(self) -> None:
        """Closes the page over the board."""
        self._opened.close()
        self.voice.message = ""

    def _paged(self, key: str, name: str | None) -> bool:
        """Scrolls or leaves the page; false if the key is to act as on the board."""
        if self.over:
            self.leaving = (
                not self.page.scrolled("pagedown" if name == "ok" else key) and name in LEAVE_WHEN_OVER
            )
            return True
        if name in ("commit", "ok") and calling(self.session):
            return False
        if self.page.scrolled("pagedown" if name == "ok" else key):
            return True
        title = self.page.title
        self.close_page()
        if name is None or name in ("commit", "wrong", "erase") or table.of(self.keys, name).calm:
            return True
        self._act(key, name)
        if self.page.title == title:
            self.close_page()
        return True

    # What is shown

    def view(self) -> View:
        """The view of the session now."""
        return self._showing.view()

    def has_business(self) -> bool:
        """True if something is to be asked of the session, or a step is to begin now by itself."""
        return bool(self.outbox) or self.session.has_news

    def shown(self, view: View) -> Shown:
        """All that stands on the screen."""
        return self._showing.shown(
            view,
            self.page,
            over=self.over,
            asked=self.to_close.asked() if self.page is self._summary and not self.doubt else None,
            saving=self.saving,
            notices=self._before_fire.notices(view),
            pedal=self.footwork.hints(view),
        )

    def not_shown(self) -> None:
        """Takes in that the terminal shows nothing new: what is not said aloud either, nobody knows of."""
        if self.herald is None or not self.herald.says_aloud:
            self._answering.not_shown()
            self.footwork.not_shown()
