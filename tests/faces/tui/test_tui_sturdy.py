"""What a terminal, a signal, a hostile file or a fault of ours may do to a day: it goes on or ends well."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.widget import Widget

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

from real_terminal import ALTERNATE_SCREEN, CURSOR_SHOWN, MAIN_SCREEN, PATIENCE_SECONDS, RealTerminal

from mashday.cli import main
from mashday.engine.state import State
from mashday.faces.tui import screen as screen_room
from mashday.faces.tui.app import BoardApp
from mashday.session.session import look

pytestmark = pytest.mark.long

TOO_SOON_SECONDS = 0.35
"""Longer than the moment a key that moves the day waits for quiet, and the time a burst is told by."""
KEY_GAP_SECONDS, MUTED_SECONDS = 0.08, 1.2
"""Between keys that are no burst; longer than keys are muted after one."""

SCHEDULE = """
format = 1
name = "Lock Seven kettle"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
mass = "4.6 kg"
heater = "2.5 kW"
[place]
room = "19 C"
tap = "12 C"
[[grain]]
name = "pale barley malt"
kind = "barley malt"
mass = "5 kg"
temperature = "18 C"
[[step]]
kind = "set-up"
checklist = ["malt weighed", "drains shut", "coil rinsed"]
[[step]]
kind = "heat"
water = "15 L"
[[step]]
kind = "dough-in"
target = "63 C"
[[step]]
kind = "rest"
target = "63 C"
time = "60 min"
[[step]]
kind = "separate"
by = "squeezed bag"
[[step]]
kind = "cool"
target = "24 C"
by = "coil"
[[step]]
kind = "pitch"
yeast = "dry distiller's yeast"
"""
HEATING_FIRST = SCHEDULE.replace(
    SCHEDULE[SCHEDULE.index('[[step]]\nkind = "set-up"') : SCHEDULE.index('[[step]]\nkind = "heat"')], ""
)


class Shed:
    """A folder of sessions and every terminal opened there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.opened: list[RealTerminal] = []

    def run(self, *more: str, schedule: str = SCHEDULE, **options: object) -> RealTerminal:
        """A new day in a terminal."""
        written = self.folder / "schedule.toml"
        written.write_text(schedule, encoding="utf-8")
        return self.open("run", str(written), *more, **options)

    def open(self, *words: str, **options: object) -> RealTerminal:
        """The program in a terminal."""
        told = ["-m", "mashday", *words, "--sessions", str(self.folder / "sessions")]
        made = RealTerminal(told, self.folder, **options)  # type: ignore[arg-type]
        self.opened.append(made)
        return made

    @property
    def file(self) -> Path:
        """The one session file."""
        (found,) = (self.folder / "sessions").glob("*.toml")
        return found

    def kept(self) -> State:
        """The day as its file has it; it must not be damaged."""
        _, state, recovered = look(self.file)
        assert recovered.damage is None
        return state

    def ticked(self) -> int:
        """How many items are ticked in the file."""
        record = self.kept().current
        return len(record.ticks) if record is not None else 0

    def nothing_noted(self) -> bool:
        """True if no fault was written down."""
        return not list(self.folder.rglob("crash.txt"))


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    made = Shed(tmp_path)
    yield made
    for one in made.opened:
        one.close()


@pytest.fixture(scope="module")
def shared_shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shed]:
    made = Shed(tmp_path_factory.mktemp("shed"))
    yield made
    for one in made.opened:
        one.close()


@pytest.fixture
def living(shared_shed: Shed) -> RealTerminal:
    """A day under way that nobody has ended; a number that was being typed is cleared."""
    if not shared_shed.opened:
        begun(shared_shed.run())
    day = shared_shed.opened[0]
    day.type("\x1b")
    day.hides("Enter take")
    quiet(day)
    return day


def begun(day: RealTerminal) -> RealTerminal:
    """Begins the day and waits for its first step."""
    day.shows("begin the day")
    day.type("b")
    day.shows("1/7  Set-up")
    settled(day)
    return day


def settled(day: RealTerminal) -> None:
    """Reads until the picture is whole: nothing more is written for a while."""
    written = -1
    while written != len(day.written):
        written = len(day.written)
        quiet(day)


def quiet(day: RealTerminal, seconds: float = TOO_SOON_SECONDS) -> None:
    """Lets the program have its moment of quiet, in which nothing is typed."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        assert day.read(0.05), day.picture.text


def timeless(day: RealTerminal) -> list[str]:
    """The lines of the screen with every time of day and all that counts left out."""
    return [re.sub(r"\d+:\d\d(:\d\d)?", "--:--", line) for line in day.picture.lines]


def leaves_by_its_keys(day: RealTerminal) -> None:
    """It still takes keys, and leaves in order with 0 and the terminal as it was."""
    quiet(day)
    day.type("q")
    day.shows("once more")
    quiet(day)
    day.type("q")
    assert day.ended() == 0
    assert day.written.rstrip().rfind(MAIN_SCREEN) > day.written.rfind(ALTERNATE_SCREEN)
    assert day.echoes()


# Keys


def test_bytes_that_are_no_text_end_nothing_and_the_next_key_is_taken(living: RealTerminal) -> None:
    living.type(b"\xff\xfe\xe9\x80")
    quiet(living)
    living.type("6")
    living.shows("> 6_")


def test_a_burst_of_keys_in_one_write_changes_nothing(living: RealTerminal, shared_shed: Shed) -> None:
    before = shared_shed.kept()
    living.type("n" * 12)
    living.shows("Too many keys at once")
    quiet(living, 3 * TOO_SOON_SECONDS)
    living.type("t1t1t1t1t1t1"[1:])
    living.shows("Too many keys at once")
    quiet(living, 3 * TOO_SOON_SECONDS)
    after = shared_shed.kept()
    assert (after.step, after.phase) == (before.step, before.phase) == (1, "running")
    assert not any(type(entry.fact).__name__ == "StepEnded" for entry in after.log)


def test_a_pasted_number_stands_as_typed_and_is_not_taken(living: RealTerminal, shared_shed: Shed) -> None:
    before = shared_shed.kept().seq
    living.type("\x1b[200~63.5\r\n\x1b[201~")  # bracketed paste (XTerm Control Sequences)
    living.shows("> 63.5_")
    quiet(living)
    assert shared_shed.kept().seq == before


def test_the_keypad_of_the_kitty_protocol_types_a_number(living: RealTerminal) -> None:
    # Codes of the keypad: kitty keyboard protocol, "Functional key definitions".
    for digit in range(10):
        living.type(f"\x1b[{57399 + digit};129;{48 + digit}u")
        quiet(living, 0.06)
    living.type("\x1b[57409;129;46u")
    living.shows("> 0123456789._")
    living.type("\x1b[57399u")
    living.shows("> 0123456789.0_")


def test_a_modifier_alone_does_nothing(living: RealTerminal, shared_shed: Shed) -> None:
    before = shared_shed.kept().seq
    living.type("6")
    living.shows("> 6_")
    for code in (57441, 57442, 57443, 57447, 57358, 57360, 57439):
        living.type(f"\x1b[{code}u")
        quiet(living, 0.1)
    living.type("0")
    living.shows("> 60_", "1/7  Set-up")
    assert shared_shed.kept().seq == before


def test_no_key_of_the_toolkit_does_anything(living: RealTerminal) -> None:
    before = timeless(living)
    for key in ("\x10", "\x1a", "\x1c", "\t", "\x1b[Z"):  # Ctrl+P, Ctrl+Z, Ctrl+Backslash, Tab, Shift+Tab
        living.type(key)
        quiet(living, 0.1)
    living.type("7")
    living.shows("> 7_")
    living.type("\x1b")
    living.hides("> 7_")
    assert timeless(living)[:8] == before[:8]


def test_ctrl_q_once_leaves_nothing(living: RealTerminal) -> None:
    living.type("\x11")
    living.shows("once more")
    living.type("6")
    living.shows("> 6_")


def test_the_mouse_is_never_asked_for(living: RealTerminal) -> None:
    asked = set(re.findall(rb"\x1b\[\?(\d+)h", living.written))
    assert ALTERNATE_SCREEN in living.written
    # 9, 1000 to 1003, 1005, 1006, 1015, 1016: modes of the mouse (XTerm Control Sequences)
    assert not asked & {b"9", b"1000", b"1001", b"1002", b"1003", b"1005", b"1006", b"1015", b"1016"}
    assert living.picture.controls == set()


# Ends


def test_a_closed_terminal_ends_a_day_that_no_signal_tells(tmp_path: Path, shed: Shed) -> None:
    day = shed.run(controls=False)
    begun(day)
    day.hang_up()
    assert day.exit_code() == 128 + signal.SIGHUP
    assert shed.kept().phase == "running"
    assert shed.nothing_noted()


def test_a_closed_window_ends_a_day_that_was_to_outlive_it(shed: Shed) -> None:
    day = shed.run(ignored=(signal.SIGHUP,))
    begun(day)
    day.hang_up()
    assert day.exit_code() == 128 + signal.SIGHUP
    assert shed.kept().phase == "running"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_signal_gives_the_terminal_back_and_leaves_the_day_open(shed: Shed, number: signal.Signals) -> None:
    day = begun(shed.run())
    day.type("t")
    day.until(lambda: shed.ticked() == 1, "one item ticked")
    day.signal(number)
    assert day.ended() == 128 + number
    last = day.written.rfind(ALTERNATE_SCREEN)
    assert day.written.find(MAIN_SCREEN, last) > 0
    assert day.written.find(CURSOR_SHOWN, last) > 0
    assert day.echoes()
    assert (shed.kept().phase, shed.ticked()) == ("running", 1)
    assert shed.nothing_noted()


def test_stopped_and_continued_in_every_way_it_goes_on_and_leaves_in_order(shed: Shed) -> None:
    day = begun(shed.run())
    before = timeless(day)
    for turn in range(3):
        day.signal(signal.SIGCONT)
        day.signal(signal.SIGSTOP)
        day.stopped()
        day.signal(signal.SIGCONT)
        day.type(f"{turn}")
        day.shows(f"> {turn}_", "Enter take")
        day.type("\x1b")
        day.hides(f"> {turn}_")
    day.signal(signal.SIGTSTP)
    day.stopped()
    day.until(lambda: day.written.rfind(MAIN_SCREEN) > day.written.rfind(ALTERNATE_SCREEN), "main screen")
    assert day.echoes()
    day.signal(signal.SIGCONT)
    day.until(lambda: timeless(day)[:8] == before[:8], "the picture as it was")
    assert not day.echoes()
    day.type("t")
    day.until(lambda: shed.ticked() == 1, "one item ticked")
    leaves_by_its_keys(day)
    assert shed.nothing_noted()


def test_killed_outright_the_day_is_there_again_as_it_was(shed: Shed) -> None:
    day = begun(shed.run())
    for _ in range(2):
        day.type("t")
        quiet(day, 0.1)
    day.until(lambda: shed.ticked() == 2, "two items ticked")
    day.shows("2 of 3 done")
    settled(day)
    before, kept = timeless(day), shed.kept()
    day.signal(signal.SIGKILL)
    assert day.ended() == -signal.SIGKILL
    again = shed.open("resume")
    again.shows("1/7  Set-up", "2 of 3 done")
    now = shed.kept()
    assert (now.phase, now.step, now.records) == (kept.phase, kept.step, kept.records)
    again.until(lambda: timeless(again)[:7] == before[:7], "the picture as it was")


# Terminals


def test_every_size_on_the_way_down_to_one_cell_and_back(shed: Shed) -> None:
    day = begun(shed.run(columns=80, rows=24))
    before = timeless(day)
    for columns, rows in ((120, 40), (20, 5), (200, 60)):
        day.resize(columns, rows)
        day.shows("Set-up")
    day.resize(1, 1)
    day.until(lambda: day.picture.lines != [""], "something in the one cell")
    day.resize(80, 24)
    day.until(lambda: timeless(day) == before, "the picture as it was")
    assert shed.nothing_noted()


def test_a_terminal_that_takes_nothing_stops_no_day(shed: Shed) -> None:
    day = begun(shed.run("--rehearse", "--rate", "60", columns=160, rows=50))
    written = len(day.written)
    # Nobody reads from here on. Each size and each key wants a picture: more than the toolkit lets wait (30).
    for turn in range(40):
        day.resize(160 - turn % 2, 50)
        time.sleep(0.02)
    for turn in range(20):
        day.type("6" if turn % 2 == 0 else "\x7f")
        time.sleep(KEY_GAP_SECONDS)
    time.sleep(MUTED_SECONDS)
    day.type("t")
    wait_for(lambda: shed.ticked() == 1)
    assert len(day.written) == written
    day.resize(80, 24)
    day.shows("1 of 3 done", "1/7  Set-up", "Lock Seven kettle", "7 Pitch")
    leaves_by_its_keys(day)
    assert shed.nothing_noted()


def test_a_terminal_that_takes_nothing_holds_up_no_end(shed: Shed) -> None:
    day = begun(shed.run("--rehearse", "--rate", "60", columns=160, rows=50))
    for turn in range(20):
        day.resize(160 - turn % 2, 50)
        time.sleep(0.02)
    day.signal(signal.SIGTERM)
    assert day.exit_code() == 128 + signal.SIGTERM
    assert shed.kept().phase == "running"


def wait_for(holds: Callable[[], object]) -> None:
    """Waits until this holds, without reading what the program writes."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def called(shed: Shed, **options: object) -> RealTerminal:
    """A rehearsed heating whose reading is due, with a number being typed."""
    day = shed.run("--rehearse", "--rate", "1", schedule=HEATING_FIRST, **options)
    day.shows("begin the day")
    day.type("b")
    day.shows("1/6  Heat")
    for _ in range(8):
        day.type(">")
        quiet(day, 0.06)
    day.shows("CALL")
    return day


GROUND_COLOURS = {*range(30, 38), *range(40, 48), *range(90, 98), *range(100, 108)}
"""The sixteen colours (ECMA-48 8.3.117, and the bright ones of aixterm)."""
OTHER_COLOURS = {38, 48, 58}
"""What begins a colour of 256 or of 24 bits (ISO 8613-6)."""


def test_no_color_leaves_out_every_colour_and_keeps_reverse_video(shed: Shed) -> None:
    day = called(shed, environment={"NO_COLOR": "1", "COLORTERM": "truecolor"})
    assert not day.picture.attributes & (GROUND_COLOURS | OTHER_COLOURS)
    assert 7 in day.picture.attributes_of("CALL")


def test_the_linux_console_gets_ascii_and_its_sixteen_colours(shed: Shed) -> None:
    day = called(shed, environment={"TERM": "linux"})
    assert day.written.isascii()
    assert not day.picture.attributes & OTHER_COLOURS
    assert day.picture.attributes & GROUND_COLOURS
    assert 7 in day.picture.attributes_of("CALL")
    assert day.picture.reversed_cells() > 60  # the large digits are reversed blanks


def test_no_colour_but_the_sixteen_of_the_terminal_is_used(shed: Shed) -> None:
    day = called(shed, environment={"TERM": "xterm"})
    assert not day.picture.attributes & OTHER_COLOURS
    assert day.picture.attributes & GROUND_COLOURS


@pytest.mark.parametrize("encoding", ["latin-1", "ascii"])
def test_another_encoding_leaves_no_escape_on_the_screen(shed: Shed, encoding: str) -> None:
    day = called(
        shed, environment={"PYTHONIOENCODING": encoding, "LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0"}
    )
    assert day.written.isascii()
    assert "\\u" not in day.picture.text and "\\x" not in day.picture.text
    assert day.picture.reversed_cells() > 60


def test_a_terminal_that_cannot_place_text_is_refused(shed: Shed) -> None:
    day = shed.run(environment={"TERM": "dumb"})
    assert day.ended() == 2
    assert "--plain" in day.picture.text
    assert b"\x1b" not in day.written


@pytest.mark.parametrize("words", [("run", "lock-seven-barley"), ("resume",), ()])
def test_input_that_is_no_terminal_is_refused(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "mashday", *words],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "TERM": "xterm",
            "MASHDAY_SESSIONS": str(tmp_path),
            "XDG_STATE_HOME": str(tmp_path),
        },
        check=False,
    )
    assert done.returncode == 2
    assert "--plain" in done.stderr and done.stderr.count("\n") == 1
    assert not list(tmp_path.iterdir())


# Hostile text


def test_markup_in_a_schedule_is_text_on_every_screen(shed: Shed) -> None:
    hostile = (
        SCHEDULE.replace("Lock Seven kettle", "[/b] kettle [bold]")
        .replace("lock-keeper's kettle", "[/] kettle")
        .replace("pale barley malt", "[@click=app.quit]malt")
        .replace("malt weighed", "[@click=app.quit]weigh it[/]")
        .replace("drains shut", "[/b] drains")
        .replace(
            'kind = "set-up"', 'kind = "set-up"\ntitle = "[/red] lay out"\nif_it_goes_wrong = ["[/] wrong"]'
        )
        .replace("[[step]]", '[[container]]\nname = "[/b] jug"\nvolume = "1 L"\n[[step]]', 1)
        .replace("[pot]", 'notes = "[/b] [@click=app.quit]notes"\n[pot]', 1)
    )
    day = shed.run(schedule=hostile, columns=120, rows=40)
    day.shows("[/b] kettle [bold]")
    day.type("b")
    day.shows("1/7  [/red] lay out", "[@click=app.quit]weigh it[/]")
    for page, mark in (("a", "[/] wrong"), ("c", "[/b] drains"), ("i", "[/red] lay out"), ("j", "begun")):
        quiet(day, 0.1)
        day.type(page)
        day.shows(mark, "back")
        day.type("\x1b")
        day.hides("Esc: back")
    day.type("o")
    day.shows("> note")
    day.type("\x1b[200~[/b]\x1b]0;owned\x07 \u202eabc\u200b \x9b2J\x1b[201~")
    day.shows("[/b]_")
    quiet(day, MUTED_SECONDS)  # what stood in it beside text came as keys, too many at once
    day.type("\r")
    day.until(lambda: len(shed.kept().notes) == 1, "the note is kept")
    day.shows(f"Note: {shed.kept().notes[0].text}")
    assert day.picture.controls == set()
    assert day.picture.sequences <= HARMLESS
    assert b"owned\x07" not in day.written and b"\x9b" not in day.written
    assert "\u202e" not in day.picture.text and "\u200b" not in day.picture.text
    leaves_by_its_keys(day)


HARMLESS = {"H", "m", "?h", "?l", ">u", "<u", "?$p", "]22"}
"""Place, attributes, modes, the keyboard's mode, what is asked of the terminal, the shape of the pointer."""


@pytest.mark.parametrize(
    "found", ["\\u001b[2J", "\\u202e", "\\u200b", "\\u0007", "\\u009b31m", "\\u2066x", "\\u0000"]
)
def test_a_schedule_that_would_steer_a_terminal_is_refused_and_not_echoed(
    found: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    schedule = tmp_path / "schedule.toml"
    for place in ("Lock Seven kettle", "malt weighed", "pale barley malt"):
        schedule.write_text(SCHEDULE.replace(place, f"x{found}y"), encoding="utf-8")
        assert main(["run", "--plain", str(schedule), "--sessions", str(tmp_path / "sessions")]) == 2
        told = capsys.readouterr()
        assert (told.out + told.err).replace("\n", "").isprintable()
        assert not (tmp_path / "sessions").exists()


# Faults of our own


async def test_the_toolkit_offers_nothing_of_its_own(
    day: Callable[[str], Any], app_of: Callable[..., BoardApp]
) -> None:
    app = app_of(day("resting"))
    async with app.run_test(size=(80, 24)):
        assert [type(widget) for widget in app.screen.walk_children()] == [screen_room.Board]
        assert not any(widget.focusable for widget in app.screen.walk_children(Widget))
        assert app.focused is None
        assert not app.ENABLE_COMMAND_PALETTE and not app.ALLOW_SELECT
        assert not app._bindings.key_to_bindings


async def test_a_fault_in_painting_is_noted_and_the_day_goes_on(
    day: Callable[[str], Any],
    app_of: Callable[..., BoardApp],
    send: Callable[..., Awaitable[None]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    beside, note = day("resting"), tmp_path / "crash.txt"
    app = app_of(beside, crash_note=note)

    def torn(*_: object) -> None:
        raise RuntimeError("a brush broke")

    async with app.run_test(size=(80, 24)) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(screen_room, "paint", torn)
            await send(pilot, beside, *"63.0", "enter")
            assert beside.session.state.valid("temperature")[-1].fact.value == 63.0
            written = note.read_text()
            assert "a brush broke" in written
            await send(pilot, beside, "6")
            assert note.read_text() == written
        await send(pilot, beside, "5")
        assert app.board.shown.entry == "65"
