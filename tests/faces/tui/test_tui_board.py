"""The full screen run by the toolkit, without a terminal."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from stand_ins import Voice
from textual import events

from mashday.engine import intents
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.tui import screen
from mashday.faces.tui.bell import Bell
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.keys import KEYS, with_pedal
from mashday.faces.tui.screen import CLEAN, OUR_FAULT
from mashday.faces.view import CallLine
from mashday.schedule.samples import find

Days = Callable[[str], Any]
HOSTILE = "[/b][@click=app.quit]x[/] 50% [/]"


async def test_a_number_typed_without_focus_is_taken(
    day: Days, app_of: Any, send: Any, shown_text: Any
) -> None:
    at = day("called")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        assert app.focused is None
        await send(pilot, at, *"63.2", "enter")
        assert at.session.state.readings[-1].typed == ("63.2",)
        assert "63.0 C, just now" in shown_text(app)


async def test_keys_of_keypads_and_presenters_come_through(day: Days, app_of: Any) -> None:
    at = day("before")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(events.Key("add", "+"))
        await pilot.pause(0)
        at.clock.advance(1.0)
        app.tick()
        for _ in range(3):
            await pilot.pause(0)
        assert at.session.state.phase == "running"


async def test_no_binding_of_the_toolkit_is_left(day: Days, app_of: Any, send: Any) -> None:
    at = day("resting")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        await send(pilot, at, "ctrl+p", "tab", "ctrl+z", "f1", "ctrl+q")
        assert len(app.screen_stack) == 1
        assert app.focused is None
        assert app.is_running
        assert not app.desk.leaving


async def test_leaving_keeps_the_day_open(day: Days, app_of: Any, send: Any) -> None:
    at = day("resting")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        await send(pilot, at, "q", "q")
        await pilot.pause(0)
        assert not app.is_running
    assert app.result_code() == CLEAN
    assert at.session.state.phase == "running"


async def test_the_summary_stands_when_the_day_is_over_until_it_is_left(
    day: Days, app_of: Any, send: Any, shown_text: Any
) -> None:
    at = day("resting")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        await send(pilot, at, *":finish", "enter", "y")
        await pilot.pause(0)
        assert "The day is over" in shown_text(app) and "What went wrong?" in shown_text(app)
        at.clock.advance(2.0)
        await send(pilot, at, "escape")
        assert "Enter: done" in shown_text(app) and app.is_running
        await send(pilot, at, "enter")
        await pilot.pause(0)
        assert not app.is_running
    assert app.result_code() == CLEAN


async def test_every_size_can_be_drawn_and_left_again(day: Days, app_of: Any, shown_text: Any) -> None:
    at = day("remedy")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        before = shown_text(app)
        for size in ((60, 20), (200, 60), (20, 5), (5, 3), (1, 1), (80, 24)):
            await pilot.resize_terminal(*size)
            app.tick()
            await pilot.pause(0)
        assert shown_text(app) == before


async def test_text_of_others_is_shown_as_written_and_runs_nothing(
    day_of: Any, app_of: Any, send: Any, shown_text: Any
) -> None:
    written = find("lock-seven-barley")[1]
    written = written.replace('name = "Lock Seven barley wash"', f'name = "{HOSTILE}"')
    written = written.replace('kind = "set-up"', f'kind = "set-up"\ntitle = "{HOSTILE}"')
    written = written.replace('"Weigh the malt and put a thermometer into it"', f'"{HOSTILE}"')
    at = day_of(written)
    app = app_of(at)
    async with app.run_test(size=(120, 40)) as pilot:
        await send(pilot, at, "+", "o", *HOSTILE, "enter")
        assert at.session.state.notes[-1].text == HOSTILE
        for key in ("a", "c", "i", "j", "/", "?", "escape"):
            await send(pilot, at, key)
        text = shown_text(app)
        assert HOSTILE in text
        assert app.is_running


async def test_a_slow_disk_stops_no_clock(day: Days, app_of: Any, shown_text: Any) -> None:
    at = day("called")
    app = app_of(at, threads=True)
    written, let_go = threading.Event(), threading.Event()
    send_on = at.session.send

    def slowly(intent: intents.Intent) -> Any:
        written.set()
        assert let_go.wait(10.0)
        return send_on(intent)

    at.session.send = slowly
    async with app.run_test(size=(80, 24)) as pilot:
        app.desk.ask(intents.Hold())
        app.tick()
        while not written.is_set():
            await asyncio.sleep(0.001)
        before = shown_text(app)
        for _ in range(8):
            at.clock.advance(1.0)
            app.tick()
            await pilot.pause(0)
        meanwhile = shown_text(app)
        assert "saving..." in meanwhile
        assert before.splitlines()[0] != meanwhile.splitlines()[0]
        assert at.session.state.phase == "running"
        let_go.set()
        while at.session.state.phase == "running" or app.desk.saving:
            await asyncio.sleep(0.001)
        assert app.desk.message.startswith("10:44 Held")


async def test_leaving_waits_for_what_was_entered_but_not_for_ever(day: Days, app_of: Any) -> None:
    at = day("resting")
    app = app_of(at, threads=True)
    let_go = threading.Event()
    at.session.send = lambda _: let_go.wait(10.0)
    async with app.run_test(size=(80, 24)) as pilot:
        app.desk.ask(intents.Hold())
        app.tick()
        await pilot.pause(0)
        app.desk.leaving = True
        app.tick()
        assert app.is_running
        at.clock.advance(5.1)  # derived: PATIENCE_SECONDS
        app.tick()
        await pilot.pause(0)
        assert not app.is_running
        let_go.set()


async def test_a_fault_in_what_begins_by_itself_ends_nothing(
    day: Days, app_of: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> bool:
        raise RuntimeError("a fault in the rules")

    at = day("resting")
    app = app_of(at, crash_note=tmp_path / "crash.txt")
    async with app.run_test(size=(80, 24)):
        monkeypatch.setattr(app.desk, "has_business", broken)
        app.tick()
        assert app.is_running
    assert "a fault in the rules" in (tmp_path / "crash.txt").read_text()


async def test_a_step_that_begins_by_itself_does_so_on_the_tick(
    day: Days, app_of: Any, shown_text: Any
) -> None:
    at = day("resting")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        for minutes in (11.0, 20.0):
            at.clock.advance(60.0 * minutes)
            at.say("63.1")
        left = 60 * 60.0 - (at.session.t() - at.session.state.current.began)  # the sample's rest: 60 min
        at.clock.advance(left - 0.25)
        app.tick()
        for _ in range(3):
            await pilot.pause(0)
        assert at.session.state.step == 4
        at.clock.advance(0.25)
        app.tick()
        for _ in range(3):
            await pilot.pause(0)
        assert at.session.state.step == 5
        assert "CALL  Starch check has begun" in shown_text(app)


async def test_intents_keep_their_order_in_the_worker(day: Days, app_of: Any) -> None:
    at = day("resting")
    app = app_of(at, threads=True)
    async with app.run_test(size=(80, 24)):
        for number in range(20):
            app.desk.ask(intents.WriteNote(str(number)))
            app.tick()
        while len(at.session.state.notes) < 20:
            await asyncio.sleep(0.001)
    assert [note.text for note in at.session.state.notes] == [str(number) for number in range(20)]


async def test_a_fault_in_the_picture_is_noted_once_and_ends_nothing(
    day: Days, app_of: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> Any:
        raise RuntimeError("a fault in the picture")

    at = day("resting")
    note = tmp_path / "state" / "crash.txt"
    app = app_of(at, crash_note=note)
    async with app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(screen, "paint", broken)
        for _ in range(5):
            at.clock.advance(60.0)
            app.tick()
            await pilot.pause(0)
        assert app.is_running
    told = note.read_text()
    assert told.count("a fault in the picture") == 2  # derived: its line of code and its message, once
    assert "mashday" in told


async def test_a_fault_in_the_rules_is_told_as_not_entered(
    day: Days, app_of: Any, send: Any, tmp_path: Path, shown_text: Any
) -> None:
    def broken(_: Any) -> Any:
        raise RuntimeError("a fault in the rules")

    at = day("called")
    at.session.send = broken
    app = app_of(at, crash_note=tmp_path / "crash.txt")
    async with app.run_test(size=(80, 24)) as pilot:
        await send(pilot, at, *"63.2", "enter")
        assert "Not entered" in shown_text(app)
        assert app.is_running
    assert "a fault in the rules" in (tmp_path / "crash.txt").read_text()


async def test_a_terminal_that_takes_nothing_is_not_painted_on(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = day("called")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = app.board.shown
        monkeypatch.setattr(app, "backed_up", lambda: True)
        for _ in range(3):
            at.clock.advance(10.0)
            app.tick()
            await pilot.pause(0)
        assert app.board.shown is shown
        monkeypatch.undo()
        app.tick()
        assert app.board.shown is not shown


class Dumb(Voice):
    """A voice that no ear can hear: a file, or one that has failed."""

    audible = False


SAYS_NOTHING = {
    "alone": lambda: None,
    "with signals": lambda: Herald(None, None, None),
    "dumb": lambda: Herald(None, Dumb(), None),
}


@pytest.mark.parametrize(
    ("key", "herald"),
    [("enter", "with signals"), ("plus", "alone"), ("pagedown", "dumb")],
)
async def test_no_key_answers_a_fire_that_is_neither_shown_nor_said(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch, key: str, herald: str
) -> None:
    at = day("pouring")
    at.say("undo")
    at.say("take 2")
    apparatus = Apparatus(SAYS_NOTHING[herald]())
    at.desk = Desk(at.session, keys=with_pedal(KEYS, "presenter"), apparatus=apparatus)
    app = app_of(at)

    async def sends() -> bool:
        app.pressed(key, "+" if key == "plus" else None)
        for _ in range(4):
            at.clock.advance(0.5)
            app.tick()
            await pilot.pause(0)
        return not any(call.is_fire_on for call in at.desk.view().calls)

    async with app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(app, "backed_up", lambda: True)
        for _ in range(30):
            at.clock.advance(5.0)
            app.tick()
        assert not await sends() and not await sends()
        monkeypatch.setattr(app, "backed_up", lambda: False)
        for _ in range(10):
            at.clock.advance(0.5)
            app.tick()
        assert await sends()


async def test_a_call_is_heard_beside_a_terminal_that_takes_nothing(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = day("resting")
    heeded: list[Any] = []
    herald = Herald(None, None, None)
    monkeypatch.setattr(herald, "heed", lambda view, now: heeded.append(view))
    at.desk = Desk(at.session, apparatus=Apparatus(herald))
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        app.tick()
        await pilot.pause(0)
        assert not any(call.rings for call in heeded[-1].calls)
        monkeypatch.setattr(app, "backed_up", lambda: True)
        at.clock.advance(660.0)  # a reading is due 20 minutes after the last one, 9 min 18 s ago
        app.tick()
        assert any(call.rings for call in heeded[-1].calls)


async def test_an_unchanged_moment_is_not_painted_again(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = day("resting")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        app.tick()
        await pilot.pause(0)
        painted: list[Any] = []
        monkeypatch.setattr(app.board, "refresh", lambda *regions, **_: painted.append(regions))
        app.tick()
        assert painted == []
        at.clock.advance(1.0)
        app.tick()
        assert len(painted) == 1
        assert len(painted[0]) < 12  # derived: the head and the rows of the digits, not the screen


async def test_what_is_due_is_never_called_early(day: Days, app_of: Any, shown_text: Any) -> None:
    at = day("resting")  # a reading is due 20 minutes after the last one, 9 min 18 s ago
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        due = at.session.state.readings[-1].t + 20 * 60.0  # read_every of the sample
        at.clock.advance(due - at.session.t() - 0.25)
        app.tick()
        await pilot.pause(0)
        assert "CALL" not in shown_text(app)
        at.clock.advance(0.25)
        app.tick()
        await pilot.pause(0)
        assert "CALL  Mash temperature is due" in shown_text(app)


async def test_the_bell_rings_when_a_call_is_due_and_not_without_leave(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    for sounds, rung in ((True, 1), (False, 0)):
        at = day("called")
        app = app_of(at, bell=sounds)
        times: list[int] = []
        async with app.run_test(size=(80, 24)):
            monkeypatch.setattr(app, "bell", lambda times=times: times.append(1))
            app.tick()
            app.tick()
        assert len(times) == rung


async def test_without_colours_a_call_is_reverse_and_has_no_colour(
    day: Days, app_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    at = day("called")
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        app.tick()
        await pilot.pause(0)
        strips = app.screen._compositor.render_strips()
        segments = [segment for strip in strips for segment in strip if segment.style is not None]
        called = [segment for segment in segments if "CALL" in segment.text]
        assert called and all(segment.style.reverse for segment in called)
        for segment in segments:
            for colour in (segment.style.color, segment.style.bgcolor):
                assert colour is None or colour.is_default, segment


async def test_nothing_is_written_in_a_colour_on_itself(day: Days, app_of: Any) -> None:
    for name in ("called", "remedy", "starch"):
        app = app_of(day(name))
        async with app.run_test(size=(80, 24)) as pilot:
            app.tick()
            await pilot.pause(0)
            for strip in app.screen._compositor.render_strips():
                for segment in strip:
                    style = segment.style
                    if style is None or style.color is None or style.color.is_default:
                        continue
                    assert style.color != style.bgcolor, segment


def _call(key: str, urgency: str = "now", *, rings: bool = True) -> CallLine:
    return CallLine(key, "due", urgency, rings, acknowledged=False)  # type: ignore[arg-type]


def _rung(urgency: str, seconds: int) -> list[float]:
    """The moments at which the bell rings, asked four times a second as the board does."""
    bell = Bell()
    moments = [quarter / 4.0 for quarter in range(4 * seconds)]
    return [moment for moment in moments if bell.rings([_call("a", urgency)], moment)]


def test_the_bell_grows_more_insistent_and_does_not_give_up() -> None:
    rung = _rung("now", 900)
    by_minute = [sum(60 * minute <= moment < 60 * (minute + 1) for moment in rung) for minute in range(15)]
    assert rung[0] == 0.0
    assert by_minute[:2] == [2, 2] and by_minute[2:5] == [8, 8, 8] and set(by_minute[5:]) == {18}


def test_a_danger_rings_every_five_seconds() -> None:
    assert _rung("danger", 60) == [float(second) for second in range(0, 60, 5)]


def test_a_heads_up_rings_once() -> None:
    assert _rung("soon", 120) == [0.0]


def test_an_answered_call_rings_no_stroke_more() -> None:
    bell = Bell()
    for second in range(301):
        bell.rings([_call("a")], float(second))
    assert not bell.rings([], 301.0) and not bell.rings([_call("a", rings=False)], 301.25)


def test_a_quiet_call_does_not_ring_and_a_new_one_does_at_once() -> None:
    bell = Bell()
    assert not bell.rings([_call("a", rings=False)], 0.0)
    assert bell.rings([_call("a")], 1.0)
    assert not bell.rings([_call("a")], 2.0)
    assert bell.rings([_call("a"), _call("b")], 3.0)


async def test_an_exit_code_says_how_it_ended(day: Days, app_of: Any) -> None:
    for said, code in ((0, CLEAN), (143, 143), (1, OUR_FAULT)):
        app = app_of(day("resting"))
        async with app.run_test(size=(80, 24)) as pilot:
            app.leave(said)
            await pilot.pause(0)
        assert app.result_code() == code


def test_a_screen_that_never_ran_is_our_fault(day: Days, app_of: Any) -> None:
    assert app_of(day("resting")).result_code() == OUR_FAULT


async def test_a_rehearsal_moves_ahead_by_its_key(day: Days, app_of: Any, send: Any, shown_text: Any) -> None:
    at = day("resting")
    at.rehearse()
    app = app_of(at)
    async with app.run_test(size=(80, 24)) as pilot:
        before = at.session.t()
        await send(pilot, at, ">")
        assert at.session.t() - before == pytest.approx(300.0, abs=2.0)
        assert "simulated thermometer" in shown_text(app)
