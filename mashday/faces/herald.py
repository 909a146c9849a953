"""The herald: makes a day heard. Tones, spoken lines, the person's own command and desktop notifications.

It is told the view at every tick and knows what was made heard, and when. It plays nothing itself, waits for
nothing and keeps no clock: `now` is any steady count of seconds.
"""

from __future__ import annotations

import math
import re
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from mashday.channels.tones import Urgency
from mashday.engine import facts as f
from mashday.faces import insistence
from mashday.faces.aloud import aloud, announce
from mashday.faces.said_numbers import BARE, spoken_digits, with_unit
from mashday.faces.view import CallLine, View

AFTER_TONE_SECONDS = 1.0
"""Words wait so long behind a tone: every signal is shorter, and some machines play one thing at a time."""
AFTER_SPEECH_SECONDS = 1.0
"""So long after speech a microphone may still hand it over as somebody's line. Judgement."""
ECHO_WORDS = 3
LATELY = 10
"""Lines that may still be heard: a step's and some more. Judgement."""
MOST_SAID = 3
"""Lines of an answer that are said aloud. Judgement."""
BY_PROBE = "By the probe"
ASKS_ALOUD = "Did you hear that?"
CHECKS = (
    "Check the volume, the plug and the loudspeaker. --sound CMD names another player, --say CMD another"
    " voice; such a command can end well where no sound device is. The words here and the bell remain."
)
_GRAVEST_FIRST = ("danger", "now", "soon")
_WORD = re.compile(r"[^\W_]+")
_WRITTEN_UNITS = {"SG": "", "pH": ""}


class Sounds(Protocol):
    """A player of signals, such as `mashday.channels.player.Player`."""

    def sound(self, urgency: Urgency, strokes: int = 1) -> None: ...

    def trouble(self) -> str | None: ...

    def close(self) -> None: ...


class Speech(Protocol):
    """A voice, such as `mashday.channels.speaker.Speaker`."""

    def say(self, *lines: str, urgent: bool = False, begins: bool = False) -> None: ...

    def trouble(self) -> str | None: ...

    def stop(self) -> None: ...

    @property
    def audible(self) -> bool: ...

    @property
    def lost(self) -> int: ...

    @property
    def quiet_seconds(self) -> float: ...


class CallCommand(Protocol):
    """The person's own command, such as `mashday.channels.on_call.OnCall`."""

    def call(self, urgency: Urgency, text: str, late_seconds: float = 0.0) -> None: ...

    def trouble(self) -> str | None: ...

    def stop(self) -> None: ...


@dataclass(frozen=True, slots=True)
class _Held:
    """Lines that wait until a tone is over."""

    lines: tuple[str, ...]
    urgent: bool
    begins: bool


@dataclass(slots=True)
class _Ringing:
    """Since when a call rings, and how insistent it was when the person's own command ran last."""

    since: float
    level: int


class Herald:
    """Makes what is new in a view heard, and a call again and again until somebody answers it.

    `notify` shows one line outside the terminal; a face that owns the terminal puts its own way there.
    With `by_voice` it says how a doubt is answered in words. While it `listens`, only what is urgent is said,
    and no tone is repeated but that of danger.
    `patience_seconds` is how long words wait behind a tone, 0 for a face that does not tick by itself.
    """

    def __init__(
        self,
        player: Sounds | None,
        speaker: Speech | None,
        on_call: CallCommand | None,
        notify: Callable[[str], None] | None = None,
    ) -> None:
        self.notify = notify
        self.patience_seconds = AFTER_TONE_SECONDS
        self.asks_whether_heard = False
        self.by_voice = False
        self.listens: Callable[[], bool] = lambda: False
        self._player = player
        self._speaker = speaker
        self._on_call = on_call
        self._before: View | None = None
        self._ringing: dict[str, _Ringing] = {}
        self._sounded = self._spoken = -math.inf
        self._now = 0.0
        self._words_from = -math.inf
        self._held: list[_Held] = []
        self._lately: deque[str] = deque(maxlen=LATELY)
        self._silent = 0
        self._troubles: list[str] = []

    def heed(self, view: View, now: float) -> None:
        """Makes heard what is new at `now` seconds, and what insists. Never waits, never raises."""
        self._now = now
        lines = () if self._speaker is None else announce(self._before, view, by_voice=self.by_voice)
        before, self._before = self._before, view
        if view.step_number > 1:
            self.asks_whether_heard = False
        ringing = sorted(
            (call for call in view.calls if call.rings), key=lambda call: _GRAVEST_FIRST.index(call.urgency)
        )
        new = [call for call in ringing if call.key not in self._ringing]
        keys = {call.key for call in ringing}
        self._ringing = {key: kept for key, kept in self._ringing.items() if key in keys}
        self._pass_on(ringing)
        self._sound(ringing, is_new=bool(new))
        if new and lines:
            self._speak(lines[0], urgent=True)
        self._speak(*lines[bool(new) :], begins=before is None or before.step_number != view.step_number)
        self._insist(ringing, is_new=bool(new))
        self._release()

    def read_back(self, entries: Iterable[f.Entry]) -> None:
        """Says back what was entered or was read by the probe, numbers digit by digit."""
        said = [line for line in (_read_back(entry.fact) for entry in entries) if line]
        if said:
            self._speak(". ".join(said), urgent=any(not line.startswith(BY_PROBE) for line in said))
            self._release()

    def say(self, text: str, urgent: bool = False) -> None:
        """Says a line of the screen as a person would say it; an urgent one cuts in."""
        line = aloud(text)
        if line:
            self._speak(line, urgent=urgent)
            self._release()

    def tell(self, lines: Sequence[str], urgent: bool = False) -> None:
        """Says the first lines of an answer: nobody listens to a table."""
        self._speak(*map(aloud, lines[:MOST_SAID]), urgent=urgent)
        self._release()

    @property
    def says_aloud(self) -> bool:
        """True if the words of a call are heard by whoever is there: by a voice that works."""
        return self._speaker is not None and self._speaker.audible

    @property
    def quiet(self) -> float:
        """For how long nothing has been said aloud by a voice that can be heard, 0 while it speaks; s.

        Infinite without such a voice: lines kept in a file are silent. It goes by the voice's own clock.
        """
        return math.inf if self._speaker is None else self._speaker.quiet_seconds

    @property
    def lost(self) -> int:
        """How often a line was not said to its end."""
        return 0 if self._speaker is None else self._speaker.lost

    @property
    def is_done(self) -> bool:
        """True once nothing is said or sounds any more, and no word waits to be said."""
        return not self._held and self._now >= self._words_from and not self.speaking()

    def speaking(self) -> bool:
        """Whether a line that comes in now may be the voice heard by a microphone."""
        return self.quiet < AFTER_SPEECH_SECONDS

    def is_echo(self, line: str) -> bool:
        """Whether a line may be what was said lately, as a microphone hears it: an answer is shorter, or has
        other words."""
        words = _WORD.findall(line.lower())
        said = {word for spoken in self._lately for word in _WORD.findall(spoken.lower())}
        return len(words) >= ECHO_WORDS and 2 * sum(word in said for word in words) >= len(words)

    def troubles(self) -> tuple[str, ...]:
        """What cannot be made heard and why, in sentences; each once."""
        self._see_to_troubles()
        found, self._troubles = tuple(self._troubles), []
        return found

    def try_out(self) -> None:
        """Plays the signal of a call and says something, and asks from then on whether it was heard.

        Nothing is asked where it is known that nothing can be heard.
        """
        self._see_to_troubles()
        if self._silent == self._audible:
            return
        self.asks_whether_heard = True
        if self._player is not None:
            self._player.sound("now", 1)
            self._words_from = self._now + self.patience_seconds
        self._speak(ASKS_ALOUD)
        self._release()

    @property
    def question(self) -> str:
        """The question whether it was heard, as a face shows it; "" while it is not asked."""
        if not self.asks_whether_heard:
            return ""
        what = "A signal was played" if self._player is not None else "A line was said"
        return f"{what}: did you hear it?"

    def answer_heard(self, yes: bool) -> str:
        """Takes the answer whether it was heard; returns what to show. After a no it is tried once more."""
        if yes:
            self.asks_whether_heard = False
            return "Good: calls will be heard."
        self.try_out()
        return f"{CHECKS} {self.question}".rstrip()

    def close(self) -> None:
        """Silence: ends what is heard and what runs. Never waits, never raises."""
        self._held.clear()
        if self._player is not None:
            self._player.close()
        if self._speaker is not None:
            self._speaker.stop()
        if self._on_call is not None:
            self._on_call.stop()

    @property
    def _audible(self) -> int:
        """How many channels there are that an ear can hear."""
        return sum(channel is not None for channel in (self._player, self._speaker))

    def _see_to_troubles(self) -> None:
        for channel in (self._player, self._speaker, self._on_call):
            trouble = channel.trouble() if channel is not None else None
            if trouble:
                self._troubles.append(f"{trouble[0].upper()}{trouble[1:]}.")
                self._silent += channel is not self._on_call
        if self._silent == self._audible:
            self.asks_whether_heard = False

    def _pass_on(self, ringing: list[CallLine]) -> None:
        """Runs the person's own command for a call that is new or has become more insistent."""
        for call in ringing:
            known = self._ringing.get(call.key)
            level = insistence.level(call.urgency, self._now - known.since) if known is not None else 0
            if known is None:
                self._ringing[call.key] = _Ringing(self._now, level)
                if self.notify is not None:
                    self.notify(call.text)
            elif level > known.level:
                known.level = level
            else:
                continue
            if self._on_call is not None:
                self._on_call.call(call.urgency, call.text, call.late_seconds)

    def _sound(self, ringing: list[CallLine], *, is_new: bool) -> None:
        """Plays the signal of the gravest call, at once for a new one, then as often as the calls insist."""
        if self._player is None or not ringing:
            return
        gravest = ringing[0].urgency
        waits = gravest != "danger" and self.listens()
        if not is_new and (waits or self._now - self._sounded < self._pause(ringing)):
            return
        stood = max(self._stood(call) for call in ringing if call.urgency == gravest)
        self._player.sound(gravest, insistence.strokes(gravest, stood))
        self._sounded = self._now
        self._words_from = self._now + self.patience_seconds

    def _insist(self, ringing: list[CallLine], *, is_new: bool) -> None:
        """Says the calls again that nobody answers, more seldom than they sound."""
        if is_new:
            self._spoken = self._now
        elif ringing and self._now - self._spoken >= insistence.WORDS_FOR_STROKES * self._pause(ringing):
            self._spoken = self._now
            for call in ringing:
                if call.urgency != "soon":
                    is_danger = call.urgency == "danger"
                    self._speak(aloud(f"Danger. {call.text}" if is_danger else call.text), urgent=is_danger)

    def _pause(self, ringing: list[CallLine]) -> float:
        pauses = (insistence.pause_seconds(call.urgency, self._stood(call)) for call in ringing)
        return min(pauses, default=math.inf)

    def _stood(self, call: CallLine) -> float:
        return self._now - self._ringing[call.key].since

    def _speak(self, *lines: str, urgent: bool = False, begins: bool = False) -> None:
        said = tuple(line for line in lines if line)
        if self._speaker is not None and said:
            self._held.append(_Held(said, urgent, begins))

    def _release(self) -> None:
        """Hands the words over, unless a tone is heard just now, or somebody who may be answering."""
        if self._now < self._words_from or self._speaker is None:
            return
        if self.listens() and not any(held.urgent for held in self._held):
            return
        for held in self._held:
            self._lately += held.lines
            self._speaker.say(*held.lines, urgent=held.urgent, begins=held.begins)
        self._held.clear()


def _read_back(fact: f.Fact) -> str:
    """What was entered, said back as it was typed; "" for what is no value, or one that nobody entered."""
    if isinstance(fact, f.ReadingTaken) and not fact.assumed:
        if fact.quantity == "starch":
            return "Taken: the iodine stays yellow" if fact.passed else "Taken: the iodine goes dark"
        said = _as_typed(fact.typed, fact.value, fact.unit, spots=len(fact.spots))
        how = BY_PROBE if fact.source == f.PROBE else "Taken"
        kind = {"gravity": "gravity ", "volume": "volume ", "ph": "p H ", "sample temperature": "sample "}
        return f"{how}: {kind.get(fact.quantity, '')}{said}"
    if isinstance(fact, f.ReadingCorrected):
        return f"Corrected: {_as_typed(fact.typed, fact.value, fact.unit)}"
    if isinstance(fact, f.SampleTemperatureGiven) and not fact.assumed:
        return f"Taken: sample {spoken_digits(fact.typed)}"
    if isinstance(fact, f.WaterAdded) and not fact.assumed:
        return f"Went in: {spoken_digits(with_unit(fact.typed, fact.litres, 'L'))}"
    return ""


def _as_typed(typed: str, value: float, unit: str, *, spots: int = 0) -> str:
    """The digits as they were typed, so that a nought at the end is heard; of several places their mean."""
    found = BARE.match(typed.strip())
    number = found[0] if found is not None and spots < 2 else f"{value:.1f}"
    return spoken_digits(f"{number} {_WRITTEN_UNITS.get(unit, unit)}")
