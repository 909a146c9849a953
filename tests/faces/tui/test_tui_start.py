"""The start screen: unfinished days, schedules of this folder, samples."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual import events

from mashday.engine import intents
from mashday.faces.tui.start import Choice, Offered, StartApp, offered
from mashday.schedule.samples import find, sample_names
from mashday.session.clock import VirtualClock
from mashday.session.session import begin

LINES = (
    Offered("go on with Lock Seven barley wash", Choice("one.toml", resumes=True)),
    Offered("my-day.toml: 2 to mend first", None),
    *(Offered(f"sample {number}", Choice(f"sample-{number}")) for number in range(1, 40)),
)


async def chosen(*keys: str, lines: tuple[Offered, ...] = LINES) -> tuple[Choice | None, str, bool]:
    """What was chosen by these keys, what the screen showed last, and whether it still stands."""
    seconds = [0.0]
    app = StartApp(lines, seconds=lambda: seconds[0])
    async with app.run_test(size=(80, 24)) as pilot:
        for pressed in keys:
            seconds[0] += 0.4
            app.post_message(events.Key(pressed, pressed if len(pressed) == 1 else None))
            await pilot.pause(0)
            await pilot.pause(0)
        text = "\n".join(strip.text for strip in app.screen._compositor.render_strips())
        return app.choice, text, app.is_running


async def test_a_day_is_taken_up_by_its_number() -> None:
    choice, _, stands = await chosen("1", "enter")
    assert choice == Choice("one.toml", resumes=True)
    assert not stands


async def test_the_first_line_is_marked_so_that_enter_alone_goes_on() -> None:
    choice, _, _ = await chosen("enter")
    assert choice == Choice("one.toml", resumes=True)


@pytest.mark.parametrize(("key", "rehearse"), [("1", False), ("2", True)])
async def test_a_schedule_is_run_or_rehearsed(key: str, rehearse: bool) -> None:
    choice, _, _ = await chosen("3", "enter", key)
    assert choice == Choice("sample-1", rehearse=rehearse)


async def test_arrows_move_the_mark_and_the_page_follows_it() -> None:
    choice, _, _ = await chosen("down", "down", "enter", "1")
    assert choice == Choice("sample-1")
    _, text, _ = await chosen(*["pagedown"] * 10)
    assert "> 41  sample 39" in text


async def test_a_number_of_two_digits_marks_its_line() -> None:
    _, text, _ = await chosen("4", "1")
    assert "> 41  sample 39" in text


async def test_a_file_to_be_mended_cannot_be_chosen() -> None:
    choice, text, stands = await chosen("2", "enter")
    assert choice is None
    assert "mashday check" in text
    assert stands


async def test_a_number_that_is_not_there_says_which_are() -> None:
    _, text, stands = await chosen("9", "9", "enter")
    assert "There is no 99: 1 to 41" in text
    assert stands


async def test_it_can_be_left_and_gone_back_from() -> None:
    choice, _, stands = await chosen("3", "enter", "escape", "q")
    assert choice is None
    assert not stands


async def test_a_burst_of_keys_chooses_nothing() -> None:
    app = StartApp(LINES, seconds=lambda: 0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(30):
            app.post_message(events.Key("x", "x"))
        app.post_message(events.Key("enter", "\r"))
        await pilot.pause(0)
        await pilot.pause(0)
        assert app.choice is None


async def test_names_of_others_are_shown_as_written() -> None:
    _, text, _ = await chosen(lines=(Offered("[/b][@click=app.quit]x[/]", Choice("a")),))
    assert "[/b][@click=app.quit]x[/]" in text


def test_the_lines_are_unfinished_days_then_files_then_samples(tmp_path: Path) -> None:
    here, folder = tmp_path / "here", tmp_path / "days"
    here.mkdir()
    written = find("lock-seven-barley")[1]
    (here / "my-day.toml").write_text(written)
    (here / "bad.toml").write_text(written.replace('volume = "33 L"', 'volume = "33 bananas"'))
    (here / "other.toml").write_text("[tool]\nx = 1\n")
    session = begin(written, VirtualClock(), folder=folder)
    session.send(intents.Start())
    session.close()
    rehearsed = begin(written, VirtualClock(), folder=folder, rehearsed=True)
    rehearsed.close()
    lines: list[Any] = list(offered(folder, here))
    assert lines[0].choice == Choice(str(session.path), resumes=True)
    assert "go on with Lock Seven barley wash" in lines[0].text
    assert (lines[1].text[:9], lines[1].choice) == ("bad.toml:", None)
    assert lines[2].text.startswith("my-day.toml: Lock Seven barley wash")
    assert [line.choice.what for line in lines[3:]] == list(sample_names())
