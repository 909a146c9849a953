"""The truth of rehearsed days: a pot and a person drawn for good, and the accidents of each of their days.

The same seed is the same pot with the same person beside it; its days differ by their number alone. None of
it is known to the engine.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from mashday.engine import contents as pot
from mashday.schedule.model import Schedule, Thermometer
from mashday.science import thermometer
from mashday.science.pot import PotTruth

CHECKED_KELVIN = {"digital": 0.2, "Pt100": 0.2}
"""Standard deviation of what a thermometer that need not be doubted shows too much, K. Judgement."""
CHECKED_OTHERWISE_KELVIN = 0.3
"""The same of another one after its check in ice and at the boil, K: 0.3-0.5 K of doubt stay. Judgement."""
PLACE_KELVIN, PLACE_OF_A_DIAL_KELVIN = 0.3, 0.5
"""Standard deviation from one stirred reading to the next: where in the mash the probe sits, K. Judgement."""
LAG_SECONDS = {"digital": 10.0, "Pt100": 4.3, "thermocouple": 4.2, "glass": 25.0, "dial": 30.0}
"""Lag of a probe in the mash, s. Pt100 and thermocouple: see science.thermometer; the others from memory."""
DISPLAY_KELVIN = {"glass": 0.5, "dial": 0.5}
"""Smallest step that is read off a scale, K; others show tenths. Common practice, no source."""
LOST_BY_A_PLATE = 0.22
"""Share of a hotplate's heat that its hot side loses to the room (derived from PotTruth's couplings, 2 kW
under a pot at 45 C). The efficiency people know is what reaches the pot, so this is in it already."""
QUICK_SECONDS, SLOW_SECONDS = (120.0, 240.0), (360.0, 600.0)
"""How long people stir the grain in, s: those who are quick at it and those who are not. Judgement."""
LEAST_LOSS_W_PER_K, MOST_LOSS_W_PER_K = 0.6, 8.0
LEAST_VESSEL_KJ_PER_K, MOST_VESSEL_KJ_PER_K = 0.3, 8.0
"""Bounds of what a pot of 15 to 50 L loses and takes up (from heat-transfer correlations, derived)."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What is really so of a pot, its thermometer and the person beside it, on every one of their days.

    reading_kelvin: standard deviation of a reading in the stirred mash. stirring_in_seconds: the time the
    grain takes to go in. spare_cooler_kelvin: how much cooler water from the spare kettle is than is said.
    """

    pot: PotTruth
    extract_factor: float
    hydrometer_bias: float
    reading_kelvin: float
    stirring_in_seconds: float
    spare_cooler_kelvin: float

    @property
    def quick(self) -> bool:
        """True if the grain goes in within four minutes."""
        return self.stirring_in_seconds <= QUICK_SECONDS[1]


@dataclass(frozen=True, slots=True)
class Accidents:
    """What one day adds to the truth of its pot: factors of what was measured out, and differences in K."""

    water_factor: float
    grain_factor: float
    grain_kelvin: float
    room_kelvin: float
    hydration: float
    spare_cooler_kelvin: float


def truth_of(schedule: Schedule, seed: int) -> Truth:
    """The truth of the pot of this seed, drawn round what the schedule says and within what pots are."""
    chance = random.Random(f"{seed} pot")
    loss = pot.usual_loss_w_per_k(schedule) * chance.lognormvariate(0.0, 0.3)
    vessel = pot.vessel_kj_per_k(schedule) * chance.lognormvariate(0.0, 0.15)
    kind = schedule.thermometer.kind
    hydration = chance.gauss(1.0, 0.3)
    efficiency = schedule.pot.heater_efficiency * chance.lognormvariate(0.0, 0.08)
    plate_kj_per_k = chance.choice((0.0, 0.8))
    before_the_plate = 1.0 / (1.0 - LOST_BY_A_PLATE) if plate_kj_per_k else 1.0
    drawn = PotTruth(
        loss_w_per_k=min(MOST_LOSS_W_PER_K, max(LEAST_LOSS_W_PER_K, loss)),
        vessel_kj_per_k=min(MOST_VESSEL_KJ_PER_K, max(LEAST_VESSEL_KJ_PER_K, vessel)),
        hydration_factor=min(1.8, max(0.4, hydration)),
        heater_efficiency=min(1.0, efficiency * before_the_plate),
        burner_kj_per_k=plate_kj_per_k,
        stirred_w_per_k=chance.uniform(60.0, 200.0),
        idle_w_per_k=chance.uniform(10.0, 30.0),
        surface_m2=pot.open_area_m2(schedule) * chance.lognormvariate(0.0, 0.1),
        room_celsius=schedule.place.room_celsius,
        boiling_celsius=pot.boiling_celsius(schedule),
        probe_lag_seconds=LAG_SECONDS[kind] * chance.lognormvariate(0.0, 0.3),
        probe_bias_kelvin=chance.gauss(0.0, bias_kelvin(schedule.thermometer))
        + schedule.thermometer.offset_kelvin,
        display_step_kelvin=DISPLAY_KELVIN.get(kind, 0.1),
    )
    return Truth(
        pot=drawn,
        extract_factor=min(1.03, chance.gauss(0.97, 0.02)),
        hydrometer_bias=chance.gauss(0.0, 0.0004),
        reading_kelvin=PLACE_OF_A_DIAL_KELVIN if kind in DISPLAY_KELVIN else PLACE_KELVIN,
        stirring_in_seconds=chance.uniform(*chance.choice((QUICK_SECONDS, SLOW_SECONDS))),
        spare_cooler_kelvin=chance.uniform(0.0, 4.0),
    )


def bias_kelvin(known: Thermometer) -> float:
    """Standard deviation of what a thermometer shows too much beyond its written offset, K."""
    if known.kind in CHECKED_KELVIN:
        return CHECKED_KELVIN[known.kind]
    if known.checked_at is not None:
        return CHECKED_OTHERWISE_KELVIN
    return thermometer.instrument_uncertainty(known.kind, known.limit_kelvin)


def accidents_of(seed: int, day: int) -> Accidents:
    """What befalls day `day`, from 1, of the pot of this seed."""
    chance = random.Random(f"{seed} day {day}")
    return Accidents(
        water_factor=chance.gauss(1.0, 0.02),
        grain_factor=chance.gauss(1.0, 0.01),
        grain_kelvin=chance.gauss(0.0, 2.0),
        room_kelvin=chance.uniform(-2.0, 2.0),
        hydration=chance.gauss(0.0, 0.08),
        spare_cooler_kelvin=chance.gauss(0.0, 0.4),
    )


def on_the_day(truth: Truth, accidents: Accidents) -> Truth:
    """The truth as it is on a day with these accidents."""
    today = replace(
        truth.pot,
        hydration_factor=max(0.3, truth.pot.hydration_factor + accidents.hydration),
        room_celsius=truth.pot.room_celsius + accidents.room_kelvin,
    )
    cooler = min(4.0, max(0.0, truth.spare_cooler_kelvin + accidents.spare_cooler_kelvin))
    return replace(truth, pot=today, spare_cooler_kelvin=cooler)


def poured_factor(seed: int, day: int, entry: int) -> float:
    """How much water really went in to that which entry `entry` of the day says, 3 % about."""
    return max(0.5, random.Random(f"{seed} day {day} entry {entry}").gauss(1.0, 0.03))
