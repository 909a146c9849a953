"""A machine that does anything a person, a cat or a script may do, and looks whether the rules hold."""

from __future__ import annotations

import itertools
import math
from dataclasses import MISSING
from datetime import timedelta

from days import BARLEY, BEGAN, starch, temperature
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.engine.decide import by_itself, decide
from mashday.engine.decision import Doubt, Refused
from mashday.engine.fold import evolve, replay
from mashday.engine.moves import ALL, moves
from mashday.engine.prospect import prospect
from mashday.engine.sound import believed
from mashday.engine.state import State
from mashday.faces import tell
from mashday.faces.lines import Command, Misunderstood, understood
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.session import CODEC

TEXTS = (BARLEY, *(sample_text(name) for name in sample_names()))
WORDS = """
done|skip|undo|hold|resume|unknown|ok|mute|leave|tick|take 1|take 2|more 10|more -5|snooze 2|starch pass
starch fail|units|note lid off|63|62.1|58|66.5|95|1.062 at 22 C|gravity 1.075|20|volume 18 L|1.2 L
added 1 L at boiling|added 2 L at tap|weighed 4.8 kg|measured 14 L|ph 5.4|keep it|start
went-wrong it landed low|change heat higher
"""
LINES = st.sampled_from(WORDS.strip().replace("\n", "|").split("|"))

RUBBISH = (math.nan, math.inf, -math.inf, -1.0, 0.0, 1e-9, 1e9)
NUMBERS = st.floats(0.05, 110.0) | st.sampled_from(RUBBISH)
GRAVITIES = st.floats(0.99, 1.11) | st.sampled_from((*RUBBISH, 1.6))
COUNTS = st.integers(-1, 60)


def readings() -> st.SearchStrategy[intents.TakeReading]:
    """A reading of any quantity, good or rubbish."""
    celsius = st.none() | st.floats(5.0, 95.0) | st.sampled_from(RUBBISH)
    of = {"temperature": "C", "volume": "L", "ph": "pH", "added water": "L", "sample temperature": "C"}
    plain = st.builds(
        lambda quantity, metric: intents.TakeReading(quantity, metric, of[quantity], f"{metric}", metric),
        st.sampled_from(sorted(of)),
        NUMBERS,
    )
    weighed = st.builds(
        lambda unit, metric, sample: intents.TakeReading(
            "gravity", metric, unit, f"{metric}", metric, sample
        ),
        st.sampled_from(("SG", "P", "Bx")),
        GRAVITIES,
        celsius,
    )
    return plain | weighed | st.booleans().map(starch)


def anything() -> st.SearchStrategy[intents.Intent]:
    """Any intent there is, with values that may be and values that cannot."""
    text = st.text(max_size=12)
    return st.one_of(
        st.sampled_from([kind() for kind in ALL if not required(kind)]),
        readings(),
        st.builds(intents.Extend, st.floats(-60.0, 60.0) | st.sampled_from(RUBBISH)),
        st.builds(intents.AddWater, NUMBERS, st.just("water"), st.none() | NUMBERS),
        st.builds(
            intents.GiveAmount,
            st.sampled_from(("grain", "water")),
            NUMBERS,
            st.just("amount"),
            st.none() | st.sampled_from(("pale barley malt", "distiller's malt", "hay")),
        ),
        st.builds(lambda of, n: intents.Correct(of, n, "C", f"{n}", n), COUNTS, NUMBERS | GRAVITIES),
        st.builds(intents.Void, COUNTS),
        st.builds(intents.TakeRemedy, st.integers(-1, 5)),
        st.builds(intents.TickItem, st.none() | st.integers(-1, 9), st.none() | text),
        st.builds(intents.WriteNote, text),
        st.builds(intents.WriteClosingLine, st.sampled_from(("wrong", "mended", "change")), text),
        st.builds(intents.Snooze, st.integers(-1, 6)),
        st.builds(intents.ChooseUnits, st.sampled_from(("metric", "us", None))),
    )


def required(kind: type[intents.Intent]) -> bool:
    """True if an intent of this kind cannot be made without a value."""
    fields = kind.__dataclass_fields__.values()
    return any(field.default is MISSING for field in fields)


class AnyDay(RuleBasedStateMachine):
    """One day under hands that know no schedule."""

    @initialize(text=st.sampled_from(TEXTS))
    def begin(self, text: str) -> None:
        self.schedule = load(text)
        self.state = State()
        self.t = 0.0
        self._write((f.Opened("test", "virtual", 0.0),))
        self._send(intents.Start(), sure=True)

    def _write(self, found: tuple[f.Fact, ...]) -> None:
        act = self.state.seq + 1
        for fact in found:
            seq, at = self.state.seq + 1, BEGAN + timedelta(seconds=self.t)
            decoded = CODEC.decode(CODEC.encode(seq, act, self.t, at, fact))
            assert decoded.fact == fact
            self.state = evolve(self.state, f.Entry(seq, act, self.t, at, decoded.fact))

    def _send(self, intent: intents.Intent, *, sure: bool) -> None:
        kind = type(intent)
        legal = kind in moves(self.schedule, self.state, self.t)
        decision = decide(self.schedule, self.state, intent, self.t)
        if not legal:
            assert isinstance(decision, Refused)
        if isinstance(decision, Doubt) and sure:
            fields = {name: getattr(intent, name) for name in intent.__dataclass_fields__}
            decision = decide(self.schedule, self.state, kind(**{**fields, "sure": True}), self.t)
        if isinstance(decision, Refused | Doubt):
            assert decision.why.strip() and decision.why.isprintable()
            return
        self._write(decision)

    @rule(line=LINES, sure=st.booleans())
    def says(self, line: str, sure: bool) -> None:
        meant = understood(line, self.schedule, self.state, self.t)
        if not isinstance(meant, Misunderstood | Command | intents.KeepIt | intents.Wrong):
            self._send(meant, sure=sure)

    @rule(intent=anything(), sure=st.booleans())
    def sends(self, intent: intents.Intent, sure: bool) -> None:
        ends = isinstance(intent, intents.Finish | intents.Abort)
        self._send(intent, sure=sure and not (ends and len(self.state.log) < 40))

    @rule(celsius=st.floats(-5.0, 110.0))
    def reads(self, celsius: float) -> None:
        self._send(temperature(round(celsius, 1)), sure=True)

    @rule()
    def does_what_is_next(self) -> None:
        self._send(intents.AnswerUnknown(), sure=True)
        self._send(intents.LeaveIt(), sure=True)
        self._send(intents.Done(), sure=True)

    @rule(seconds=st.floats(0.0, 5400.0))
    def time_passes(self, seconds: float) -> None:
        self.t = round(self.t + seconds, 3)
        self._write(by_itself(self.schedule, self.state, self.t))

    @rule()
    def comes_just_before_what_is_due(self) -> None:
        due = calls.next_due(self.schedule, self.state)
        now = self.state.running(self.t)
        if due is None or due <= now or self.state.phase != "running":
            return
        key_before = {call.key for call in calls.calls(self.schedule, self.state, self.t)}
        just_before = self.t + due - now - 0.5
        if just_before > self.t:
            called = {call.key for call in calls.calls(self.schedule, self.state, just_before)}
            assert {key for key in called if not calls.is_heads_up(key)} <= key_before
        self.t = round(self.t + due - now + 0.001, 3)
        assert len(calls.calls(self.schedule, self.state, self.t)) >= 1 or not self.state.current

    @rule()
    def the_program_is_killed_and_opened_again(self) -> None:
        self.state = replay(self.state.log)

    def teardown(self) -> None:
        """Whatever was decided is believed when it is read back."""
        if hasattr(self, "state"):
            assert believed(self.schedule, self.state.log) == (self.state, None)

    @invariant()
    def the_state_is_the_replay_of_the_log(self) -> None:
        if hasattr(self, "state"):
            assert replay(self.state.log) == self.state

    @invariant()
    def numbers_and_times_are_in_order(self) -> None:
        if hasattr(self, "state"):
            entries = self.state.log
            assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
            assert all(a.t <= b.t for a, b in itertools.pairwise(entries))

    @invariant()
    def nothing_offered_is_absurd(self) -> None:
        if not hasattr(self, "state") or self.state.offer is None:
            return
        for way in self.state.offer.options:
            assert way.litres >= 0.0 and math.isfinite(way.litres) and math.isfinite(way.lands_celsius)
            if way.possible and way.room_litres is not None:
                assert way.room_litres >= 0.0 and way.litres <= self.schedule.pot.volume_litres

    @invariant()
    def phase_step_and_hold_agree(self) -> None:
        if not hasattr(self, "state"):
            return
        state = self.state
        assert (state.held_since is not None) == (state.phase == "held") or state.ended is not None
        if state.phase in ("running", "held"):
            assert state.current is not None and state.current.number == state.step
        assert state.untold is None or state.offers[-1] == state.untold

    @invariant()
    def everything_can_be_told(self) -> None:
        if hasattr(self, "state"):
            shown = tell.view(self.schedule, self.state, self.t, lambda t: BEGAN + timedelta(seconds=t))
            assert shown.instruction and shown.instruction.isprintable()
            assert prospect(self.schedule, self.state, self.t).ends_minute >= 0.0


AnyDay.TestCase.settings = settings(max_examples=20, stateful_step_count=30, deadline=None)
TestAnyDay = AnyDay.TestCase
