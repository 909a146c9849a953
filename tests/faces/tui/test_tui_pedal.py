"""The pedal: what a press means, bounces and holds, and whole days that nothing but a foot answers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from days import EVERY_SAMPLE
from hypothesis import given
from hypothesis import strategies as st
from stand_ins import Voice

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.probing import Probing
from mashday.faces.simulated_probe import SimulatedProbe
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.entry import Foot
from mashday.faces.tui.keys import KEYS, of, with_pedal
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.person import SimulatedPerson
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import begin

# Bounces and holds


def presses(times: list[float]) -> int:
    """How many presses a train of keys is, looked at four times a second as the screen does."""
    foot, found = Foot(), 0
    keys = sorted(times)
    now = 0.0
    while keys or now < times[-1] + 2.0:
        while keys and keys[0] <= now:
            foot.press("go", keys.pop(0))
        found += foot.due(now) is not None
        now += 0.25
    return found


def test_one_key_is_one_press() -> None:
    assert presses([1.0]) == 1


def test_a_contact_that_bounces_is_one_press() -> None:
    assert presses([1.0, 1.02, 1.05]) == 1


def test_two_presses_apart_are_two() -> None:
    assert presses([1.0, 1.45]) == 2
    assert presses([1.0, 3.0, 5.0]) == 3


@given(
    delay=st.floats(0.22, 0.7),
    gap=st.floats(0.02, 0.1),
    seconds=st.floats(0.5, 6.0),
)
def test_a_pedal_held_down_is_one_press_for_however_long(delay: float, gap: float, seconds: float) -> None:
    repeats = int(seconds / gap)
    assert presses([1.0, *(1.0 + delay + place * gap for place in range(max(3, repeats)))]) == 1


def test_a_press_is_let_go_by_another_key() -> None:
    foot = Foot()
    foot.press("go", 1.0)
    assert foot.cancel() and foot.due(2.0) is None and not foot.cancel()


# Which key it is


def test_a_presenter_is_the_two_page_keys() -> None:
    keys = with_pedal(KEYS, "presenter")
    assert of(keys, "go").keys[0] == "pagedown" and of(keys, "back").keys[0] == "pageup"


def test_enter_may_be_a_pedal_and_goes_on_to_take_numbers() -> None:
    day = Footed(pedal="enter")
    day.step()
    assert day.desk.session.state.phase == "running"
    day.type("63").tick(1.0)
    day.key("enter", "\r").tick(1.0)
    assert [r.fact.value for r in day.desk.session.state.valid("temperature")] == [63.0]


def test_an_enter_that_bounces_behind_a_number_is_no_press() -> None:
    day = Footed(pedal="enter")
    day.step()
    ticked = len(day.desk.session.state.log)
    day.type("63").key("enter", "\r").key("enter", "\r").tick(0.5).tick(0.5)
    entries = day.desk.session.state.log[ticked:]
    assert not [entry for entry in entries if isinstance(entry.fact, f.ItemTicked)]


@pytest.mark.parametrize("pedal", ["5", ".", "q", "n", "-", "", "a\x1b", "x" * 40])
def test_a_key_with_another_meaning_is_no_pedal(pedal: str) -> None:
    with pytest.raises(ValueError, match="--pedal: "):
        with_pedal(KEYS, pedal)


# What a press means


class Footed:
    """A rehearsed day at the desk with a pedal, a probe and a voice, on one clock for all."""

    def __init__(
        self, name: str = "lock-seven-barley", *, pedal: str = "presenter", probe: bool = False, seed: int = 5
    ) -> None:
        session = begin(find(name)[1], VirtualClock(), folder=None, rehearsed=True, seed=seed)
        self.rehearsal = Rehearsal(session)
        self.voice = Voice()
        probing = Probing(SimulatedProbe(self.rehearsal), session, hands_free=True) if probe else None
        self.herald = Herald(None, self.voice, None)
        self.desk = Desk(
            session,
            self.rehearsal,
            keys=with_pedal(KEYS, pedal),
            apparatus=Apparatus(self.herald, None, probing),
        )
        self.pedal = {"presenter": ("pagedown", None), "enter": ("enter", "\r")}[pedal]
        self.desk.greet(self.now)
        self.herald.asks_whether_heard = False
        self.tick(0.25).tick(2.0)

    @property
    def now(self) -> float:
        return self.desk.session.t()

    def key(self, key: str, character: str | None = None) -> Footed:
        self.desk.key(key, character, self.now)
        return self

    def type(self, text: str) -> Footed:
        for character in text:
            self.key(character, character)
            self.tick(0.2)
        return self

    def step(self, *, back: bool = False) -> Footed:
        """One press of the pedal, and the quiet after it."""
        key, character = ("pageup", None) if back else self.pedal
        return self.key(key, character).tick(0.5).tick(0.5).tick(1.5)

    def tick(self, seconds: float) -> Footed:
        """Lets time pass, and the desk and the voice look at it."""
        for outcome in self.rehearsal.wait(seconds / 60.0, seconds):
            self.desk.heard(outcome.entries)
        self.desk.tick(self.now)
        self.desk.look_outside()
        while self.desk.outbox:
            asked = self.desk.outbox.popleft()
            assert isinstance(asked, intents.Intent)
            outcome = self.desk.session.send(asked)
            self.desk.told(asked, outcome)
            self.herald.read_back(outcome.entries)
        view = self.desk.view()
        self.herald.heed(view, self.now)
        self.desk.footwork.aloud(view)
        return self

    def label(self) -> str:
        return self.desk.footwork.label(self.desk.view())


def in_rest() -> Footed:
    """A day in its rest whose first reading is due."""
    day = Footed()
    for intent in (
        intents.Start(4),
        intents.GiveAmount("grain in the pot", 5.0, "5 kg"),
        intents.GiveAmount("water in the pot", 15.0, "15 L"),
        intents.GiveAmount("minutes mashed", 0.0, "0"),
    ):
        assert day.desk.session.send(intent).entries
    for _ in range(80):
        day.tick(5.0)
    return day


def test_it_begins_the_day_and_ticks_the_list() -> None:
    day = Footed()
    assert day.label() == "begins the day"
    day.step()
    assert day.desk.session.state.phase == "running" and day.label() == "ticks it"
    day.step().step()
    current = day.desk.session.state.current
    assert current is not None and [item for item, _ in current.ticks] == [1, 2]


def test_an_item_that_asks_something_wants_two_presses() -> None:
    day = Footed()
    for _ in range(3):
        day.step()
    before = day.desk.session.state
    day.step()
    assert day.desk.session.state is before and "Press once more" in day.desk.message
    day.step()
    current = day.desk.session.state.current
    assert current is not None and len(current.ticks) == 3


def test_a_second_press_too_late_is_a_first_one() -> None:
    day = Footed()
    for _ in range(3):
        day.step()
    day.step().tick(11.0).step()
    current = day.desk.session.state.current
    assert current is not None and len(current.ticks) == 2


def test_a_number_is_assumed_only_by_two_presses() -> None:
    day = in_rest()
    assert day.label() == "mash temperature unknown"
    day.step()
    assert not day.desk.session.state.valid("temperature")
    assert "type the mash temperature, or press once more" in day.desk.message
    day.step()
    (reading,) = day.desk.session.state.valid("temperature")
    assert reading.fact.assumed


def test_the_back_key_lets_go_of_a_press_that_wants_a_second() -> None:
    day = in_rest()
    day.step().step(back=True).step()
    assert not day.desk.session.state.valid("temperature")


def test_a_rest_that_runs_is_not_ended_by_a_press() -> None:
    day = in_rest()
    day.type("63").key("enter", "\r").tick(0.5)
    day.step().tick(1.0).step()
    assert day.desk.session.state.step == 4
    assert day.desk.message.endswith("of this step are left.")


def test_a_doubted_number_is_not_kept_by_a_press() -> None:
    day = in_rest()
    day.type("63 63").key("enter", "\r").tick(600.0)
    day.type("75").key("enter", "\r").tick(1.5)
    assert day.desk.doubt
    day.step()
    assert day.desk.doubt and len(day.desk.session.state.valid("temperature")) == 1
    day.step(back=True)
    assert not day.desk.doubt


def test_a_remedy_is_taken_by_a_press_and_left_by_the_other_key() -> None:
    for back, taken in ((False, True), (True, False)):
        day = in_rest()
        day.type("61 61").key("enter", "\r").tick(1.5).tick(0.25).tick(2.0)
        assert day.label().startswith("takes way ")
        day.step(back=back)
        offer = day.desk.session.state.offer
        assert offer is not None and (offer.way_taken is not None) is taken


def test_water_went_in_as_it_was_told_when_its_step_began_and_not_as_much_as_it_would_be_now() -> None:
    day = Footed("sluice-maize")
    session = day.desk.session
    for intent in (
        intents.Start(),
        intents.Skip(sure=True),
        intents.TakeReading("temperature", 95.0, "C", "95", 95.0, sure=True),
        intents.Done(sure=True),
    ):
        assert session.send(intent).entries
    at_first = day.desk.view().instruction
    told = at_first.partition(" (")[0].removeprefix("Pour in ")
    assert " at 12.0 C" in at_first
    for _ in range(180):
        day.tick(10.0)
    assert " at 12.0 C" not in day.desk.view().instruction
    assert day.label() == f"{told} went in"
    day.step()
    (poured,) = session.state.additions
    assert f"{poured.fact.litres:.1f} L" == told and poured.fact.assumed
    assert poured.fact.celsius == 12.0


def test_heat_off_is_said_by_a_press() -> None:
    day = in_rest()
    day.type("61 61").key("enter", "\r").tick(1.0)
    offer = day.desk.session.state.offer
    assert offer is not None
    fire = next(way.option for way in offer.options if way.way == "fire")
    day.type(str(fire)).key("enter", "\r").tick(1.0)
    for _ in range(40):
        day.tick(5.0)
    assert day.label() == "it is done: heat is off"
    day.step()
    state, t = day.desk.session.state, day.now
    standing = calls.calls(day.desk.session.schedule, state, t)
    assert not any(call.way == "fire" and call.rings for call in standing)


def test_undo_by_the_back_key_wants_two_presses() -> None:
    day = Footed()
    day.step().step()
    log = len(day.desk.session.state.log)
    day.step(back=True)
    assert len(day.desk.session.state.log) == log and "Press once more" in day.desk.message
    day.step(back=True)
    assert isinstance(day.desk.session.state.log[-1].fact, f.Undone)


def test_page_keys_behind_other_keys_of_a_keypad_without_numlock_are_no_pedal() -> None:
    day = Footed()
    day.key("right").tick(0.5)
    day.step()
    assert day.desk.session.state.phase == "idle" and "NumLock" in day.desk.message
    day.tick(6.0).step()
    assert day.desk.session.state.phase == "running"


def test_another_key_with_it_and_the_press_does_not_count() -> None:
    day = Footed()
    day.key("pagedown").key("w", "w").tick(1.0)
    assert day.desk.session.state.phase == "idle"


def test_it_pages_through_and_closes_what_stands_over_the_board() -> None:
    day = Footed()
    day.key("question_mark", "?").tick(1.0)
    tops = []
    while day.desk.page.title and len(tops) < 50:
        tops.append(day.desk.page.top)
        day.step()
    assert tops == sorted(tops) and len(tops) > 2
    assert day.desk.session.state.phase == "idle"


def test_what_it_does_stands_first_in_the_line_of_keys() -> None:
    day = Footed()
    assert day.desk.shown(day.desk.view()).hints[0] == ("PageDown", "begins the day")


def test_without_a_pedal_the_line_of_keys_names_none() -> None:
    session = begin(find("lock-seven-barley")[1], VirtualClock(), folder=None)
    desk = Desk(session)
    assert not any("begins the day" in label for _, label in desk.shown(desk.view()).hints)


# Whole days

LOOK_SECONDS = 8.0


def foot(day: Footed, person: SimulatedPerson) -> Iterator[bool]:
    """The presses that the moment calls for: True for back."""
    label = day.label()
    if label == "yellow: starch gone":
        gone = day.rehearsal.day.starch_gone()
        yield from (False, False) if gone else (True,)
    elif label.endswith("unknown"):
        yield from (False, False)
    elif label.startswith("next step") or label == "ends the day":
        if isinstance(person.next_intent(), intents.Done):
            yield False
    elif label:
        yield False
        if "once more" in day.desk.message:
            yield False


def lived(name: str, *, probe: bool, seed: int = 5) -> Footed:
    """A whole day up to the printed summary, on which nothing is touched but the pedal; without a probe a
    number is typed where a temperature is asked."""
    day = Footed(name, probe=probe, seed=seed)
    person = SimulatedPerson(day.desk.session, day.rehearsal.day)
    while not day.desk.leaving and day.now < 36 * 3600.0:
        day.tick(LOOK_SECONDS)
        if day.desk.over:
            day.step()
        elif not probe and day.label().endswith(("temperature unknown", "of the cook unknown")):
            day.type(f"{day.rehearsal.thermometer():.1f}").key("enter", "\r").tick(1.5)
            if day.desk.doubt:
                day.key("enter", "\r").tick(1.5)
        else:
            for back in foot(day, person):
                day.step(back=back)
    return day


@pytest.mark.long
def test_a_whole_day_by_the_pedal_and_the_digits() -> None:
    day = lived("lock-seven-barley", probe=False)
    assert day.desk.session.state.phase == "complete" and day.desk.leaving
    assert day.desk.page.title == "The day is over"


@pytest.mark.parametrize("name", EVERY_SAMPLE)
@pytest.mark.long
def test_a_whole_day_hands_free_with_the_probe_the_voice_and_the_pedal(name: str) -> None:
    day = lived(name, probe=True)
    state = day.desk.session.state
    assert state.phase == "complete" and day.desk.leaving
    read = [r for r in state.valid("temperature") if not r.fact.assumed]
    assert len(read) >= 4 and all(r.fact.source == f.PROBE for r in read)
    assert not [r for r in state.valid("temperature") if r.fact.assumed]
    said = "\n".join(day.voice.lines)
    for heard in ("By the probe: ", "Pedal, ", "Heat off", "next step", "Next, "):
        assert heard in said
