"""A pedal in a real terminal: the sequences that presenters, foot switches and keypads send, at their pace.

The sequences are those of xterm and of the Linux console (XTerm Control Sequences, VT220-style function keys
and application keypad; console_codes(4)).
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

from real_terminal import RealTerminal

from mashday.engine.state import State
from mashday.session.session import look

PAGE_DOWN, PAGE_UP = "\x1b[6~", "\x1b[5~"
STANDS_SECONDS = 1.3
"""A press is for what has stood a second before it."""
COUNTS_SECONDS = 1.0
"""A press waits for quiet and is looked for four times a second; then it is to have done no more."""

pytestmark = pytest.mark.long


class Pedalled:
    """A day in a terminal with a pedal, and what its file has of it."""

    def __init__(self, folder: Path, *more: str) -> None:
        self.folder = folder
        words = ["-m", "mashday", "run", "lock-seven-barley", "--sound", "off", *more]
        self.screen = RealTerminal([*words, "--sessions", str(folder / "sessions")], folder)
        self.screen.shows("Start the day")

    def sends(self, text: str | bytes, seconds: float = COUNTS_SECONDS) -> Pedalled:
        """Lets what is there stand, types it in one write, and reads for so long."""
        self._reads(STANDS_SECONDS)
        self.screen.type(text)
        self._reads(seconds)
        return self

    def _reads(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            assert self.screen.read(0.05), self.screen.picture.text

    def state(self) -> State:
        """The day as its file has it."""
        (found,) = (self.folder / "sessions").glob("*.toml")
        _, state, recovered = look(found)
        assert recovered.damage is None
        return state

    def ticked(self) -> int:
        """How many items of the step under way are ticked; -1 before the day."""
        record = self.state().current
        return len(record.ticks) if record is not None else -1


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Callable[..., Pedalled]]:
    opened: list[Pedalled] = []

    def made(*more: str) -> Pedalled:
        opened.append(Pedalled(tmp_path, *more))
        return opened[-1]

    yield made
    for one in opened:
        one.screen.close()
    assert not list(tmp_path.rglob("crash.txt"))


@pytest.mark.parametrize(
    ("pedal", "sent"),
    [
        ("presenter", PAGE_DOWN),
        ("f4", "\x1bOS"),
        ("f5", "\x1b[15~"),
        ("f5", "\x1b[[E"),
        ("f12", "\x1b[24~"),
        ("enter", "\r"),
        ("enter", "\x1bOM"),
        ("enter", "\x1b[57414u"),
        ("space", " "),
        ("tab", "\t"),
        ("right", "\x1b[C"),
        ("right", "\x1bOC"),
        ("#", "#"),
    ],
)
def test_one_press_begins_the_day_and_the_next_ticks_one_item(
    day: Callable[..., Pedalled], pedal: str, sent: str
) -> None:
    at = day("--pedal", pedal)
    at.sends(sent)
    assert at.state().phase == "running" and at.ticked() == 0
    at.sends(sent)
    assert at.ticked() == 1


def test_without_an_option_tab_goes_on_and_shift_tab_takes_back(day: Callable[..., Pedalled]) -> None:
    at = day()
    at.sends("\t").sends("\t")
    assert at.ticked() == 1
    at.sends("\x1b[Z")
    assert at.ticked() == 1
    at.screen.shows("Take back checklist item 1?")
    at.sends("\x1b[Z")
    assert at.ticked() == 0


def test_the_back_key_of_a_presenter_takes_back_by_two_presses(day: Callable[..., Pedalled]) -> None:
    at = day("--pedal", "presenter")
    at.sends(PAGE_DOWN).sends(PAGE_DOWN).sends(PAGE_UP).sends(PAGE_UP)
    assert at.ticked() == 0


@pytest.mark.parametrize("button", ["\x1b[15~", "\x1b[15;2~", "\x1b", ".", "b"])
def test_the_other_buttons_of_a_presenter_do_nothing_that_matters(
    day: Callable[..., Pedalled], button: str
) -> None:
    # the buttons that begin, end and blank a show: F5, Shift+F5, Esc, full stop, b; from memory
    at = day("--pedal", "presenter")
    at.sends(PAGE_DOWN).sends(button)
    assert at.state().phase == "running" and at.ticked() == 0
    at.sends(PAGE_DOWN)
    assert at.ticked() == 1


@pytest.mark.parametrize("pedal", ["presenter", "enter"])
def test_keys_of_a_held_pedal_that_come_all_at_once_are_one_press(
    day: Callable[..., Pedalled], pedal: str
) -> None:
    at = day("--pedal", pedal)
    at.sends({"presenter": PAGE_DOWN, "enter": "\r"}[pedal] * 40)
    assert at.state().phase == "running" and at.ticked() == 0
    assert "Too many keys" not in at.screen.picture.text


@pytest.mark.parametrize(("delay", "gap"), [(0.25, 0.033), (0.5, 0.033), (0.66, 0.04)])
def test_a_held_pedal_is_one_press_at_the_pace_of_a_keyboard(
    day: Callable[..., Pedalled], delay: float, gap: float
) -> None:
    # delays and rates of the Linux console and of X11; from memory
    at = day("--pedal", "presenter")
    at.sends(PAGE_DOWN, delay)
    for _ in range(45):
        at.screen.type(PAGE_DOWN)
        time.sleep(gap)
    at.sends("")
    assert at.state().phase == "running" and at.ticked() == 0
    at.sends(PAGE_DOWN)
    assert at.ticked() == 1


@pytest.mark.parametrize(
    "typed",
    ["0.2", "\x1bOp\x1bOn\x1bOr", "\x1b[57399u\x1b[57409;;46u\x1b[57401u"],
    ids=["plain", "application", "kitty"],
)
def test_digits_of_a_keypad_are_a_number_and_enter_takes_it_though_it_is_the_pedal(
    day: Callable[..., Pedalled], typed: str
) -> None:
    at = day("--pedal", "enter")
    at.sends("\r").sends("\r").sends("\r")
    assert at.ticked() == 2
    at.sends(typed)
    at.sends("\x1bOM\x1bOM")
    assert at.ticked() == 3
    record = at.state().current
    assert record is not None and record.ticks[-1] == (3, "0.2")


@pytest.mark.parametrize("four", ["\x1b[D", "\x1bOD"], ids=["plain", "application"])
def test_a_keypad_without_numlock_is_no_presenter(day: Callable[..., Pedalled], four: str) -> None:
    at = day("--pedal", "presenter")
    at.sends(f"{four}{PAGE_DOWN}")
    at.screen.shows("Is NumLock off?")
    assert at.state().phase == "idle"
    at.sends(PAGE_DOWN)
    assert at.state().phase == "idle"
    at.sends("", 4.0).sends(PAGE_DOWN)
    assert at.state().phase == "running"


def test_the_pedal_of_the_environment_counts_and_nonsense_is_refused_before_the_screen(
    tmp_path: Path,
) -> None:
    words = ["-m", "mashday", "run", "lock-seven-barley", "--sessions", str(tmp_path)]
    screen = RealTerminal(words, tmp_path, environment={"MASHDAY_PEDAL": "presentr"})
    try:
        assert screen.ended() == 2
        assert "'presentr' is no key" in screen.picture.text.replace("\n", "")
    finally:
        screen.close()
