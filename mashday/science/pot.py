"""A simulated pot: lumped mash, vessel, hotplate and probe, for rehearsing a day.

Nothing here is random: noise and the true parameters are handed in. The heat ledger closes, so that
what was brought in is always found again in the pot or among the losses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from mashday.science import volumes, water
from mashday.science.cooling import HEAT_OF_FUSION, ICE_SPECIFIC_HEAT
from mashday.science.limits import within
from mashday.science.losses import CONVECTION_W_PER_M2_K, EVAPORATION_W_PER_M2_KPA

LUMPED = "lumped pot model"

# Half of the heat of hydration shows as the flour wets, half as water soaks into the grits. Time scales
# from the diffusivity in malt particles (Meddings and Potter 1974, Cereal Chem. 51:1); the split is
# judgement.
FAST_SHARE, FAST_SECONDS, SLOW_SECONDS = 0.5, 20.0, 600.0

_LONGEST_STEP_SECONDS = 5.0
_STEP_OF_FASTEST_MODE = 0.25
_EMPTY_KJ_PER_K = 1e-9


@dataclass(frozen=True, slots=True)
class PotTruth:
    """What is really so of a pot and its surroundings, as only a simulation can know it.

    burner_kj_per_k 0 means a flame, whose heat reaches the vessel at once; above it a hotplate that has
    to warm up and goes on giving heat after it was turned off. Defaults describe a bare 30 L steel pot
    (derived from heat-transfer correlations).
    """

    loss_w_per_k: float = 4.0
    vessel_kj_per_k: float = 2.5
    hydration_factor: float = 1.0
    heater_efficiency: float = 0.8
    burner_kj_per_k: float = 0.0
    burner_to_vessel_w_per_k: float = 8.0
    burner_to_room_w_per_k: float = 2.0
    stirred_w_per_k: float = 100.0
    idle_w_per_k: float = 15.0
    surface_m2: float = 0.0908
    room_celsius: float = 20.0
    relative_humidity: float = 0.5
    boiling_celsius: float = 99.97
    probe_lag_seconds: float = 10.0
    probe_bias_kelvin: float = 0.0
    display_step_kelvin: float = 0.1

    def __post_init__(self) -> None:
        within("heat capacity of the vessel", self.vessel_kj_per_k, 0.05, 100.0, "kJ/K", LUMPED)
        within("heat capacity of the hotplate", self.burner_kj_per_k, 0.0, 100.0, "kJ/K", LUMPED)
        for name in ("loss_w_per_k", "burner_to_vessel_w_per_k", "burner_to_room_w_per_k"):
            within(name.replace("_", " "), getattr(self, name), 0.0, 1000.0, "W/K", LUMPED)
        for name in ("stirred_w_per_k", "idle_w_per_k"):
            within(name.replace("_", " "), getattr(self, name), 0.01, 1e4, "W/K", LUMPED)
        within("hydration factor", self.hydration_factor, 0.0, 5.0, "", LUMPED)
        within("heater efficiency", self.heater_efficiency, 0.0, 1.0, "", LUMPED)
        within("surface", self.surface_m2, 0.0, 10.0, "m2", LUMPED)
        within("room temperature", self.room_celsius, -30.0, 60.0, "degC", LUMPED)
        within("relative humidity", self.relative_humidity, 0.0, 1.0, "", LUMPED)
        within("boiling point", self.boiling_celsius, 70.0, water.HOTTEST_CELSIUS, "degC", LUMPED)
        within("probe lag", self.probe_lag_seconds, 0.01, 600.0, "s", LUMPED)
        within("probe bias", self.probe_bias_kelvin, -20.0, 20.0, "K", LUMPED)
        within("display step", self.display_step_kelvin, 0.001, 5.0, "K", LUMPED)


@dataclass(slots=True)
class HeatLedger:
    """Where the heat of a simulated pot came from and went, kJ; contents count from water at 0 degC."""

    at_start_kj: float = 0.0
    fire_kj: float = 0.0
    hydration_kj: float = 0.0
    brought_kj: float = 0.0
    taken_kj: float = 0.0
    room_kj: float = 0.0
    steam_kj: float = 0.0
    coolant_kj: float = 0.0

    @property
    def expected_kj(self) -> float:
        """What the pot must hold now."""
        gained = self.fire_kj + self.hydration_kj + self.brought_kj
        return self.at_start_kj + gained - self.taken_kj - self.room_kj - self.steam_kj - self.coolant_kj


@dataclass(frozen=True, slots=True)
class Portion:
    """Mash taken out of the pot."""

    water_kg: float
    grain_kg: float
    grain_kj_per_k: float
    celsius: float

    @property
    def kj_per_k(self) -> float:
        return water.SPECIFIC_HEAT * self.water_kg + self.grain_kj_per_k


@dataclass(slots=True)
class SimulatedPot:
    """A pot with what is in it, moved on by step(). Temperatures are true ones except reading()."""

    truth: PotTruth
    water_kg: float = 0.0
    mash_celsius: float = 20.0
    vessel_celsius: float = 20.0
    burner_celsius: float = 20.0
    probe_celsius: float = 20.0
    grain_kg: float = 0.0
    grain_kj_per_k: float = 0.0
    kilowatts: float = 0.0
    lid_on: bool = True
    stirring: bool = False
    evaporated_kg: float = 0.0
    ledger: HeatLedger = field(default_factory=HeatLedger)
    _coolant_w_per_k: float = 0.0
    _coolant_celsius: float = 0.0
    _fast_kj: float = 0.0
    _slow_kj: float = 0.0

    def __post_init__(self) -> None:
        self.ledger.at_start_kj = self.stored_kj

    @property
    def contents_kj_per_k(self) -> float:
        """Heat capacity of water and grain, kJ/K."""
        return water.SPECIFIC_HEAT * self.water_kg + self.grain_kj_per_k

    @property
    def capacity_kj_per_k(self) -> float:
        """Heat capacity of contents and vessel, kJ/K."""
        return self.contents_kj_per_k + self.truth.vessel_kj_per_k

    @property
    def stored_kj(self) -> float:
        """Heat in contents, vessel and hotplate above 0 degC, kJ."""
        return (
            self.contents_kj_per_k * self.mash_celsius
            + self.truth.vessel_kj_per_k * self.vessel_celsius
            + self.truth.burner_kj_per_k * self.burner_celsius
        )

    @property
    def litres(self) -> float:
        """Volume of the contents, L."""
        celsius = min(max(self.mash_celsius, 0.0), water.HOTTEST_CELSIUS)
        return volumes.mash_litres(self.water_kg, self.grain_kg, celsius)

    def set_power(self, kilowatts: float) -> None:
        """Sets the fire, kW as paid for; heater_efficiency of it gets through."""
        self.kilowatts = within("fire", kilowatts, 0.0, 100.0, "kW", LUMPED)

    def set_coolant(self, w_per_k: float, celsius: float) -> None:
        """Puts a coil or bath to work: heat carried off per kelvin above its temperature; 0 takes it away."""
        self._coolant_w_per_k = within("heat carried off", w_per_k, 0.0, 1e4, "W/K", LUMPED)
        self._coolant_celsius = within("coolant temperature", celsius, -20.0, 60.0, "degC", LUMPED)

    def add_water(self, kg: float, celsius: float) -> None:
        """Pours water in and mixes it at once."""
        within("added water", kg, 0.0, 1e4, "kg", LUMPED)
        within("temperature of the added water", celsius, 0.0, water.HOTTEST_CELSIUS, "degC", LUMPED)
        self._mix_in(water.SPECIFIC_HEAT * kg, water.SPECIFIC_HEAT * kg * celsius)
        self.water_kg += kg

    def add_ice(self, kg: float, celsius: float = 0.0) -> None:
        """Melts ice in the pot at once; OutOfRange when there is not heat enough for all of it."""
        within("ice temperature", celsius, -40.0, 0.0, "degC", LUMPED)
        owed_kj_per_kg = HEAT_OF_FUSION - ICE_SPECIFIC_HEAT * celsius
        most = self.contents_kj_per_k * self.mash_celsius / owed_kj_per_kg
        within("ice", kg, 0.0, most, "kg", "what the contents can melt")
        self._mix_in(water.SPECIFIC_HEAT * kg, -kg * owed_kj_per_kg)
        self.water_kg += kg

    def add_grain(self, kj_per_k: float, celsius: float, hydration_kj: float, kg: float) -> None:
        """Doughs grain in: mixed at once, its heat of hydration following over minutes."""
        within("heat capacity of the grain", kj_per_k, 0.0, 1e4, "kJ/K", LUMPED)
        within("grain temperature", celsius, -40.0, 90.0, "degC", LUMPED)
        within("heat of hydration", hydration_kj, 0.0, 1e5, "kJ", LUMPED)
        within("grain", kg, 0.0, 1e4, "kg", LUMPED)
        self._mix_in(kj_per_k, kj_per_k * celsius)
        self.grain_kj_per_k += kj_per_k
        self.grain_kg += kg
        shown_kj = self.truth.hydration_factor * hydration_kj
        self._fast_kj += FAST_SHARE * shown_kj
        self._slow_kj += (1.0 - FAST_SHARE) * shown_kj

    def take_out(self, share: float) -> Portion:
        """Takes a share (0-1) of the mash out, water and grain alike, as for a decoction."""
        within("share taken out", share, 0.0, 1.0, "", LUMPED)
        portion = Portion(
            share * self.water_kg, share * self.grain_kg, share * self.grain_kj_per_k, self.mash_celsius
        )
        self.ledger.taken_kj += portion.kj_per_k * portion.celsius
        self.water_kg -= portion.water_kg
        self.grain_kg -= portion.grain_kg
        self.grain_kj_per_k -= portion.grain_kj_per_k
        self._fast_kj *= 1.0 - share
        self._slow_kj *= 1.0 - share
        return portion

    def put_back(self, portion: Portion, celsius: float) -> None:
        """Returns a portion at a temperature and mixes it at once."""
        within("temperature of the returned pull", celsius, 0.0, water.HOTTEST_CELSIUS, "degC", LUMPED)
        self._mix_in(portion.kj_per_k, portion.kj_per_k * celsius)
        self.water_kg += portion.water_kg
        self.grain_kg += portion.grain_kg
        self.grain_kj_per_k += portion.grain_kj_per_k

    def draw_off(self, kg: float) -> None:
        """Runs liquid off, leaving the grain; OutOfRange beyond the water there is."""
        within("liquid drawn off", kg, 0.0, self.water_kg, "kg", "what is in the pot")
        self.ledger.taken_kj += water.SPECIFIC_HEAT * kg * self.mash_celsius
        self.water_kg -= kg

    def reading(self, noise: float = 0.0) -> float:
        """What the thermometer shows, degC: lagging, biased, with the noise handed in, in display steps."""
        step = self.truth.display_step_kelvin
        shown = round((self.probe_celsius + self.truth.probe_bias_kelvin + noise) / step) * step
        return round(shown, 6)

    def step(self, seconds: float) -> None:
        """Lets time pass, by fourth-order Runge-Kutta in steps that follow the fastest mode."""
        within("time", seconds, 0.0, 1e7, "s", LUMPED)
        remaining = seconds
        while remaining > 1e-9:
            part = remaining / math.ceil(remaining / self._longest_step())
            self._advance(part)
            remaining -= part

    def _mix_in(self, kj_per_k: float, heat_kj: float) -> None:
        whole = self.contents_kj_per_k + kj_per_k
        if whole > _EMPTY_KJ_PER_K:
            self.mash_celsius = (self.contents_kj_per_k * self.mash_celsius + heat_kj) / whole
        self.ledger.brought_kj += heat_kj

    def _coupling_w_per_k(self) -> float:
        """From the vessel to what is in it: water without grain moves by itself, as if it were stirred."""
        if self.contents_kj_per_k <= _EMPTY_KJ_PER_K:
            return 0.0
        moves = self.stirring or self.grain_kg <= 0.0
        return self.truth.stirred_w_per_k if moves else self.truth.idle_w_per_k

    def _longest_step(self) -> float:
        truth, coupling = self.truth, self._coupling_w_per_k()
        fastest = (coupling + truth.loss_w_per_k + truth.burner_to_vessel_w_per_k) / truth.vessel_kj_per_k
        if coupling > 0.0:
            surface = 0.0 if self.lid_on else 500.0 * truth.surface_m2
            fastest = max(fastest, (coupling + self._coolant_w_per_k + surface) / self.contents_kj_per_k)
        if truth.burner_kj_per_k > 0.0:
            plate = truth.burner_to_vessel_w_per_k + truth.burner_to_room_w_per_k
            fastest = max(fastest, plate / truth.burner_kj_per_k)
        return min(_LONGEST_STEP_SECONDS, _STEP_OF_FASTEST_MODE * 1000.0 / fastest)

    def _advance(self, seconds: float) -> None:
        before = self.mash_celsius
        fast = -self._fast_kj * math.expm1(-seconds / FAST_SECONDS)
        slow = -self._slow_kj * math.expm1(-seconds / SLOW_SECONDS)
        self._fast_kj -= fast
        self._slow_kj -= slow
        self.ledger.hydration_kj += fast + slow
        self._integrate(seconds, 1000.0 * (fast + slow) / seconds)
        if self.contents_kj_per_k <= _EMPTY_KJ_PER_K:
            self.mash_celsius = self.vessel_celsius
        elif self.mash_celsius > self.truth.boiling_celsius:
            self._boil_away()
        slope = (self.mash_celsius - before) / seconds
        lag = self.truth.probe_lag_seconds
        behind = self.probe_celsius - before + slope * lag
        self.probe_celsius = self.mash_celsius - slope * lag + behind * math.exp(-seconds / lag)

    def _integrate(self, seconds: float, hydration_watts: float) -> None:
        start = (self.mash_celsius, self.vessel_celsius, self.burner_celsius)
        k1 = self._rates(start, hydration_watts)
        k2 = self._rates(_moved(start, k1, seconds / 2.0), hydration_watts)
        k3 = self._rates(_moved(start, k2, seconds / 2.0), hydration_watts)
        k4 = self._rates(_moved(start, k3, seconds), hydration_watts)
        mean = [(a + 2.0 * b + 2.0 * c + d) / 6.0 for a, b, c, d in zip(k1, k2, k3, k4, strict=True)]
        self.mash_celsius += seconds * mean[0]
        self.vessel_celsius += seconds * mean[1]
        self.burner_celsius += seconds * mean[2]
        self.ledger.room_kj += seconds * mean[3] / 1000.0
        self.ledger.coolant_kj += seconds * mean[4] / 1000.0
        self.ledger.fire_kj += seconds * self._fire_watts() / 1000.0
        self._lose_steam(seconds * mean[5] / 1000.0)

    def _fire_watts(self) -> float:
        return 1000.0 * self.kilowatts * self.truth.heater_efficiency

    def _rates(self, celsius: tuple[float, float, float], hydration_watts: float) -> tuple[float, ...]:
        """Kelvin per second of mash, vessel and hotplate; watts to the room, the coolant and into vapour."""
        truth, (mash, vessel, burner) = self.truth, celsius
        from_vessel = self._coupling_w_per_k() * (vessel - mash)
        to_room = truth.loss_w_per_k * (vessel - truth.room_celsius)
        into_vessel = -from_vessel - to_room
        burner_rate = 0.0
        if truth.burner_kj_per_k > 0.0:
            from_burner = truth.burner_to_vessel_w_per_k * (burner - vessel)
            burner_loss = truth.burner_to_room_w_per_k * (burner - truth.room_celsius)
            burner_rate = (self._fire_watts() - from_burner - burner_loss) / (1000.0 * truth.burner_kj_per_k)
            into_vessel += from_burner
            to_room += burner_loss
        else:
            into_vessel += self._fire_watts()
        to_coolant = vapour = mash_rate = 0.0
        if self.contents_kj_per_k > _EMPTY_KJ_PER_K:
            to_coolant = self._coolant_w_per_k * (mash - self._coolant_celsius)
            convected = 0.0
            if not self.lid_on:
                convected = truth.surface_m2 * CONVECTION_W_PER_M2_K * (mash - truth.room_celsius)
                vapour = truth.surface_m2 * EVAPORATION_W_PER_M2_KPA * self._vapour_excess_kpa(mash)
                to_room += convected
            into_mash = from_vessel + hydration_watts - to_coolant - convected - vapour
            mash_rate = into_mash / (1000.0 * self.contents_kj_per_k)
        vessel_rate = into_vessel / (1000.0 * truth.vessel_kj_per_k)
        return mash_rate, vessel_rate, burner_rate, to_room, to_coolant, vapour

    def _vapour_excess_kpa(self, celsius: float) -> float:
        room = self.truth.relative_humidity * water.saturation_pressure_kpa(max(0.0, self.truth.room_celsius))
        return max(0.0, water.saturation_pressure_kpa(min(max(celsius, 0.0), 110.0)) - room)

    def _boil_away(self) -> None:
        excess_kj = self.contents_kj_per_k * (self.mash_celsius - self.truth.boiling_celsius)
        self.mash_celsius = self.truth.boiling_celsius
        self._lose_steam(excess_kj)

    def _lose_steam(self, latent_kj: float) -> None:
        celsius = min(max(self.mash_celsius, 0.0), water.HOTTEST_CELSIUS)
        kg = min(self.water_kg, latent_kj / water.latent_heat(celsius))
        self.water_kg -= kg
        self.evaporated_kg += kg
        self.ledger.steam_kj += latent_kj + water.SPECIFIC_HEAT * kg * self.mash_celsius


def _moved(
    start: tuple[float, float, float], rates: tuple[float, ...], seconds: float
) -> tuple[float, float, float]:
    return (
        start[0] + seconds * rates[0],
        start[1] + seconds * rates[1],
        start[2] + seconds * rates[2],
    )
