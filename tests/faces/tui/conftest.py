"""A day beside the screen, on a clock moved by hand: no terminal, no disk, no waiting."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from stand_ins import Hung
from textual import events
from textual.pilot import Pilot

from mashday.channels.probe import Shown
from mashday.engine import intents
from mashday.faces.apparatus import Apparatus
from mashday.faces.lines import understood
from mashday.faces.probing import Probing
from mashday.faces.tui.app import BoardApp
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import paint
from mashday.faces.tui.rows import text_of
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session, begin

KEY_GAP_SECONDS = 0.4
SCREENS = Path(__file__).parents[2] / "golden" / "screens"
NAMED = {"enter": "\r", "space": " ", "escape": "\x1b", "backspace": "\x7f"}
OF_CHARACTER = {
    ".": "full_stop",
    ",": "comma",
    "-": "minus",
    "+": "plus",
    "?": "question_mark",
    "*": "asterisk",
    "/": "slash",
    ":": "colon",
    ">": "greater_than_sign",
    " ": "space",
}


def key_of(pressed: str) -> tuple[str, str | None]:
    """The toolkit's name of a key and its character."""
    if len(pressed) == 1:
        return OF_CHARACTER.get(pressed, pressed), pressed
    return pressed, NAMED.get(pressed)


class DayAtTheDesk:
    """A session, its desk, and one clock for both."""

    def __init__(
        self,
        said: tuple[str | float, ...] = (),
        *,
        written: str | None = None,
        probe: tuple[Shown, bool] | None = None,
    ) -> None:
        self.clock = VirtualClock()
        schedule = written or find("lock-seven-barley")[1]
        self.session: Session = begin(schedule, self.clock, folder=None)
        for one in said:
            if isinstance(one, str):
                self.say(one)
            else:
                self.let_pass(60.0 * one)
        apparatus = None
        if probe is not None:
            shown, hands_free = probe
            apparatus = Apparatus(None, None, Probing(Hung(shown), self.session, hands_free=hands_free))
        self.desk = Desk(self.session, apparatus=apparatus)
        self.desk.look_outside()

    def rehearse(self) -> None:
        """Puts a simulated pot beside it."""
        self.desk = Desk(self.session, Rehearsal(self.session))

    def say(self, line: str) -> None:
        """One line word, kept where it is doubted; it must not be refused."""
        session = self.session
        meant = understood(line, session.schedule, session.state, session.t())
        assert isinstance(meant, intents.Intent), meant
        outcome = session.send(meant)
        if outcome.doubt is not None:
            outcome = session.send(intents.KeepIt())
        assert outcome.refused is None, (line, outcome.refused)

    def let_pass(self, seconds: float) -> None:
        """Time goes by."""
        self.clock.advance(seconds)
        self.session.tick()

    def press(self, *keys: str, gap: float = KEY_GAP_SECONDS) -> None:
        """Keys, one after the other, each long enough after the last to be meant."""
        for pressed in keys:
            self.desk.key(*key_of(pressed), self.clock.elapsed())
            self.clock.advance(gap)
            self.desk.tick(self.clock.elapsed())
            self.carry_out()

    def type(self, text: str, *then: str) -> None:
        """The characters of a text, then these keys."""
        self.press(*text, *then)

    def wait(self, seconds: float) -> None:
        """Time goes by at the desk."""
        self.clock.advance(seconds)
        self.desk.tick(self.clock.elapsed())
        self.carry_out()

    def carry_out(self) -> None:
        """What the screen's worker does, here and now."""
        while self.desk.outbox:
            asked = self.desk.outbox.popleft()
            if isinstance(asked, intents.Intent):
                self.desk.told(asked, self.session.send(asked))

    def screen(self, width: int = 80, height: int = 24) -> str:
        """The screen as plain text."""
        return text_of(paint(self.desk.shown(self.desk.view()), width, height))


HEATING: tuple[str | float, ...] = ("start", *["tick"] * 8, "done", 3)
RESTING: tuple[str | float, ...] = (*HEATING, 25, "68.1", 1, "done", 1, "tick", "tick", "tick", 8, "done")
STATES: dict[str, tuple[str | float, ...]] = {
    "before": (),
    "set-up": ("start", "tick", "tick"),
    "heating": HEATING,
    "resting": (*RESTING, 5.2, "63.2", 9.3),
    "called": (*RESTING, 6.5),
    "remedy": (*RESTING, 5, "61.2"),
    "starch": (*RESTING, 5, "63.0", 20, "63.1", 20, "62.8", 30),
    "held": (*RESTING, 5.2, "63.2", 9.3, "hold", 4),
    "off-target": (*RESTING, 5, "61.2", "leave", 3),
    "pouring": (*RESTING, 5, "61.2", "take 1", 0.5),
    "stirring": (*RESTING, 5, "61.2", "take 1", 2.5, "added 0.9 L", 1),
    "heat-off": (*RESTING, 5, "61.2", "take 2", 1.6),
    "overdue": (*HEATING, 40),
    "soon": (*RESTING, 5.2, "63.2", 20, "62.8", 20, "62.6", 13.4),
    "entry": (*RESTING, 5.2, "63.2", 9.3),
    "doubt": (*RESTING, 5.2, "63.2", 9.3),
    "finished": (*RESTING, 5.2, "63.2", 9.3),
    "live": HEATING,
    "to-take": (*RESTING, 6.5),
    "stir": (*RESTING, 6.5),
}
PROBES: dict[str, tuple[Shown, bool]] = {
    "live": (Shown(58.4, 1.0, False, 1.5), True),
    "to-take": (Shown(63.2, 3.0, True, 0.0), False),
    "stir": (Shown(62.4, 1.0, True, 0.0), True),
}
"""What a probe shows in some of them, and whether it is taken by itself."""
PRESSED: dict[str, tuple[str, ...]] = {
    "entry": ("6", "3", ".", "5"),
    "doubt": ("3", "6", "enter"),
    "finished": (*":finish", "enter", "y"),
}
"""Keys pressed at the desk once the day is in its state."""


@pytest.fixture
def day() -> Callable[[str], DayAtTheDesk]:
    """A day of the first sample in one of the states above."""

    def made(name: str) -> DayAtTheDesk:
        at = DayAtTheDesk(STATES[name], probe=PROBES.get(name))
        at.press(*PRESSED.get(name, ()))
        return at

    return made


@pytest.fixture
def day_of() -> Callable[[str], DayAtTheDesk]:
    """A day of a schedule of one's own, from its text."""
    return lambda written: DayAtTheDesk(written=written)


@pytest.fixture
def app_of() -> Callable[..., BoardApp]:
    """The full screen of a day, without a tick of its own."""

    def made(day: DayAtTheDesk, **options: object) -> BoardApp:
        chosen = {"threads": False, **options}
        return BoardApp(day.desk, seconds=day.clock.elapsed, ticks=False, **chosen)  # type: ignore[arg-type]

    return made


Sender = Callable[..., object]


async def _send(pilot: Pilot[None], day: DayAtTheDesk, *keys: str) -> None:
    app = pilot.app
    assert isinstance(app, BoardApp)
    for pressed in keys:
        app.post_message(events.Key(*key_of(pressed)))
        for _ in range(2):
            await pilot.pause(0)
        day.clock.advance(KEY_GAP_SECONDS)
        app.tick()
        for _ in range(3):
            await pilot.pause(0)


@pytest.fixture
def send() -> Sender:
    """Presses keys on the full screen, forty times as fast as the toolkit's own way."""
    return _send


def _shown_text(app: BoardApp) -> str:
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"


@pytest.fixture
def shown_text() -> Callable[[BoardApp], str]:
    """What the full screen shows, as plain text."""
    return _shown_text


@pytest.fixture
def as_kept() -> Callable[[str, str], None]:
    """Compares a screen with the one kept in tests/golden/screens; MASHDAY_KEEP_SCREENS=1 keeps it anew."""

    def check(name: str, found: str) -> None:
        path = SCREENS / f"{name}.txt"
        if os.environ.get("MASHDAY_KEEP_SCREENS"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(found + "\n", encoding="utf-8")
        assert found + "\n" == path.read_text(encoding="utf-8")

    return check
