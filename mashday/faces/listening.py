"""A listener beside the day: when the microphone opens, what of its answers counts, and what is said back.

The day's own word opens it: after something was said aloud that can be answered, once it is quiet. Silence
writes nothing. A value is said back digit by digit, and only "keep it" lets it count.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from mashday.channels.listener_lines import Ask, Asked, Told
from mashday.engine import asks, calls, intents
from mashday.engine import facts as f
from mashday.engine.decide import decide
from mashday.engine.decision import Doubt
from mashday.engine.moves import item_asked, unticked
from mashday.engine.state import State
from mashday.faces.heard import read_back, value_said
from mashday.faces.herald import Herald
from mashday.faces.questions import sentence
from mashday.faces.said_numbers import KIND_OF, with_raw
from mashday.faces.view import Microphone
from mashday.session.session import Session
from mashday.text import cleaned

PATIENCE_SECONDS = 8.0
"""So long the microphone waits for a voice. Judgement."""
AGAIN_SECONDS = (15.0, 40.0, 90.0, 180.0)
"""After how long without an answer the question is said again: first, second, third time, and from then on.
Judgement."""
MOST_HEARD_SECONDS = PATIENCE_SECONDS + 8.0
"""Longer than anybody is waited for and listened to; the words that wait are said then."""
LATEST_SECONDS = 45.0
"""An answer so long after the microphone was opened is none: the program stood still. Judgement."""
MOST_REJECTED = 3
"""So many answers in a row that were none: the keys are named, and the question rests."""
UNKEPT_SECONDS = 60.0
"""A value that was said longer ago is none of now. Judgement."""
MOST_UNKEPT = 3
"""So often a value that was said back is asked after before it is forgotten."""
LONGEST_RAW = 80
SAY_AGAIN = "Not understood. Say it again."
SAY_KEEP_IT = "Not understood. Say keep it, or wrong."
USE_THE_KEYS = "Not understood three times. Use the keys for this one."
KEEP_IT = "Keep it, or wrong?"
NOT_KEPT = "Nobody said keep it: forgotten. It is asked again; the keys always work."
LAPSED = "What was heard and not kept is forgotten. Say or enter it again, if it is to count."
FORGOTTEN = "Forgotten. Say it again."
TAKE_ONE = "Say take one, or another number, or leave it. Say again tells all the ways."
AT_ONCE = (
    *(intents.Start, intents.Done, intents.Hold, intents.Resume, intents.TickItem),
    *(intents.Acknowledge, intents.Snooze, intents.Mute, intents.KeepIt, intents.Wrong),
)
"""What is done as soon as it was heard, where the day asks: it is said back, and writes no value."""


class Ear(Protocol):
    """A listener, such as `mashday.channels.listener.Listener`."""

    def start(self) -> None: ...

    def close(self) -> None: ...

    @property
    def state(self) -> Literal["starting", "shut", "open", "gone"]: ...

    @property
    def is_asked(self) -> bool: ...

    def ask(self, asked: Ask) -> bool: ...

    def shut(self) -> None: ...

    def told(self) -> list[Told]: ...

    def trouble(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class Wanted:
    """What could be answered now, known by `key` and listened for as `kind`; `again` asks it once more.

    While a step runs that asks nothing, the person may still ask (`asks` is False): what is no word of the
    day is let pass then.
    """

    key: tuple[object, ...]
    kind: Asked
    again: str
    asks: bool = True


@dataclass(frozen=True, slots=True)
class Heard:
    """A whole answer: the line of the line mode, and what was said for it."""

    line: str
    raw: str


@dataclass(frozen=True, slots=True)
class _Unkept:
    """What waits for "keep it": the moment of the day it was said for, and when, in real seconds."""

    intent: intents.Intent
    said: str
    moment: tuple[object, ...]
    since: float


class Listening:
    """A listener and the day it answers for; `elapsed` counts real seconds, also beside a fast clock.

    Where nothing can be said aloud nothing is listened to, but in a rehearsal (`silent`).
    """

    def __init__(
        self,
        ear: Ear,
        session: Session,
        herald: Herald,
        elapsed: Callable[[], float],
        *,
        silent: bool = False,
    ) -> None:
        self._ear = ear
        self._session = session
        self._herald = herald
        self._elapsed = elapsed
        self._silent = silent
        self._unkept: _Unkept | None = None
        self._asked: Wanted | None = None
        self._resting: tuple[object, ...] | None = None
        self._rejected = 0
        self._unanswered = 0
        self._spoken = True
        self._spoils = False
        self._lost: int | None = None
        self._ended = self._opened = elapsed()
        herald.listens = self._hears

    def start(self) -> None:
        """Begins. Never waits, never raises."""
        self._ear.start()

    def close(self) -> None:
        """Ends the listener, and the microphone with it."""
        self._ear.close()

    @property
    def microphone(self) -> Microphone:
        """What the microphone does now."""
        return self._ear.state

    def troubles(self) -> list[str]:
        """What is wrong with the listener, in sentences, each once."""
        found = []
        while (trouble := self._ear.trouble()) is not None:
            found.append(trouble)
        return found

    def look(self, *, busy: bool) -> tuple[list[Heard], list[str]]:
        """Whole answers that came, and lines to say; opens the microphone when its moment has come.

        An answer counts only for what it was asked for: not once anything else was entered or asked, nor
        where something was said aloud or the person entered something (`busy`) meanwhile.
        """
        speaking = self._herald.speaking()
        if (speaking or busy) and self._ear.is_asked:
            self._spoils = True
            self._ear.shut()
        heard: list[Heard] = []
        lines: list[str] = []
        for told in self._ear.told():
            self._ended = self._elapsed()
            self._spoils = self._spoils or speaking or busy
            stands = not self._spoils and self._still_wanted()
            if told.word == "silence":
                lines += self._silence()
            elif stands and told.word == "heard":
                heard.append(Heard(told.line, cleaned(told.raw, LONGEST_RAW)))
            elif stands and told.word == "unclear" and self._asked is not None and self._asked.asks:
                lines.append(self.rejected())
        if speaking:
            self._spoken = True
        elif not (heard or lines or busy or self._ear.is_asked) and self._herald.is_done:
            lines += self._open()
        return heard, lines

    def settles(self, line: str) -> tuple[intents.Intent | None, str] | None:
        """What becomes of what waits to be kept, and what to say; None where nothing waits."""
        waiting = self._waiting()
        if waiting is None:
            return None
        self._unkept = None
        if line == "keep it":
            self._rejected = self._unanswered = 0
            return waiting.intent, ""
        return None, FORGOTTEN

    @property
    def is_answer(self) -> bool:
        """True if what was heard last answers something the day asks, rather than coming unasked."""
        return self._asked is None or self._asked.asks

    def weighed(self, meant: intents.Intent, line: str, raw: str) -> intents.Intent | str:
        """The intent itself, where it is asked for and changes nothing that counts; else what to say of it,
        while it waits."""
        self._rejected = self._unanswered = 0
        bears_value = isinstance(meant, intents.TickItem) and bool(meant.value)
        if self.is_answer and isinstance(meant, AT_ONCE) and not bears_value:
            return meant
        said = _said(meant, line, self._session.state)
        if isinstance(meant, intents.TakeReading) and meant.source != f.PROBE:
            meant = replace(meant, typed=with_raw(meant.typed, raw), source=f.VOICE)
        elif isinstance(meant, intents.Correct | intents.AddWater | intents.GiveAmount):
            meant = replace(meant, typed=with_raw(meant.typed, raw))
        return self.waits(meant, said)

    def waits(self, meant: intents.Intent, said: str) -> str:
        """Lets an intent wait until it is kept; returns what to say of it."""
        self._rejected = self._unanswered = 0
        self._unkept = _Unkept(meant, said, self._moment(), self._elapsed())
        self._lost = self._herald.lost
        return f"{said}. {KEEP_IT}"

    def rejected(self) -> str:
        """Takes in that an answer was none; returns what to say."""
        self._rejected += 1
        if self._rejected < MOST_REJECTED:
            return SAY_KEEP_IT if self._asked is not None and self._asked.kind == "keep" else SAY_AGAIN
        self._rejected, self._unkept = 0, None
        wanted = self._wanted()
        self._resting = wanted.key if wanted is not None else None
        return USE_THE_KEYS

    def _silence(self) -> list[str]:
        self._unanswered += 1
        if self._unkept is None or self._unanswered < MOST_UNKEPT:
            return []
        self._unkept, self._unanswered = None, 0
        return [NOT_KEPT]

    def _open(self) -> list[str]:
        """Opens the microphone, or returns the question to be said again first."""
        if self._unkept is not None and self._waiting() is None:
            self._unkept = None
            return [LAPSED]
        wanted = self._wanted()
        if wanted is None or wanted.key == self._resting or not (self._silent or self._herald.says_aloud):
            return []
        self._resting = None
        if wanted.kind == "keep" and (self._spoils or self._lost != self._herald.lost):
            return [self._again(wanted)]
        is_new = self._asked is None or self._asked.key != wanted.key
        if self._spoken or (is_new and wanted.asks):
            if is_new:
                self._unanswered = 0
            if self._ear.ask(Ask(wanted.kind, PATIENCE_SECONDS)):
                self._asked, self._spoken, self._spoils = wanted, False, False
                self._opened = self._elapsed()
            return []
        pause = AGAIN_SECONDS[min(max(self._unanswered, 1), len(AGAIN_SECONDS)) - 1]
        if self._unkept is not None:
            pause = 0.0
        if not wanted.again or self._elapsed() - self._ended < pause:
            return []
        return [self._again(wanted)]

    def _again(self, wanted: Wanted) -> str:
        self._spoken, self._spoils, self._lost = True, False, self._herald.lost
        return wanted.again

    def _hears(self) -> bool:
        """True while somebody may be answering: what is not urgent waits with its words."""
        return self._ear.is_asked and self._elapsed() - self._opened < MOST_HEARD_SECONDS

    def _still_wanted(self) -> bool:
        """True if what the microphone was opened for is what is wanted now, and that was not long ago."""
        wanted = self._wanted()
        is_late = self._elapsed() - self._opened > LATEST_SECONDS
        return (
            wanted is not None and self._asked is not None and wanted.key == self._asked.key and not is_late
        )

    def _waiting(self) -> _Unkept | None:
        """What waits to be kept: only as long as nothing else was entered or doubted, and not for ever."""
        waiting = self._unkept
        if waiting is None or waiting.moment != self._moment():
            return None
        return waiting if self._elapsed() - waiting.since < UNKEPT_SECONDS else None

    def _moment(self) -> tuple[object, ...]:
        """What is another once anything was entered or doubted."""
        state = self._session.state
        return state.phase, state.step, len(state.log), str(self._session.doubted)

    def _wanted(self) -> Wanted | None:
        """What could be answered by voice at this moment."""
        schedule, state, t = self._session.schedule, self._session.state, self._session.t()
        here = self._moment()
        waiting = self._waiting()
        if waiting is not None:
            return Wanted(("unkept", waiting.said, *here), "keep", f"{waiting.said}. {KEEP_IT}")
        if self._session.doubted is not None:
            return Wanted(("doubt", *here), "keep", f"{self._doubt()} {KEEP_IT}".strip())
        if state.phase == "idle":
            return Wanted(here, "words", "Say begin the day, when you are ready.")
        if state.phase == "held":
            return Wanted(here, "words", "")
        if state.phase != "running":
            return None
        if state.offer is not None and state.offer.is_open:
            return Wanted((*here, "way", state.offer.number), "words", TAKE_ONE)
        due = asks.due(schedule, state, t)
        if due:
            return self._of_a_reading(here, due[0], f"{sentence(due[0])}.")
        ringing = [c.key for c in calls.calls(schedule, state, t) if not c.acknowledged]
        if ringing:
            return Wanted((*here, *ringing), "words", "")
        return self._of_the_step(here)

    def _doubt(self) -> str:
        """Why the day doubts what was entered last."""
        doubted, session = self._session.doubted, self._session
        found = decide(session.schedule, session.state, doubted, session.t()) if doubted is not None else None
        return found.why.removesuffix("Keep it?").rstrip() if isinstance(found, Doubt) else ""

    def _of_a_reading(self, here: tuple[object, ...], ask: asks.Ask, again: str) -> Wanted:
        kind = KIND_OF.get(ask.quantity)
        listened: Asked = kind if kind is not None and ask.quantity != "starch" else "words"
        return Wanted((*here, ask.key, len(self._session.state.readings)), listened, again)

    def _of_the_step(self, here: tuple[object, ...]) -> Wanted:
        schedule, state, t = self._session.schedule, self._session.state, self._session.t()
        open_items = unticked(schedule, state)
        if open_items:
            asked = item_asked(schedule, state)
            how = "Say as it should, or give the number by the keys" if asked else "Say item done, once it is"
            record = state.current
            ticked = len(record.ticks) if record is not None else 0
            return Wanted((*here, "item", ticked), "words", f"{how}.")
        left = calls.remaining_seconds(schedule, state, t)
        if left is not None and left > 0.0:
            return Wanted((*here, "runs"), "words", "", asks=False)
        required = [ask for ask in asks.asks(schedule, state) if ask.required]
        if required:
            return self._of_a_reading(here, required[0], "")
        return Wanted((*here, "step"), "words", "Say next step, once this one is done.")


def _said(meant: intents.Intent, line: str, state: State) -> str:
    """What is said of an intent that has to be kept before it counts."""
    match meant:
        case intents.TakeReading() | intents.Correct() | intents.AddWater() | intents.GiveAmount():
            return value_said(meant)
        case intents.AnswerUnknown():
            return "Heard that nobody knows it, so that it is assumed"
        case intents.TickItem(value=value) if value:
            return f"Heard {cleaned(value, LONGEST_RAW)}, for this item"
        case intents.TakeRemedy():
            offered = state.offer.options if state.offer is not None else ()
            way = next((one.way for one in offered if one.option == meant.option), "")
            return f"Heard way {meant.option}, {way}".removesuffix(", ")
        case intents.LeaveIt():
            return "Heard that it stays as it is"
        case intents.Extend():
            return f"Heard {abs(meant.minutes):.0f} minutes {'more' if meant.minutes > 0.0 else 'less'}"
        case intents.Undo():
            return "Heard that the last thing is taken back"
    return f"Heard this: {read_back(line, meant)}"
