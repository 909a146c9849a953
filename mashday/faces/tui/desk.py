"""The desk: what each key means at this moment. No screen toolkit, no clock of its own.

It turns keys into what the session is asked, and keeps what only a screen needs: the number being typed, the
line being written, the page that is open, the last word said.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from mashday.engine import asks, calls, intents
from mashday.engine import facts as f
from mashday.engine.decide import by_itself
from mashday.engine.moves import item_asked, unticked
from mashday.faces import telling
from mashday.faces.apparatus import Apparatus
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.outside import Came, Outside, Said
from mashday.faces.tui import keys as table
from mashday.faces.tui import pages
from mashday.faces.tui.asked import Asked, Save, Wait
from mashday.faces.tui.entry import KeyGuard, LineEntry
from mashday.faces.tui.footwork import IS_NUMLOCK_OFF, NAVIGATION, WENT_ON, Footwork
from mashday.faces.tui.keyline import hints
from mashday.faces.tui.paint import Shown
from mashday.faces.tui.showing import (
    Sight,
    calling,
    entry_label,
    is_way,
    probed,
    standing,
)
from mashday.faces.tui.typed import ENTER, Typed
from mashday.faces.tui.voice import ANSWERED_BY_NUMBER, GOING_ON, Voice
from mashday.faces.view import View
from mashday.quantities import Unreadable, parse
from mashday.schedule.model import SetUp
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session

QUIET_SECONDS = 0.3
TWICE_SECONDS = 3.0
AHEAD_MINUTES = 5.0
FARTHEST_AHEAD_MINUTES = 24.0 * 60.0
MEANT_SECONDS = 2.0
"""Enter so soon after a number was taken, set aside or forgotten was meant for that, not for the heat."""
SEEN_SECONDS = 1.0
"""A key that comes sooner behind a call was on its way before it. Judgement."""
MOVES_ON = frozenset({"next", "done", "skip"})
BESIDE_A_NUMBER = frozenset({"commit", "erase", "wrong", "quit", "tick"})
LEAVE_WHEN_OVER = frozenset({"commit", "wrong", "quit", "next"})
SAME_AS_KEY = {
    "why": "why",
    "again": "again",
    "steps": "steps",
    "log": "log",
    "help": "help",
    "explain": "terms",
}
"""Words that open the page of a key, when nothing stands behind them."""


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
        self.ascii_only = ascii_only
        sheet = table.of(keys, "sheet").first
        self._paper = f"The day on paper, in case the screen fails: {sheet} writes it to a file"
        self.notices = (*notices, self._paper)
        self.guard = KeyGuard()
        self.outbox: deque[Asked] = deque()
        self.leaving = False
        self.over = False
        self.voice = Voice(session, self._answering)
        self.typed = Typed(self.voice, self._named, self._line, self.ask)
        self.entry = self.typed.entry
        self.page = pages.OpenPage()
        self.saving = False
        self._pending: str | None = None
        self._leave_asked = -1e9
        self._now = 0.0
        self._sight = Sight(session, rehearsal)
        self._pressed_at: tuple[object, ...] = ()
        self._meant_otherwise = -1e9
        self._fire = ("", -1e9)
        self.footwork = Footwork(self)
        self._acts: dict[str, Callable[[], None]] = {
            "commit": self._commit,
            "ok": self._ok,
            "next": self._next,
            "done": self._done,
            "start": lambda: self.ask(intents.Start()),
            "undo": lambda: self.ask(intents.Undo()),
            "hold": self._hold,
            "why": lambda: self._open("Why", lambda: self._answer("why")),
            "again": self._again,
            "terms": lambda: self._open("Words of the trade", lambda: pages.terms(self.view())),
            "sheet": lambda: self._command(Command("sheet")),
            "list": lambda: self._open("Checklist", lambda: pages.whole_list(self.view())),
            "steps": lambda: self._open("Steps", lambda: self._answer("steps")),
            "log": self._open_log,
            "help": lambda: self._open("Keys", lambda: pages.keys_and_words(keys, self.view())),
            "unknown": lambda: self.ask(intents.AnswerUnknown()),
            "leave": lambda: self.ask(intents.LeaveIt()),
            "pass": lambda: self._line("starch pass"),
            "fail": lambda: self._line("starch fail"),
            "tick": self._tick_item,
            "more": lambda: self.typed.more(self._now),
            "skip": self._skip,
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
            "ahead": lambda: self._ahead(AHEAD_MINUTES),
            "quit": self._quit,
        }

    @property
    def message(self) -> str:
        """The last word said."""
        return self.voice.message

    @property
    def doubt(self) -> str:
        """What is doubted, and the ways out."""
        return self.voice.doubt

    @property
    def line(self) -> LineEntry | None:
        """The line of words being typed, if one is."""
        return self.typed.line

    def greet(self, now: float) -> None:
        """Says how the day was taken up; before the fire is lit, tries out what makes it heard."""
        self._now = now
        self.voice.greet(now)
        if self.herald is not None and self._before_the_fire(self.view()):
            self.herald.try_out()

    # What comes in

    def key(self, key: str, character: str | None, now: float) -> None:
        """Takes one key pressed at `now` seconds of the screen's own clock."""
        self._now = now
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
        if self.typed.write_on(key, character):
            return
        name = table.name_of(self.keys, key, character)
        if waiting is not None and waiting == name == "quit":
            self._leave_asked = now
        elif waiting is not None:
            self._not_taken(waiting)
        if self.over:
            self._paged(key, name)
            return
        if self.typed.snoozed(character, now):
            return
        if character is not None and self.entry.feed(character, now):
            self.close_page()
            return
        if self.page.title and self._paged(key, name):
            return
        self._act(key, name)

    def _not_taken(self, name: str) -> None:
        self.say(f"Not taken: {table.of(self.keys, name).label}. Press it alone.")

    def _still_meant(self) -> bool:
        """False, with a word, if the day went on between a key and the quiet after it."""
        if self._sees() == self._pressed_at:
            return True
        self.say(WENT_ON)
        return False

    def paste(self, text: str, now: float) -> None:
        """Takes pasted text: into the line being written, else as the number being typed."""
        self._now = now
        self.typed.paste(text, now)

    def tick(self, now: float) -> None:
        """Lets what waited for quiet happen, and sets a number aside that stood too long."""
        self._now = now
        if self._pending is not None and now - self.guard.last >= QUIET_SECONDS:
            name, self._pending = self._pending, None
            if name not in MOVES_ON or self._still_meant():
                self._acts[name]()
        self.footwork.tick(now)
        fire = next((call.key for call in self.view().calls if call.is_fire_on), "")
        if fire != self._fire[0]:
            self._fire = (fire, now)
        self.typed.tick(now)
        self._meant_otherwise = max(self._meant_otherwise, self.typed.set_aside_at)
        if self.voice.doubts_too_long(now) and not self.outbox:
            self._meant_otherwise = now
            self.ask(intents.Wrong())

    def look_outside(self) -> None:
        """Takes what came in beside the keys: lines by the door, and what the probe says."""
        busy = bool(
            self.entry.text or self.entry.prefix or self.line or self.doubt or self.outbox or self.saving
        )
        for came in self.outside.look(busy=busy):
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
        if outcome.refused is not None and self.herald is not None:
            self.herald.say(outcome.refused)
        self._see_whether_over()
        self.footwork.told(self._now)

    def heard(self, entries: tuple[f.Entry, ...]) -> None:
        """Takes in what happened by itself."""
        self.voice.heard(entries, self._now)
        self._see_whether_over()

    def _see_whether_over(self) -> None:
        """When the day has ended, its summary stands on the screen until it is left."""
        if self.session.state.phase in ("complete", "aborted") and not self.over:
            self.over = True
            written = pages.summary(self.session)
            self._open("The day is over", lambda: written)

    def _answering(self, name: str) -> str:
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
        elif self.entry.text and name not in BESIDE_A_NUMBER and not self._ticks(name):
            self.say(
                f"{self.entry.text} is typed and not taken yet: {self._named('commit')} takes it,"
                f" {self._named('wrong')} clears it."
            )
        elif table.of(self.keys, name).calm:
            self._pending, self._pressed_at = name, self._sees()
        else:
            self._acts[name]()

    def _ticks(self, name: str) -> bool:
        """True if this key answers the next item with what is typed: one that asks for it."""
        session = self.session
        asked = asks.question(session.schedule, session.state, session.t())
        return name == "next" and asked is None and item_asked(session.schedule, session.state) is not None

    def _commit(self) -> None:
        if not self.entry.text:
            self.entry.clear()
            if self.voice.doubts(*ANSWERED_BY_NUMBER):
                self.ask(intents.KeepIt())
            elif not self.take_live():
                self._ok()
            return
        typed, self._meant_otherwise = self.entry.take(), self._now
        if self.voice.doubts(*ANSWERED_BY_NUMBER) and typed == self.voice.typed:
            self.ask(intents.KeepIt())
        elif is_way(self.entry, self.session.state, typed):
            self.ask(intents.TakeRemedy(int(typed)))
        else:
            self._line(typed)

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
        meant: Understood = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, Misunderstood):
            self.say(meant.why)
        elif isinstance(meant, Command):
            self._command(meant)
        elif not self._heard(meant):
            self.ask(meant)

    def _command(self, command: Command) -> None:
        if command.word in SAME_AS_KEY and not command.argument:
            self._acts[SAME_AS_KEY[command.word]]()
        elif command.word == "why":
            self._open("Why", lambda: pages.page(telling.answer(self.session, command, self.rehearsal)))
        elif command.word == "trouble":
            self._open("If it goes wrong", lambda: self._answer("trouble"))
        elif command.word == "heard":
            self.say(telling.heard(self.herald, command.argument))
        elif command.word == "probe":
            self._came(self.outside.probe(command.argument))
        elif command.word == "quit":
            self.leaving = True
        elif command.word == "wait":
            self._wait(command.argument)
        elif command.word == "sheet":
            self.notices = tuple(notice for notice in self.notices if notice != self._paper)
            self.say(" ".join(telling.answer(self.session, command, self.rehearsal)))
        elif command.word == "save" and command.argument:
            self.ask(Save(command.argument))
        else:
            self.say(" ".join(telling.answer(self.session, command, self.rehearsal)))

    def _answer(self, word: str) -> pages.Page:
        return pages.page(telling.answer(self.session, Command(word), self.rehearsal))

    def _ok(self) -> None:
        """Acknowledges what calls just now; heat off alone, and by no key meant for another thing."""
        session = self.session
        found = calls.calls(session.schedule, session.state, session.t())
        open_calls = [call for call in found if not call.acknowledged]
        standing = [call for call in open_calls if call.rings] or open_calls
        fire = next((call for call in standing if call.way == "fire"), None)
        if not standing:
            self.say(f"Nothing waits for that. {self._named('help')} shows the keys.")
        elif fire is not None and self._meant_for_another(fire):
            self.say("Is the heat off? Then press it once more.")
            self._meant_otherwise, self._fire = -1e9, (fire.key, -1e9)
        else:
            for call in standing if fire is None else [fire]:
                self.ask(intents.Acknowledge(call.key))

    def _meant_for_another(self, fire: calls.Call) -> bool:
        """True for a key that was on its way when this fire began to call, or that follows another entry."""
        key, since = self._fire
        stood = self._now - since if key == fire.key else fire.late_seconds
        just_now = stood < SEEN_SECONDS
        return just_now or self._now - self._meant_otherwise < MEANT_SECONDS

    def _snooze(self) -> None:
        if calling(self.session):
            self.typed.snooze(self._now)
        else:
            self.say("Nothing calls just now.")

    def _next(self) -> None:
        """The next item of the list, else the next step; a second time what was doubted of it."""
        session = self.session
        if self.voice.doubts(*GOING_ON) and not self.entry.text:
            self.ask(intents.KeepIt())
        elif part := next(iter(self._parts()), None):
            self.ask(intents.Acknowledge(part))
        elif session.state.phase == "running" and unticked(session.schedule, session.state):
            self._tick_item()
        else:
            self._done()

    def _parts(self) -> list[str]:
        """The parts of a remedy that call for a hand."""
        return [call.key for call in self.view().calls if call.way and call.rings]

    def _sees(self) -> tuple[object, ...]:
        """What a press that waits for quiet was meant for: the step, and what is to be done in it."""
        return (self.session.state.phase, self.session.state.step, *self._parts())

    def _done(self) -> None:
        if self.session.state.phase == "idle":
            self.ask(intents.Start())
        else:
            self.ask(intents.KeepIt() if self.voice.doubts(intents.Done) else intents.Done())

    def _skip(self) -> None:
        self.ask(intents.KeepIt() if self.voice.doubts(intents.Skip) else intents.Skip())

    def _hold(self) -> None:
        self.ask(intents.Resume() if self.session.state.phase == "held" else intents.Hold())

    def _tick_item(self) -> None:
        value = self.entry.take() if self.entry.text else None
        self.ask(intents.TickItem(value=value))

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

    def _keep(self) -> None:
        if not self._heard(intents.KeepIt()):
            self.ask(intents.KeepIt())

    def _wrong(self) -> None:
        if not self._heard(intents.Wrong()):
            self.typed.wrong()

    def _heard(self, said: intents.Intent) -> bool:
        """Takes a yes or a no for the question whether the signal was heard; false if it is for another."""
        if not isinstance(said, intents.KeepIt | intents.Wrong) or self.doubt or self.entry.text:
            return False
        if self.herald is None or not self.asks_whether_heard(self.view()):
            return False
        self.answer_heard(yes=isinstance(said, intents.KeepIt))
        return True

    def answer_heard(self, *, yes: bool) -> None:
        """Takes the answer to the question whether the signal was heard."""
        if self.herald is not None:
            self.say(self.herald.answer_heard(yes))

    def asks_whether_heard(self, view: View) -> bool:
        """True while it is asked whether the signal was heard."""
        return self._before_the_fire(view) and self.herald is not None and self.herald.asks_whether_heard

    # Pages

    def _again(self) -> None:
        self._open("This step", lambda: pages.this_step(self.view()))
        if self.herald is not None:
            self.herald.again()

    def _open(self, title: str, lines: Callable[[], pages.Page]) -> None:
        self.page = pages.OpenPage(title, lines)

    def _open_log(self) -> None:
        written = pages.so_far(self.session)
        self._open("The day so far", lambda: written)

    def close_page(self) -> None:
        """Closes the page over the board."""
        self.page = pages.OpenPage()
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
        return self.outside.seen(self._sight.view(self.doubt))

    def has_business(self) -> bool:
        """True if something is to be asked of the session, or a step is to begin now by itself."""
        session = self.session
        return bool(self.outbox) or bool(by_itself(session.schedule, session.state, session.t()))

    def shown(self, view: View) -> Shown:
        """All that stands on the screen."""
        probe, prefill, live = probed(self.outside.probing)
        label = entry_label(self.session, view, self.entry)
        if prefill and not self.entry.text:
            label = f"{self._named('commit')} takes what the probe shows: {probe}"
        return Shown(
            view=view,
            entry=f"{self.entry.prefix} {self.entry.text}".strip(),
            entry_label="saving..." if self.saving else label,
            probe=probe,
            prefill=prefill,
            live=live,
            message=self.message,
            hints=hints(
                self.keys,
                view,
                rehearsed=self.rehearsal is not None,
                standing="line"
                if self.typed.line is not None
                else standing(self.session.doubted if self.doubt else None, self.entry),
                pedal=self.footwork.hints(view),
            ),
            notices=self._notices(view),
            rehearsed=self.rehearsal is not None,
            page_title=self.page.title,
            page=self.page.lines(),
            page_top=self.page.top,
            page_foot=pages.FOOT_WHEN_OVER if self.over else pages.FOOT,
            typing=self.typed.line.text if self.typed.line is not None else None,
            ascii_only=self.ascii_only,
            keys=self.keys,
        )

    @property
    def pedal_says(self) -> str:
        """What a press of the pedal would do, as a sentence to be said; "" where there is no pedal."""
        return self.footwork.says(self.view())

    def say_pedal(self, view: View) -> None:
        """Says aloud what a press of the pedal would do, when that is something else than before."""
        self.footwork.aloud(view)

    def pedal_label(self, view: View) -> str:
        """What a press of the pedal does now, "" where that is nothing or no pedal was named."""
        return self.footwork.label(view)

    def _notices(self, view: View) -> tuple[str, ...]:
        """What to see to before the fire is lit; nothing once the set-up is done."""
        if not self._before_the_fire(view):
            return ()
        if self.herald is None or not self.asks_whether_heard(view):
            return self.notices
        yes, no = self._named("keep"), self._named("wrong")
        return (f"{self.herald.question} {yes}: yes, {no}: no", *self.notices)

    def _before_the_fire(self, view: View) -> bool:
        first = self.session.schedule.step(1)
        return view.phase == "idle" or (view.step_number == 1 and isinstance(first, SetUp))
