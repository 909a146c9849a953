"""Rubbish at the door of schedules: changed bytes of the samples, documents built from the model's keys."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import tomli_w
from fuzz import Area, Outcome, shown
from fuzz_days import lived, view_texts
from fuzz_texts import (
    REAL_NUMBERS,
    WHOLE_NUMBERS,
    bytes_of_no_sense,
    changed,
    hostile_text,
    quantity,
)
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from mashday.commands.steps import no_such_step, step_meant
from mashday.engine.state import State
from mashday.faces import tell
from mashday.faces.tui.choices import own_schedules
from mashday.faces.tui.paint import Shown, paint
from mashday.faces.tui.rows import text_of
from mashday.faces.tui.schedule_page import schedule_page
from mashday.faces.tui.start_page import Listing, Reading, listing_rows, reading_rows
from mashday.report.check import check_values, check_words
from mashday.report.feasibility import findings
from mashday.report.plan import plan_values, plan_words
from mashday.schedule import door, fields, probe_fields
from mashday.schedule.agreement import _MORE_THAN_NOTHING
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Schedule
from mashday.schedule.parts import _options_in, _parts_in, _written_in, fields_of, step_parts
from mashday.schedule.samples import sample_names, sample_text
from mashday.science.grain import KINDS
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.session import begin
from mashday.text import slug

LONGEST_PROBLEM = 1000
LIVED = 0.06
"""The share of those let in whose day is begun and lived for a while."""


@cache
def samples() -> tuple[bytes, ...]:
    """The samples as they lie in their files."""
    return tuple(sample_text(name).encode() for name in sample_names())


def changed_sample(chance: Random) -> bytes:
    """A sample with bytes changed, parts of two, or bytes that never were one."""
    if chance.random() < 0.06:
        return bytes_of_no_sense(chance)
    return changed(chance, chance.choice(samples()), samples())


# Documents


def document(chance: Random) -> str:
    """A schedule made from the keys of the model: sound but for a few of its values."""
    table = _sound(chance)
    for _ in range(chance.choice((0, 0, 1, 1, 2, 4, 12))):
        _spoil(chance, table)
    if chance.random() < 0.1:
        table = dict(sorted(table.items(), key=lambda _: chance.random()))
    return tomli_w.dumps(table)


def _sound(chance: Random) -> dict[str, Any]:
    grains = [_part(chance, "grain", place) for place in range(chance.choice((1, 1, 2, 5)))]
    table: dict[str, Any] = {"format": 1, "name": _text(chance, 60)}
    for key in ("notes", "units", "hands_free"):
        if chance.random() < 0.3:
            table[key] = _value(chance, key, fields_of(Schedule)[key])
    table["pot"] = _filled(chance, fields_of(Schedule)["pot"], 0.4)
    for key in ("place", "thermometer", "hydrometer", "refractometer", "spare", "aim"):
        if chance.random() < 0.5:
            table[key] = _filled(chance, fields_of(Schedule)[key], 0.5)
    if chance.random() < 0.1:
        table["probe"] = {"file": f"/tmp/{_text(chance, 20)}", "unit": chance.choice("CF")}
    table["container"] = [_part(chance, "container", 0) for _ in range(chance.choice((0, 1, 3)))]
    table["grain"] = grains
    table["step"] = _steps(chance)
    return table


def _steps(chance: Random) -> list[dict[str, Any]]:
    order = ["set-up", "heat", "dough-in", "rest", "raise", "rest", "mash-out", "starch-check", "separate"]
    order += ["boil", "cool", "add", "pitch", "clean-up"]
    kinds = [kind for kind in order if kind in ("heat", "dough-in") or chance.random() < 0.75]
    more = [kind for kind in step_parts() if kind not in ("dough-in", "cook")]
    for _ in range(chance.choice((0, 0, 1, 3))):
        kinds.insert(chance.randrange(3, len(kinds) + 1), chance.choice(more))
    steps = []
    for kind in kinds:
        part = step_parts()[kind]
        step: dict[str, Any] = {"kind": kind}
        for key, field in fields_of(part).items():
            wanted = field.is_required() or chance.random() < 0.25
            if key not in ("kind", "grain") and wanted:
                step[key] = _value(chance, key, field)
        if kind == "heat":
            if steps and steps[-1]["kind"] != "set-up":
                step["target"] = chance.choice(("75 C", "boiling", "20 C"))
            step["water"] = chance.choice(("15 L", "4 gal", "12.5 L", "30 L", "0.5 L"))
        if kind in ("rest", "dough-in", "raise") and chance.random() < 0.8:
            step["target"] = chance.choice(("63 C", "65 C", "72 C", "145 F", "50 C", "0 C", "100 C"))
        if kind == "add":
            step.pop(chance.choice(("above", "below")), None)
        steps.append(step)
    return steps


def _part(chance: Random, key: str, place: int) -> dict[str, Any]:
    found = _filled(chance, fields_of(Schedule)[key], 0.3)
    if key == "grain":
        found["name"] = f"{place} {found['name']}"[:60]
        found["kind"] = chance.choice(tuple(KINDS))
        found["mass"] = chance.choice(("5 kg", "11 lb", "1 kg", "0.001 kg", "500 kg", "12 oz"))
    return found


def _filled(chance: Random, field: FieldInfo, share: float) -> dict[str, Any]:
    part = next(_parts_in(field.annotation))
    return {
        key: _value(chance, key, one)
        for key, one in fields_of(part).items()
        if one.is_required() or chance.random() < share
    }


def _value(chance: Random, key: str, field: FieldInfo) -> Any:
    options = tuple(_options_in(field.annotation))
    if options:
        return chance.choice(options)
    for written in _written_in(field):
        if isinstance(written, fields.Quantity):
            return _quantity(chance, written, 0.01 if key in _MORE_THAN_NOTHING else -math.inf)
        if isinstance(written, fields.GravityText):
            return chance.choice(("1.060", "12 P", "0.98", "1.2", "1.0", "20 Bx"))
        if isinstance(written, probe_fields.LinePattern):
            return probe_fields.PATTERN_EXAMPLE
        if isinstance(written, fields.Words):
            text = _text(chance, written.limit)
            return [text] if "tuple" in str(field.annotation) else text
    if "bool" in str(field.annotation):
        return chance.random() < 0.5
    return 1.0


def _quantity(chance: Random, written: fields.Quantity, least: float) -> Any:
    """A value in the range of the field, not below `least`, often at an edge of it."""
    if written.words and chance.random() < 0.3:
        return next(iter(written.words))
    low, high = max(least, written.low) / written.per_unit, written.high / written.per_unit
    unit = {"length": "m", "time": "min", "share": "", "diastatic power": "Lintner"}.get(written.kind)
    unit = written.unit if unit is None else unit
    value = chance.choice((low, high, chance.uniform(low, high), min(max(low, 20.0), high)))
    value = min(max(value, low), high)
    text = f"{value:.6f}".rstrip("0").rstrip(".") or "0"
    return float(text) if written.kind == "share" else f"{text} {unit}".strip()


def _text(chance: Random, limit: int) -> str:
    text = chance.choice(
        (
            "wash",
            "[/][@click=app.quit]x[/]",
            "[red]malt[/red]",
            "\u05d0\u05d1 \u0627\u0644",
            "e\u0301a\u0308",
            "\U0001f37a beer",
            "{0} %s",
            "stir (what does it show?)",
            "is it warm?",
            "W" * 500,
            "word " * 90,
            "\u4e2d\u6587" * 30,
            "con",
            "../../up",
            "a;b|c&d",
        )
    )
    return text[:limit].strip() or "x"


def _spoil(chance: Random, table: dict[str, Any]) -> None:
    """Puts something hostile into one place of the tables."""
    places = list(_places(table))
    holder, key = chance.choice(places)
    match chance.randint(0, 8):
        case 0 if isinstance(holder, dict):
            holder[hostile_text(chance).replace("\x00", "0")] = _anything(chance)
        case 1:
            del holder[key]
        case 2 if isinstance(holder, dict):
            other = chance.choice([name for one, name in places if isinstance(one, dict)])
            holder[other] = holder.pop(key)
        case 3 if isinstance(holder, list):
            holder.extend(holder[:] * chance.choice((1, 3, 30)))
        case 4 | 5 | 6:
            holder[key] = quantity(chance)
        case _:
            holder[key] = _anything(chance)


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in list(items):
        yield value, key
        yield from _places(item)


def _anything(chance: Random, depth: int = 0) -> Any:
    match chance.randint(0, 9 if depth < 5 else 6):
        case 0 | 1:
            return hostile_text(chance)
        case 2:
            return quantity(chance)
        case 3:
            return chance.choice(WHOLE_NUMBERS)
        case 4:
            return chance.choice(REAL_NUMBERS)
        case 5:
            return chance.random() < 0.5
        case 6:
            return chance.choice((VIRTUAL_START, date(1, 1, 1), time(23, 59, 59), datetime(9999, 12, 31)))
        case 7:
            return [_anything(chance, depth + 1) for _ in range(chance.randint(0, 3))]
        case _:
            return {hostile_text(chance): _anything(chance, depth + 1) for _ in range(chance.randint(0, 3))}


# The door


def met(text: str | bytes, folder: Path) -> Outcome:
    """A schedule's text at the door; what is let in is planned, checked, shown and begun."""
    try:
        schedule = load(text)
    except BadSchedule as bad:
        _refused_in_words(bad)
        return "refused"
    assert all(math.isfinite(number) for number in numbers(schedule))
    told(schedule)
    chance = Random(repr(text))
    if chance.random() < LIVED:
        clock = VirtualClock()
        session = begin(text if isinstance(text, str) else text.decode("utf-8-sig"), clock, folder=None)
        lived(session, clock, chance, 30)
        return "lived"
    return "accepted"


def _refused_in_words(bad: BadSchedule) -> None:
    assert 1 <= len(bad.problems) <= door.MOST_PROBLEMS + 1
    for problem in bad.problems:
        said = str(problem)
        assert said.isascii() and said.isprintable() and len(said) < LONGEST_PROBLEM, said
        assert problem.line is None or problem.line >= 1
        assert problem.found and problem.remedy
    shown(check_words([("schedule.toml", bad.problems)]))
    strict_json(check_values([("schedule.toml", bad.problems)]))


def numbers(value: object) -> Iterator[float]:
    """Every number with decimals in a model."""
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from numbers(getattr(value, name))
    elif isinstance(value, tuple):
        for item in value:
            yield from numbers(item)
    elif isinstance(value, float):
        yield value


def strict_json(values: object) -> None:
    """AssertionError if these values are no JSON (RFC 8259: no NaN, no infinity)."""
    try:
        written = json.dumps(values, ensure_ascii=True, allow_nan=False)
    except ValueError as why:
        raise AssertionError(f"no JSON: {why}") from why
    shown(written)


def told(schedule: Schedule) -> None:
    """Everything that is told of a schedule before its day begins."""
    problems = findings(schedule)
    shown(*(str(problem) for problem in problems), check_words([("schedule.toml", problems)]))
    shown(plan_words(schedule, schedule.units, time(10, 0), None))
    strict_json(plan_values(schedule))
    page = schedule_page(schedule, "schedule.toml", None, VIRTUAL_START)
    shown(page.title, *reading_rows(page, 78))
    shown(no_such_step(schedule, "x"))
    assert step_meant(schedule, str(len(schedule.steps))) == len(schedule.steps)
    assert slug(schedule.name).replace("-", "a").isalnum() and slug(schedule.name).isascii()
    view = tell.view(schedule, State(), 0.0, lambda t: VIRTUAL_START + timedelta(seconds=t))
    shown(*view_texts(view), text_of(paint(Shown(view=view), 100, 30)))


def on_the_start_screen(text: str | bytes, folder: Path) -> Outcome:
    """The same text as a file of the folder the start screen looks at."""
    here = folder / "here"
    here.mkdir(exist_ok=True)
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    (here / "schedule.toml").write_bytes(data)
    offers = tuple(own_schedules(folder, here, VirtualClock()))
    rows, _ = listing_rows(Listing("mashday", ()), 0, 78)
    for offer in offers:
        page = offer.opens() if offer.opens is not None else Reading("", ())
        assert isinstance(page, Reading)
        rows += (offer.text, *offer.facts, offer.below, page.title, *reading_rows(page, 78))
        painted = paint(Shown(page_title=page.title, page=reading_rows(page, 78)), 80, 24)
        shown(text_of(painted))
    shown(*rows)
    assert sorted(path.name for path in here.iterdir()) == ["schedule.toml"]
    if not offers:
        return "passed over"
    return "to mend" if offers[0].text.endswith("to mend first") else "offered"


AREAS = (
    Area("schedule bytes", changed_sample, met, frozenset({"accepted", "lived"}), 0.15),
    Area("schedule documents", document, met, frozenset({"accepted", "lived"}), 0.15),
    Area("schedules on the start screen", changed_sample, on_the_start_screen, frozenset({"offered"}), 0.1),
)
