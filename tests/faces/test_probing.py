"""The live thermometer beside the day: what it says, what it takes by itself, and what it leaves alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from days import BARLEY, EVERY_SAMPLE
from stand_ins import Hung

from mashday.channels.probe import Shown
from mashday.channels.probe_live import Live
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.asks import subject
from mashday.engine.calls import calls
from mashday.faces.probing import IMPATIENT_SECONDS, Probing
from mashday.faces.simulated_probe import SimulatedProbe
from mashday.faces.telling import view_of
from mashday.faces.view import View
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.person import SimulatedPerson
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session, begin

STIR = "Stir the mash; the probe"
STEADY = Shown(celsius=63.0, age_seconds=1.0, steady=True, rising_per_minute=0.0)


class InRest:
    """A day in its rest, some minutes in, with a probe in the mash."""

    def __init__(self, *, hands_free: bool = True, minutes: float = 5.5, text: str = BARLEY) -> None:
        self.clock = VirtualClock()
        self.session = begin(text, self.clock, folder=None)
        self.hung = Hung(STEADY)
        self.probing = Probing(self.hung, self.session, hands_free=hands_free)
        self.send(intents.Start(4))
        for what, amount, typed in (
            ("grain in the pot", 5.0, "5 kg"),
            ("water in the pot", 15.0, "15 L"),
            ("minutes mashed", 0.0, "0"),
        ):
            self.send(intents.GiveAmount(what, amount, typed))  # type: ignore[arg-type]
        self.clock.advance(60.0 * minutes)

    def send(self, intent: intents.Intent) -> None:
        outcome = self.session.send(intent)
        assert outcome.entries, outcome

    def seen(self) -> View:
        return self.probing.seen(view_of(self.session))

    def look(self, seconds: float = 0.0, *, busy: bool = False) -> tuple[tuple[str, ...], object]:
        self.clock.advance(seconds)
        told = self.probing.look(busy=busy)
        return told.lines, told.reading


def test_a_mash_is_announced_and_taken_a_minute_later() -> None:
    day = InRest()
    lines, reading = day.look()
    assert lines == () and reading is None
    assert (
        day.seen().instruction
        == "Stir the mash; the probe shows 63.0 C and is read in 60 s, once it stands still"
    )
    assert day.seen().question == ""
    assert day.look(59.0) == ((), None)
    assert day.seen().instruction.endswith("is read in 1 s, once it stands still")
    _, reading = day.look(1.0)
    assert isinstance(reading, intents.TakeReading)
    assert (reading.metric, reading.typed, reading.source) == (63.0, "63.0 C", "probe")
    day.send(reading)
    assert day.look(5.0) == ((), None)


def test_nothing_is_taken_by_itself_where_hands_are_free_to_take_it() -> None:
    day = InRest(hands_free=False)
    lines, reading = day.look()
    assert lines == ("The probe shows 63.0 C, steady. One key takes it, or say probe.",)
    assert reading is None and day.look(600.0) == ((), None)
    assert day.probing.prefilled()


def test_a_rest_that_leaves_its_band_calls_once_and_is_read() -> None:
    day = InRest()
    day.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0, spots=(63.0, 63.0)))
    day.clock.advance(6 * 60.0)
    day.hung.shown = replace(STEADY, celsius=61.2)
    assert day.look() == ((), None)
    (call,) = day.seen().calls
    assert (call.text, call.urgency, call.rings) == ("The mash has moved to 61.2 C", "soon", True)
    assert day.look(60.0)[1] is not None


def test_the_view_stays_as_it_is_where_the_person_takes_the_value() -> None:
    day = InRest(hands_free=False)
    day.look()
    assert day.seen() == view_of(day.session)


def test_nothing_is_taken_while_the_person_enters_something() -> None:
    day = InRest()
    day.look()
    assert day.look(90.0, busy=True) == ((), None)
    assert day.look()[1] is not None


def test_what_moves_is_not_taken_and_put_to_the_person_after_a_while() -> None:
    day = InRest()
    day.hung.shown = replace(STEADY, steady=False, rising_per_minute=-1.2)
    day.look()
    assert day.look(120.0) == ((), None)
    lines, reading = day.look(IMPATIENT_SECONDS)
    assert reading is None
    assert lines == (
        "The probe does not stand still (63.0 C, falling 1.2 C a minute):"
        " stir, or enter the reading yourself.",
    )
    assert day.look(60.0) == ((), None)


def test_what_is_unlikely_is_left_to_the_person_in_words() -> None:
    day = InRest()
    day.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0, spots=(63.0, 63.0)))
    day.clock.advance(25 * 60.0)
    day.hung.shown = replace(STEADY, celsius=48.0)
    day.look()
    lines, reading = day.look(61.0)
    assert reading is None
    assert lines[0].startswith("Not taken by itself. 48.0 C? It should lie between ")
    assert day.look(61.0) == ((), None)


def test_trouble_is_said_once_and_so_is_its_end() -> None:
    day = InRest(minutes=1.0)
    day.hung.shown = Shown(trouble="unplugged: 'probe' has ended")
    assert day.look() == ((), None)
    assert day.look(10.0) == (("The probe: unplugged: 'probe' has ended.",), None)
    assert day.look(5.0) == ((), None)
    assert not day.probing.prefilled() and day.probing.reading() is None
    day.hung.shown = STEADY
    assert day.look(5.0) == (("The probe reads again.",), None)


def test_trouble_that_is_over_at_once_is_not_worth_a_word() -> None:
    day = InRest(minutes=1.0)
    day.hung.shown = replace(STEADY, steady=False, trouble="jumped 30 C in 2 s: not believed")
    assert day.look() == ((), None)
    day.hung.shown = STEADY
    assert day.look(6.0) == ((), None)


def test_a_value_beside_trouble_is_not_taken_by_itself() -> None:
    day = InRest()
    day.hung.shown = replace(STEADY, steady=False, trouble="jumped 9 C in 1 s: not believed")
    day.look()
    assert day.look(61.0)[1] is None


def test_a_drop_out_does_not_begin_the_minute_anew() -> None:
    day = InRest()
    day.look()
    day.hung.shown = Shown()
    day.look(40.0)
    day.hung.shown = STEADY
    assert day.look(20.0)[1] is not None


def test_a_person_in_us_units_is_told_fahrenheit() -> None:
    day = InRest(text=BARLEY.replace("[pot]", 'units = "us"\n[pot]', 1))
    day.look()
    assert (
        day.seen().instruction
        == "Stir the mash; the probe shows 145.4 F and is read in 60 s, once it stands still"
    )
    taken = day.probing.reading()
    assert taken is not None and (taken.value, taken.unit, taken.metric) == (145.4, "F", 63.0)


def test_the_words_for_what_it_shows() -> None:
    day = InRest()
    said = []
    for shown in (
        STEADY,
        replace(STEADY, steady=False, age_seconds=7.0),
        replace(STEADY, steady=False, rising_per_minute=1.5),
        replace(STEADY, age_seconds=40.0, steady=False, trouble="nothing heard for 40 s"),
        Shown(),
        Shown(trouble="63.0\x1b[2J"),
    ):
        day.hung.shown = shown
        day.look()
        said.append(day.probing.line())
    assert said == [
        "63.0 C, steady",
        "63.0 C, 7 s ago",
        "63.0 C, rising 1.5 C a minute",
        "63.0 C, 40 s ago; nothing heard for 40 s",
        "nothing yet",
        "63.0[2J",
    ]


def test_it_begins_and_ends_the_reading() -> None:
    day = InRest()
    day.probing.start()
    assert day.hung.runs
    day.probing.close()
    assert not day.hung.runs


class WithAProbe(SimulatedPerson):
    """Leaves the temperatures to the probe; takes the first one by hand where nobody else may."""

    probing: Probing

    def next_intent(self) -> intents.Intent | None:
        found = super().next_intent()
        if not isinstance(found, intents.TakeReading) or found.quantity != "temperature":
            return found
        state = self.session.state
        by_hand = subject(self.session.schedule, state.step) in ("wort", "wash")
        first = not [r for r in state.valid("temperature", state.step) if r.fact.source == f.PROBE]
        return self.probing.reading() if by_hand and first else None


def lived(name: str, seed: int) -> Session:
    """A simulated day whose temperatures come from the probe."""
    session = begin(find(name)[1], VirtualClock(), folder=None, rehearsed=True, seed=seed)
    rehearsal = Rehearsal(session)
    probing = Probing(SimulatedProbe(rehearsal), session, hands_free=True)
    person = WithAProbe(session, rehearsal.day)
    person.probing = probing
    hands_at = 0.0
    while session.state.phase in ("idle", "running") and session.t() < 36 * 3600.0:
        told = probing.look()
        if told.reading is not None:
            assert session.send(told.reading).doubt is None
        intent = person.next_intent() if session.t() >= hands_at else None
        if intent is not None:
            if session.send(intent).doubt is not None:
                session.send(intents.KeepIt())
            hands_at = session.t() + 30.0
        list(rehearsal.wait(4.0 / 60.0))
    return session


@pytest.mark.parametrize("name", EVERY_SAMPLE)
def test_a_whole_day_is_read_by_the_probe(name: str) -> None:
    session = lived(name, 3)
    assert session.state.phase == "complete"
    taken = [r for r in session.state.valid("temperature") if not r.fact.assumed]
    assert taken and all(r.fact.source == f.PROBE for r in taken)
    assert len(taken) <= 40


def in_heating(celsius: float, *, hands_free: bool = True) -> InRest:
    """A day that heats, with a probe in the water."""
    day = InRest.__new__(InRest)
    day.clock = VirtualClock()
    day.session = begin(BARLEY, day.clock, folder=None)
    day.hung = Hung(Shown(celsius, 1.0, False, None))
    day.probing = Probing(day.hung, day.session, hands_free=hands_free)
    day.send(intents.Start())
    day.send(intents.Skip(sure=True))
    day.clock.advance(600.0)
    return day


def test_a_first_sample_alone_is_no_reading() -> None:
    day = in_heating(97.0)
    assert day.look() == ((), None)
    day.hung.shown = Shown(97.0, 1.0, False, 0.1)
    assert day.look(4.0)[1] is not None


def heated_before(celsius: float, every: float) -> tuple[list[str], float]:
    """What is said of water that heats at 1.2 K a minute, read so seldom, until it is called; and where."""
    day, said = in_heating(celsius), []
    t0 = day.session.t()
    live = Live(t0)
    while True:
        t = day.session.t()
        truth = celsius + 0.02 * (t - t0)
        if (t - t0) % every == 0.0:
            live.take(t, truth)
        day.hung.shown = live.shown(t)
        lines, reading = day.look()
        said += lines
        if day.probing.awaits():
            assert "stands still" not in day.seen().instruction
        if reading is not None:
            assert isinstance(reading, intents.TakeReading)
            day.send(reading)
            if any(call.kind == "near" for call in calls(day.session.schedule, day.session.state, t)):
                return said, truth
        day.clock.advance(2.0)


@pytest.mark.parametrize("every", [12.0, 30.0])
def test_a_slow_probe_calls_heat_off_in_time(every: float) -> None:
    said, called = heated_before(66.0, every)
    # the water is to come to 69.0 C and rises about 0.9 K more: tests/engine/test_by_probe.py
    assert 68.0 < called < 69.0 and said == []


def test_a_probe_too_slow_for_that_is_told_at_once_and_once() -> None:
    said, _ = heated_before(66.0, 40.0)
    assert said == ["The probe gives a value only every 40 s: heat off may be called late, so watch it."]


def test_what_is_read_while_it_moves_waits_for_values_and_not_for_standing_still() -> None:
    day = in_heating(97.0)
    day.look()
    assert day.seen().instruction == "Stir the water; the probe shows 97.0 C and is read with its next values"
    lines, _ = day.look(IMPATIENT_SECONDS)
    assert lines == ("The probe gives too few values (97.0 C): enter the reading yourself.",)


def test_a_mash_that_moves_when_its_minute_is_over_is_read_once_it_stands_still() -> None:
    day = InRest()
    day.hung.shown = replace(STEADY, steady=False, rising_per_minute=-1.2)
    day.look()
    day.look(60.0)
    assert day.seen().instruction.endswith("is read once it stands still")


def test_an_old_value_of_a_heating_is_no_reading() -> None:
    day = in_heating(68.9)
    day.hung.shown = Shown(68.9, 40.0, False, 1.2)
    assert day.look() == ((), None)
    assert day.probing.reading() is None and day.probing.prefill() == ""


def test_a_probe_that_dies_while_it_is_awaited_gives_the_question_back() -> None:
    day = InRest()
    day.look()
    assert day.probing.awaits() and day.seen().question == ""
    day.hung.shown = Shown(trouble="unplugged: 'probe' has ended")
    day.look(5.0)
    lines, reading = day.look(10.0)
    assert lines == ("The probe: unplugged: 'probe' has ended. Enter the reading yourself.",)
    assert reading is None and not day.probing.awaits()
    assert day.seen() == view_of(day.session) and day.seen().question != ""
    day.hung.shown = STEADY
    day.look(30.0)
    assert day.look(59.0)[1] is None and day.look(1.0)[1] is not None


def test_a_hold_begins_the_minute_of_stirring_anew() -> None:
    day = InRest()
    day.look()
    day.hung.shown = Shown()
    day.send(intents.Hold())
    day.look(30.0)
    day.send(intents.Resume())
    day.hung.shown = STEADY
    assert day.look(40.0)[1] is None and day.look(60.0)[1] is not None


def test_what_was_given_up_is_asked_of_the_person_again_and_again() -> None:
    day = InRest()
    day.hung.shown = replace(STEADY, steady=False, rising_per_minute=-1.2)
    day.look()
    day.look(60.0 + IMPATIENT_SECONDS)
    assert not day.probing.awaits() and day.seen().question != ""
    assert day.look(100.0) == ((), None)
    lines, _ = day.look(IMPATIENT_SECONDS)
    assert lines == ("The probe is not read by itself (63.0 C, falling 1.2 C a minute): enter the reading.",)


def test_an_offer_of_what_it_shows_is_made_once() -> None:
    day = in_heating(68.9, hands_free=False)
    said = []
    for place in range(200):
        day.hung.shown = Shown(68.6 + 0.03 * (place % 2), 1.0, False, 0.2 * (-1) ** place)
        said += day.look(1.5)[0]
    assert len(said) == 1


def test_once_it_was_taken_nothing_is_awaited() -> None:
    day = InRest()
    day.look()
    _, reading = day.look(60.0)
    assert isinstance(reading, intents.TakeReading) and not day.probing.awaits()


def test_a_struck_reading_ends_it_for_the_step_whatever_is_typed_after() -> None:
    day = InRest()
    day.look()
    _, reading = day.look(60.0)
    assert isinstance(reading, intents.TakeReading)
    day.send(reading)
    day.send(intents.Undo())
    day.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0, spots=(63.0, 63.0)))
    day.look(1500.0)
    assert day.look(90.0)[1] is None
