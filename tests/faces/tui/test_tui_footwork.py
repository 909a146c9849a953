"""Presses of a pedal at the desk: what each moment makes of one, too soon, too late, and among other keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from stand_ins import Voice

from mashday.engine import calls
from mashday.engine import facts as f
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.entry import Foot
from mashday.faces.tui.keys import KEYS, has_pedal, of, with_pedal
from mashday.schedule.samples import sample_text

Days = Callable[[str], Any]
GO, BACK = "pagedown", "pageup"


@pytest.fixture
def trod(day: Days) -> Callable[..., Any]:
    """A day in one of its states with a pedal at the desk."""

    def made(name: str, pedal: str | None = "presenter", **apparatus: Any) -> Any:
        at = day(name)
        if name == "starch":
            at.press("enter")
        at.desk = Desk(at.session, keys=with_pedal(KEYS, pedal), apparatus=Apparatus(**apparatus))
        at.wait(0.25)
        at.wait(2.0)
        return at

    return made


def press(at: Any, *keys: str, gap: float = 2.0) -> Any:
    """Presses, each with a moment of quiet behind it, looked for as often as the screen does."""
    for key in keys:
        at.press(key, gap=0.25)
        for _ in range(int(gap / 0.25)):
            at.wait(0.25)
    return at


def facts(at: Any, before: int) -> list[str]:
    """The kinds of the entries since there were `before`."""
    return [type(entry.fact).__name__ for entry in at.session.state.log[before:]]


# Which keys


def counted(times: Sequence[float], every: float = 0.25, offset: float = 0.0) -> int:
    """How many presses keys at these moments are, looked at at a steady pace, as the screen does."""
    foot, found, keys = Foot(), 0, sorted(times)
    tick, end = keys[0] + offset, keys[-1] + 2.0
    while tick < end:
        while keys and keys[0] <= tick:
            foot.press("go", keys.pop(0))
        while foot.due(tick) is not None:
            found += 1
        tick += every
    return found


@given(
    delay=st.floats(0.25, 0.7),
    gaps=st.lists(st.floats(0.025, 0.1), min_size=1, max_size=120),
    offset=st.floats(0.0, 0.25),
)
@example(delay=0.4, gaps=[0.033] * 30, offset=0.0)
@example(delay=0.5, gaps=[0.1], offset=0.05)
def test_whatever_repeats_as_a_held_key_does_is_one_press(
    delay: float, gaps: list[float], offset: float
) -> None:
    # a first repeat after 0.25 to 0.7 s, then 10 to 40 a second: from memory
    times = [1.0, 1.0 + delay]
    for gap in gaps:
        times.append(times[-1] + gap)
    assert counted(times, offset=offset) == 1


@given(
    delay=st.floats(0.25, 1.15),
    gap=st.floats(0.025, 0.59),
    repeats=st.integers(20, 60),
    offset=st.floats(0.0, 0.25),
)
@example(delay=1.0, gap=0.033, repeats=40, offset=0.0)
@example(delay=0.5, gap=0.31, repeats=40, offset=0.0)
@example(delay=0.25, gap=0.5, repeats=40, offset=0.0)
def test_a_pedal_held_on_a_keyboard_that_repeats_late_or_slowly_is_one_press(
    delay: float, gap: float, repeats: int, offset: float
) -> None:
    # slower than what is usual: judgement
    assert counted([1.0, *(1.0 + delay + place * gap for place in range(repeats))], offset=offset) == 1


@given(
    st.lists(st.floats(1.1, 5.0), min_size=0, max_size=8),
    st.lists(st.floats(0.001, 0.05), min_size=0, max_size=4),
    st.floats(0.0, 0.25),
)
def test_each_press_well_apart_counts_once_however_its_contact_bounces(
    apart: list[float], bounces: list[float], offset: float
) -> None:
    times, moment = [], 1.0
    for gap in [0.0, *apart]:
        moment += gap
        times += [moment, *(moment + sum(bounces[: place + 1]) for place in range(len(bounces)))]
    assert counted(times, offset=offset) == 1 + len(apart)


@given(st.floats(0.0, 0.25))
def test_two_presses_in_quick_succession_are_two(offset: float) -> None:
    assert counted([1.0, 1.4], offset=offset) == 2


def test_a_press_behind_a_hold_counts_again() -> None:
    hold = [1.0, *(1.5 + 0.03 * place for place in range(60))]
    assert counted([*hold, hold[-1] + 1.0]) == 2


def test_a_key_spent_by_a_hand_is_no_press_however_long_it_repeats() -> None:
    foot = Foot()
    foot.spend("go", 1.0)
    for place in range(60):
        foot.press("go", 1.5 + 0.03 * place)
    assert foot.due(9.0) is None


@pytest.mark.parametrize(
    ("said", "go", "back"),
    [
        ("presenter", "pagedown", "pageup"),
        ("Presenter", "pagedown", "pageup"),
        ("F4", "f4", "shift+tab"),
        ("f7 f8", "f7", "f8"),
        ("PgDn PgUp", "pagedown", "pageup"),
        ("return", "enter", "shift+tab"),
        ("ctrl+f2", "ctrl+f2", "shift+tab"),
        ("#", "#", "shift+tab"),
        ("tab", "tab", "shift+tab"),
    ],
)
def test_a_pedal_is_named_by_its_keys(said: str, go: str, back: str) -> None:
    keys = with_pedal(KEYS, said)
    assert (of(keys, "go").keys[0], of(keys, "back").keys[0]) == (go, back)
    assert has_pedal(keys) is (go != "tab")
    assert "tab" in of(keys, "go").keys


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("presentr", "is no key"),
        ("f4 f5 f6", "is no key"),
        ("f99", "is no key"),
        ("é", "is no key"),
        ("5", "begins a number"),
        ("escape", "has a meaning already, wrong"),
        ("f4 enter", "has a meaning already, commit"),
        ("B", "has a meaning already, start"),
        ("f4 f4", "name two keys"),
    ],
)
def test_nonsense_is_refused_with_what_would_do(said: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        with_pedal(KEYS, said)


# What each moment makes of a press

MOMENTS = [
    ("before", GO, "begins the day", ["DayStarted", "StepBegun"]),
    ("set-up", GO, "ticks it", []),
    ("resting", GO, "", []),
    ("called", GO, "mash temperature unknown", []),
    ("remedy", GO, "takes way 1", ["RemedyTaken"]),
    ("remedy", BACK, "takes way 1", ["RemedyLeft"]),
    ("starch", BACK, "yellow: starch gone", ["ReadingTaken"]),
    ("held", GO, "goes on", ["Resumed"]),
    ("heat-off", GO, "it is done: heat is off", ["CallAnswered"]),
    ("soon", GO, "heard", ["CallAnswered"]),
    ("heating", GO, "", []),
    ("doubt", GO, "", []),
    ("pouring", GO, "", []),
]


@pytest.mark.parametrize(("name", "key", "label", "comes"), MOMENTS)
def test_each_moment_makes_the_one_next_thing_of_a_press(
    trod: Callable[..., Any], day: Days, name: str, key: str, label: str, comes: list[str]
) -> None:
    at = trod(name)
    if name == "doubt":
        at.type("36", "enter")
        at.wait(1.5)
    if name == "starch":
        assert at.desk.view().question == "starch check"
    before = len(at.session.state.log)
    found = at.desk.footwork.label(at.desk.view())
    shown = at.screen(200, 60)
    press(at, key)
    done = [kind for kind in facts(at, before) if comes or kind != "CallAnswered"]
    if name == "set-up":
        assert done == [] and "Press once more" in at.desk.message
    elif name == "starch":
        assert "ReadingTaken" in done and at.session.state.readings[-1].fact.passed is False
    else:
        assert done == comes
    assert found == label
    assert not label or label in shown
    assert done or at.desk.message or at.desk.doubt


def says_of(desk: Any) -> str:
    said: str = desk.footwork.says(desk.view())
    return said


def test_what_is_said_of_a_press_says_what_the_back_key_answers(trod: Callable[..., Any]) -> None:
    at = trod("remedy")
    assert says_of(at.desk) == "Pedal: takes way 1. Back: leaves it as it is."
    hints = at.desk.shown(at.desk.view()).hints
    assert hints[:2] == (("PageDown", "takes way 1"), ("PageUp", "leaves it as it is"))
    assert says_of(trod("remedy", "f4").desk) == "Pedal: takes way 1."
    assert says_of(trod("remedy", None).desk) == ""
    assert says_of(trod("resting").desk) == ""


def test_starch_is_gone_by_two_presses_and_left_by_the_back_key(trod: Callable[..., Any]) -> None:
    at = press(trod("starch"), GO)
    assert "stay yellow" in at.desk.message and at.session.state.step == 5
    assert at.desk.footwork.label(at.desk.view()) == "once more: yellow: starch gone"
    press(at, GO)
    assert at.session.state.readings[-1].fact.passed is True
    at = press(trod("starch"), GO, BACK)
    assert at.session.state.readings[-1].fact.passed is False


def test_starch_that_nobody_judges_is_asked_again(trod: Callable[..., Any]) -> None:
    at = press(trod("starch"), GO)
    at.wait(11.0)
    assert "nothing was done" in at.desk.message
    press(at, GO)
    assert "stay yellow" in at.desk.message
    assert not at.session.state.valid("starch")


def test_a_second_press_that_comes_too_soon_answers_nothing(trod: Callable[..., Any]) -> None:
    at = trod("called")
    at.press(GO, gap=0.4)
    assert "Press" in at.desk.message or "press" in at.desk.message
    at.press(GO, gap=0.8)
    assert "Too soon" in at.desk.message and len(at.session.state.readings) == 1
    at.wait(0.8)
    press(at, GO)
    assert at.session.state.readings[-1].fact.assumed


def test_a_pedal_held_a_moment_too_long_does_not_answer_what_it_asks(trod: Callable[..., Any]) -> None:
    at = trod("called")
    at.press(GO, gap=0.7)
    at.press(GO, gap=0.5)
    assert len(at.session.state.readings) == 1


@pytest.mark.parametrize(("delay", "gap"), [(1.0, 0.033), (0.5, 0.31), (1.0, 1.0), (1.4, 0.5)])
def test_a_pedal_held_on_does_not_answer_what_it_asks_however_it_repeats(
    trod: Callable[..., Any], delay: float, gap: float
) -> None:
    at = trod("called")
    at.press(GO, gap=delay)
    assert "press once more in a moment" in at.desk.message
    at.press(*[GO] * 30, gap=gap)
    at.wait(0.7)
    assert len(at.session.state.readings) == 1


def test_what_is_doubted_of_going_on_is_kept_by_a_press_that_is_not_too_soon(
    trod: Callable[..., Any],
) -> None:
    at = trod("resting")
    at.press("n")
    assert "End it now?" in at.desk.doubt
    at.press(GO, gap=0.4)
    assert "Too soon" in at.desk.message and at.desk.doubt
    at.wait(1.0)
    press(at, GO)
    assert at.session.state.step == 5


def test_leaving_a_step_out_is_confirmed_by_no_press(trod: Callable[..., Any]) -> None:
    at = trod("set-up")
    at.press("g")
    at.wait(1.0)
    press(at, GO)
    assert at.session.state.step == 1 and "keys do" in at.desk.message
    press(at, BACK)
    assert at.desk.doubt == "" and at.session.state.step == 1


def test_a_call_that_time_is_over_is_heard_first_and_gone_on_from_by_the_next_press(
    day_of: Callable[[str], Any],
) -> None:
    at = day_of(
        sample_text("lock-seven-barley").replace('time = "60 min"', 'time = "60 min"\nconfirm = true')
    )
    at.desk = Desk(at.session, keys=with_pedal(KEYS, "presenter"))
    at.say("start")
    while at.session.schedule.step(at.session.state.step).kind != "rest":
        at.say("skip")
    number = at.session.state.step
    for minutes in (5, 20, 20):
        at.let_pass(60.0 * minutes)
        at.say("63.2")
    at.let_pass(60.0 * 15.5)
    while at.desk.footwork.label(at.desk.view()) == "heard":
        press(at, GO)
    assert at.session.state.step == number
    assert at.desk.message.endswith("Press again: next step: Starch check.")
    press(at, GO)
    assert at.session.state.step == number + 1


def test_the_end_of_the_day_wants_two_presses(day_of: Callable[[str], Any]) -> None:
    at = day_of(sample_text("lock-seven-barley"))
    at.desk = Desk(at.session, keys=with_pedal(KEYS, "presenter"))
    at.say("start")
    while at.session.state.step < len(at.session.schedule.steps):
        at.say("skip")
    while at.desk.footwork.label(at.desk.view()) in ("ticks it", "heard"):
        press(at, GO, GO)
    assert at.session.state.phase == "running" and "ends the day" in at.desk.footwork.label(at.desk.view())
    at.wait(11.0)
    press(at, GO)
    assert at.session.state.phase == "running" and "nothing takes it back" in at.desk.message
    press(at, GO)
    assert at.session.state.phase == "complete" and not at.desk.leaving


def test_a_cooling_that_is_not_there_is_gone_on_from_only_by_two_presses(
    day_of: Callable[[str], Any],
) -> None:
    at = day_of(sample_text("lock-seven-barley"))
    at.desk = Desk(at.session, keys=with_pedal(KEYS, "presenter"))
    at.say("start")
    while at.session.schedule.step(at.session.state.step).kind != "cool":
        at.say("skip")
    number = at.session.state.step
    at.say("tick")
    at.let_pass(600.0)
    at.say("40")
    press(at, GO)
    assert at.session.state.step == number and "Last read at 39.8 C" in at.desk.message  # its offset of 0.2 K
    press(at, GO)
    assert at.session.state.step == number + 1


def test_taking_back_names_what_it_takes_back(trod: Callable[..., Any]) -> None:
    at = press(trod("resting"), BACK)
    number = at.session.state.readings[-1].number
    assert at.desk.message == f"Take back reading {number}, 63.2 C? Press once more in a moment."
    press(at, GO)
    assert at.desk.message == "Nothing was taken back." and at.session.state.undone == ()
    press(at, BACK, BACK)
    assert at.session.state.readings[-1].voided


def test_what_was_entered_meanwhile_is_not_taken_back_in_its_place(trod: Callable[..., Any]) -> None:
    at = press(trod("resting"), BACK)
    at.say("note lid off")
    press(at, BACK)
    assert at.session.state.undone == () and "Take back note: lid off?" in at.desk.message


def test_another_key_lets_go_of_a_question_that_wants_a_second_press(trod: Callable[..., Any]) -> None:
    at = press(trod("called"), GO)
    at.press("?", "escape")
    press(at, GO)
    assert len(at.session.state.readings) == 1


def test_a_press_waits_for_what_is_still_being_written(trod: Callable[..., Any]) -> None:
    at = trod("before")
    at.desk.saving = True
    press(at, GO)
    assert at.session.state.phase == "idle" and "still being written" in at.desk.message


def test_a_press_just_before_a_call_does_not_answer_it(trod: Callable[..., Any]) -> None:
    at = trod("pouring")
    at.say("undo")
    at.say("take 2")
    due = calls.next_due(at.session.schedule, at.session.state)
    at.wait(due - at.session.t() - 0.1)
    press(at, GO)
    assert at.desk.message == "The day went on just then: look, and press again."
    assert at.desk.footwork.label(at.desk.view()) == "it is done: heat is off"
    press(at, GO)
    assert at.session.state.answered[-1].call.startswith("way-")


@pytest.mark.parametrize(("pedal", "key"), [("presenter", GO), ("enter", "enter")])
@pytest.mark.parametrize("seconds", [0.1, 1.5])
def test_a_press_soon_behind_the_call_of_a_fire_does_not_answer_it(
    trod: Callable[..., Any], pedal: str, key: str, seconds: float
) -> None:
    at = trod("pouring", pedal)
    at.say("undo")
    at.say("take 2")
    due = calls.next_due(at.session.schedule, at.session.state)
    at.wait(due - at.session.t())
    at.wait(seconds)
    press(at, key)
    assert at.desk.view().calls[0].is_fire_on and "look, and press again" in at.desk.message
    press(at, key)
    assert not at.desk.view().calls[0].is_fire_on


@pytest.mark.parametrize("reading", ["61.2", "60.4"])
@pytest.mark.parametrize("seconds", [0.0, 0.1, 1.5])
def test_a_press_takes_no_remedy_that_opened_just_before_it(
    trod: Callable[..., Any], reading: str, seconds: float
) -> None:
    at = trod("remedy" if reading == "60.4" else "called")
    at.say(reading)
    at.wait(seconds)
    assert at.desk.footwork.label(at.desk.view()) == "takes way 1"
    press(at, GO)
    assert at.session.state.offer.way_taken is None and "look, and press again" in at.desk.message
    press(at, GO)
    assert at.session.state.offer.way_taken is not None


def test_a_press_takes_no_remedy_that_opened_just_behind_it(trod: Callable[..., Any]) -> None:
    at = trod("remedy")
    at.desk.key(GO, None, at.clock.elapsed())
    at.say("60.4")
    at.wait(0.5)
    assert at.session.state.offer.way_taken is None and "look, and press again" in at.desk.message


def test_the_back_key_leaves_no_remedy_that_opened_just_before_it(trod: Callable[..., Any]) -> None:
    at = trod("called")
    at.say("61.2")
    at.wait(0.5)
    press(at, BACK)
    assert at.session.state.offer.is_open
    press(at, BACK)
    assert not at.session.state.offer.is_open


def test_nothing_is_read_by_itself_while_a_press_waits_or_is_to_be_made_once_more(
    trod: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    at, found = trod("resting"), list[bool]()
    monkeypatch.setattr(at.desk.outside, "look", lambda *, busy, **_: found.append(busy) or ())
    at.desk.look_outside()
    at.desk.key(BACK, None, at.clock.elapsed())
    at.desk.look_outside()
    at.wait(0.5)
    assert "Take back" in at.desk.message
    at.desk.look_outside()
    at.wait(11.0)
    at.desk.look_outside()
    assert found == [False, True, True, False]


# Beside a hand


def test_a_press_takes_no_number_that_stands_and_back_clears_it(trod: Callable[..., Any]) -> None:
    at = trod("called")
    at.type("63.")
    press(at, GO)
    assert "63. is typed and not taken yet: Enter takes it" in at.desk.message
    press(at, BACK)
    assert at.desk.entry.text == "" and at.session.state.undone == ()


def test_the_full_stop_of_a_presenter_is_in_nobodys_way(trod: Callable[..., Any]) -> None:
    at = trod("before")
    at.press(".")
    press(at, GO)
    assert at.session.state.phase == "running"


def test_a_press_beside_a_line_says_why_it_does_nothing(trod: Callable[..., Any]) -> None:
    at = trod("resting")
    at.type(":undo")
    press(at, GO)
    assert "A line is being written" in at.desk.message and at.desk.line.text == "undo"


def test_a_press_after_the_key_that_asks_for_minutes_says_so(trod: Callable[..., Any]) -> None:
    at = trod("resting")
    at.press("e")
    press(at, GO)
    assert "more is typed and not taken yet" in at.desk.message


@pytest.mark.parametrize(("pedal", "key"), [("enter", "enter"), ("space", "space")])
def test_enter_and_space_are_a_pedal_while_nothing_is_typed(
    trod: Callable[..., Any], pedal: str, key: str
) -> None:
    at = press(trod("before", pedal), key)
    assert at.session.state.phase == "running"
    at = trod("called", pedal)
    at.type("63.5 64.1", "enter")
    at.wait(2.0)
    assert at.session.state.readings[-1].fact.spots == (63.5, 64.1)
    assert at.session.state.step == 4


def test_enter_held_behind_a_number_is_no_press(trod: Callable[..., Any]) -> None:
    at = trod("before", "enter")
    at.say("start")
    at.say("tick")
    at.say("tick")
    at.type("0.2", "enter")
    at.press(*["enter"] * 60, gap=0.033)
    at.wait(2.0)
    assert len(at.session.state.current.ticks) == 3


def test_a_number_that_is_doubted_is_kept_by_yes_where_enter_is_the_pedal(trod: Callable[..., Any]) -> None:
    at = trod("called", "enter")
    at.type("36.2", "enter")
    assert "(y keeps it, x forgets it)" in at.desk.doubt
    assert ("y", "keep it") in at.desk.shown(at.desk.view()).hints
    at.wait(2.0)
    press(at, "enter")
    assert at.desk.doubt and "keeps no doubted number" in at.desk.message
    at.press("y")
    assert at.session.state.readings[-1].fact.kept


def test_the_pedals_key_stands_once_in_the_line_of_keys(trod: Callable[..., Any]) -> None:
    at = trod("called", "enter")
    keys = [key for key, _ in at.desk.shown(at.desk.view()).hints]
    assert keys[0] == "Enter" and len(keys) == len(set(keys))


def test_a_step_key_and_a_press_together_do_nothing(trod: Callable[..., Any]) -> None:
    at = trod("resting")
    at.press("n", gap=0.1)
    at.press(GO, gap=0.1)
    at.press("w")
    at.press("escape")
    assert at.session.state.step == 4 and at.desk.doubt == ""


def test_a_held_pedal_mutes_no_key(trod: Callable[..., Any]) -> None:
    at = trod("before")
    at.press(*[GO] * 40, gap=0.03)
    at.wait(0.5)
    assert at.session.state.phase == "running" and at.session.state.current.ticks == ()
    at.press("t")
    assert len(at.session.state.current.ticks) == 1


def test_a_sleeve_over_the_keys_takes_the_pedal_along(trod: Callable[..., Any]) -> None:
    at = trod("before")
    at.press(*"asdfghjk", GO, gap=0.02)
    at.wait(0.5)
    assert at.session.state.phase == "idle" and "Too many keys" in at.desk.message


def test_a_page_key_scrolls_a_page_behind_other_keys_that_do(trod: Callable[..., Any]) -> None:
    at = trod("resting")
    at.press("left", "?", GO)
    assert at.desk.page.top == 10


# Said aloud


def test_what_a_press_asks_is_said_aloud_and_not_said_again_by_the_press_that_answers(
    trod: Callable[..., Any],
) -> None:
    voice = Voice()
    at = trod("starch", herald=Herald(None, voice, None))
    press(at, GO, GO)
    assert sum("stay yellow" in line for line in voice.lines) == 1
    assert isinstance(at.session.state.log[-1].fact, f.CallAnswered | f.ReadingTaken)


def test_whether_the_signal_was_heard_is_answered_by_either_pedal(trod: Callable[..., Any]) -> None:
    voice = Voice()
    at = trod("before", herald=Herald(None, voice, None))
    at.desk.greet(at.clock.elapsed())
    assert at.desk.footwork.label(at.desk.view()) == "heard it"
    press(at, BACK)
    assert "Check the volume" in at.desk.message and at.session.state.phase == "idle"
    press(at, GO)
    assert at.desk.message == "Good: calls will be heard." and at.session.state.phase == "idle"
