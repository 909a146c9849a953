"""The simulated day: a pot of its own truth that answers to the facts of a session.

It hears the facts (water in, grain in, a step begun) and follows the clock; what it really holds is known
to nobody but its thermometer. The same seed gives the same pot, the same seed and day the same day.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_left
from dataclasses import replace

from mashday.engine import contents as pot
from mashday.engine import conversion, extract, instruments, landing, ways
from mashday.engine import facts as f
from mashday.engine.fold import evolve
from mashday.engine.state import State
from mashday.schedule.model import (
    Boil,
    Cook,
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    StarchCheck,
)
from mashday.science import gravity, heat, starch, volumes, water, wort
from mashday.science.pot import Portion, SimulatedPot
from mashday.session.truth import accidents_of, on_the_day, poured_factor, truth_of

SLICE_SECONDS = 15.0
IDLE_SLICE_SECONDS = 60.0
"""A pot that only stands is looked at less often; what happens in it is followed as closely."""
STOVE_KILOWATTS = 3.0
"""What the stove gives where the schedule names no heater, kW. Common practice, no source."""
PROBE_NOISE_KELVIN = 0.05
"""How much a thermometer that nobody moves differs from one moment to the next, K. Judgement."""
PORTIONS = 5
STIRRED_SECONDS = 120.0
"""How long the pot is stirred after water went in, s. Common practice, no source."""
HOT_CELSIUS = 60.0
"""Water poured in above this comes from the spare kettle and has cooled on the way."""
WATER_SHARE_OF_SPREAD = 1.0 / 3.0
"""Readings of water and wort lie closer together than those of a mash, by this factor. Judgement."""
COOLANT_W_PER_K = {"coil": 160.0, "ice bath": 50.0, "cold water": 0.0, "ice": 60.0, "standing": 0.0}
"""Heat carried off per kelvin by a way of cooling a 20 L batch, W/K (derived from a 15 m coil at 6 L/min
and a stirred bath)."""
DECOCTION_MINUTES = 15.0


HISTORY_SECONDS = 5.0
"""How often the temperature of the pot is kept: a day lived second by second would fill the memory."""


class SimulatedDay:
    """The pot (and the kettle beside it) of a rehearsed day, at session time `t`."""

    def __init__(self, schedule: Schedule, seed: int, day: int = 1) -> None:
        self.schedule = schedule
        self.seed, self.number = seed, day
        self.accidents = accidents_of(seed, day)
        self.truth = on_the_day(truth_of(schedule, seed), self.accidents)
        self._stand_ready()

    def _stand_ready(self) -> None:
        """The pot as it is before the day."""
        self.t = 0.0
        self.state = State()
        self.starch = starch.FRESH
        self._malt_is_in = False
        self.overfull_litres = 0.0
        self.history: list[tuple[float, float]] = []
        start = self.schedule.pot.starts_at_celsius or self.schedule.place.room_celsius
        self.pot = SimulatedPot(self.truth.pot, mash_celsius=start, vessel_celsius=start)
        self.kettle: SimulatedPot | None = None
        self._noise = random.Random(f"{self.seed} day {self.number} noise")
        self._wanted: tuple[State, float | None] | None = None
        self._stirring_until = 0.0
        self._to_stir_in: list[tuple[float, float, float, float, float]] = []
        self._fire_until: float | None = None
        self._lid_off_until = 0.0
        self._pull: tuple[float, Portion, float] | None = None

    @property
    def overflowed(self) -> bool:
        """True if at some moment more was in the pot than it holds."""
        return self.overfull_litres > 0.0

    @property
    def vessel(self) -> SimulatedPot:
        """What the thermometer hangs in: the kettle while water is heated apart, else the pot."""
        return self.kettle if self.kettle is not None and self._heating_apart() else self.pot

    def thermometer(self) -> float:
        """What the thermometer shows now, Celsius."""
        spread = self.truth.reading_kelvin * (1.0 if self.holds_mash else WATER_SHARE_OF_SPREAD)
        return self.vessel.reading(self._noise.gauss(0.0, spread))

    def probe(self) -> float:
        """What a thermometer that stays where it hangs shows now, Celsius."""
        return self.vessel.reading(self._noise.gauss(0.0, PROBE_NOISE_KELVIN))

    @property
    def holds_mash(self) -> bool:
        """True if the thermometer hangs in grain and water."""
        return self.vessel.grain_kg > 0.0

    def _heating_apart(self) -> bool:
        record = self.state.current
        return record is not None and isinstance(self.schedule.step(record.number), Heat)

    def follow(self, t: float) -> None:
        """Lets the pot live until session time `t`."""
        while self.t < t:
            seconds = min(SLICE_SECONDS if self._is_busy() else IDLE_SLICE_SECONDS, t - self.t)
            self._tend()
            vessels = [self.pot] if self.kettle is None else [self.pot, self.kettle]
            for vessel in vessels:
                vessel.step(seconds)
            if self._malt_is_in and self.pot.grain_kg > 0.0 and not self._separated():
                self._convert(seconds)
            self.t += seconds
            if not self.history or self.t - self.history[-1][0] >= HISTORY_SECONDS:
                self.history.append((self.t, self.pot.mash_celsius))
            over = self.pot.litres - self.schedule.pot.volume_litres
            self.overfull_litres = max(self.overfull_litres, over)

    def _is_busy(self) -> bool:
        """True while hands are at the pot or something may begin or end in it at any moment."""
        step = self.schedule.step(self.state.step) if self.state.step else None
        stirring = self.t < self._stirring_until or self._just_changed()
        waiting = self._fire_until is not None or self._pull is not None or self.t < self._lid_off_until
        return stirring or waiting or not isinstance(step, Rest | StarchCheck | Separate | Pitch)

    def _convert(self, seconds: float) -> None:
        thickness = self.pot.water_kg / self.pot.grain_kg
        celsius = min(self.pot.mash_celsius, 101.0)
        self.starch = starch.advance(
            self.starch, celsius, seconds / 60.0, thickness_l_per_kg=min(20.0, max(0.8, thickness))
        )

    def _separated(self) -> bool:
        return pot.is_separated(self.schedule, self.state.step) if self.state.step else False

    def _tend(self) -> None:
        """The hands at the pot: fire, lid, paddle, portions."""
        vessel = self.vessel
        self.pot.lid_on = self.t >= self._stirring_until
        vessel.lid_on = self.pot.lid_on and self.t >= self._lid_off_until
        while self._to_stir_in and self._to_stir_in[0][0] <= self.t:
            _, kj_per_k, celsius, hydration, kg = self._to_stir_in.pop(0)
            self.pot.add_grain(kj_per_k, celsius, hydration, kg)
        if self._pull is not None and self._pull[0] <= self.t:
            self.pot.put_back(self._pull[1], self._pull[2])
            self._pull = None
        kilowatts = self.schedule.pot.heater_kilowatts or STOVE_KILOWATTS
        vessel.set_power(kilowatts if self._fire_on(vessel) else 0.0)
        self.pot.stirring = not self.pot.lid_on or self._just_changed() or self.pot.kilowatts > 0.0

    def _just_changed(self) -> bool:
        moments = [addition.t for addition in self.state.additions]
        return bool(moments) and self.t - moments[-1] < STIRRED_SECONDS

    def _fire_on(self, vessel: SimulatedPot) -> bool:
        if self._fire_until is not None:
            if self.t < self._fire_until:
                return True
            self._fire_until = None
        record = self.state.current
        if record is None:
            return False
        step = self.schedule.step(record.number)
        if isinstance(step, Boil):
            return True
        heats = isinstance(step, Heat | Cook) or (
            isinstance(step, Raise | MashOut) and pot.way_of(self.schedule, record.number) == "fire"
        )
        if not heats:
            return False
        target = self._target()
        bare = vessel.probe_celsius + self.truth.pot.probe_bias_kelvin
        shown = instruments.thermometer(self.schedule, self.state).true_celsius(bare)
        return target is not None and shown < target - self._coast()

    def _target(self) -> float | None:
        """What the step under way is to reach; it changes with the facts alone."""
        if self._wanted is None or self._wanted[0] is not self.state:
            wanted = landing.target_celsius(self.schedule, self.state, self.state.step)
            self._wanted = (self.state, wanted)
        return self._wanted[1]

    def _coast(self) -> float:
        """How much early hands that know their stove turn it off, kelvin: what is hot goes on giving heat."""
        vessel = self.vessel
        plate = vessel.truth.burner_kj_per_k * (vessel.burner_celsius - vessel.mash_celsius)
        walls = vessel.truth.vessel_kj_per_k * (vessel.vessel_celsius - vessel.mash_celsius)
        return max(0.0, (0.8 * plate + walls) / vessel.capacity_kj_per_k)

    def happened(self, entry: f.Entry) -> None:
        """Takes in one fact."""
        self.follow(entry.t)
        before = self.state
        self.state = evolve(before, entry)
        self.starch = replace(self.starch, power=conversion.fresh(self.schedule, self.state).power)
        fact = entry.fact
        if isinstance(fact, f.StepBegun):
            self._begun(fact.step)
        elif isinstance(fact, f.StepEnded):
            self._ended(fact.step)
        elif isinstance(fact, f.WaterAdded):
            self._pour(entry.seq, fact)
        elif isinstance(fact, f.Undone):
            self._live_anew()
        elif isinstance(fact, f.AmountGiven):
            self._other_amount(before, fact)
        elif isinstance(fact, f.RemedyTaken):
            way = self.state.offer.way_taken if self.state.offer else None
            if way is not None and way.way == "fire":
                self._fire_until = self.t + 60.0 * way.minutes
            elif way is not None and way.pulled_litres > 0.0:
                share = min(1.0, way.pulled_litres / self.pot.litres)
                hot = self.truth.pot.boiling_celsius - heat.POURING_KELVIN
                cooled = self.schedule.place.tap_celsius + ways.COOLED_PART_KELVIN
                self._take_out(share, way.minutes, hot if way.way == "decoction" else cooled)
            elif way is not None and way.way == "lid off":
                self._lid_off_until = self.t + 60.0 * way.minutes

    def _pour(self, entry: int, fact: f.WaterAdded) -> None:
        """Not quite as much as is told, and from the spare kettle not quite as hot."""
        cooler = self.truth.spare_cooler_kelvin if fact.celsius > HOT_CELSIUS else 0.0
        kilograms = fact.kilograms * poured_factor(self.seed, self.number, entry)
        if fact.ice:
            self.vessel.add_ice(kilograms, pot.FREEZER_CELSIUS)
            return
        self.vessel.add_water(kilograms, fact.celsius - cooler)

    def _live_anew(self) -> None:
        """What was taken back did not happen: the day once more, from the facts that stand."""
        t, state = self.t, self.state
        struck = {n for entry in state.log if isinstance(entry.fact, f.Undone) for n in entry.fact.entries}
        self._stand_ready()
        for entry in state.log:
            if entry.seq not in struck and not isinstance(entry.fact, f.Undone):
                self.happened(entry)
        self.follow(t)
        self.state = state

    def _begun(self, number: int) -> None:
        step = self.schedule.step(number)
        litres = pot.water_litres(self.schedule, self.state, number) * self.accidents.water_factor
        tap = self.schedule.place.tap_celsius
        if isinstance(step, Heat):
            in_pot = pot.heats_in_pot(self.schedule, number) and self.schedule.pot.water_heated_in_it
            if in_pot:
                self.pot.add_water(water.mass_kg(litres), tap)
            else:
                kettle_truth = replace(self.truth.pot, vessel_kj_per_k=1.0, burner_kj_per_k=0.0)
                self.kettle = SimulatedPot(kettle_truth, mash_celsius=tap, vessel_celsius=tap)
                self.kettle.add_water(water.mass_kg(litres), tap)
        elif isinstance(step, Cook):
            self.pot.add_water(water.mass_kg(litres), tap)
            self._stir_in(number)
        elif isinstance(step, DoughIn):
            if self.kettle is not None and pot.heats_in_pot(self.schedule, number):
                self.pot.add_water(self.kettle.water_kg, self.kettle.mash_celsius)
                self.kettle = None
            self._stir_in(number)
            self._malt_is_in = True
        elif isinstance(step, Cool):
            self._cool(step)
        elif isinstance(step, Raise | MashOut):
            self._decoct(number)

    def _stir_in(self, number: int) -> None:
        grains = pot.grain_in(self.schedule, self.state, number)
        if not grains:
            return
        kj_per_k, hydration = pot.grain_kj_per_k(grains), pot.hydration_kj(grains)
        kg = sum(mass for _, mass in grains)
        celsius = pot.mean_grain_celsius(grains) + self.accidents.grain_kelvin
        self._stirring_until = self.t + self.truth.stirring_in_seconds
        share = self.accidents.grain_factor / PORTIONS
        for portion in range(PORTIONS):
            at = self.t + self.truth.stirring_in_seconds * portion / PORTIONS
            self._to_stir_in.append((at, kj_per_k * share, celsius, hydration * share, kg * share))

    def _cool(self, step: Cool) -> None:
        coldest = 2.0 if step.by in ("ice bath", "ice") else self.schedule.place.tap_celsius
        self.pot.set_coolant(COOLANT_W_PER_K[step.by], coldest)

    def _decoct(self, number: int) -> None:
        target = landing.target_celsius(self.schedule, self.state, number)
        if pot.way_of(self.schedule, number) != "decoction" or target is None:
            return
        if target <= self.pot.mash_celsius:
            return
        share = heat.decoction_fraction(
            from_celsius=self.pot.mash_celsius,
            to_celsius=target,
            return_celsius=self.truth.pot.boiling_celsius - 1.0,
        )
        self._take_out(share, DECOCTION_MINUTES, self.truth.pot.boiling_celsius - 1.0)

    def _take_out(self, share: float, minutes: float, back_at_celsius: float) -> None:
        """A part of the mash goes out for some minutes; one that is out already goes back first."""
        if self._pull is not None:
            self.pot.put_back(self._pull[1], self._pull[2])
        self._pull = (self.t + 60.0 * minutes, self.pot.take_out(share), back_at_celsius)

    def _ended(self, number: int) -> None:
        step = self.schedule.step(number)
        for _, kj_per_k, celsius, hydration, kg in self._to_stir_in:
            self.pot.add_grain(kj_per_k, celsius, hydration, kg)
        self._to_stir_in.clear()
        if self._pull is not None:
            self.pot.put_back(self._pull[1], self._pull[2])
            self._pull = None
        self._stirring_until = min(self._stirring_until, self.t)
        self.vessel.set_power(0.0)
        if isinstance(step, Cool):
            self.pot.set_coolant(0.0, self.schedule.place.room_celsius)
        if isinstance(step, Separate) and step.by != "on the grain":
            self._part(number)

    def _part(self, number: int) -> None:
        """From here on the pot holds the wort alone."""
        result = extract.expected(self.schedule, self.state, self.converted, until=self.state.step)
        kilograms = wort.wort_kg(result.wash_litres, result.wash_gravity) if result else 10.0
        celsius = self.pot.mash_celsius - 3.0
        heated = kilograms * pot.WORT_KJ_PER_LITRE_K / water.SPECIFIC_HEAT
        self.pot = SimulatedPot(self.truth.pot, mash_celsius=celsius, vessel_celsius=celsius)
        self.pot.add_water(heated, celsius)
        self.pot.probe_celsius = celsius

    def _other_amount(self, before: State, fact: f.AmountGiven) -> None:
        record = self.state.record(fact.step)
        if record is None:
            return
        if fact.what == "water":
            more = fact.amount - pot.water_litres(self.schedule, before, fact.step)
            more *= self.accidents.water_factor
            vessel = self.vessel
            if more >= 0.0:
                vessel.add_water(water.mass_kg(more), self.schedule.place.tap_celsius)
            else:
                vessel.draw_off(min(vessel.water_kg, water.mass_kg(-more)))
            return
        was = sum(kg for _, kg in pot.grain_in(self.schedule, before, fact.step))
        now = sum(kg for _, kg in pot.grain_in(self.schedule, self.state, fact.step))
        if was > 0.0:
            ratio = now / was
            self._to_stir_in = [
                (at, kj * ratio, celsius, hydration * ratio, kg * ratio)
                for at, kj, celsius, hydration, kg in self._to_stir_in
            ]

    @property
    def converted(self) -> float:
        """The fraction of the extract that is really in solution."""
        return min(1.0, self.starch.released) * self.truth.extract_factor

    def starch_gone(self) -> bool:
        """True if a drop of iodine stays yellow."""
        return self.starch.released >= 0.93

    def gravity_reading(self, sample_celsius: float) -> float:
        """What the hydrometer shows in a sample of the wort (or of the mash's liquid) at this temperature."""
        result = extract.expected(self.schedule, self.state, self.converted, until=self.state.step)
        if result is None:
            return 1.0
        record = self.state.current
        step = self.schedule.step(record.number) if record else None
        true = result.first_runnings_gravity if isinstance(step, Separate) else result.wash_gravity
        low, high = 0.98, 1.19
        calibrated = self.schedule.hydrometer.calibrated_celsius
        for _ in range(40):
            middle = (low + high) / 2.0
            if gravity.hydrometer_gravity(middle, sample_celsius, calibrated)[0] < true:
                low = middle
            else:
                high = middle
        return round(low + self.truth.hydrometer_bias, 3)

    def litres_reading(self) -> float:
        """What the measuring stick shows of the wort, litres."""
        result = extract.expected(self.schedule, self.state, self.converted, until=self.state.step)
        litres = result.wash_litres if result else volumes.mash_litres(self.pot.water_kg, 0.0, 20.0)
        return round(litres * self._noise.gauss(1.0, 0.015), 1)

    def true_mean(self, from_t: float, to_t: float) -> float:
        """The mean true temperature of the pot between two moments, Celsius; NaN if none was kept."""
        kept = [(t, celsius) for t, celsius in self.history if from_t < t <= to_t]
        if not kept:
            return math.nan
        since = [from_t, *(t for t, _ in kept)]
        heat_time = math.fsum(
            celsius * (t - before) for before, (t, celsius) in zip(since, kept, strict=False)
        )
        return heat_time / (kept[-1][0] - from_t)

    def true_at(self, t: float) -> float:
        """The true temperature of the pot at session time `t`, Celsius."""
        place = bisect_left(self.history, (t, -math.inf))
        return self.history[place][1] if place < len(self.history) else self.pot.mash_celsius
