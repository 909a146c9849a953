"""The live thermometer beside the day: shown, taken by one key, and hands free taken by itself.

A value is taken by itself only after it was announced, while it stands, where it is likely, and while the
person is doing nothing of the sort. It gives readings and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

from mashday.channels.probe import Shown
from mashday.engine import by_probe, intents
from mashday.engine import facts as f
from mashday.engine.decide import decide
from mashday.engine.decision import Doubt, Refused, units_of
from mashday.engine.pace import COAST_SECONDS
from mashday.faces import probed
from mashday.faces.moment import Moment
from mashday.faces.view import CallLine, View
from mashday.quantities import in_units, show, unit_word
from mashday.session.session import Session

TROUBLE_SECONDS = 10.0
"""Trouble that is over sooner, such as the jump when water is poured in, is not worth a word. Judgement."""
IMPATIENT_SECONDS = 240.0
"""A value that does not stand for so long after it was to be taken is put to the person. Judgement."""


class LiveThermometer(Protocol):
    """A thermometer that is read by itself from `start` to `stop`; `look` never waits and never raises."""

    def start(self) -> None: ...

    def look(self) -> Shown: ...

    def stop(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Told:
    """What came of a look: lines worth saying now, and a reading that is taken by itself."""

    lines: tuple[str, ...] = ()
    reading: intents.TakeReading | None = None


class Probing:
    """A live thermometer and the day it belongs to; `hands_free` may be changed while the day runs."""

    def __init__(self, probe: LiveThermometer, session: Session, *, hands_free: bool) -> None:
        self.hands_free = hands_free
        self.shown = Shown()
        self._probe = probe
        self._session = session
        self._awaited: by_probe.News | None = None
        self._since = self._said_at = 0.0
        self._given_up = ""
        self._offered: set[str] = set()
        self._trouble: tuple[str, float] | None = None
        self._told = ""
        self._is_slow = False

    def start(self) -> None:
        """Begins to read. Never waits, never raises."""
        self._probe.start()

    def close(self) -> None:
        """Ends reading. Never waits, never raises."""
        self._probe.stop()

    def look(self, *, busy: bool = False) -> Told:
        """What the probe says now. `busy`: the person enters something, and nothing is taken meanwhile."""
        self.shown = self._probe.look()
        lines = [*self._troubles(), *self._slowness()]
        news, t = self._news(), self._session.t()
        if news is None:
            return Told(tuple(lines))
        if self._awaited is None or news.key != self._awaited.key:
            self._awaited, self._since = news, t
        if news.key == self._given_up or not self._by_itself:
            lines += self._put_to_the_person(news, t)
        elif not busy and t - self._since >= news.wait_seconds:
            if self.shown.is_agreed and (self.shown.steady or not news.needs_steady):
                return self._taken(news, lines)
            lines += self._impatience(news, t)
        return Told(tuple(lines))

    def _news(self) -> by_probe.News | None:
        """What the probe has to say just now; what was awaited is let go once that is over, or in trouble."""
        session, shown = self._session, self.shown
        news = None
        if shown.celsius is not None:
            live = by_probe.Live(shown.celsius, shown.steady, shown.rising_per_minute)
            awaited = self._awaited.key if self._awaited is not None else None
            news = by_probe.news(session.schedule, session.state, session.t(), live, awaited)
        over = shown.celsius is not None or session.state.phase != "running" or bool(self._told)
        if news is None and over:
            self._awaited = None
        return news

    def _put_to_the_person(self, news: by_probe.News, t: float) -> list[str]:
        """That a value waits to be taken by hand: once; now and again, of one that was given up."""
        given_up = news.key == self._given_up
        if given_up and t - self._said_at >= IMPATIENT_SECONDS:
            self._said_at = t
            return [f"The probe is not read by itself ({self.line()}): enter the reading."]
        if given_up or news.key in self._offered or not self.shown.is_sound:
            return []
        self._offered.add(news.key)
        return [f"The probe shows {self.line()}. One key takes it, or say probe."]

    def reading(self) -> intents.TakeReading | None:
        """What the probe shows now, as a reading; None where that is old, in doubt or nothing."""
        celsius = self.shown.celsius
        if celsius is None or not self.shown.is_sound:
            return None
        units = units_of(self._session.schedule, self._session.state)
        value = round(in_units(celsius, "temperature", units), 1)
        typed, unit = show(celsius, "temperature", units), unit_word("temperature", units)
        return intents.TakeReading("temperature", value, unit, typed, celsius, source=f.PROBE)

    def prefilled(self) -> bool:
        """True while a temperature is due that this probe can answer: then one key takes what it shows."""
        session = self._session
        return self.shown.is_sound and by_probe.asked(session.schedule, session.state, session.t())

    def prefill(self) -> str:
        """What one key takes now, as it is written; "" where that would be nothing."""
        reading = self.reading() if self.prefilled() else None
        return reading.typed if reading is not None else ""

    def live(self) -> str:
        """The bare number of a fresh value in a step that waits for a temperature, else ""."""
        reading = self.reading()
        moves = by_probe.moves(self._session.schedule, self._session.state)
        return f"{reading.value:.1f}" if reading is not None and moves else ""

    def awaits(self) -> bool:
        """True while a value is going to be taken by itself."""
        news = self._awaited
        return news is not None and news.key != self._given_up and self._by_itself

    def seen(self, view: View) -> View:
        """The view while a value is awaited that is taken by itself: then the stirring is asked for,
        and no number."""
        news = self._awaited
        if news is None or not self.awaits() or view.phase != "running":
            return view
        left = max(0.0, news.wait_seconds - (self._session.t() - self._since))
        said = probed.awaited(self._moment(), news, self.shown, left)
        moved: tuple[CallLine, ...] = ()
        if news.why == "drifted":
            moved = (CallLine(news.key, probed.moved(self._moment(), self.shown), "soon", True, False),)
        return replace(
            view, instruction=said, question="", question_unit="", question_due="", calls=view.calls + moved
        )

    def line(self) -> str:
        """What it shows, in words."""
        return probed.value(self._moment(), self.shown)

    @property
    def _by_itself(self) -> bool:
        return self.hands_free and by_probe.takes_itself(self._session.schedule, self._session.state)

    def _moment(self) -> Moment:
        session = self._session
        return Moment(session.schedule, session.state, session.t(), session.at)

    def _troubles(self) -> list[str]:
        """What is wrong with it, once it has stood for a while, and that it is over."""
        trouble, t = self.shown.trouble, self._session.t()
        if trouble is None:
            self._trouble = None
            told, self._told = self._told, ""
            return ["The probe reads again."] if told else []
        if self._trouble is None:
            self._trouble = (trouble, t)
        if t - self._trouble[1] < TROUBLE_SECONDS or self._told:
            return []
        self._told = trouble
        asked = by_probe.asked(self._session.schedule, self._session.state, t)
        yourself = " Enter the reading yourself." if asked else ""
        return [f"The probe: {probed.value(self._moment(), Shown(trouble=trouble))}.{yourself}"]

    def _slowness(self) -> list[str]:
        """That it gives a value too seldom to call a heat off in time: once."""
        every = self.shown.every_seconds
        if self._is_slow or not self.hands_free or every is None or every <= COAST_SECONDS:
            return []
        self._is_slow = True
        return [
            f"The probe gives a value only every {every:.0f} s: heat off may be called late, so watch it."
        ]

    def _impatience(self, news: by_probe.News, t: float) -> list[str]:
        """After a while of no value that stands, or of too few: it is left to the person."""
        if t - self._since < news.wait_seconds + IMPATIENT_SECONDS:
            return []
        self._given_up, self._said_at = news.key, t
        if not news.needs_steady:
            return [f"The probe gives too few values ({self.line()}): enter the reading yourself."]
        return [f"The probe does not stand still ({self.line()}): stir, or enter the reading yourself."]

    def _taken(self, news: by_probe.News, lines: list[str]) -> Told:
        """The reading, if the day would believe it from anybody; else why it is left to the person."""
        session, reading = self._session, self.reading()
        assert reading is not None
        found = decide(session.schedule, session.state, reading, session.t())
        if isinstance(found, Doubt | Refused):
            self._given_up, self._said_at = news.key, session.t()
            lines.append(f"Not taken by itself. {found.why}")
            return Told(tuple(lines))
        self._awaited = None
        return Told(tuple(lines), reading)
