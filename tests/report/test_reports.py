"""Summary, plan and findings: the public keys, eighty columns, and nothing lost or made up."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any

import pytest
from days import BARLEY, BEGAN, Day, gravity, starch, temperature, volume

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.report.check import check_values, check_words
from mashday.report.feasibility import findings
from mashday.report.plan import plan_values, plan_words
from mashday.report.said import sugar_notes
from mashday.report.summary import Summary, summary
from mashday.report.values import summary_values
from mashday.report.words import summary_words
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin, moments

GOLDEN = Path(__file__).parents[1] / "golden" / "summaries"
READING = {
    "seq", "minute", "quantity", "value", "unit", "typed", "celsius", "gravity", "sample_celsius", "place",
    "voided", "corrects",
}  # fmt: skip
SUGAR = {
    "first_runnings_gravity",
    "wash_gravity",
    "wash_litres",
    "conversion",
    "final_gravity",
    "abv_percent",
}
KEYS: dict[str, set[str]] = {
    "": {
        "schedule", "pot", "started", "ended", "state", "rehearsed", "steps", "readings", "additions",
        "remedies", "expected", "measured", "calls", "notes", "learned",
    },
    "steps": {"number", "kind", "planned_minutes", "actual_minutes", "target_celsius", "held_celsius"},
    "readings": READING,
    "additions": {"minute", "litres_cold", "litres_as_poured", "celsius", "after_celsius"},
    "remedies": {"minute", "offered", "taken", "result_celsius"},
    "calls": {"what", "late_seconds"},
}  # fmt: skip


def a_day() -> Day:
    """A day with everything in it: remedy, correction, void, assumed, spots, note, undo, other amounts."""
    day = Day(load(BARLEY))
    day.send(intents.Start())
    day.send(intents.TickItem())
    day.send(intents.TickItem())
    day.after(minutes=10).send(intents.Done())
    day.send(intents.GiveAmount("grain", 4.9, "4.9 kg"))
    day.after(minutes=34).read(69.0)
    day.send(intents.Done())
    day.after(minutes=8).send(intents.Done())
    day.after(minutes=6).read(60.9)
    day.send(intents.TakeRemedy(1))
    day.after(minutes=2).send(intents.AddWater(1.1, "1.1 L"))
    day.after(minutes=4).send(
        intents.TakeReading("temperature", 62.7, "C", "62.5 62.9", 62.7, spots=(62.5, 62.9))
    )
    day.send(intents.WriteNote("lid left off"))
    day.send(intents.WriteNote("nonsense"))
    day.send(intents.Undo())
    day.after(minutes=20).read(26.2, sure=True)
    day.send(intents.Correct(day.state.readings[-1].number, 62.2, "C", "62.2", 62.2))
    day.after(minutes=20).send(intents.AnswerUnknown())
    day.after(minutes=10).tick()
    day.send(starch(False))
    day.after(minutes=15).send(starch(True))
    day.send(intents.Done())
    day.after(minutes=6).send(gravity(1.074, sample=22.0))
    day.after(minutes=14).send(volume(19.1))
    day.send(intents.Done())
    day.after(minutes=12).read(24.2)
    day.send(intents.Done())
    day.read(23.0)
    day.send(temperature(22.9))
    day.send(intents.Void(day.state.readings[-1].number))
    day.send(gravity(1.061, sample=23.0))
    day.send(volume(19.0))
    day.send(intents.Done())
    day.after(minutes=20).send(intents.Done())
    return day


def made(day: Day) -> Summary:
    return summary(day.schedule, day.state, at=lambda t: BEGAN.fromtimestamp(BEGAN.timestamp() + t, UTC))


@pytest.fixture(scope="module")
def values() -> dict[str, Any]:
    return summary_values(made(a_day()))


@pytest.mark.parametrize("part", KEYS)
def test_the_public_keys_are_there(values: dict[str, Any], part: str) -> None:
    found = [values] if part == "" else values[part]
    assert found
    for one in found:
        assert KEYS[part] <= set(one)


def test_expected_and_measured_stand_side_by_side(values: dict[str, Any]) -> None:
    assert set(values["expected"]) == set(values["measured"]) == SUGAR | {"conversion_over"}
    assert values["measured"]["wash_gravity"] == pytest.approx(1.0616, abs=3e-4)
    assert values["measured"]["wash_litres"] == 19.0
    assert 0.85 < values["measured"]["conversion"] < 1.0


def test_it_is_json_without_nan(values: dict[str, Any]) -> None:
    assert json.loads(json.dumps(values, allow_nan=False)) == values


def test_corrected_voided_assumed_and_struck_are_all_kept(values: dict[str, Any]) -> None:
    corrected = [reading for reading in values["readings"] if reading["corrects"]]
    assert [(r["celsius"], r["corrects"]) for r in corrected] == [(62.2, "26.2")]
    assert sum(reading["voided"] for reading in values["readings"]) == 1
    assert [r["typed"] for r in values["readings"] if r["assumed"]] == ["unknown"]
    assert values["undone"] == ["note: nonsense"]


def test_a_remedy_tells_what_was_taken_and_what_came_of_it(values: dict[str, Any]) -> None:
    first = values["remedies"][0]
    assert (first["taken"], first["result_celsius"]) == ("hot water", 62.7)
    assert values["additions"][0]["after_celsius"] == 62.7
    assert values["additions"][0]["litres_cold"] == pytest.approx(1.1 * 0.9605 / 0.9982, abs=0.002)


def test_a_rest_is_held_at_the_mean_of_its_readings_over_time() -> None:
    day = Day(load(BARLEY)).to_step(4)
    day.after(minutes=6).read(63.0)
    day.after(minutes=10).read(62.0)
    day.after(minutes=30).read(62.0)
    step = made(day).steps[3]
    assert step.held_celsius == pytest.approx((10 * 62.5 + 30 * 62.0) / 40)


def test_the_words_tell_all_of_it() -> None:
    told = summary_words(made(a_day()), "metric")
    for piece in (
        "Complete.", "first entered 26.2", "assumed, not read", "struck out", "mean of 62.5 C, 62.9 C",
        "hot water", "lid left off", "note: nonsense", "4.9 kg", "starch left", "starch gone", "conversion",
    ):  # fmt: skip
        assert piece in told, piece


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", sample_names())
def test_no_line_is_wider_than_eighty_columns(name: str, units: Any) -> None:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text(name), clock, folder=None, rehearsed=True, seed=2)
    whole_day(session)
    day = summary(session.schedule, session.state, at=moments(session.state), rehearsed=True)
    for told in (summary_words(day, units), plan_words(session.schedule, units, time(10, 0))):
        assert told.isascii()
        assert max(map(len, told.splitlines())) <= 80


def test_the_summary_of_a_known_day_stays_as_it_is() -> None:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(BARLEY, clock, folder=None, rehearsed=True, seed=1)
    whole_day(session)
    told = summary_words(summary(session.schedule, session.state, at=moments(session.state)), "metric")
    assert told == (GOLDEN / "lock-seven-barley.txt").read_text()


def test_names_and_notes_reach_no_terminal_as_commands() -> None:
    day = Day(load(BARLEY.replace("Lock Seven barley wash", "[/][@click=app.quit]x[/]")))
    day.send(intents.Start())
    day.send(intents.WriteNote("a\u001b[2Jb\u202ec\u009bd"))
    told = summary_words(made(day), "metric")
    assert all(character.isprintable() or character == "\n" for character in told)
    assert "[/][@click=app.quit]x[/]" in told


def test_nothing_in_an_entry_of_another_hand_reaches_a_terminal() -> None:
    day = Day(load(BARLEY))
    day.send(intents.Start())
    day.after(minutes=5)
    day.write((f.CallAnswered("ask", "a\u001b[2J temperature", 300.0),))
    day.write((f.Opened("0", "", 0.0, 60.0, "back\u202e\u009bagain"),))
    told = summary_words(made(day), "metric")
    assert "a[2J temperature, 5 min 00 s late" in told and "backagain" in told
    assert all(character.isprintable() or character == "\n" for character in told)


def test_a_day_not_begun_and_an_empty_one_have_a_summary_too() -> None:
    day = Day(load(BARLEY))
    day.send(intents.WriteNote("thinking about it"))
    assert "Not begun." in summary_words(made(day), "us")


PLAN_KEYS = {
    "strike": {"water_litres", "water_celsius", "lands_at_celsius"},
    "mash": {"in_pot_litres", "thickness_l_per_kg", "fits", "headroom_litres"},
    "grist": {"mass_kg", "diastatic_power_lintner", "verdict"},
    "water": {"mash_litres", "sparge_litres", "total_litres"},
    "expected": SUGAR,
}


@pytest.mark.parametrize("name", sample_names())
def test_the_plan_has_its_public_keys_and_sane_numbers(name: str) -> None:
    plan = plan_values(load(sample_text(name)))
    for part, keys in PLAN_KEYS.items():
        assert keys <= set(plan[part])
        assert all(value is not None for value in plan[part].values())
    assert {"number", "kind", "title", "starts_minute", "minutes", "target_celsius"} <= set(plan["steps"][0])
    assert plan["warnings"] == [] and plan["mash"]["fits"] is True
    assert 0.0 < plan["strike"]["water_celsius"] - plan["strike"]["lands_at_celsius"] < 12.0
    total = plan["water"]["mash_litres"] + plan["water"]["sparge_litres"]
    assert plan["water"]["total_litres"] == pytest.approx(total, abs=0.02)
    assert 1.045 < plan["expected"]["wash_gravity"] < 1.075
    ends = plan["steps"][-1]
    assert plan["ends_minute"] == pytest.approx(ends["starts_minute"] + ends["minutes"], abs=0.2)


def test_the_plan_of_the_barley_wash_is_the_balance_on_paper() -> None:
    plan = plan_values(load(BARLEY))
    # 15 L + 5 kg: water 14.97 kg + grain 5 x 0.67 L (displacement: Palmer 1995, 0.65; practice 0.67) at 65 C
    assert plan["mash"]["in_pot_litres"] == pytest.approx(15.0 * 0.9982 / 0.98055 + 5 * 0.67, abs=0.05)
    assert plan["mash"]["thickness_l_per_kg"] == pytest.approx(15.0 * 0.9982 / 5.0, abs=0.01)


def test_times_are_counted_back_from_ready() -> None:
    schedule = load(BARLEY)
    told = plan_words(schedule, "metric", ready=time(16, 30))
    assert "done about 16:30" in told
    forth = plan_words(schedule, "metric", start=time(10, 0))
    assert " 1 set-up" in forth and "10:00" in forth


TWELVE = json.dumps([f"item {number}" for number in range(12)])


@pytest.mark.parametrize(
    ("change", "piece", "severity"),
    [
        (('volume = "33 L"', 'volume = "17 L"'), "fills", "error"),
        (('water = "15 L"', 'water = "6 L"'), "thick", "warning"),
        (('water = "15 L"', 'water = "1.4 L"'), "strike water would need", "error"),
        (('kind = "barley malt"', 'kind = "flaked maize"'), "Lintner", "warning"),
        (('kind = "barley malt"', 'kind = "raw maize"'), "cooking", "warning"),
        (('target = "63 C"\ntime', 'target = "45 C"\ntime'), "no rest between", "warning"),
        (
            ('kind = "dough-in"\ntarget = "63 C"', 'kind = "dough-in"\ntarget = "75 C"'),
            "dough-in at",
            "warning",
        ),
        (('heater = "2.5 kW"\n', ""), None, "warning"),
        (('["malt weighed", "drains shut"]', TWELVE), "12 items", "warning"),
    ],
)
def test_what_is_not_feasible_is_found(change: tuple[str, str], piece: str | None, severity: str) -> None:
    problems = findings(load(BARLEY.replace(*change, 1)))
    if piece is None:
        assert problems == ()
        return
    fitting = [problem for problem in problems if piece in problem.found + problem.remedy]
    assert fitting and fitting[0].severity == severity
    assert all(problem.found and problem.remedy for problem in problems)


def test_nothing_to_mend_with_is_a_warning() -> None:
    text = BARLEY.replace('heater = "2.5 kW"\n', "").replace(
        '[spare]\nwater = "3 L"\ntemperature = "boiling"\n', ""
    )
    assert any("spare" in problem.remedy for problem in findings(load(text)))


def test_findings_are_told_file_by_file() -> None:
    good, bad = findings(load(BARLEY)), findings(load(BARLEY.replace('volume = "33 L"', 'volume = "17 L"')))
    results = (("good.toml", good), ("bad.toml", bad))
    told = check_words(results)
    assert "good.toml: sound" in told and "bad.toml: error" in told
    assert [file["ok"] for file in check_values(results)["files"]] == [True, False]


def test_the_places_of_a_reading_are_put_right_as_their_mean_is() -> None:
    # derived: an offset of 0.2 K taken from the mean of 62.8, 63.0 and 62.9, and from each of them
    day = Day(load(BARLEY.replace("[place]", '[thermometer]\noffset = "0.2 K"\n[place]'))).to_step(4)
    spots = (62.8, 63.0, 62.9)
    day.send(intents.TakeReading("temperature", 62.9, "C", "62.8 63 62.9", 62.9, spots=spots, sure=True))
    words = " ".join(summary_words(made(day), "metric").split())
    assert "mash temperature 62.7 C (mean of 62.6 C, 62.8 C, 62.7 C" in words
    number = day.state.valid("temperature")[-1].number
    day.send(intents.Correct(number, 64.2, "C", "64.2", 64.2, sure=True))
    words = " ".join(summary_words(made(day), "metric").split())
    assert "64.0 C (first entered 62.8 63 62.9)" in words and "mean of" not in words


def test_checks_of_the_instruments_are_told_once_with_what_they_came_to() -> None:
    shows = ("thermometer show in ice", "thermometer show at the boil", "hydrometer show in water")
    items = ", ".join(f'"What does the {what}?"' for what in shows)
    day = Day(load(BARLEY.replace('"malt weighed", "drains shut"', items)))
    day.send(intents.Start())
    for answer in ("0.6", "99.4", "1.001"):
        day.send(intents.TickItem(value=answer))
    told = made(day)
    assert summary_values(told)["instruments"] == [
        {"point": "ice", "shown": 0.6, "typed": "0.6"},
        {"point": "boil", "shown": 99.4, "typed": "99.4"},
        {"point": "water", "shown": 1.001, "typed": "1.001"},
    ]
    words = summary_words(told, "metric")
    assert words.count("The thermometer shows") == words.count("The hydrometer shows") == 1


@pytest.mark.parametrize(("measured", "told"), [(0.97, False), (1.004, False), (1.02, True)])
def test_more_than_all_converted_is_remarked_on(measured: float, told: bool) -> None:
    whole = made(a_day())
    whole = replace(whole, measured=replace(whole.measured, conversion=measured))
    assert any(note.startswith("102 % conversion is more") for note in sugar_notes(whole)) is told
    words = " ".join(summary_words(whole, "metric").split())
    assert ("more than the grain is reckoned to hold" in words) is told


def test_what_a_cook_was_held_at_begins_when_it_is_hot() -> None:
    day = Day(load(sample_text("sluice-maize")))
    cook = next(number for number, step in enumerate(day.schedule.steps, 1) if step.kind == "cook")
    day.to_step(cook)
    day.after(minutes=20).read(60.0, sure=True)
    day.after(minutes=20).read(95.0, sure=True)
    day.after(minutes=15).read(94.0)
    day.after(minutes=15).read(94.6)
    (step,) = (one for one in made(day).steps if one.number == cook)
    # ((95 + 94) / 2 + (94 + 94.6) / 2) / 2 C, and the 0.1 C that this day's thermometer shows too little.
    assert step.held_celsius == pytest.approx(94.4 + 0.1, abs=0.01)
