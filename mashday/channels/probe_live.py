"""What a live thermometer is telling, and whether it can be believed: pure, every moment is handed in.

A value is shown with its age and is never better than the samples behind it: what cannot be is left out,
what jumps waits for others to agree, and what is old is not shown as a value.
"""

from __future__ import annotations

import math
import statistics
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from mashday.quantities import Units, show

LOWEST_CELSIUS, HIGHEST_CELSIUS = -55.0, 125.0
"""What a one-wire digital sensor can tell (its data sheet, from memory), and more than any mash can be."""
POWER_ON_CELSIUS = 85.0
"""What such a sensor tells before its first conversion (its data sheet, from memory)."""
POWER_ON_SLACK_KELVIN = 1e-3
NEIGHBOUR_KELVIN = 2.0
"""A sample this near the one before it makes the power-on value a temperature. Judgement, no source."""
NEIGHBOUR_SECONDS = 15.0

FASTEST_KELVIN_A_SECOND = 5.0
"""A mash is never this quick, and what is quicker waits for others that agree. Judgement, no source."""
FASTEST_FOR_SECONDS = 4.0
"""Nor for longer than this: between two values of a slow probe it moves no farther. Judgement, no source."""
ALWAYS_ALLOWED_KELVIN = 1.0
"""Samples close in time may differ by this whatever the rate: noise is no jump. Judgement, no source."""
AGREEING = 3
"""How many samples must agree before a jump is believed. Judgement, no source."""
AGREEING_SECONDS = 0.5
"""And over how long: a burst of one moment is no three samples."""

WINDOW_SECONDS = 20.0
"""Spread and slope are those of the samples of this long, or of the last few of a slow probe. Judgement."""
FEWEST_SAMPLES = 3
STEADY_SPAN_SECONDS = 12.0
STEADY_SPREAD_KELVIN = 0.6
"""One step of a thermometer that shows whole degrees Fahrenheit, and a little. Judgement, no source."""
STEADY_KELVIN_A_MINUTE = 0.5
FRESH_SECONDS = 15.0
"""An older value is not steady, and nothing to take. Judgement, no source."""
SLOPE_SPAN_SECONDS = 3.0
"""A slope is told from samples that span at least this."""
MEDIAN_OF = 3
MEDIAN_SECONDS = 10.0
MOST_LAG_KELVIN = 5.0
"""No lag is put right by more: a probe that far behind is still being put in. Judgement, no source."""
THINNED_SECONDS = 0.5
"""Of samples that come closer together one is kept for spread and slope."""
GAPS = 3
"""How far apart samples come is the middle of so many: one that did not come makes no probe slow."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A probe at one moment: celsius is true (calibrated), None where nothing can be believed.

    `age_seconds` is since the newest sample that was believed, `every_seconds` how far apart samples come,
    None where that is not known yet. `trouble` is a sentence's worth of what is wrong; a value may stand
    beside it, and is then an older one.
    """

    celsius: float | None = None
    age_seconds: float | None = None
    steady: bool = False
    rising_per_minute: float | None = None
    trouble: str | None = None
    every_seconds: float | None = None

    @property
    def is_sound(self) -> bool:
        """True for a fresh value with nothing wrong beside it: one that a person may take."""
        fresh = self.age_seconds is not None and self.age_seconds <= FRESH_SECONDS
        return self.celsius is not None and fresh and self.trouble is None

    @property
    def is_agreed(self) -> bool:
        """True where several samples are behind that: a first one alone may be anything."""
        return self.is_sound and self.rising_per_minute is not None


class _Sample(NamedTuple):
    second: float
    celsius: float


class Live:
    """The samples of one thermometer and what they come to. Seconds are on any clock that never goes back."""

    def __init__(
        self,
        begun: float,
        *,
        offset_kelvin: float = 0.0,
        slope: float = 1.0,
        lag_seconds: float | None = None,
        stale_seconds: float = 60.0,
        units: Units = "metric",
    ) -> None:
        """`begun` is when listening began; shown = offset + slope * true; `units` are those of the words."""
        self._offset = offset_kelvin
        self._slope = slope
        self._lag = lag_seconds
        self._stale = stale_seconds
        self._units = units
        self._heard = begun
        self._recent: deque[_Sample] = deque(maxlen=MEDIAN_OF)
        self._window: deque[_Sample] = deque()
        self._doubted: list[_Sample] = []
        self._told_at: float | None = None
        self._gaps: deque[float] = deque(maxlen=GAPS)
        self._lost: str | None = None
        self._trouble: str | None = None
        self._celsius: float | None = None
        self._rate: float | None = None
        self._settled = False

    def take(self, second: float, shown_celsius: float, *, retained: bool = False) -> None:
        """A sample, degC as the thermometer shows it. A retained one may be old and is never believed."""
        self._heard = second
        self._lost = None
        if retained:
            if not self._is_fresh(second):
                self._trouble = "a retained message may be old: waiting for a new one"
            return
        self._count(second)
        self._trouble = self._impossible(shown_celsius)
        if self._trouble is not None:
            return
        sample = _Sample(second, (shown_celsius - self._offset) / self._slope)
        if self._recent and second - self._recent[-1].second > self._stale:
            self._forget()
        if self._is_power_on(shown_celsius, sample):
            self._trouble = f"{self._told(shown_celsius)} is the power-on value"
        elif not self._recent or (_agree(self._recent[-1], sample) and not self._sides_with_doubted(sample)):
            self._doubted.clear()
            self._believe(sample)
        else:
            self._doubt(sample)

    def unreadable(self, second: float, words: str) -> None:
        """A line came that holds no temperature; of weight only where no other line does."""
        self._heard = second
        if not self._recent or second - self._recent[-1].second > MEDIAN_SECONDS:
            self._lost = None
            self._trouble = words

    def lost(self, second: float, words: str) -> None:
        """Nothing can be had from the thermometer, for the reason said."""
        self._lost = words

    def shown(self, now: float) -> Shown:
        """What can be said at this moment."""
        age = max(now - self._recent[-1].second, 0.0) if self._recent else None
        trouble = self._trouble_at(now)
        every = self._every()
        if age is None or age > self._stale:
            return Shown(None, age, False, None, trouble, every)
        steady = self._settled and trouble is None and age <= FRESH_SECONDS
        return Shown(self._celsius, age, steady, self._rate, trouble, every)

    def _every(self) -> float | None:
        return statistics.median_low(self._gaps) if len(self._gaps) > 1 else None

    def _count(self, second: float) -> None:
        """Notes how far apart samples come; several of one moment are one."""
        if self._told_at is not None and second - self._told_at < THINNED_SECONDS:
            return
        if self._told_at is not None:
            self._gaps.append(second - self._told_at)
        self._told_at = second

    def _trouble_at(self, now: float) -> str | None:
        silent = now - self._heard
        if self._lost is not None:
            return self._lost
        if silent > self._stale:
            return f"nothing heard for {silent:.0f} s"
        return self._trouble

    def _is_fresh(self, second: float) -> bool:
        return bool(self._recent) and second - self._recent[-1].second <= self._stale

    def _impossible(self, shown_celsius: float) -> str | None:
        if LOWEST_CELSIUS <= shown_celsius <= HIGHEST_CELSIUS:
            return None
        if not math.isfinite(shown_celsius) or abs(shown_celsius) > 1e7:
            return "what it tells is no temperature"
        return f"{show(shown_celsius, 'temperature', self._units, 0)} cannot be"

    def _is_power_on(self, shown_celsius: float, sample: _Sample) -> bool:
        if abs(shown_celsius - POWER_ON_CELSIUS) > POWER_ON_SLACK_KELVIN:
            return False
        neighbour = self._recent[-1] if self._recent else None
        return (
            neighbour is None
            or sample.second - neighbour.second > NEIGHBOUR_SECONDS
            or abs(sample.celsius - neighbour.celsius) > NEIGHBOUR_KELVIN
        )

    def _sides_with_doubted(self, sample: _Sample) -> bool:
        """Whether it lies nearer to what is in doubt: by waiting alone no jump becomes a slow one."""
        if not self._doubted:
            return False
        to_doubted = abs(sample.celsius - self._doubted[-1].celsius)
        return to_doubted < abs(sample.celsius - self._recent[-1].celsius)

    def _doubt(self, sample: _Sample) -> None:
        if self._doubted and not _agree(self._doubted[-1], sample):
            self._doubted.clear()
        self._doubted.append(sample)
        long_enough = sample.second - self._doubted[0].second >= AGREEING_SECONDS
        if len(self._doubted) >= AGREEING and long_enough:
            agreed = self._doubted[-AGREEING:]
            self._forget()
            for one in agreed:
                self._believe(one)
            return
        self._trouble = self._jumped(self._doubted[0], self._recent[-1])

    def _jumped(self, sample: _Sample, last: _Sample) -> str:
        kelvin = show(abs(sample.celsius - last.celsius), "temperature difference", self._units, 0)
        seconds = max(sample.second - last.second, 0.1)
        return f"jumped {kelvin} in {seconds:.{0 if seconds >= 1 else 1}f} s: not believed"

    def _believe(self, sample: _Sample) -> None:
        self._recent.append(sample)
        if not self._window or sample.second - self._window[-1].second >= THINNED_SECONDS:
            self._window.append(sample)
        fewest = FEWEST_SAMPLES if self._is_slow() else 1
        while len(self._window) > fewest and sample.second - self._window[0].second > WINDOW_SECONDS:
            self._window.popleft()
        seen = [*self._window] if self._window[-1] == sample else [*self._window, sample]
        a_second = _kelvin_a_second(seen)
        self._rate = None if a_second is None else 60.0 * a_second
        self._settled = (
            self._rate is not None
            and abs(self._rate) <= STEADY_KELVIN_A_MINUTE
            and seen[-1].second - seen[0].second >= STEADY_SPAN_SECONDS
            and max(seen, key=_celsius).celsius - min(seen, key=_celsius).celsius <= STEADY_SPREAD_KELVIN
        )
        self._celsius = self._smoothed(sample) + self._behind(a_second)

    def _is_slow(self) -> bool:
        """Whether the fewest samples that tell a slope may come too rarely for the window."""
        every = self._every()
        return every is None or every * (FEWEST_SAMPLES - 1) > WINDOW_SECONDS

    def _smoothed(self, newest: _Sample) -> float:
        near = (one.celsius for one in self._recent if newest.second - one.second <= MEDIAN_SECONDS)
        return statistics.median(near)

    def _behind(self, kelvin_a_second: float | None) -> float:
        """By how much a probe of known lag is behind, K: lag times slope (first-order lag, derived)."""
        if self._lag is None or kelvin_a_second is None:
            return 0.0
        return min(max(self._lag * kelvin_a_second, -MOST_LAG_KELVIN), MOST_LAG_KELVIN)

    def _forget(self) -> None:
        self._recent.clear()
        self._window.clear()
        self._doubted = []
        self._celsius = self._rate = None
        self._settled = False

    def _told(self, celsius: float) -> str:
        return show(celsius, "temperature", self._units)


def _celsius(sample: _Sample) -> float:
    return sample.celsius


def _agree(one: _Sample, other: _Sample) -> bool:
    seconds = min(abs(other.second - one.second), FASTEST_FOR_SECONDS)
    allowed = max(ALWAYS_ALLOWED_KELVIN, FASTEST_KELVIN_A_SECOND * seconds)
    return abs(other.celsius - one.celsius) <= allowed


def _kelvin_a_second(samples: Sequence[_Sample]) -> float | None:
    """Slope of the straight line of least squares, K/s; None of too few samples or too short a time."""
    if len(samples) < FEWEST_SAMPLES or samples[-1].second - samples[0].second < SLOPE_SPAN_SECONDS:
        return None
    middle = sum(one.second for one in samples) / len(samples)
    mean = sum(one.celsius for one in samples) / len(samples)
    over = sum((one.second - middle) * (one.celsius - mean) for one in samples)
    return over / sum((one.second - middle) ** 2 for one in samples)
