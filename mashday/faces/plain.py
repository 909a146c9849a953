"""The line face: everything the screen says as plain lines, everything typed as words.

On a real day it looks every quarter second what is due while it waits for a line. In a rehearsal the clock
stands still until `wait` moves it, so that a whole day can be written as a script.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator
from typing import TextIO

from mashday.engine import calls
from mashday.engine import facts as f
from mashday.engine.intents import Intent
from mashday.faces import cautions, telling
from mashday.faces.entries import entry_lines
from mashday.faces.lines import Command, Misunderstood, understood
from mashday.faces.moment import Moment
from mashday.faces.tell import call_line
from mashday.quantities import Unreadable, parse
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.text import cleaned

TICK_SECONDS = 0.25
FIRST_REPEAT_SECONDS, NEXT_REPEAT_SECONDS = 60.0, 120.0
LONGEST_WAIT_MINUTES = 24.0 * 60.0
BELL = "\a"


def run(session: Session, *, stdin: TextIO, stdout: TextIO, rehearsal: Rehearsal | None = None) -> int:
    """Runs the day in lines until it ends, is left, or the input ends; returns the exit code."""
    face = PlainFace(session, stdout, rehearsal)
    try:
        face.run(stdin)
    except BrokenPipeError:
        return 0
    return 0


class PlainFace:
    """One session told in lines."""

    def __init__(self, session: Session, stdout: TextIO, rehearsal: Rehearsal | None = None) -> None:
        self.session = session
        self.rehearsal = rehearsal
        self.leaving = False
        self._out = stdout
        self._rung: dict[str, tuple[float, int]] = {}
        self._told = 0
        self._instruction = ""
        self._asked = ""

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
        """True once the day has ended or is left."""
        return self.leaving or self.session.state.phase in ("complete", "aborted")

    def _lines(self, stdin: TextIO) -> Iterator[str | None]:
        """The lines of the input; on a real day also None every quarter second without one."""
        if self.rehearsal is not None:
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
            if line is None:
                return
            yield line

    def say(self, *said: str) -> None:
        """Prints lines and lets them out at once."""
        for line in said:
            self._out.write(f"{line}\n")
        self._out.flush()

    def greet(self) -> None:
        """The first lines: what day it is, where it stands, what to do."""
        session = self.session
        self.say(cleaned(session.schedule.name, 60))
        if session.schedule.notes:
            self.say(cleaned(session.schedule.notes))
        if session.torn is not None:
            self.say(f"The last entry was not finished: {cleaned(session.torn, 200)}", "Enter it again.")
        for entry in session.state.log[-1:]:
            self.say(*entry_lines(entry, session.state, session.schedule))
        if session.state.phase == "idle":
            self.say("Say 'start' to begin, 'help' for the words.")
        self._told = session.state.seq
        self.news()

    def take(self, line: str) -> None:
        """Carries out one line."""
        session = self.session
        meant = understood(line, session.schedule, session.state, session.t())
        if isinstance(meant, Misunderstood):
            self.say(meant.why)
        elif isinstance(meant, Command):
            self._command(meant)
        else:
            self._send(meant)

    def _send(self, intent: Intent) -> None:
        outcome = self.session.send(intent)
        if outcome.refused is not None:
            self.say(cleaned(outcome.refused))
        elif outcome.doubt is not None:
            self.say(cleaned(outcome.doubt), "Say 'keep it' or 'wrong'.")
        elif not outcome.entries:
            self.say("Forgotten.")
        self._tell(outcome)

    def _tell(self, outcome: Outcome) -> None:
        session = self.session
        for entry in outcome.entries:
            self.say(*entry_lines(entry, session.state, session.schedule))
            if isinstance(entry.fact, f.StepBegun):
                self._step(entry.fact.step)

    def _step(self, number: int) -> None:
        step = self.session.schedule.step(number)
        for caution in cautions.cautions(self.session.schedule, number):
            self.say(f"       Caution: {caution}")
        for place, item in enumerate(step.checklist, 1):
            self.say(f"       [ ] {place}  {cleaned(item)}")

    def _command(self, command: Command) -> None:
        if command.word == "quit":
            self.leaving = True
        elif command.word == "wait":
            self._wait(command.argument)
        else:
            self.say(*telling.answer(self.session, command, self.rehearsal))

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
            self.news()
            if self.over:
                return

    def news(self) -> None:
        """Lets time do its part, then tells what is new: calls, the instruction, the question."""
        self._tell(self.session.tick())
        self._ring()
        shown = telling.view_of(self.session)
        if shown.not_saved and shown.question != self._asked:
            self.say(f"NOT SAVED: {cleaned(shown.not_saved)} Say: save FOLDER")
        if shown.instruction != self._instruction and shown.phase == "running":
            self._instruction = shown.instruction
            self.say(f"NOW    {shown.instruction}.")
        asked = f"{shown.question}|{shown.question_due == 'due now'}|{len(self.session.state.readings)}"
        if shown.question and asked != self._asked and not shown.question_due.startswith("in "):
            self.say(f"ASKED  {shown.question} ({shown.question_unit})")
            self.say(*telling.hints(self.session, self.rehearsal))
        self._asked = asked

    def _ring(self) -> None:
        """Tells each call when it is due, and again while nobody answers it."""
        session = self.session
        t = session.t()
        now = Moment(session.schedule, session.state, t, session.at)
        for call in calls.calls(session.schedule, session.state, t):
            if not call.rings:
                continue
            last, times = self._rung.get(call.key, (None, 0))
            pause = FIRST_REPEAT_SECONDS if times == 1 else NEXT_REPEAT_SECONDS
            if last is not None and t - last < pause:
                continue
            self._rung[call.key] = (t, times + 1)
            bell = BELL if self._out.isatty() else ""
            self.say(f"{bell}CALL   {call_line(now, call).text}.")


def _read_into(stdin: TextIO, waiting: queue.Queue[str | None]) -> None:
    """Reads lines until the input ends; a byte that is no text ends nothing."""
    try:
        for line in stdin:
            waiting.put(line)
    except (ValueError, OSError):
        pass
    waiting.put(None)
