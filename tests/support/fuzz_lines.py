"""Rubbish in the lines: whatever is typed, piped or heard by the door, at any moment of a day."""

from __future__ import annotations

import io
from collections import deque
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_forged import RECORDED, recorded
from fuzz_texts import ESCAPES, NUMBERS, UNITS, hostile_text, quantity
from stand_ins import Hung, Voice

from mashday.channels.player import notification
from mashday.channels.probe import Shown as ProbeShown
from mashday.channels.tones import Urgency
from mashday.engine import intents
from mashday.engine.decide import decide
from mashday.engine.decision import Doubt, Refused
from mashday.engine.fold import replay
from mashday.engine.state import State
from mashday.faces import plain
from mashday.faces.apparatus import Apparatus
from mashday.faces.heard import STOPS, heard, read_back
from mashday.faces.herald import Herald
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.probing import Probing
from mashday.faces.said_numbers import spoken_digits
from mashday.faces.vocabulary import ALIASES, WORDS
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.session.clock import VirtualClock
from mashday.session.read_back import entry_of
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session
from mashday.text import cleaned

SAID_NUMBERS = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "nineteen", "twenty", "thirty", "fifty", "sixty", "ninety", "hundred", "thousand", "half"),
    *(
        "quarter",
        "quarters",
        "point",
        "comma",
        "oh",
        "a",
        "and",
        "minus",
        "nought",
        "zero",
        "degrees",
        "celsius",
    ),
    *("fahrenheit", "litres", "gallons", "kilos", "pounds", "minutes", "hours", "percent", "plato", "brix"),
    *("of", "at", "off", "is", "it"),
)
FOLDERS = ("kept", "kept/deeper", "./kept", " ", "~", "kept\x1b[2J", "k" * 400, "schedule.toml/under")
"""Where a person may have a file written: what is typed after save or sheet is theirs to say."""
EARLY_SECONDS = 9000.0
WRITE_FILES = ("save", "sheet")


# Moments of days


@dataclass(frozen=True, slots=True)
class Stood:
    """A day as it stood: its schedule, header, state, and how many seconds ago its last entry was."""

    schedule: Schedule
    header: dict[str, object]
    state: State
    waited: float

    def session(self) -> tuple[Session, VirtualClock]:
        """It taken up in memory."""
        clock = VirtualClock()
        session = Session(self.schedule, clock, header=dict(self.header), entries=self.state.log)
        clock.advance(self.waited)
        return session, clock


MOMENTS = 7
"""Of each recorded day so many are taken."""


def moment(number: int, *, early: bool = False) -> Stood:
    """One moment of one recorded day; an early one is reached by a simulated pot soon."""
    return _moment(number % (len(RECORDED) * MOMENTS), early)


@cache
def _moment(number: int, early: bool) -> Stood:
    day, place = divmod(number, MOMENTS)
    one = recorded(RECORDED[day])
    log = tuple(entry_of(entry) for entry in one.tables)
    if early:
        log = tuple(entry for entry in log if entry.t <= EARLY_SECONDS)
    ends = [i for i in range(1, len(log)) if log[i].act != log[i - 1].act] or [1]
    end = ends[min(len(ends) - 1, len(ends) * (2 * place + 1) // (2 * MOMENTS))]
    waited = (0.0, 1.0, 90.0, 400.0, 4000.0)[number % (3 if early else 5)]
    return Stood(load(str(one.header["schedule"])), one.header, replay(log[:end]), waited)


# Lines


def line(chance: Random) -> str:
    """A line such as a person, a script, a cat or a microphone makes."""
    match chance.randint(0, 9):
        case 0 | 1 | 2:
            word, *rest = chance.choice(list(WORDS.values())).written.split()
            if word in WRITE_FILES:
                return f"{word} {chance.choice(FOLDERS)}"
            told = [
                chance.choice((one, quantity(chance), _in_words(chance), hostile_text(chance)))
                for one in rest
            ]
            return " ".join((word, *told))
        case 3:
            first = chance.choice([word for word in (*WORDS, *ALIASES) if word not in WRITE_FILES])
            rest = chance.choice((quantity(chance), _in_words(chance), hostile_text(chance, halves=True)))
            return f"{first} {rest}"
        case 4:
            return quantity(chance)
        case 5:
            return _in_words(chance)
        case 6:
            return " ".join(chance.choice(NUMBERS[:24]) for _ in range(chance.randint(1, 6)))
        case 7:
            word = chance.choice([word for word in (*WORDS, *ALIASES) if word not in WRITE_FILES])
            place = chance.randint(0, len(word))
            return word[:place] + chance.choice((*ESCAPES, "", "e", " ")) + word[place:].upper()
        case 8:
            return chance.choice(("", " ", "\t", "\x00" * 50, "9" * 20000, "done " * 3000, "e\u0301" * 500))
        case _:
            return hostile_text(chance, halves=True)


def _in_words(chance: Random) -> str:
    words = [chance.choice(SAID_NUMBERS) for _ in range(chance.randint(1, 7))]
    if chance.random() < 0.3:
        words.append(chance.choice(UNITS))
    return chance.choice((" ", " ", "-")).join(words)


def some_lines(chance: Random) -> tuple[int, tuple[str, ...]]:
    """A moment of a day and lines said into it."""
    return chance.randrange(10**6), tuple(line(chance) for _ in range(3))


def met_lines(found: tuple[int, tuple[str, ...]], folder: Path) -> Outcome:
    """Each line as it is typed, and as it is heard by the door; what it means is decided."""
    number, lines = found
    stood = moment(number)
    schedule, state, t = stood.schedule, stood.state, stood.state.t + stood.waited
    meant = 0
    for one in lines:
        typed = understood(one, schedule, state, t)
        meant += _told(typed, schedule, state, t)
        by_door = heard(one, schedule, state, t)
        _told(by_door, schedule, state, t)
        assert not isinstance(by_door, intents.KeepIt) or cleaned(one).rstrip(STOPS).lower() == "keep it"
        shown(read_back(one, by_door), read_back(one, typed), spoken_digits(one))
    return "understood" if meant else "misunderstood"


def _told(meant: Understood, schedule: Schedule, state: State, t: float) -> bool:
    """Whether a line was understood; what comes of it is told in words."""
    if isinstance(meant, Misunderstood):
        assert meant.why.strip() and len(meant.why) < 1000
        shown(meant.why)
        return False
    if isinstance(meant, Command):
        shown(meant.argument)
        return True
    if not isinstance(meant, intents.KeepIt | intents.Wrong):
        decision = decide(schedule, state, meant, t)
        if isinstance(decision, Refused | Doubt):
            assert decision.why.strip()
            shown(decision.why)
    return True


# The line face


class Lines:
    """Stands in for a door: lines that came, and a trouble."""

    def __init__(self, lines: list[str]) -> None:
        self._lines = deque(lines)
        self._troubles = ["the program ended"]

    def lines(self) -> list[str]:
        return [self._lines.popleft()] if self._lines else []

    def trouble(self) -> str | None:
        return self._troubles.pop() if self._troubles else None

    def close(self) -> None: ...


class Called:
    """Keeps what a person's own command would be told."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def call(self, urgency: Urgency, text: str, late_seconds: float = 0.0) -> None:
        self.texts.append(text)

    def trouble(self) -> str | None:
        return None

    def stop(self) -> None: ...


def script(chance: Random) -> tuple[int, tuple[str, ...], bool]:
    """A moment of a day, a script of lines, and whether every third comes by the door."""
    lines = []
    for _ in range(10):
        lines.append(
            chance.choice((line(chance), line(chance), "done", "unknown", "keep it", "ok", "wait 9 min"))
        )
        if lines[-1].startswith("wait ") and lines[-1].endswith("h"):
            lines[-1] = "wait 1 h"
    return chance.randrange(10**6), tuple(lines), chance.random() < 0.4


def met_script(found: tuple[int, tuple[str, ...], bool], folder: Path) -> Outcome:
    """A rehearsed day gone on with in lines: piped in, or typed beside a door, a voice and a probe."""
    number, lines, by_door = found
    session, _ = moment(number, early=True).session()
    rehearsal = Rehearsal(session)
    out = io.StringIO()
    before = session.state.seq
    if not by_door:
        typed = "".join(f"{one.replace(chr(10), ' ')}\n" for one in lines)
        assert plain.run(session, stdin=io.StringIO(typed), stdout=out, rehearsal=rehearsal, notices=()) == 0
    else:
        _beside_a_door(session, rehearsal, lines, out)
    shown(out.getvalue())
    session.close()
    return "went on" if session.state.seq > before else "stood still"


def _beside_a_door(session: Session, rehearsal: Rehearsal, lines: tuple[str, ...], out: io.StringIO) -> None:
    voice, called, notified = Voice(), Called(), list[str]()
    herald = Herald(None, voice, called, notified.append)
    probe = Probing(Hung(ProbeShown(61.2, 2.0, True, 0.0)), session, hands_free=True)
    apparatus = Apparatus(herald, Lines(list(lines[::3])), probe)  # type: ignore[arg-type]
    face = plain.PlainFace(session, out, rehearsal, ("Mind the step.",), apparatus)
    face.greet()
    for one in lines:
        face.take(one)
        face.news()
        if face.over:
            break
    shown(*voice.lines, *called.texts)
    for text in notified:
        said = notification(text)
        assert said.startswith("\x1b]9;") and said.endswith("\x1b\\")
        shown(said.removeprefix("\x1b]9;").removesuffix("\x1b\\"))


AREAS = (
    Area("lines", some_lines, met_lines, frozenset({"understood"}), 0.4),
    Area("line face", script, met_script, frozenset({"went on"}), 0.4),
)
