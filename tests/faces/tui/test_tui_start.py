"""The start screen: what each key does on its pages."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from textual import events

from mashday.faces.tui.start import StartApp
from mashday.faces.tui.start_page import Choice, Group, Listing, Offer, Reading

LONG = Reading("a long page", tuple(f"line {number}" for number in range(1, 61)))
REHEARSED = Listing("rehearsed days", (Group("Rehearsed days", ()),), other_is="real ones")
PAST = Listing(
    "past days", (Group("Past days", (Offer("a day"),)),), other=lambda: REHEARSED, other_is="rehearsed"
)


def schedule(number: int) -> Offer:
    page = Reading(f"sample {number}", ("about it",), begins=f"sample-{number}")
    return Offer(f"sample {number}", opens=lambda: page)


OFFERS = (
    Offer("go on with Lock Seven barley wash", choice=Choice("one.toml", resumes=True)),
    Offer("my-day.toml: to mend first", opens=lambda: LONG),
    Offer("past days: 1", opens=lambda: PAST),
    *(schedule(number) for number in range(1, 39)),
)
FRONT = Listing("mashday", (Group("Days", OFFERS),))


@dataclass(frozen=True, slots=True)
class Came:
    """What came of some keys: the choice, what the screen shows, and whether it still stands."""

    choice: Choice | None
    text: str
    stands: bool


async def came_of(
    *keys: str, first: Listing = FRONT, size: tuple[int, int] = (80, 24), anew: Listing | None = None
) -> Came:
    pages = [first]
    seconds = [0.0]
    app = StartApp(lambda: pages[-1], seconds=lambda: seconds[0])
    async with app.run_test(size=size) as pilot:
        for pressed in keys:
            seconds[0] += 0.4
            app.post_message(events.Key(pressed, pressed if len(pressed) == 1 else None))
            for _ in range(2):
                await pilot.pause(0)
        if anew is not None:
            pages.append(anew)
            app.tell_anew()
            await pilot.pause(0)
        text = "\n".join(strip.text for strip in app.screen._compositor.render_strips())
        return Came(app.choice, text, app.is_running)


async def test_enter_alone_goes_on_with_the_open_day() -> None:
    came = await came_of("enter")
    assert came.choice == Choice("one.toml", resumes=True)
    assert not came.stands


@pytest.mark.parametrize(("key", "rehearse"), [("1", False), ("2", True)])
async def test_a_schedule_is_begun_or_rehearsed_by_digits_and_enter_alone(key: str, rehearse: bool) -> None:
    came = await came_of("1", "2", "enter", key)
    assert came.choice == Choice("sample-9", rehearse=rehearse)
    assert not came.stands


async def test_enter_never_begins_a_real_day() -> None:
    came = await came_of("4", "enter", "enter", "enter")
    assert came.choice is None
    assert came.stands
    assert "1 is the real day, 2 the rehearsal" in came.text


async def test_arrows_move_the_mark_and_the_page_follows_it() -> None:
    assert (await came_of("down", "down", "down", "enter", "2")).choice == Choice("sample-1", rehearse=True)
    assert "> 41  sample 38" in (await came_of(*["pagedown"] * 10)).text
    assert ">  1  go on with" in (await came_of("end", "home")).text


async def test_a_number_marks_its_line_and_is_taken_back_by_backspace_minus_or_escape() -> None:
    came = await came_of("4", "1")
    assert "> 41  sample 38" in came.text
    assert "> 41_ Enter picks it" in came.text
    assert "> 4_" in (await came_of("4", "1", "backspace")).text
    assert "> 4_" in (await came_of("4", "1", "-")).text
    cleared = await came_of("4", "1", "escape")
    assert cleared.stands and "> _ number or arrows" in cleared.text


async def test_a_number_that_is_not_there_says_which_are() -> None:
    came = await came_of("9", "9", "enter")
    assert "There is no 99: 1 to 41" in came.text
    assert (await came_of("0", "enter")).choice is None


@pytest.mark.parametrize("back", ["escape", "backspace", "-", "q"])
async def test_every_page_is_gone_back_from(back: str) -> None:
    came = await came_of("4", "enter", back)
    assert came.stands
    assert ">  4  sample 1" in came.text


@pytest.mark.parametrize("key", ["q", "ctrl+c"])
async def test_the_first_page_is_left(key: str) -> None:
    came = await came_of(key)
    assert came.choice is None
    assert not came.stands


@pytest.mark.parametrize("key", ["escape", "backspace", "-", "1", "x"])
async def test_nothing_else_leaves_it(key: str) -> None:
    came = await came_of(key)
    assert came.choice is None
    assert came.stands


async def test_ctrl_c_leaves_from_any_page() -> None:
    assert not (await came_of("4", "enter", "ctrl+c")).stands


async def test_a_page_to_read_is_scrolled_to_its_end_and_back_at_once() -> None:
    assert "line 60" in (await came_of("2", "enter", "end")).text
    assert "line 60" in (await came_of("2", "enter", *["pagedown"] * 9)).text
    back = await came_of("2", "enter", *["pagedown"] * 9, "up")
    assert "line 59" in back.text and "line 60" not in back.text
    assert "line 1 " in (await came_of("2", "enter", "end", "home")).text
    assert (await came_of("2", "enter", "1")).choice is None


async def test_the_rehearsed_days_are_behind_a_key_that_the_page_names() -> None:
    came = await came_of("3", "enter")
    assert "*: rehearsed" in came.text
    assert "Rehearsed days" not in came.text
    assert "Rehearsed days" in (await came_of("3", "enter", "*")).text
    assert "There is no 1: nothing to pick" in (await came_of("3", "enter", "*", "enter")).text


async def test_the_keys_have_a_page() -> None:
    assert "?: keys" in (await came_of()).text
    assert "A number pad is enough" in (await came_of("?")).text
    assert ">  1  go on" in (await came_of("?", "escape")).text


async def test_a_burst_of_keys_chooses_nothing() -> None:
    app = StartApp(lambda: FRONT, seconds=lambda: 0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(30):
            app.post_message(events.Key("x", "x"))
        app.post_message(events.Key("enter", "\r"))
        await pilot.pause(0)
        await pilot.pause(0)
        assert app.choice is None


async def test_names_of_others_are_shown_as_written() -> None:
    odd = Listing("mashday", (Group("Days", (Offer("[/b][@click=app.quit]x[/]"),)),))
    assert "[/b][@click=app.quit]x[/]" in (await came_of(first=odd)).text


@pytest.mark.parametrize("size", [(1, 1), (20, 5), (60, 20), (200, 60)])
async def test_any_size_of_screen_is_borne(size: tuple[int, int]) -> None:
    for keys in ((), ("2", "enter", "end"), ("?",)):
        came = await came_of(*keys, size=size)
        assert came.stands


async def test_a_changed_size_lays_the_page_out_anew() -> None:
    long = Listing("mashday", (Group("Days", (Offer("word " * 19 + "end", below="below " * 12 + "end"),)),))
    app = StartApp(lambda: long)
    async with app.run_test(size=(120, 24)) as pilot:
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        rows = [strip.text.rstrip() for strip in app.screen._compositor.render_strips()]
    assert rows[2].startswith(" > 1  word word")
    assert rows[3].startswith("      word") and rows[3].endswith("end")
    assert rows[4].startswith("      below")


async def test_it_is_told_anew_how_long_a_day_was_left_and_the_mark_stays() -> None:
    later = Listing("mashday", (Group("Days", (*OFFERS[:3], Offer("told anew"), *OFFERS[4:])),))
    assert ">  4  told anew" in (await came_of("4", anew=later)).text


async def test_numbers_do_not_move_underfoot_where_a_file_came_or_went() -> None:
    fewer = Listing("mashday", (Group("Days", OFFERS[1:]),))
    assert ">  1  go on with" in (await came_of(anew=fewer)).text


async def test_the_page_of_keys_is_opened_once_and_closed_by_its_key() -> None:
    assert "> " not in (await came_of("?")).text
    assert ">  1" in (await came_of("?", "?")).text
    assert ">  1" in (await came_of("?", "?", "?", "escape")).text
