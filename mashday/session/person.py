"""The simulated people: they follow the schedule, answer what is asked, and are not perfect at it.

`SimulatedPerson` does what is advised; `HandRulePerson` puts a mash right by the hand rule instead. Both know
only what the thermometer, the hydrometer and the iodine show, and take some seconds for everything.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from mashday.engine import asks, calls, intents, landing, moves, pace, pouring, starch_left, ways
from mashday.engine import contents as pot
from mashday.engine.state import Reading, State
from mashday.schedule.model import Add, Boil, Cook, DoughIn, MashOut, Raise, Rest, StarchCheck
from mashday.science import heat, volumes
from mashday.session.session import Session
from mashday.session.simulation import SimulatedDay

SAMPLE_CELSIUS = 24.0
BREAKING_LUMPS_MINUTES = 1.5
"""What a dough-in takes once all the grain is in, minutes. Judgement."""
PATIENCE_MINUTES = {"separate": 25.0, "pitch": 8.0, "do": 4.0, "add": 2.0, "set-up": 3.0, "clean-up": 5.0}
"""The least a step takes the simulated person, minutes. Judgement."""
UNSTIRRED_SHARE, UNSTIRRED_KELVIN = 0.05, (1.0, 3.0)
"""How often a mash is read unstirred, and how far off that is, K. Judgement."""
SPOTS = 3
"""Places a doubted mash is read at, stirred. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What is asked and reached as long as nothing happens: worked out once for a state."""

    state: State
    asks: tuple[asks.Ask, ...]
    next_due: float | None
    reached: bool


class SimulatedPerson:
    """Decides what a person beside the pot does now."""

    def __init__(self, session: Session, day: SimulatedDay) -> None:
        self.session = session
        self.day = day
        self.chance = random.Random(f"{day.seed} day {day.number} person")
        self._standing: Standing | None = None

    def next_intent(self) -> intents.Intent | None:
        """What the person does at this moment; None to wait."""
        schedule, state, t = self.session.schedule, self.session.state, self.session.t()
        if state.phase == "idle":
            return intents.Start()
        if state.offer is not None and state.offer.is_open:
            best = next((way for way in state.offer.options if way.possible), None)
            return intents.TakeRemedy(best.option) if best else intents.LeaveIt()
        due = [ask for ask in self._stands().asks if ask.due <= state.running(t)]
        if due:
            return self._answer(due[0])
        if moves.unticked(schedule, state):
            asked = moves.item_asked(schedule, state)
            return intents.TickItem(value="as it should" if asked else None)
        begun = state.current is not None and state.current.by_itself
        if begun or calls.way_under_way(state) is not None:
            standing = [call for call in calls.calls(schedule, state, t) if not call.acknowledged]
            if any(call.kind in ("begun", "way") for call in standing):
                return intents.Acknowledge()
        return intents.Done() if self._ready() else None

    def seconds_to_next(self) -> float:
        """Seconds until something becomes due, at most half a minute."""
        due = self._stands().next_due
        now = self.session.state.running(self.session.t())
        return 30.0 if due is None or due <= now else min(30.0, max(0.5, due - now))

    def asked_again(self, doubted: intents.Intent) -> intents.Intent:
        """What is done when the session doubts something: a mash is stirred and read in several places."""
        stirred = isinstance(doubted, intents.TakeReading) and doubted.quantity == "temperature"
        if not stirred or not self.day.holds_mash:
            return intents.KeepIt()
        return self._several_places()

    def _several_places(self) -> intents.TakeReading:
        """The mash stirred and read in several places, as it is asked."""
        spots = tuple(round(self.day.thermometer(), 1) for _ in range(SPOTS))
        mean = sum(spots) / SPOTS
        typed = " ".join(f"{spot}" for spot in spots)
        return intents.TakeReading("temperature", mean, "C", typed, mean, spots=spots)

    def _stands(self) -> Standing:
        schedule, state = self.session.schedule, self.session.state
        if self._standing is None or self._standing.state is not state:
            reached = bool(state.step) and asks.reached(schedule, state, state.step)
            asked = asks.asks(schedule, state)
            self._standing = Standing(state, asked, calls.next_due(schedule, state), reached)
        return self._standing

    def _answer(self, ask: asks.Ask) -> intents.Intent:
        if ask.quantity == "temperature" and ask.why == asks.STIR_FIRST and self.day.holds_mash:
            return self._several_places()
        if ask.quantity == "temperature":
            shown = round(self.day.thermometer() + self._unstirred_kelvin(), 1)
            return intents.TakeReading("temperature", shown, "C", f"{shown}", shown)
        if ask.quantity == "gravity":
            shown = self.day.gravity_reading(SAMPLE_CELSIUS)
            typed = f"{shown:.3f} at {SAMPLE_CELSIUS:.0f} C"
            return intents.TakeReading("gravity", shown, "SG", typed, shown, sample_celsius=SAMPLE_CELSIUS)
        if ask.quantity == "volume":
            shown = self.day.litres_reading()
            return intents.TakeReading("volume", shown, "L", f"{shown} L", shown)
        if ask.quantity == "starch" and self._has_waited_enough():
            return intents.Done()
        if ask.quantity == "starch":
            passed = self.day.starch_gone()
            word = "starch pass" if passed else "starch fail"
            return intents.TakeReading("starch", float(passed), "", word, float(passed), passed=passed)
        if ask.quantity == "added water":
            return self._pour()
        return intents.AnswerUnknown()

    def _has_waited_enough(self) -> bool:
        """True where more time would hardly help a mash that still shows starch."""
        schedule, state, t = self.session.schedule, self.session.state, self.session.t()
        return starch_left.advice(schedule, state, t)[0].cause == "go on"

    def _unstirred_kelvin(self) -> float:
        """How far off a reading is that was taken without stirring, K; mostly none."""
        if not self.day.holds_mash or self.chance.random() >= UNSTIRRED_SHARE:
            return 0.0
        return self.chance.choice((-1.0, 1.0)) * self.chance.uniform(*UNSTIRRED_KELVIN)

    def _pour(self) -> intents.Intent:
        """The water of the way taken, or of the step, measured in a jug."""
        state = self.session.state
        way = state.untold.way_taken if state.untold else None
        if way is not None:
            litres = way.litres
        else:
            planned = pouring.water_to_pour(self.session.schedule, state, self.session.t())
            if planned is None:
                return intents.AnswerUnknown()
            litres = planned[0]
        litres = round(litres, 2)
        return intents.AddWater(litres, f"{litres} L")

    def _ready(self) -> bool:
        """True when the person sees that this step is done."""
        schedule, state, t = self.session.schedule, self.session.state, self.session.t()
        record = state.current
        if record is None or state.untold is not None:
            return False
        step = schedule.step(record.number)
        gone = (state.running(t) - record.began_run) / 60.0
        if isinstance(step, Boil | Cook) and record.clock_run is None:
            target = landing.target_celsius(schedule, state, record.number)
            band = landing.band_kelvin(schedule, record.number)
            return target is not None and self.day.thermometer() >= target - band
        left = calls.remaining_seconds(schedule, state, t)
        if left is not None:
            return left <= 0.0 and not any(
                ask.required and ask.key in asks.unplanned(schedule, state) for ask in self._stands().asks
            )
        if any(ask.required or isinstance(step, Add) for ask in self._stands().asks):
            return False
        if isinstance(step, DoughIn):
            return gone >= self.day.truth.stirring_in_seconds / 60.0 + BREAKING_LUMPS_MINUTES
        if isinstance(step, StarchCheck):
            return (
                bool(state.valid("starch", record.number)) and state.valid("starch")[-1].fact.passed is True
            )
        if step.kind in PATIENCE_MINUTES:
            return gone >= PATIENCE_MINUTES[step.kind]
        if pot.contents(schedule, state, record.number).water_kg <= 0.0:
            return True
        return self._stands().reached or pace.stands_still(schedule, state, record.number)

    def seconds_for(self, intent: intents.Intent) -> float:
        """How long the person takes before doing this, seconds."""
        if isinstance(intent, intents.TakeReading):
            return self.chance.uniform(30.0, 90.0)
        if isinstance(intent, intents.AddWater):
            return self.chance.uniform(40.0, 120.0)
        if isinstance(intent, intents.TickItem):
            return self.chance.uniform(15.0, 60.0)
        return self.chance.uniform(5.0, 25.0)


class HandRulePerson(SimulatedPerson):
    """Puts a mash right by the hand rule, with water measured as it is poured; leaves what is advised."""

    def next_intent(self) -> intents.Intent | None:
        """What the person does at this moment; None to wait."""
        state = self.session.state
        reading = self._to_put_right()
        if reading is not None:
            water = self._by_hand(reading.step, reading.metric)
            if water is not None:
                return water
        if state.offer is not None and state.offer.is_open and self.day.holds_mash:
            return intents.LeaveIt()
        return super().next_intent()

    def _pour(self) -> intents.Intent:
        """A step that pours is reckoned by the hand rule too, from what the thermometer shows."""
        state = self.session.state
        if state.untold is None and self.day.holds_mash:
            water = self._by_hand(state.step, self.day.thermometer())
            if water is not None:
                return water
        return super()._pour()

    def _to_put_right(self) -> Reading | None:
        """The newest reading of the mash if it lies outside its band and nothing was poured since."""
        schedule, state = self.session.schedule, self.session.state
        record = state.current
        if record is None or not isinstance(schedule.step(record.number), Rest | Raise | MashOut):
            return None
        taken = state.valid("temperature", record.number)
        target = landing.target_celsius(schedule, state, record.number)
        if not taken or target is None or any(a.t >= taken[-1].t for a in state.additions):
            return None
        off = taken[-1].metric - target
        settled = record.began_run + 60.0 * asks.SETTLE_AFTER_GRAIN
        early = off < 0.0 and taken[-1].run < settled and asks.grain_just_in(schedule, state, record.number)
        return None if early or abs(off) <= landing.band_kelvin(schedule, record.number) else taken[-1]

    def _by_hand(self, number: int, celsius: float) -> intents.AddWater | None:
        """Hot or cold water by the hand rule, as much as there is and as fits; None if that is too little."""
        schedule, state = self.session.schedule, self.session.state
        target = landing.target_celsius(schedule, state, number)
        if target is None:
            return None
        mash = pot.contents(schedule, state, number)
        hot = celsius < target
        told = pot.spare_celsius(schedule) if hot else schedule.place.tap_celsius
        if hot and (schedule.spare is None or schedule.spare.temperature_celsius is None):
            rule = pot.boiling_celsius(schedule)
        else:
            rule = told
        litres = heat.hand_rule_addition_litres(
            water_litres=mash.water_kg,
            grain_kg=mash.grain_kg,
            from_celsius=celsius,
            to_celsius=target,
            with_celsius=rule,
        )
        brim = schedule.pot.volume_litres
        room = brim - volumes.headroom_litres(brim) - mash.litres(celsius)
        spare = ways.spare_litres(schedule, state) if hot else None
        litres = round(min(litres, room, litres if spare is None else spare), 2)
        if litres < ways.LEAST_LITRES:
            return None
        return intents.AddWater(litres, f"{litres} L", celsius=told)
