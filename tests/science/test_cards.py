"""The card of every public science function is true: its names, its example, the ends of its ranges."""

from __future__ import annotations

import ast
import inspect
import math
import re
from typing import Any

import cards
import pytest
from cards import Card, Example, Function, Parameter

from mashday.science import limits
from mashday.science.limits import OutOfRange, UnknownName

ALL: dict[str, Function] = {cards.title(function): function for _, function in cards.carded()}
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def _card(function: Function) -> Card | None:
    try:
        return cards.card(function)
    except cards.Malformed:
        return None


READ = {title: card for title, function in ALL.items() if (card := _card(function))}
EXAMPLES = [
    pytest.param(ALL[title], example, id=example.call)
    for title, card in READ.items()
    for example in card.examples
]
ENDS = [
    pytest.param(ALL[title], parameter, side, id=f"{title}-{parameter.name}-{side}")
    for title, card in READ.items()
    for parameter in card.takes
    for side in ("low", "high")
    if getattr(parameter, side)
]
TABLES = [
    pytest.param(ALL[title], parameter, id=f"{title}-{parameter.name}")
    for title, card in READ.items()
    for parameter in card.takes
    if parameter.table
]


def _arguments(function: Function, example: Example) -> dict[str, Any]:
    """The arguments of the example's call by name, defaults filled in."""
    known = cards.namespace(function)
    for node in ast.walk(ast.parse(example.call, mode="eval")):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id == function.__name__
        ):
            given = inspect.signature(function).bind(
                *(_value(argument, known) for argument in node.args),
                **{keyword.arg or "": _value(keyword.value, known) for keyword in node.keywords},
            )
            given.apply_defaults()
            return dict(given.arguments)
    raise AssertionError(f"{example.call} does not call {function.__name__}")


def _value(node: ast.expr, known: dict[str, Any]) -> Any:
    return eval(ast.unparse(node), dict(known))


def _call(function: Function, arguments: dict[str, Any]) -> Any:
    bound = inspect.signature(function).bind_partial()
    bound.arguments.update(arguments)
    return function(*bound.args, **bound.kwargs)


def _prints_as(found: Any, printed: str) -> bool:
    """Whether a result is what the card prints, every number rounded as it is written there."""
    told = str(found)
    if NUMBER.sub("#", told) != NUMBER.sub("#", printed):
        return False
    return all(
        _rounded(float(number), written) == written
        for number, written in zip(NUMBER.findall(told), NUMBER.findall(printed), strict=True)
    )


def _rounded(number: float, written: str) -> str:
    mantissa, _, exponent = written.partition("e")
    decimals = len(mantissa.partition(".")[2])
    if not exponent:
        return f"{number:.{decimals}f}"
    shown, _, power = f"{number:.{decimals}e}".partition("e")
    return f"{shown}e{int(power)}"


@pytest.mark.parametrize("function", ALL.values(), ids=list(ALL))
def test_every_public_function_has_a_card(function: Function) -> None:
    told = cards.card(function)
    assert all((told.formula, told.takes, told.gives, told.source, told.examples))


@pytest.mark.parametrize("function", ALL.values(), ids=list(ALL))
def test_a_card_takes_what_its_function_takes(function: Function) -> None:
    takes = cards.card(function).takes
    parameters = inspect.signature(function).parameters
    assert [parameter.name for parameter in takes] == list(parameters)
    assert [parameter.optional for parameter in takes] == [
        "None" in str(parameter.annotation) for parameter in parameters.values()
    ]


@pytest.mark.parametrize("function", ALL.values(), ids=list(ALL))
def test_every_number_a_function_takes_has_its_range(function: Function) -> None:
    unbounded = {"low", "high"} if function is limits.within else set()
    annotated = {name: str(one.annotation) for name, one in inspect.signature(function).parameters.items()}
    for parameter in cards.card(function).takes:
        if annotated[parameter.name].removesuffix(" | None") in {"float", "int"}:
            assert parameter.name in unbounded or (parameter.low and parameter.high)


@pytest.mark.parametrize(("function", "example"), EXAMPLES)
def test_an_example_gives_what_it_prints(function: Function, example: Example) -> None:
    _arguments(function, example)
    found = eval(example.call, cards.namespace(function))
    assert _prints_as(found, example.printed), found


@pytest.mark.parametrize(("function", "parameter", "side"), ENDS)
def test_an_argument_beyond_an_end_is_refused(function: Function, parameter: Parameter, side: str) -> None:
    arguments = _arguments(function, cards.card(function).examples[0])
    end = float(eval(getattr(parameter, side), cards.namespace(function) | arguments))
    little = max(1e-6, 1e-6 * abs(end))
    beyond = end - little if side == "low" else end + little
    with pytest.raises(OutOfRange) as refusal:
        _call(function, arguments | {parameter.name: beyond})
    assert refusal.value.value == beyond
    assert getattr(refusal.value, side) == pytest.approx(end, rel=1e-12, abs=1e-12)
    assert refusal.value.source
    assert f"[{refusal.value.source}]" in str(refusal.value)


@pytest.mark.parametrize(("function", "parameter"), TABLES)
def test_every_name_of_a_table_is_taken_and_no_other(function: Function, parameter: Parameter) -> None:
    arguments = _arguments(function, cards.card(function).examples[0])
    for name in eval(parameter.table, cards.namespace(function)):
        _call(function, arguments | {parameter.name: name})
    with pytest.raises(UnknownName):
        _call(function, arguments | {parameter.name: "no such name"})


def test_the_index_of_formulas_is_what_the_cards_give() -> None:
    written = cards.INDEX.read_text("utf-8")
    assert written == cards.index(), (
        "make it anew: python tests/support/cards.py > mashday/science/FORMULAS.md"
    )


def test_the_index_finds_the_checks_of_a_function() -> None:
    # the rows of checks/thermal.toml named strike go through heat.strike_from_capacity
    (row,) = [line for line in cards.index().splitlines() if "`heat.strike_from_capacity`" in line]
    assert "thermal/strike: " in row
    assert "test_heat_properties" in row


def _labelled(*lines: str) -> Function:
    def nothing(value: float) -> float:
        return value

    nothing.__doc__ = "\n".join(("Nothing.", "", *lines))
    return nothing


WHOLE = ("Formula: v", "Takes: value 0..1", "Gives: v", "Source: none", "Example: nothing(1.0) = 1")


@pytest.mark.parametrize(
    "lines",
    [
        (),
        WHOLE[1:],
        (*WHOLE[:2], *WHOLE[3:]),
        (WHOLE[1], WHOLE[0], *WHOLE[2:]),
        (*WHOLE, "Source: again"),
        (*WHOLE, "and a word more"),
        (WHOLE[0], "Takes: value", *WHOLE[2:]),
        (*WHOLE[:4], "Example: nothing(1.0)"),
    ],
)
def test_a_docstring_that_is_no_card_is_refused(lines: tuple[str, ...]) -> None:
    with pytest.raises(cards.Malformed):
        cards.card(_labelled(*lines))


def test_a_card_is_read_by_its_parts() -> None:
    lines = (*WHOLE[:1], "Takes: value low+0.5..", "    L/kg or None", *WHOLE[2:])
    (parameter,) = cards.card(_labelled(*lines)).takes
    assert parameter == Parameter("value", "low+0.5", "", "L/kg", "", True)


@pytest.mark.parametrize(
    ("found", "printed", "same"),
    [
        (0.98206, "0.982", True),
        (0.98206, "0.981", False),
        (3.0e11, "3.0e11", True),
        ((1.07762, 23.118), "(1.0776, 23.12)", True),
        ((1.07762, 23.118), "(1.0776, 23.13)", False),
        (math.inf, "inf", True),
        (None, "None", True),
        ("leave it", "leave", False),
    ],
)
def test_a_result_is_compared_to_the_digits_printed(found: Any, printed: str, same: bool) -> None:
    assert _prints_as(found, printed) is same


def test_no_room_but_the_telling_one_is_without_cards() -> None:
    assert {title.partition(".")[0] for title in ALL} >= {
        name for name, room in cards.rooms().items() if cards.functions(room)
    } - {"working"}
    assert cards.title(limits.within) in ALL
