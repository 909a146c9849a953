"""What comes in beside the keys: lines by the door, what is said to a listener, what the probe says. The same
for both faces.

A face looks here at every tick and carries out what it finds, in order.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decide import decide
from mashday.engine.decision import Refused
from mashday.faces import fire_told, telling
from mashday.faces.apparatus import Apparatus
from mashday.faces.heard import bare, heard, read_back, unlikely
from mashday.faces.herald import Herald
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.listening import USE_THE_KEYS, Listening
from mashday.faces.view import View
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import NOTHING_WAITS, Session
from mashday.text import cleaned

FOR_THE_KEYS = frozenset({"quit", "wait", "save", "sheet"})
"""Words that a line by the door does not carry out: they leave the day, move its clock or write files."""
SAID_TWICE_SECONDS = 60.0
"""An unlikely value that is said a second time within this is doubted like a typed one. Judgement."""
SAY_IT_AGAIN = "Not taken. Say it again."
MOST_ASKED_AGAIN = 2
"""So often in a row it is said: what comes then may be the loudspeaker answering itself. Judgement."""
LONGEST_SHOWN = 60
"""Characters shown of a line that does not count."""
ENDS_THE_DAY = "That ends the day"
MOST_LINES = 20
"""Lines that wait their turn; the oldest make room."""


@dataclass(frozen=True, slots=True)
class Said:
    """Something to show as the last word; it has been said aloud already."""

    text: str


Came = Said | intents.Intent
"""What came in: something to show, or something to ask the session."""


class Outside:
    """The door and the probe of a day; `herald` says what comes of them.

    It says how a doubt is answered in words where a door is, or the face is `in_words` anyway.
    """

    def __init__(
        self,
        apparatus: Apparatus,
        session: Session,
        rehearsal: Rehearsal | None,
        *,
        in_words: bool = False,
    ) -> None:
        self.herald: Herald | None = apparatus.herald
        self.probing = apparatus.probing
        self.listening = apparatus.listening
        self._door = apparatus.door
        if self.herald is not None:
            self.herald.by_voice = in_words or self._door is not None or self.listening is not None
        self._session = session
        self._rehearsal = rehearsal
        self._not_taken = False
        self._asked_again = 0
        self._refused: tuple[tuple[str | int, float] | None, float] = (None, 0.0)
        self._lines: deque[str] = deque(maxlen=MOST_LINES)

    def look(self, *, busy: bool, doubting: bool = False, sending: bool = False) -> tuple[Came, ...]:
        """What came since the last look, one line of the door at a time: each is meant for what came of the
        one before, so that none is understood while something is `sending`.

        No reading is taken by itself while the person enters something (`busy`) or is asked whether they are
        sure (`doubting`), or in the same moment.
        """
        found = self._by_the_door(sending=sending)
        entered = sending or any(isinstance(came, intents.Intent) for came in found)
        if not entered:
            found += self._by_the_ear(busy=busy)
            entered = any(isinstance(came, intents.Intent) for came in found)
        return (*found, *self._by_the_probe(busy=busy or doubting or entered))

    def seen(self, view: View) -> View:
        """The view as it is while the probe reads by itself, with what the microphone does."""
        if self.listening is not None:
            view = replace(view, microphone=self.listening.microphone)
        return view if self.probing is None else self.probing.seen(view)

    def probe(self, argument: str) -> Came:
        """The word probe: takes what it shows; off and on: whether anything is taken by itself."""
        probing = self.probing
        if probing is None:
            return Said("No probe is read: --probe names one, or [probe] in the schedule.")
        if argument.lower() in ("on", "off"):
            probing.hands_free = argument.lower() == "on"
            itself = "by itself, once it was announced" if probing.hands_free else "only when you say so"
            return Said(f"What the probe shows is taken {itself}.")
        if argument:
            return Said("Say probe to take what it shows, probe off or probe on to say who takes it.")
        return probing.reading() or Said(f"Nothing to take. The probe: {probing.line()}.")

    def by_hand(self, meant: Understood) -> Came | None:
        """What becomes of a yes or a no that is typed while something that was said waits to be kept; None
        where nothing waits, or something typed is doubted."""
        if self.listening is None or self._session.doubted is not None:
            return None
        if not isinstance(meant, intents.KeepIt | intents.Wrong):
            return None
        settled = self.listening.settles("keep it" if isinstance(meant, intents.KeepIt) else "wrong")
        if settled is None:
            return None
        return self._aloud(settled[1]) if settled[0] is None else settled[0]

    def _by_the_probe(self, *, busy: bool) -> list[Came]:
        if self.probing is None:
            return []
        told = self.probing.look(busy=busy)
        found: list[Came] = [self._aloud(line, urgent=True) for line in told.lines]
        return found if told.reading is None else [*found, told.reading]

    def _by_the_door(self, *, sending: bool) -> list[Came]:
        if self._door is None:
            return []
        found: list[Came] = []
        while (trouble := self._door.trouble()) is not None:
            found.append(self._aloud(f"Lines from outside: {trouble}."))
        lines = self._door.lines()
        if self.herald is not None and self.herald.speaking():
            found += [self._not_heard(line) for line in lines]
        else:
            self._say_it_again(came=bool(lines))
            lost = len(self._lines) + len(lines) - MOST_LINES
            if lost > 0:
                found.append(self._aloud(f"Lines lost from outside: {lost}; no more than {MOST_LINES} wait."))
            self._lines += lines
        if self._lines and not sending:
            found += self._heard(self._lines.popleft())
        return found

    def _by_the_ear(self, *, busy: bool) -> list[Came]:
        """What was said to the listener: words do what they say, a value waits until it is kept."""
        listening = self.listening
        if listening is None:
            return []
        found: list[Came] = [self._aloud(words) for words in listening.troubles()]
        heard, lines = listening.look(busy=busy)
        found += [self._aloud(line) for line in lines]
        for one in heard:
            settled = listening.settles(one.line)
            if settled is None:
                found += self._heard(one.line, spoken=one.raw, listening=listening)
            elif settled[0] is not None:
                found.append(settled[0])
            else:
                found.append(self._aloud(settled[1]))
        return found

    def _not_heard(self, line: str) -> Said:
        """A line that came while the loudspeaker was heard: that it does not count is shown each time."""
        shown = cleaned(line, LONGEST_SHOWN)
        if self.herald is not None and self.herald.is_echo(line):
            return Said(f"Not taken, for it may be the loudspeaker: {shown}")
        self._not_taken = True
        return Said(f"Not taken while something is said aloud: {shown}. Say it again.")

    def _say_it_again(self, *, came: bool) -> None:
        """Once it is quiet, asks for what did not count, unless it `came` again by itself."""
        if came:
            self._asked_again = 0
        elif self._not_taken and self._asked_again < MOST_ASKED_AGAIN:
            self._asked_again += 1
            self._aloud(SAY_IT_AGAIN)
        self._not_taken = False

    def _heard(self, line: str, *, spoken: str = "", listening: Listening | None = None) -> list[Came]:
        """What comes of a line from outside; one by a `listening` ear was `spoken` as it wrote it down."""
        session = self._session
        answer = bare(line).lower()
        if self.herald is not None and self.herald.asks_whether_heard and answer in ("yes", "no"):
            return [Said(self.herald.answer_heard(answer == "yes"))]
        meant = heard(line, session.schedule, session.state, session.t())
        if listening is not None and not listening.is_answer and self._refused_as(meant) is not None:
            return []
        if isinstance(meant, Misunderstood):
            again = self._said_twice(line)
            if again is None:
                return self._rejected(meant.why, listening)
            meant = again
        if isinstance(meant, intents.TakeReading | intents.Correct | intents.AddWater):
            self._refused = (None, 0.0)
        if self._ends_the_day(meant):
            if listening is not None and isinstance(meant, intents.Done):
                return [self._aloud(listening.waits(meant, ENDS_THE_DAY))]
            keeps = meant == intents.KeepIt() and isinstance(session.doubted, intents.Done)
            if listening is not None and keeps:
                return [intents.KeepIt()]
            return [self._aloud("Ending the day is for the keys: a line from outside does not do that.")]
        if isinstance(meant, Command):
            came = self._command(meant)
            if listening is None or not came or not isinstance(came[0], intents.Intent):
                return came
            meant = came[0]
        if meant == intents.Acknowledge() and fire_told.ringing(self._session) is not None:
            return [self._aloud("Say heat off, once it is off.", urgent=True)]
        if listening is not None:
            why = self._refused_as(meant)
            if why is not None:
                return self._rejected(why, listening)
            weighed = listening.weighed(meant, line, spoken)
            if isinstance(weighed, str):
                return [self._aloud(weighed)]
            meant = weighed
        if self.herald is not None and not (listening is not None and meant == intents.KeepIt()):
            self.herald.say(read_back(line, meant))
        return [meant]

    def _rejected(self, why: str, listening: Listening | None) -> list[Came]:
        """Says why a line is none; after too many of a `listening` ear that the keys are there."""
        given_up = listening is not None and listening.rejected() == USE_THE_KEYS
        return [self._aloud(why), *([self._aloud(USE_THE_KEYS)] if given_up else [])]

    def _refused_as(self, meant: Understood) -> str | None:
        """Why the day would not take this now, or what was not understood of it; None if it would."""
        if isinstance(meant, Misunderstood):
            return meant.why
        if isinstance(meant, Command):
            return None
        if isinstance(meant, intents.KeepIt | intents.Wrong):
            return None if self._session.doubted is not None else NOTHING_WAITS
        found = decide(self._session.schedule, self._session.state, meant, self._session.t())
        return found.why if isinstance(found, Refused) else None

    def _ends_the_day(self, meant: Understood) -> bool:
        """True for what ends the day or would, once it is confirmed; in the last step going on does."""
        session = self._session
        doubted = session.doubted if meant == intents.KeepIt() else meant
        if isinstance(doubted, intents.Done | intents.Skip):
            found = decide(session.schedule, session.state, replace(doubted, sure=True), session.t())
            return isinstance(found, tuple) and any(isinstance(fact, f.DayEnded) for fact in found)
        return isinstance(doubted, intents.Finish | intents.Abort)

    def _said_twice(self, line: str) -> intents.Intent | None:
        """The reading of a line that was refused as unlikely, when it is said again soon; else None.

        However it is written: it is the same where it is the same value of the same thing.
        """
        session = self._session
        meant = understood(bare(line), session.schedule, session.state, session.t())
        if isinstance(meant, intents.AddWater):
            said: tuple[str | int, float] = ("added water", round(meant.litres, 6))
        elif isinstance(meant, intents.TakeReading | intents.Correct):
            of = meant.quantity if isinstance(meant, intents.TakeReading) else meant.of
            said = (of, round(meant.metric, 6))
        else:
            return None
        (before, since), t = self._refused, session.t()
        if said == before and t - since <= SAID_TWICE_SECONDS:
            return meant
        self._refused = (said, t)
        return None

    def _command(self, command: Command) -> list[Came]:
        if command.word in FOR_THE_KEYS:
            return [self._aloud(f"{command.word} is for the keys: a line from outside does not do that.")]
        if command.word == "heard":
            return [Said(telling.heard(self.herald, command.argument))]
        if command.word == "probe":
            came = self.probe(command.argument)
            why = came.text if isinstance(came, Said) else self._unlikely(came)
            return [came] if why is None else [self._aloud(why)]
        lines = telling.answer(self._session, command, self._rehearsal)
        if self.herald is not None:
            self.herald.tell(lines)
        return [Said(line) for line in lines]

    def _unlikely(self, meant: intents.Intent) -> str | None:
        session = self._session
        return unlikely(meant, session.schedule, session.state, session.t())

    def _aloud(self, text: str, *, urgent: bool = False) -> Said:
        if self.herald is not None:
            self.herald.say(text, urgent)
        return Said(text)
