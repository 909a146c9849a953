"""The line face: everything the screen says as plain lines, everything typed as words.

On a real day it looks every quarter second what is due, while it waits for a line or for the disk. In a
rehearsal the clock stands still until `wait` moves it, so that a whole day can be written as a script.
"""

from __future__ import annotations

import math
import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from typing import TextIO, TypeVar

from mashday.engine import asks, calls
from mashday.engine import facts as f
from mashday.engine.decision import units_of
from mashday.engine.intents import Acknowledge, Intent, KeepIt, WriteClosingLine, Wrong
from mashday.engine.moves import unticked
from mashday.faces import fire_told, insistence, telling
from mashday.faces.apparatus import Apparatus
from mashday.faces.closing import OPENING, QUESTIONS, ClosingQuestions
from mashday.faces.entries import entry_lines
from mashday.faces.lines import Command, Misunderstood, understood
from mashday.faces.moment import Moment, title
from mashday.faces.outside import Came, Outside, Said
from mashday.faces.tell import call_line
from mashday.faces.view import MICROPHONE_WORDS, Microphone, View
from mashday.quantities import Unreadable, parse
from mashday.schedule import cautions
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

TICK_SECONDS = 0.25
LONGEST_WAIT_MINUTES = 24.0 * 60.0
BELL = "\a"
CALLED = {"soon": "SOON   ", "now": "CALL   ", "danger": "DANGER "}
Result = TypeVar("Result")


def run(
    session: Session,
    *,
    stdin: TextIO,
    stdout: TextIO,
    rehearsal: Rehearsal | None = None,
    notices: tuple[str, ...] = (),
    apparatus: Apparatus | None = None,
) -> int:
    """Runs the day in lines until it ends and its last questions are asked, is left, or the input ends;
    returns the exit code.

    `notices` is what to see to before the day begins; whoever set the `apparatus` up closes it.
    """
    face = PlainFace(session, stdout, rehearsal, notices, apparatus)
    try:
        face.run(stdin)
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        if not session.state.is_over:
            raise
    return 0


class PlainFace:
    """One session told in lines."""

    def __init__(
        self,
        session: Session,
        stdout: TextIO,
        rehearsal: Rehearsal | None = None,
        notices: tuple[str, ...] = (),
        apparatus: Apparatus | None = None,
    ) -> None:
        self.session = session
        self.rehearsal = rehearsal
        self.leaving = False
        self._outside = Outside(apparatus or Apparatus(), session, rehearsal, in_words=True)
        self._herald = self._outside.herald
        self._looks_outside = apparatus is not None and (
            apparatus.door is not None or apparatus.listening is not None
        )
        if self._herald is not None and rehearsal is not None:
            self._herald.patience_seconds = 0.0
        self._doubt = ""
        self._notices = notices
        self._out = stdout
        self._rung: dict[str, tuple[float, float]] = {}
        self._instruction = ""
        self._asked = ""
        self._unwarned = True
        self._unheard = True
        self._why_a_look = ""
        self._closing = ClosingQuestions()
        self._closing_asked = ""
        self._closing_again = False
        self._input_ended = False
        self._microphone: Microphone = ""
        self._typed = False

    def run(self, stdin: TextIO) -> None:
        """Greets, then takes line after line."""
        self.greet()
        for line in self._lines(stdin):
            if line is not None:
                self.take(line)
            self.news()
            if self.over:
                return

    @property
    def over(self) -> bool:
        """True once the day is left, or has ended and nothing more is asked."""
        if self.leaving or not self.session.state.is_over:
            return self.leaving
        nobody = self._input_ended or bool(self.session.view_only)
        return nobody or self._closing.asked(self.session.state) is None

    def _lines(self, stdin: TextIO) -> Iterator[str | None]:
        """The lines of the input; None every quarter second without one on a real day, or beside a door."""
        if self.rehearsal is not None and not self._looks_outside:
            yield from stdin
            return
        waiting: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=_read_into, args=(stdin, waiting), daemon=True).start()
        while True:
            try:
                line = waiting.get(timeout=TICK_SECONDS)
            except queue.Empty:
                yield None
                continue
            self._input_ended = self._input_ended or line is None
            if line is None and not self._looks_outside:
                return
            yield line

    def say(self, *said: str) -> None:
        """Prints lines and lets them out at once."""
        self._unwarned = self._unwarned or bool(said)
        for line in said:
            self._out.write(f"{line}\n")
        self._out.flush()

    def greet(self) -> None:
        """The first lines: what day it is, where it stands, what to do."""
        session = self.session
        self.say(cleaned(session.schedule.name, 60))
        if session.schedule.notes:
            self.say(cleaned(session.schedule.notes))
        self._say_why_a_look()
        if session.torn is not None:
            self.say(telling.torn_said(session))
        self.say(*(f"       {notice}" for notice in self._notices))
        if session.state.phase == "idle" and session.view_only:
            self.say("The day has not begun yet. 'help' lists the words.")
        elif session.state.phase == "idle":
            self._try_out()
            self.say("       'sheet' writes the day to a file to print, in case this screen fails.")
            self.say("Say 'start' to begin, 'help' for the words.")
        elif any(isinstance(entry.fact, f.Opened) for entry in session.state.log[1:]):
            self._taken_up()
        else:
            self._tell(Outcome(entries=session.state.log))
            self.say("'help' lists the words.")
        self.news()

    def _say_why_a_look(self) -> None:
        """Why it is only a look, whenever that is another reason."""
        why = telling.why_a_look(self.session)
        if why and why != self._why_a_look:
            self.say(f"ONLY A LOOK: {cleaned(why)}")
        self._why_a_look = why

    def _taken_up(self) -> None:
        """After an interruption: the last thing done, how long it was, and where the day stands."""
        state, schedule = self.session.state, self.session.schedule
        told = [(entry, entry_lines(entry, state, schedule)) for entry in state.log]
        done = [lines for entry, lines in told if lines and not isinstance(entry.fact, f.Opened)]
        for lines in done[-1:]:
            self.say("The last thing done:", *lines)
        if told and isinstance(told[-1][0].fact, f.Opened):
            self.say(*told[-1][1])
        if state.step:
            name = cleaned(title(schedule, state.step), 60)
            self.say(f"Step {state.step} of {len(schedule.steps)}, {name}. 'help' lists the words.")
            self._items(state.step)

    def take(self, line: str) -> None:
        """Carries out one line."""
        self._typed = True
        session = self.session
        if session.doubted is None and self._closing.left_out(line, session.state):
            return
        closes = self._closing.answered(line, session.schedule, session.state, session.t())
        if closes is not None:
            self._send(closes)
            return
        meant = understood(line, session.schedule, session.state, session.t())
        self._closing_again = not isinstance(meant, WriteClosingLine)
        if isinstance(meant, Misunderstood):
            self.say(meant.why)
        elif isinstance(meant, Command):
            self._command(meant)
        elif meant == Acknowledge() and self._is_fire_unseen():
            self.say("Is the heat off? Then say: heat off")
        elif (came := self._outside.by_hand(meant)) is not None:
            self._came(came)
        elif not self._heard(meant):
            self._send(meant)

    def _is_fire_unseen(self) -> bool:
        """True if a fire rings that was not told yet or, where the clock runs, only just now."""
        fire = fire_told.ringing(self.session)
        if fire is None:
            return False
        told = self._rung.get(fire.key)
        seen_seconds = fire_told.SEEN_SECONDS if self.rehearsal is None else 0.0
        return told is None or self.session.t() - told[0] < seen_seconds

    def _send(self, intent: Intent) -> None:
        passed_over = self.session.doubted is not None and not isinstance(intent, KeepIt | Wrong)
        outcome = self._beside(partial(self.session.send, intent))
        if outcome.refused is not None:
            self.say(cleaned(outcome.refused))
            if self._herald is not None:
                self._herald.say(outcome.refused)
        elif outcome.doubt is not None:
            self._doubt = cleaned(outcome.doubt)
            self.say(self._doubt, "Say 'keep it' for yes, or 'wrong' for no.")
        elif not outcome.entries:
            self.say("Forgotten.")
        self._tell(outcome)
        if passed_over and outcome.doubt is None:
            self.say("What was doubted is not kept.")

    def _tell(self, outcome: Outcome) -> None:
        session = self.session
        self._unheard = self._unheard or bool(outcome.entries)
        if self._herald is not None:
            self._herald.read_back(outcome.entries)
        for entry in outcome.entries:
            self.say(*entry_lines(entry, session.state, session.schedule))
            if isinstance(entry.fact, f.StepBegun):
                self._step(entry.fact.step)
        line = telling.carried_through(session, outcome)
        if line:
            self.say(f"       {line}.")

    def _step(self, number: int) -> None:
        schedule = self.session.schedule
        for caution in cautions.cautions(schedule, number, units_of(schedule, self.session.state)):
            self.say(f"       Caution: {caution}")
        self._items(number)

    def _items(self, number: int) -> None:
        """The items of the checklist that are still open."""
        left = set(unticked(self.session.schedule, self.session.state))
        for place, item in enumerate(self.session.schedule.step(number).checklist, 1):
            if place in left:
                self.say(f"       [ ] {place}  {cleaned(item)}")

    def _command(self, command: Command) -> None:
        if command.word == "quit":
            self.leaving = True
        elif command.word == "wait":
            self._wait(command.argument)
        elif command.word == "heard":
            self.say(telling.heard(self._herald, command.argument))
        elif command.word == "probe":
            self._came(self._outside.probe(command.argument))
        else:
            lines = self._beside(partial(telling.answer, self.session, command, self.rehearsal))
            if command.word == "again" and self._herald is not None:
                self._herald.tell(lines, urgent=True)
            self.say(*lines)

    def _wait(self, text: str) -> None:
        if self.rehearsal is None:
            self.say("Waiting is for rehearsals: on a real day the clock runs by itself.")
            return
        try:
            minutes = parse(text or "1", "time", bare="min")
        except Unreadable as unreadable:
            self.say(str(unreadable))
            return
        if not 0.0 < minutes <= LONGEST_WAIT_MINUTES:
            self.say("Wait between a second and a day: wait 15 min")
            return
        for outcome in self.rehearsal.wait(minutes):
            self._tell(outcome)
            came = self._look_outside()
            rang = self._ring()
            if rang or came or outcome.entries:
                self.news(rang)
            if self.leaving or self.session.state.is_over:
                return

    def news(self, rang: bool = False) -> None:
        """Lets time do its part, then tells what is new: calls, the instruction, the question.

        `rang` is true when a call was told just before.
        """
        if self.session.has_news:
            self._tell(self._beside(self.session.tick))
        self.say(*filter(None, (cleaned(self.session.why_no_copy()),)))
        self._look_outside()
        rang = self._ring() or rang
        shown = self._view()
        self._say_why_a_look()
        self._instruct(shown)
        self._ask(shown, rang)
        if shown.not_saved and self._unwarned:
            self.say(f"NOT SAVED: {cleaned(shown.not_saved)} Say: save")
            self._unwarned = False
        self._make_heard(shown)
        self._ask_to_close()

    def _ask_to_close(self) -> None:
        """Once the day is over, asks the three last questions, each once, and again behind another line."""
        which = self._closing.asked(self.session.state)
        if which is None or self.over or self.session.doubted is not None:
            return
        if self._closing_asked == which and not self._closing_again:
            return
        if not self._closing_asked:
            self.say(OPENING)
        self.say(f"ASKED  {QUESTIONS[which]}")
        self._closing_asked, self._closing_again = which, False

    def _view(self) -> View:
        doubt = self._doubt if self.session.doubted is not None else ""
        return self._outside.seen(telling.view_of(self.session, doubt=doubt))

    def _beside(self, job: Callable[[], Result]) -> Result:
        """Runs a job of the disk; on a real day what is due is called while a slow one takes its time."""
        if self.rehearsal is not None:
            return job()
        done = threading.Event()
        meanwhile = threading.Thread(target=self._ring_until, args=(done,), daemon=True)
        meanwhile.start()
        try:
            return job()
        finally:
            done.set()
            meanwhile.join()

    def _ring_until(self, done: threading.Event) -> None:
        """A stream that is closed is told by what is said next."""
        with suppress(OSError, ValueError):
            while not done.wait(TICK_SECONDS):
                self._ring()
                self._make_heard(self._view())

    def _look_outside(self) -> bool:
        """Carries out what came in beside the input; true if anything did."""
        busy, self._typed = self._typed, False
        found = self._outside.look(busy=busy, doubting=self.session.doubted is not None)
        for came in found:
            self._came(came)
        self._tell_microphone()
        return bool(found)

    def _tell_microphone(self) -> None:
        """Tells what the microphone does whenever that changes."""
        listening = self._outside.listening
        if listening is not None and listening.microphone != self._microphone:
            self._microphone = listening.microphone
            self.say(f"MIC    {MICROPHONE_WORDS[self._microphone].removeprefix('mic ').lower()}")

    def _came(self, came: Came) -> None:
        if isinstance(came, Said):
            self.say(came.text)
        else:
            self._send(came)

    def _try_out(self) -> None:
        """Before the day begins: is anything heard at all?"""
        if self._herald is not None:
            self._herald.try_out()
            if self._herald.question:
                self.say(f"{self._herald.question} Say: heard yes, or: heard no")

    def _heard(self, said: Intent) -> bool:
        """Takes a yes or a no for the question whether the signal was heard; false if it is for another."""
        if not isinstance(said, KeepIt | Wrong) or self.session.doubted is not None:
            return False
        if self._herald is None or not self._herald.asks_whether_heard:
            return False
        self.say(self._herald.answer_heard(isinstance(said, KeepIt)))
        return True

    def _make_heard(self, shown: View) -> None:
        if self._herald is not None:
            self._herald.heed(shown, self.session.t())
            self.say(*self._herald.troubles())

    def _instruct(self, shown: View) -> None:
        """Tells the instruction when it is another one, or has other numbers because something happened.

        Numbers that only time has changed are not worth a line.
        """
        changed = shown.instruction != self._instruction
        if not self._unheard:
            changed = _without_numbers(shown.instruction) != _without_numbers(self._instruction)
        if changed and shown.phase == "running":
            self.say(f"NOW    {shown.instruction.removesuffix('.')}.")
            self._instruction = shown.instruction
        self._unheard = False

    def _ask(self, shown: View, rang: bool) -> None:
        """Asks what is due: once, and again with every call that is repeated."""
        session = self.session
        due = asks.due(session.schedule, session.state, session.t())
        key = due[0].key if due and shown.question and shown.phase == "running" else ""
        if key and (rang or key != self._asked):
            self.say(f"ASKED  {shown.question} ({shown.question_unit})")
            self.say(*self._hints())
        self._asked = key

    def _hints(self) -> tuple[str, ...]:
        """What the probe or the simulated instruments show for what is asked."""
        probing = self._outside.probing
        if probing is not None and probing.prefilled():
            return (f"The probe shows {probing.line()}: say probe to take it.",)
        return telling.hints(self.session, self.rehearsal)

    def _ring(self) -> bool:
        """Tells each call when it is due, and again while nobody answers it; true if one was told."""
        session = self.session
        state, t = session.state, session.t()
        now = Moment(session.schedule, state, t, session.at)
        rang = False
        for call in calls.calls(session.schedule, state, t):
            if not call.rings:
                self._rung.pop(call.key, None)
                continue
            first, last = self._rung.get(call.key, (t, -math.inf))
            pause = insistence.WORDS_FOR_STROKES * insistence.pause_seconds(call.urgency, t - first)
            if t - last < pause:
                continue
            self._rung[call.key] = (first, t)
            rings = self._out.isatty() and not session.view_only
            bell = BELL * insistence.strokes(call.urgency, t - first) if rings else ""
            self.say(f"{bell}{CALLED[call.urgency]}{call_line(now, call).text}.")
            rang = True
        return rang


def _without_numbers(text: str) -> str:
    return "".join(character for character in text if not character.isdigit())


def _read_into(stdin: TextIO, waiting: queue.Queue[str | None]) -> None:
    """Reads lines until the input ends; a byte that is no text ends nothing."""
    try:
        for line in stdin:
            waiting.put(line)
    except (ValueError, OSError):
        pass
    waiting.put(None)
