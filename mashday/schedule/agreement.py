"""Do the parts of a schedule agree with one another?

Read from the tables as they stand in the file, so that these problems are told together with those of
single values: what is malformed here is passed over, because it is told elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from mashday.quantities import EXAMPLES, Kind, Unreadable, parse
from mashday.schedule.fields import choice, described
from mashday.schedule.lines import Path
from mashday.schedule.parts import step_parts
from mashday.science.grain import ALIASES, KINDS
from mashday.science.grain import kind as grain_kind
from mashday.science.limits import UnknownName
from mashday.text import cleaned, nearest, quoted

Table = Mapping[str, Any]


class Disagreement(NamedTuple):
    """What does not fit: where, what was found, what would do."""

    path: Path
    found: str
    remedy: str


_MORE_THAN_NOTHING: dict[str, Kind] = {
    "volume": "volume",
    "water": "volume",
    "wash": "volume",
    "band": "temperature difference",
    "limit": "temperature difference",
    "heater_efficiency": "share",
}

_TAKES_GRAIN = ("dough-in", "cook")


def disagreements(schedule: Table) -> Iterator[Disagreement]:
    """Everything in the schedule that does not fit the rest of it."""
    yield from _nothings(schedule, ())
    yield from _bill(schedule)
    yield from _grain_in_steps(schedule)
    yield from _limits(schedule)
    yield from _probe(schedule)
    if _steps_are_known(schedule):
        yield from _grain_left(schedule)
        yield from _water(schedule)


def _steps_are_known(schedule: Table) -> bool:
    steps = _items(schedule.get("step"))
    return all(
        isinstance(step, Mapping)
        and any(step.get("kind") == kind for kind in step_parts())
        and isinstance(step.get("grain", ()), tuple)
        for step in steps
    )


def _nothings(table: Table, path: Path) -> Iterator[Disagreement]:
    for key, value in table.items():
        if key in _MORE_THAN_NOTHING and _is_nothing(value, _MORE_THAN_NOTHING[key]):
            yield Disagreement(
                (*path, key),
                f"{described(value)} is not more than nothing",
                f"write for example {choice(EXAMPLES[_MORE_THAN_NOTHING[key]])}",
            )
        elif isinstance(value, Mapping):
            yield from _nothings(value, (*path, key))
        elif isinstance(value, tuple):
            for place, item in enumerate(value):
                if isinstance(item, Mapping):
                    yield from _nothings(item, (*path, key, place))


def _is_nothing(value: object, kind: Kind) -> bool:
    if isinstance(value, int | float):
        return kind == "share" and not isinstance(value, bool) and value == 0
    try:
        return isinstance(value, str) and parse(value, kind) <= 0
    except Unreadable:
        return False


def _bill(schedule: Table) -> Iterator[Disagreement]:
    seen: dict[str, int] = {}
    for place, grain in _tables(schedule, "grain"):
        kind = _text(grain.get("kind"))
        if kind is not None:
            yield from _unknown_kind(kind, ("grain", place, "kind"))
        name = _text(grain.get("name"))
        if name is not None and name in seen:
            yield Disagreement(
                ("grain", place, "name"),
                f"{quoted(name)} is the name of grain[{seen[name]}] too",
                "give each grain a name of its own",
            )
        elif name is not None:
            seen[name] = place + 1


def _unknown_kind(kind: str, path: Path) -> Iterator[Disagreement]:
    try:
        grain_kind(kind)
    except UnknownName:
        near = nearest(kind, (*KINDS, *ALIASES))
        remedy = f'write "{near}"' if near else f"write one of: {', '.join(KINDS)}"
        yield Disagreement(path, f"the grain table has no {quoted(kind)}", remedy)


def _grain_in_steps(schedule: Table) -> Iterator[Disagreement]:
    bill = {name for _, grain in _tables(schedule, "grain") if (name := _text(grain.get("name")))}
    goes_in: dict[str, int] = {}
    for place, step in _takers(schedule):
        for item, written in enumerate(_items(step.get("grain"))):
            name = _text(written)
            path = ("step", place, "grain", item)
            if name is None:
                continue
            if name not in bill:
                near = nearest(name, bill)
                yield Disagreement(
                    path,
                    f"no [[grain]] is named {quoted(name)}",
                    f"write {quoted(near)}, or add a [[grain]] of that name"
                    if near
                    else "write the name of a [[grain]] as it stands there",
                )
            elif name in goes_in:
                yield Disagreement(
                    path,
                    f"{quoted(name)} goes in at step[{goes_in[name]}] already",
                    "name each grain in one step only; for two portions make two [[grain]] tables",
                )
            else:
                goes_in[name] = place + 1


def _grain_left(schedule: Table) -> Iterator[Disagreement]:
    bill = [name for _, grain in _tables(schedule, "grain") if (name := _text(grain.get("name")))]
    named = {
        name for _, step in _takers(schedule) for item in _items(step.get("grain")) if (name := _text(item))
    }
    rest = [name for name in bill if name not in named]
    taker: int | None = None
    for place, step in _takers(schedule):
        if "grain" in step:
            continue
        if taker is None and rest:
            taker = place
        elif step["kind"] == "dough-in":
            yield Disagreement(("step", place), "no grain is left for this dough-in", _whose(taker, bill))
    if taker is None and rest:
        place = next(place for place, grain in _tables(schedule, "grain") if _text(grain.get("name")) in rest)
        yield Disagreement(
            ("grain", place),
            f"no step puts {quoted(rest[0])} in",
            "name it in the grain of a dough-in or cook step, or leave that key out to take all that is left",
        )


def _whose(taker: int | None, bill: list[str]) -> str:
    if not bill:
        return "add a [[grain]] with its name, kind and mass"
    if taker is None:
        return "leave a grain for it, or take this step out"
    return f'step[{taker + 1}] takes all that no step names: name what goes in there, such as grain = ["..."]'


def _water(schedule: Table) -> Iterator[Disagreement]:
    last_dough_in = max(
        (place for place, step in _takers(schedule) if step["kind"] == "dough-in"), default=-1
    )
    water = False
    for place, step in _tables(schedule, "step"):
        kind = step.get("kind")
        if kind == "heat" and "target" not in step and place > last_dough_in:
            yield Disagreement(
                ("step", place),
                "this heat has no target, and no dough-in follows to work it out from",
                'add a target, such as target = "75 C"',
            )
        water = water or kind == "heat" or "water" in step
        if kind in _TAKES_GRAIN and not water:
            yield Disagreement(
                ("step", place),
                f"no water is there for this {kind}",
                'put a heat step with its water before it, such as water = "15 L"',
            )
            water = True


def _limits(schedule: Table) -> Iterator[Disagreement]:
    for place, step in _tables(schedule, "step"):
        if step.get("kind") != "add":
            continue
        above, below = (_celsius(step.get(key)) for key in ("above", "below"))
        if above is not None and below is not None and above >= below:
            yield Disagreement(
                ("step", place, "above"),
                "nothing lies above this and below the step's other limit",
                "make above lower than below, or leave one of them out",
            )


_PROBE_SOURCES = ("command", "file", "one_wire", "serial", "mqtt")
_PROBE_KEYS_OF = {
    "baud": ("serial",),
    "port": ("mqtt",),
    "unit": ("command", "file", "serial", "mqtt"),
    "pattern": ("command", "file", "serial", "mqtt"),
}


def _probe(schedule: Table) -> Iterator[Disagreement]:
    probe = schedule.get("probe")
    if not isinstance(probe, Mapping):
        return
    named = [source for source in _PROBE_SOURCES if source in probe]
    if not named:
        yield Disagreement(
            ("probe",),
            "nothing says where the probe is read",
            f"add one of: {', '.join(_PROBE_SOURCES)}",
        )
        return
    for other in named[1:]:
        yield Disagreement(
            ("probe", other),
            f"the probe is read by {named[0]} already",
            f"keep either {named[0]} or {other}",
        )
    for key, sources in _PROBE_KEYS_OF.items():
        if key in probe and not set(sources) & set(named):
            yield Disagreement(("probe", key), f"{named[0]} has no {key}", f"leave {key} out")


def _celsius(value: object) -> float | None:
    try:
        return parse(value, "temperature") if isinstance(value, str) else None
    except Unreadable:
        return None


def _takers(schedule: Table) -> Iterator[tuple[int, Table]]:
    return ((place, step) for place, step in _tables(schedule, "step") if step.get("kind") in _TAKES_GRAIN)


def _tables(schedule: Table, key: str) -> Iterator[tuple[int, Table]]:
    return (
        (place, item) for place, item in enumerate(_items(schedule.get(key))) if isinstance(item, Mapping)
    )


def _items(value: object) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else ()


def _text(value: object) -> str | None:
    return cleaned(value, 60) if isinstance(value, str) else None
