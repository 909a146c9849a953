"""The summary of days written down fact by fact: nothing lost, nothing made up, everything marked."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import count
from typing import Any

import pytest
from days import BARLEY, BEGAN, Day, gravity

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.belief import Fitted
from mashday.engine.fold import replay
from mashday.engine.lessons import Lesson
from mashday.engine.state import State
from mashday.quantities import Units
from mashday.report.pot_taught import taught_rows, taught_values
from mashday.report.summary import Summary, summary
from mashday.report.values import summary_values
from mashday.report.words import summary_words
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import sample_names, sample_text

KEYS: dict[str, tuple[str, ...]] = {
    "": (
        "schedule", "pot", "started", "ended", "state", "rehearsed", "steps", "readings", "additions",
        "remedies", "expected", "measured", "calls", "notes", "learned",
    ),
    "steps": ("number", "kind", "planned_minutes", "actual_minutes", "target_celsius", "held_celsius"),
    "readings": (
        "seq", "minute", "quantity", "value", "unit", "typed", "celsius", "gravity", "sample_celsius",
        "place", "voided", "corrects",
    ),
    "additions": ("minute", "litres_cold", "litres_as_poured", "celsius", "after_celsius"),
    "remedies": ("minute", "offered", "taken", "result_celsius"),
    "calls": ("what", "late_seconds"),
    "expected": (
        "first_runnings_gravity", "wash_gravity", "wash_litres", "conversion", "final_gravity", "abv_percent",
    ),
    "measured": (
        "first_runnings_gravity", "wash_gravity", "wash_litres", "conversion", "final_gravity", "abv_percent",
    ),
}  # fmt: skip
"""The public keys; there may be more, never fewer."""


class Book:
    """A log of facts written down by hand, at minutes of the day."""

    def __init__(self, schedule: str = BARLEY) -> None:
        self.schedule: Schedule = load(schedule)
        self.entries: list[f.Entry] = []
        self._seq = count(1)

    def at(self, minute: float, *found: f.Fact) -> int:
        """Writes facts down and returns the number of the first."""
        numbers = [next(self._seq) for _ in found]
        for number, fact in zip(numbers, found, strict=True):
            wall = BEGAN + timedelta(minutes=minute)
            self.entries.append(f.Entry(number, numbers[0], 60.0 * minute, wall, fact))
        return numbers[0]

    def start(self) -> Book:
        """The file opened, the day and its first step begun."""
        self.at(0.0, f.Opened("0", "boot", 5.0), f.DayStarted(), f.StepBegun(1))
        return self

    def through(self, number: int, minute: float) -> Book:
        """All steps up to `number`, one right after the other, the last of them begun at `minute`."""
        self.start()
        for step in range(1, number):
            self.at(minute, f.StepEnded(step, "done"), f.StepBegun(step + 1))
        return self

    @property
    def state(self) -> State:
        return replay(self.entries)

    def summary(self, *, rehearsed: bool = False) -> Summary:
        return summary(self.schedule, self.state, at=clock, rehearsed=rehearsed)

    def values(self) -> dict[str, Any]:
        return summary_values(self.summary())

    def words(self, units: Units = "metric") -> str:
        return summary_words(self.summary(), units)


def clock(t: float) -> datetime:
    return BEGAN + timedelta(seconds=t)


def read(
    celsius: float, step: int = 4, subject: f.Subject = "mash", typed: str | None = None, **more: Any
) -> f.ReadingTaken:
    words = f"{celsius}" if typed is None else typed
    return f.ReadingTaken(step, "temperature", subject, celsius, "C", words, celsius=celsius, **more)


def read_gravity(
    value: float, step: int, subject: f.Subject, *, unit: str = "SG", shown: float | None = None, **more: Any
) -> f.ReadingTaken:
    typed = value if shown is None else shown
    return f.ReadingTaken(step, "gravity", subject, typed, unit, f"{typed}", gravity=value, **more)


def read_volume(litres: float, step: int, subject: f.Subject) -> f.ReadingTaken:
    return f.ReadingTaken(step, "volume", subject, litres, "L", f"{litres} L", litres=litres)


def hot_water(offer: int, celsius: float, option: int = 1, **more: Any) -> f.RemedyOffered:
    return f.RemedyOffered(
        offer, option, 4, "hot water", True, celsius, 63.0, 63.0,
        **{"litres": 1.2, "water_celsius": 97.0, "kilograms": 1.15, **more},
    )  # fmt: skip


def full() -> Book:
    """One day with something in every section."""
    book = Book().through(4, 40.0)
    low = book.at(46.0, read(60.9), f.CallAnswered("c1", "temperature in rest", 75.0))
    book.at(46.0, hot_water(low, 60.9), f.RemedyOffered(low, 2, 4, "leave it", True, 60.9, 63.0, 60.9))
    book.at(47.0, f.RemedyTaken(low, 1))
    book.at(49.0, f.WaterAdded(4, 1.1, 1.056, 97.0, "1.1 L", offer=low))
    wrong = book.at(53.0, read(26.7, kept=True), f.CallAnswered("c2", "temperature in rest", 0.0))
    book.at(54.0, f.ReadingCorrected(wrong, 62.7, "C", "62.7", celsius=62.7))
    void = book.at(60.0, read(58.0))
    book.at(61.0, f.ReadingVoided(void))
    struck = book.at(62.0, read(71.0))
    book.at(62.5, f.Undone((struck,), "temperature 71.0 C"))
    book.at(63.0, f.NoteWritten(4, "the lid rattles"))
    book.at(70.0, read(62.9, assumed=True))
    book.at(80.0, read(62.1, spots=(61.9, 62.3)), f.CallAnswered("c3", "time of rest over", 310.0))
    for step in (4, 5):
        book.at(102.0, f.StepEnded(step, "done"), f.StepBegun(step + 1))
    book.at(110.0, read_gravity(1.074, 6, "wort", shown=1.073, sample_celsius=24.0, trust="kept"))
    book.at(120.0, read_volume(19.8, 6, "wort"))
    for step in (6, 7):
        book.at(125.0, f.StepEnded(step, "done"), f.StepBegun(step + 1))
    book.at(150.0, read(23.5, 8, "wash"), read_gravity(1.062, 8, "wash"), read_volume(19.4, 8, "wash"))
    book.at(152.0, f.StepEnded(8, "done"), f.StepBegun(9))
    book.at(170.0, f.StepEnded(9, "done"), f.DayEnded("complete"))
    return book


@pytest.fixture(scope="module")
def values() -> dict[str, Any]:
    return full().values()


@pytest.mark.parametrize("part", KEYS)
def test_every_public_key_is_there(values: dict[str, Any], part: str) -> None:
    found = values if part == "" else values[part]
    for one in found if isinstance(found, list) else [found]:
        assert [key for key in KEYS[part] if key not in one] == []
    assert found


def test_it_is_plain_json(values: dict[str, Any]) -> None:
    assert json.loads(json.dumps(values, allow_nan=False)) == values


def test_the_day_has_its_moments_and_its_ending(values: dict[str, Any]) -> None:
    assert datetime.fromisoformat(values["started"]) == BEGAN
    assert datetime.fromisoformat(values["ended"]) == BEGAN + timedelta(minutes=170)
    assert (values["state"], values["rehearsed"]) == ("complete", False)
    assert "Complete. 2026-10-03, 10:00 to 12:50 (2 h 50 min)." in full().words()


def test_no_reading_is_lost_and_each_says_what_became_of_it(values: dict[str, Any]) -> None:
    told = [
        (r["typed"], r["celsius"], r["voided"], r["corrects"], r["assumed"])
        for r in values["readings"]
        if r["quantity"] == "temperature" and r["step"] == 4
    ]
    assert told == [
        ("60.9", 60.9, False, None, False),
        ("62.7", 62.7, False, "26.7", False),
        ("58.0", 58.0, True, None, False),
        ("71.0", 71.0, True, None, False),
        ("62.9", 62.9, False, None, True),
        ("62.1", 62.1, False, None, False),
    ]
    assert values["undone"] == ["temperature 71.0 C"]


@pytest.mark.parametrize(
    "line",
    [
        "10:53  mash temperature  62.7 C  (doubted and kept; first entered 26.7)",
        "11:00  mash temperature  58.0 C  (struck out, does not count)",
        "11:02  mash temperature  71.0 C  (struck out, does not count)",
        "11:10  mash temperature  62.9 C  (assumed, not read)",
        "11:20  mash temperature  62.1 C  (mean of 61.9 C, 62.3 C)",
        "11:50  wort gravity  1.0740, read as 1.073 at 24.0 C",
        "12:30  wash gravity  1.0620",
        "12:00  wort volume  19.8 L",
        "10:49  1.10 L at 97.0 C (1.06 L cold), then 62.7 C",
        "10:46  read 60.9 C for 63.0 C: hot water, 1.20 L advised, to land at 63.0 C; came to 62.7 C",
        "3 answered, on average 2 min 08 s after they were due",
        "the latest: time of rest over, 5 min 10 s late",
        "11:03  the lid rattles",
        "temperature 71.0 C",
    ],
)
def test_the_words_say_it_line_by_line(line: str) -> None:
    unfolded = " ".join(full().words().split())
    assert " ".join(line.split()) in unfolded


def test_only_readings_that_count_hold_a_rest() -> None:
    # derived: trapezia through 60.9 at 46, 62.7 at 53 and 62.1 at 80 minutes
    held = ((60.9 + 62.7) / 2 * 7 + (62.7 + 62.1) / 2 * 27) / 34
    assert full().summary().steps[3].held_celsius == pytest.approx(held)


def test_what_is_measured_is_what_was_read(values: dict[str, Any]) -> None:
    measured = values["measured"]
    assert (measured["first_runnings_gravity"], measured["wash_gravity"]) == (1.074, 1.062)
    assert measured["wash_litres"] == 19.4
    # derived: 1.074 is 17.94 P; dry extract 5 x 0.96 x 0.80 = 3.84 kg; liquid 14.97 + 1.06 water + 0.2
    # moisture, 0.1794 / 0.8206 x 16.23 = 3.55 kg dissolved
    assert measured["conversion"] == pytest.approx(3.55 / 3.84, abs=0.01)


def test_a_gravity_of_the_rinsed_wort_is_no_first_runnings() -> None:
    book = Book().through(6, 100.0)
    book.at(110.0, read_gravity(1.074, 6, "wort"))
    book.at(125.0, read_gravity(1.058, 6, "wort"), f.StepEnded(6, "done"), f.StepBegun(7))
    book.at(130.0, read_gravity(1.058, 7, "wort"))
    assert book.values()["measured"]["first_runnings_gravity"] == 1.074


def test_a_gravity_of_the_mash_counts_until_the_runnings_are_read() -> None:
    book = Book().through(4, 40.0)
    book.at(60.0, read_gravity(1.060, 4, "mash"))
    book.at(90.0, read_gravity(1.071, 4, "mash"))
    assert book.values()["measured"]["first_runnings_gravity"] == 1.071


def test_what_runs_off_before_a_boil_is_not_the_wash() -> None:
    boiled = Book(
        BARLEY.replace(
            '[[step]]\nkind = "cool"', '[[step]]\nkind = "boil"\ntime = "60 min"\n[[step]]\nkind = "cool"'
        )
    )
    for book, litres in ((Book(), 19.8), (boiled, None)):
        book.through(6, 100.0).at(120.0, read_volume(19.8, 6, "wort"))
        assert book.values()["measured"]["wash_litres"] == litres


@pytest.mark.parametrize("kept", [0.98, 0.998, 1.2])
def test_a_gravity_that_no_mash_can_have_is_shown_and_nothing_is_reckoned_from_it(kept: float) -> None:
    book = Book().through(6, 100.0)
    book.at(110.0, read_gravity(kept, 6, "wort", kept=True))
    measured = book.values()["measured"]
    assert (measured["first_runnings_gravity"], measured["conversion"]) == (kept, None)
    assert f"wort gravity  {kept:.4f}  (doubted and kept)" in book.words()


def test_an_assumed_gravity_or_volume_is_not_measured() -> None:
    book = Book().through(6, 100.0)
    book.at(110.0, read_gravity(1.07, 6, "wort", assumed=True))
    assert set(book.values()["measured"].values()) == {None}


@pytest.mark.parametrize(
    ("unit", "shown", "sample", "told"),
    [
        ("SG", 1.06, None, "1.0610\n"),
        ("SG", 1.06, 24.0, "1.0610, read as 1.060 at 24.0 C"),
        ("P", 15.1, 24.0, "1.0610, read as 15.1 P at 24.0 C"),
        ("Bx", 15.6, None, "1.0610, read as 15.6 Bx"),
    ],
)
def test_a_gravity_is_told_with_what_was_read(
    unit: str, shown: float, sample: float | None, told: str
) -> None:
    book = Book().through(6, 100.0)
    book.at(110.0, read_gravity(1.061, 6, "wort", unit=unit, shown=shown, sample_celsius=sample))
    assert f"wort gravity  {told}" in book.words()


def remedied(answer: Callable[[Book, int], object]) -> Book:
    book = Book().through(4, 40.0)
    low = book.at(46.0, read(61.0))
    ways = hot_water(low, 61.0), f.RemedyOffered(low, 2, 4, "fire", True, 61.0, 63.0, 63.0, minutes=6.0)
    book.at(46.0, *ways)
    answer(book, low)
    book.at(60.0, read(62.8))
    return book


@pytest.mark.parametrize(
    ("answer", "taken", "result", "told"),
    [
        (
            lambda book, of: book.at(47.0, f.RemedyTaken(of, 2)),
            "fire",
            62.8,
            "fire, 6 min, to land at 63.0 C",
        ),
        (lambda book, of: book.at(47.0, f.RemedyLeft(of)), "left", None, "left as it was"),
        (lambda book, of: None, "not answered", None, "offered, not answered"),
    ],
)
def test_a_remedy_says_how_it_was_answered(
    answer: Callable[[Book, int], object], taken: str, result: float | None, told: str
) -> None:
    book = remedied(answer)
    (remedy,) = book.values()["remedies"]
    assert (remedy["taken"], remedy["result_celsius"]) == (taken, result)
    assert [way["way"] for way in remedy["offered"]] == ["hot water", "fire"]
    assert told in book.words()


def test_water_that_nothing_was_read_after_says_so() -> None:
    book = Book().through(4, 40.0)
    low = book.at(46.0, read(61.0))
    book.at(46.0, hot_water(low, 61.0))
    book.at(47.0, f.RemedyTaken(low, 1))
    book.at(49.0, f.WaterAdded(4, 1.2, 1.15, 97.0, "unknown", offer=low, assumed=True))
    assert book.words().count("not read after it") == 2
    assert "(assumed)" in book.words()
    assert book.values()["additions"][0]["after_celsius"] is None


def test_a_remedy_of_a_reading_since_corrected_or_voided_is_marked() -> None:
    for change in (
        lambda of: f.ReadingCorrected(of, 63.0, "C", "63.0", celsius=63.0),
        f.ReadingVoided,
    ):
        book = remedied(lambda book, of: book.at(47.0, f.RemedyTaken(of, 1)))
        number = book.state.readings[0].number
        book.at(61.0, change(number))
        assert book.values()["remedies"][0]["stale"] is True
        assert "worked out from a reading since corrected" in " ".join(book.words().split())


def test_an_undone_remedy_is_gone_and_its_undoing_told() -> None:
    book = Book().through(4, 40.0)
    low = book.at(46.0, read(61.0))
    offered = book.at(46.0, hot_water(low, 61.0))
    poured = book.at(49.0, f.WaterAdded(4, 1.2, 1.15, 97.0, "1.2 L"))
    book.at(50.0, f.Undone((poured,), "1.2 L of water"))
    book.at(51.0, f.Undone((low, offered), "temperature 61.0 C"))
    told = book.values()
    assert told["additions"] == told["remedies"] == []
    assert "TAKEN BACK\n  1.2 L of water\n  temperature 61.0 C\n" in book.words()


def test_another_amount_than_planned_is_told() -> None:
    book = Book().through(3, 30.0)
    book.at(31.0, f.AmountGiven(3, "grain", 4.8, "4.8 kg", name="pale barley malt"))
    book.at(31.0, f.AmountGiven(2, "water", 14.2, "14.2 L"))
    told = book.words()
    assert "grain pale barley malt: 4.8 kg, in step 3" in told and "water: 14.2 L, in step 2" in told


def test_time_away_is_told_with_how_surely_it_is_known() -> None:
    book = Book().through(4, 40.0)
    book.at(60.0, f.Opened("0", "boot", 9.0, 720.0, "exact"))
    book.at(80.0, f.Opened("0", "other", 9.0, 300.0, "estimated"))
    told = book.words()
    assert "11:00  back after 12 min, by the machine's own clock" in told
    assert "11:20  back after 5 min, estimated by the wall clock" in told


@pytest.mark.parametrize(
    ("ending", "told"),
    [
        ((f.NoteWritten(4, "away for a moment"),), "Still open."),
        ((f.Held(),), "Still open, held."),
        ((f.DayEnded("early", "the rest"),), "Ended early."),
        ((f.DayEnded("aborted"),), "Given up."),
    ],
)
def test_every_ending_has_its_words(ending: tuple[f.Fact, ...], told: str) -> None:
    book = Book().through(4, 40.0)
    book.at(70.0, *ending)
    head = book.words().splitlines()
    assert head[1].startswith(told) and "10:00 to 1" in head[1]
    assert ("Left: the rest." in head) is (told == "Ended early.")
    assert "not begun" in book.words()


def test_a_step_left_out_or_begun_by_itself_is_told_as_it_was() -> None:
    book = Book().through(5, 40.0)
    book.at(42.0, f.StepEnded(5, "skipped"), f.StepBegun(6, by_itself=True))
    book.at(50.0, f.NoteWritten(6, "dripping"))
    steps = book.values()["steps"]
    assert [step["how"] for step in steps[3:7]] == ["done", "skipped", "under way", "not begun"]
    assert steps[5]["actual_minutes"] == 8.0
    assert "skipped" in book.words()


def test_the_person_s_units_are_shown_and_json_stays_metric() -> None:
    book = full()
    us = book.words("us")
    assert "144.9 F" in us and "qt" in us and " C " not in us
    book.at(171.0, f.UnitsChosen("us"))
    assert book.values()["readings"] == full().values()["readings"]


HOSTILE = "a\x1b]0;x\x07b\x9b2Jc\u202ed\u200be\nf\x00g"


def test_words_from_outside_are_cleaned_before_they_are_shown() -> None:
    book = Book(BARLEY.replace("Lock Seven barley wash", "[/red]{0} %s $(x) `x`")).through(4, 40.0)
    number = book.at(46.0, read(62.0, typed=HOSTILE))
    book.at(46.0, f.ReadingCorrected(number, 63.0, "C", HOSTILE, celsius=63.0))
    book.at(47.0, f.NoteWritten(4, HOSTILE), f.NoteWritten(4, HOSTILE * 40))
    book.at(47.0, f.AmountGiven(3, "grain", 4.8, HOSTILE))
    struck = book.at(48.0, f.NoteWritten(4, HOSTILE))
    book.at(49.0, f.Undone((struck,), HOSTILE), f.DayEnded("early", HOSTILE))
    for told in (book.words("metric"), book.words("us"), json.dumps(book.values())):
        assert all(character.isprintable() for character in told.replace("\n", ""))
    assert "[/red]{0} %s $(x) `x`" in book.words()
    assert max(map(len, book.words().splitlines())) <= 80


def test_a_name_with_control_characters_is_not_even_loaded() -> None:
    from mashday.schedule.door import BadSchedule  # noqa: PLC0415

    with pytest.raises(BadSchedule, match="escape character"):
        load(BARLEY.replace("Lock Seven barley wash", "x\\u001b[2Jy"))


def lived(name: str) -> Book:
    """Every step of a sample begun and ended, with a cool reading and a remedy in each rest."""
    book = Book(sample_text(name)).start()
    minute = 0.0
    for number, step in enumerate(book.schedule.steps, 1):
        if number > 1:
            book.at(minute, f.StepBegun(number))
        minute += 7.5
        if step.kind == "rest":
            low = book.at(minute, read(55.55, number))
            way = f.RemedyOffered(
                low, 1, number, "hot water", True, 55.55, 66.66, 66.66,
                litres=11.11, water_celsius=97.0, kilograms=10.9,
            )  # fmt: skip
            book.at(minute, way)
            book.at(minute, f.RemedyTaken(low, 1))
            book.at(minute, f.WaterAdded(number, 11.11, 10.9, 97.0, "x", offer=low, assumed=True))
            minute += 7.5
            book.at(minute, read(66.66, number, spots=(66.5, 66.7, 66.8), kept=True))
            book.at(minute, f.CallAnswered(f"{number}", f"time of {step.title or step.kind} over", 3700.0))
        book.at(minute, f.NoteWritten(number, "word " * 60), f.StepEnded(number, "done"))
    book.at(minute, f.DayEnded("complete"))
    return book


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", sample_names())
def test_every_sample_fits_eighty_columns_however_the_day_went(name: str, units: Units) -> None:
    book = lived(name)
    told = book.words(units)
    assert max(map(len, told.splitlines())) <= 80
    assert told.startswith(f"SUMMARY  {book.schedule.name}\nComplete.")
    assert len(book.values()["remedies"]) == sum(step.kind == "rest" for step in book.schedule.steps)


def test_a_rehearsed_day_says_that_it_was_one() -> None:
    made = full().summary(rehearsed=True)
    assert "A rehearsed day, beside a simulated pot." in summary_words(made, "metric")
    assert summary_values(made)["rehearsed"] is True


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(59.7, "60 s"), (119.7, "2 min 00 s"), (179.7, "3 min 00 s"), (3599.9, "60 min 00 s")],
)
def test_no_call_is_sixty_seconds_and_some_minutes_late(seconds: float, told: str) -> None:
    book = Book().through(4, 40.0)
    book.at(60.0, f.CallAnswered("c", "time of rest over", seconds))
    assert f"1 answered, on average {told} after" in book.words()


def test_no_day_lasts_some_hours_and_sixty_minutes() -> None:
    book = Book().through(4, 40.0)
    book.at(179.8, f.DayEnded("early"))
    assert "(3 h 00 min)" in book.words()


def test_planned_stands_beside_actual_with_clock_times() -> None:
    told = Book().through(4, 40.0)
    told.at(46.0, read(62.0), f.StepEnded(3, "done"))
    steps = told.values()["steps"]
    starts = 0.0
    for step in steps:
        assert step["planned_minute"] == pytest.approx(starts, abs=0.3)
        starts += step["planned_minutes"]
    assert " 4 rest                    10:59   60 min  10:40" in told.words()


def test_an_amount_is_told_with_what_was_planned() -> None:
    book = Book().through(3, 30.0)
    book.at(31.0, f.AmountGiven(3, "grain", 4.0, "4 kg"))
    book.at(32.0, f.AmountGiven(3, "grain", 4.8, "4.8 kg"), f.AmountGiven(2, "water", 14.2, "14.2 L"))
    given = [(a["what"], a["planned"], a["given"], a["typed"]) for a in book.values()["amounts"]]
    assert given == [("grain", 5.0, 4.8, "4.8 kg"), ("water", 15.0, 14.2, "14.2 L")]
    assert "planned 5.00 kg" in book.words() and "planned 4.0 gal" in book.words("us")


def test_what_was_offered_is_told_whether_it_was_taken_or_not() -> None:
    taken = remedied(lambda book, of: book.at(47.0, f.RemedyTaken(of, 1)))
    left = remedied(lambda book, of: book.at(47.0, f.RemedyLeft(of)))
    assert "also offered fire, 6 min" in " ".join(taken.words().split())
    assert "left as it was; the ways were hot water, 1.20 L or fire, 6 min" in " ".join(left.words().split())


def test_a_remedy_of_a_reading_mistyped_first_is_not_stale() -> None:
    book = Book().through(4, 40.0)
    wrong = book.at(46.0, read(26.9, kept=True))
    right = book.at(47.0, f.ReadingCorrected(wrong, 60.9, "C", "60.9", celsius=60.9))
    book.at(47.0, hot_water(right, 60.9))
    assert book.values()["remedies"][0]["stale"] is False
    book.at(48.0, f.ReadingCorrected(wrong, 62.9, "C", "62.9", celsius=62.9))
    assert book.values()["remedies"][0]["stale"] is True


def test_an_end_gravity_read_days_later_gives_the_alcohol_and_leaves_the_wash_alone() -> None:
    book = full()
    book.at(170.0 + 5 * 24 * 60, read_gravity(0.998, 9, "wash"))
    measured = book.values()["measured"]
    assert (measured["wash_gravity"], measured["final_gravity"]) == (1.062, 0.998)
    # published: (OG - FG) x 131.25, common practice for weak washes, within half a percent by volume
    assert measured["abv_percent"] == pytest.approx(131.25 * (1.062 - 0.998), abs=0.5)
    assert "0.998\n" in book.words()


@pytest.mark.parametrize("later", [0.95, 1.07])
def test_no_alcohol_is_reckoned_from_an_end_gravity_that_no_wash_can_have(later: float) -> None:
    book = full()
    book.at(9000.0, read_gravity(later, 9, "wash", kept=True))
    assert (book.values()["measured"]["final_gravity"], book.values()["measured"]["abv_percent"]) == (
        later,
        None,
    )


def test_a_day_ended_in_mid_step_stops_its_clock_and_says_what_was_not_done() -> None:
    book = Book().through(4, 40.0)
    book.at(70.0, f.DayEnded("early"))
    book.at(300.0, f.NoteWritten(4, "the gas was empty"))
    told = book.values()
    assert (told["state"], told["ending"]) == ("complete", "early")
    assert (told["steps"][3]["how"], told["steps"][3]["actual_minutes"]) == ("broken off", 30.0)
    assert "Not done: 4 rest, 5 starch-check, 6 separate, 7 cool, 8 pitch, 9 clean-up." in book.words()
    assert full().values()["ending"] == "complete" and "Not done" not in full().words()


def test_an_open_day_expects_what_it_will_have_when_it_goes_on() -> None:
    book = Book().through(4, 40.0)
    book.at(50.0, read(63.0))
    values = book.values()
    assert values["expected"]["conversion"] == pytest.approx(values["planned"]["conversion"], abs=0.01)


def test_water_put_in_thins_what_is_expected_and_not_what_was_planned() -> None:
    book = Book().through(4, 40.0)
    book.at(50.0, f.WaterAdded(4, 2.0, 1.922, 97.0, "2 L"))
    values = book.values()
    # derived: 5 x 0.96 x 0.80 = 3.84 kg of extract, 99.5 % dissolved, in 14.97 + 0.20 kg of water, 1.92 more;
    # a Plato is about 4 points of gravity and more above 12 P: ratio of Plato taken, then the gravity of it
    thin = 3.82 / (3.82 + 15.17 + 1.92) / (3.82 / (3.82 + 15.17))
    before, after = (values[part]["first_runnings_gravity"] - 1.0 for part in ("planned", "expected"))
    assert after / before == pytest.approx(thin, abs=0.015)


def test_what_a_checklist_was_answered_with_is_kept() -> None:
    book = Book().through(1, 0.0)
    book.at(5.0, f.ItemTicked(1, 1, "4.98 kg"))
    assert "CHECKLISTS\n  1 set-up: malt weighed: 4.98 kg\n" in book.words()
    book.at(9.0, f.StepEnded(1, "done"), f.StepBegun(2))
    assert "  1 set-up: not ticked: drains shut\n" in book.words()


def test_a_step_that_is_no_rest_is_read_at_its_last_reading() -> None:
    book = Book().through(2, 20.0)
    book.at(40.0, read(55.0, 2, "water"))
    book.at(50.0, read(69.0, 2, "water"))
    heat = book.values()["steps"][1]
    assert (heat["held_celsius"], heat["last_celsius"]) == (62.0, 69.0)
    assert "69.0 C   69.0 C" in book.words()


@pytest.mark.parametrize("slip", [-2.0, -0.1, 101.9, 103.0])
def test_a_slip_of_the_key_that_was_kept_is_shown_and_trips_nothing(slip: float) -> None:
    book = Book().through(4, 40.0)
    book.at(50.0, read(slip, kept=True))
    assert f"mash temperature  {slip:.1f} C  (doubted and kept)" in book.words()
    assert 0.0 <= book.values()["expected"]["conversion"] <= 1.0


def test_a_volume_read_later_counts_only_where_none_was_read_on_the_day() -> None:
    measured, unmeasured = full(), Book().through(8, 40.0)
    unmeasured.at(60.0, f.StepEnded(8, "done"), f.DayEnded("early"))
    for book, litres in ((measured, 19.4), (unmeasured, 17.0)):
        book.at(9000.0, read_volume(17.0, 9, "wash"))
        assert book.values()["measured"]["wash_litres"] == litres


def test_a_loss_read_below_nothing_is_told_as_none() -> None:
    taught = Lesson(Fitted(-9.0, 1.4), (), ())
    # no pot warms a mash that only stands (second law of thermodynamics): the error beside it tells the rest
    assert taught_rows(taught, "metric") == ["  lost 0.0 W/K, give or take 1.4 W/K"]
    assert taught_values(taught)["loss_w_per_k"] == 0.0


def test_more_dissolved_than_the_grain_holds_is_told_without_a_figure() -> None:
    # derived: all 3.84 kg in 15.17 kg of liquid are 20.2 P, 1.084; 1.090 is 21.5 P and 4.16 kg, 108 % of it
    book = Book().through(6, 100.0)
    book.at(110.0, read_gravity(1.090, 6, "wort"))
    assert book.values()["measured"]["conversion"] is None
    assert book.values()["measured"]["conversion_over"] is True
    told = " ".join(book.words().split())
    assert "over: by the gravity read, more than the grain holds" in told and "108 %" not in told
    slightly = Book().through(6, 100.0)
    slightly.at(110.0, read_gravity(1.085, 6, "wort"))
    assert 1.0 < slightly.values()["measured"]["conversion"] <= 1.05
    assert slightly.values()["measured"]["conversion_over"] is False


def test_nothing_is_told_as_mashed_before_there_is_a_mash() -> None:
    book = Book().through(2, 30.0)
    book.at(35.0, f.DayEnded("aborted", "given up"))
    values = book.values()
    assert set(values["expected"].values()) == {None}
    assert values["planned"]["wash_gravity"] is not None
    assert Book().through(3, 30.0).values()["expected"]["wash_gravity"] is not None


def test_the_gravity_read_of_the_wash_promises_an_alcohol_until_its_end_is_read() -> None:
    # derived: at the attenuation expected, alcohol goes nearly as what there was to ferment
    day = Day(load(BARLEY)).to_step(4).after(minutes=60).to_step(8)

    def made() -> Summary:
        return summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))

    assert "from the gravity read" not in summary_words(made(), "metric")
    day.send(replace(gravity(1.050, 20.0), sure=True))
    values, told = summary_values(made()), " ".join(summary_words(made(), "metric").split())
    assert values["measured"]["abv_percent"] is None
    _, _, behind = told.partition("from the gravity read, 1.050: end gravity about ")
    final, _, behind = behind.partition(", alcohol about ")
    promised = float(behind.partition(" % vol; an estimate")[0])
    expected = values["expected"]
    share = 0.050 / (expected["wash_gravity"] - 1.0)
    assert promised == pytest.approx(share * expected["abv_percent"], rel=0.03)
    assert 0.99 < float(final) < 1.01
    day.after(minutes=30).send(intents.Finish(sure=True))
    day.after(minutes=9999).send(gravity(0.998, 20.0))
    assert "from the gravity read" not in summary_words(made(), "metric")
