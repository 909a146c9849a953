"""The board beside the pot: the tick, the bell, and the one worker that asks the session."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeVar

from mashday.channels.player import notification
from mashday.engine import facts as f
from mashday.faces import telling
from mashday.faces.apparatus import Apparatus
from mashday.faces.tui.asked import Asked, Save, Wait
from mashday.faces.tui.bell import Bell
from mashday.faces.tui.crashes import CrashNote, Watch
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.keys import remapped, with_pedal
from mashday.faces.tui.screen import OwnScreen
from mashday.faces.tui.terminal import draws_beyond_ascii
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session

TICK_SECONDS = 0.25
PATIENCE_SECONDS = 5.0
Result = TypeVar("Result")


def run_board(
    session: Session,
    *,
    rehearsal: Rehearsal | None,
    crash_note: Path,
    keys: Mapping[str, str | list[str]] | None = None,
    notices: tuple[str, ...] = (),
    bell: bool = True,
    apparatus: Apparatus | None = None,
    pedal: str | None = None,
) -> int:
    """Shows the session until it ends or is left; returns the exit code.

    0 done or left open, 3 our own fault, 128 + n ended by signal n. `keys` gives other keys to abilities by
    name, `pedal` one to the pedal; ValueError, in a sentence, if that cannot be. `notices` is what to see to
    before the day begins; whoever set the `apparatus` up closes it.
    """
    desk = Desk(
        session,
        rehearsal,
        keys=with_pedal(remapped(keys or {}), pedal),
        ascii_only=not draws_beyond_ascii(),
        notices=notices,
        apparatus=apparatus,
    )
    app = BoardApp(desk, crash_note=crash_note, bell=bell)
    watch = Watch(crash_note)
    app.lookout = watch
    watch.start()
    try:
        app.run(mouse=False)
    finally:
        watch.stop()
    return app.result_code()


class BoardApp(OwnScreen):
    """The screen beside the pot. `seconds` is a steady clock; tests move one on by hand and call `tick`."""

    def __init__(
        self,
        desk: Desk,
        *,
        crash_note: Path | None = None,
        bell: bool = True,
        seconds: Callable[[], float] = time.monotonic,
        ticks: bool = True,
        threads: bool = True,
    ) -> None:
        super().__init__(CrashNote(crash_note))
        self.desk = desk
        self.lookout: Watch | None = None
        self._sounds = bell
        self._bell = Bell()
        self._seconds = seconds
        self._ticks = ticks
        self._threads = threads and desk.rehearsal is None
        self._lock = asyncio.Lock()
        self._left_at: float | None = None

    def mounted(self) -> None:
        """Greets and starts the tick."""
        herald = self.desk.herald
        if herald is not None and herald.notify is not None:
            herald.notify = self._notified
        self._guarded(partial(self.desk.greet, self._seconds()))
        if self._ticks:
            self.set_interval(TICK_SECONDS, self.tick)
        self.repaint()

    def pressed(self, key: str, character: str | None) -> None:
        """A key goes to the desk, and what it asks for to the session."""
        self._guarded(partial(self.desk.key, key, character, self._seconds()))
        self._after()

    def pasted(self, text: str) -> None:
        """Pasted text goes the same way."""
        self._guarded(partial(self.desk.paste, text, self._seconds()))
        self._after()

    def _after(self) -> None:
        if self._leaves():
            return
        self.repaint()
        if self.desk.outbox:
            self._hand_over()

    def tick(self) -> None:
        """The day first (what is due, what begins by itself), then the picture of it and the bell."""
        now = self._seconds()
        if self.lookout is not None:
            self.lookout.beat = time.monotonic()
        self._guarded(partial(self.desk.tick, now))
        self._guarded(self.desk.look_outside)
        if self._leaves():
            return
        if self._guarded(self.desk.has_business):
            self._hand_over()
        self.repaint()
        self._guarded(partial(self._ring, now))
        self._guarded(partial(self._make_heard, now))

    def _leaves(self) -> bool:
        """Ends the screen if that is wanted, once what was entered is written or the disk takes too long."""
        if not self.desk.leaving:
            return False
        now = self._seconds()
        if self._left_at is None:
            self._left_at = now
        if (self.desk.outbox or self._lock.locked()) and now - self._left_at < PATIENCE_SECONDS:
            self._hand_over()
            return False
        self.leave()
        return True

    def _hand_over(self) -> None:
        if not self._lock.locked():
            self.run_worker(self.pump(), exit_on_error=True)

    async def pump(self) -> None:
        """Asks the session what is in the outbox, in order, then lets time act; one pump at a time.

        It runs beside the screen, so that a slow disk stops no clock. A fault in it is noted and never ends
        the day: what could not be carried out is told as not entered.
        """
        desk = self.desk
        async with self._lock:
            while desk.outbox:
                await self._carry_out(desk.outbox.popleft())
            try:
                outcome = await self._beside(desk.session.tick)
                desk.heard(outcome.entries)
                self._read_back(outcome.entries)
            except Exception as fault:  # the day goes on, the fault is in the note
                self.crash_note.write(fault)
        self.repaint()

    async def _carry_out(self, asked: Asked) -> None:
        desk = self.desk
        desk.saving = True
        try:
            if isinstance(asked, Save):
                said = await self._beside(partial(telling.save, desk.session, asked.folder))
                desk.say(" ".join(said))
            elif isinstance(asked, Wait):
                self._move_on(asked.minutes)
            else:
                outcome: Outcome = await self._beside(partial(desk.session.send, asked))
                desk.told(asked, outcome)
                self._read_back(outcome.entries)
        except Exception as fault:  # the day goes on, the fault is in the note
            self.crash_note.write(fault)
            desk.say(f"Not entered: a fault of mashday's own, noted in {self.crash_note.path}.")
        finally:
            desk.saving = False

    def _move_on(self, minutes: float) -> None:
        """A rehearsal's clock and pot live on the screen's own thread."""
        rehearsal = self.desk.rehearsal
        if rehearsal is None:
            return
        for outcome in rehearsal.wait(minutes):
            self.desk.heard(outcome.entries)
            self._read_back(outcome.entries)

    async def _beside(self, job: Callable[[], Result]) -> Result:
        """Runs a job of the disk in a thread; one of a rehearsal here, where its pot lives."""
        return await asyncio.to_thread(job) if self._threads else job()

    def repaint(self) -> None:
        """Shows the moment, unless the terminal takes nothing."""
        if self.backed_up():
            self._guarded(self.desk.not_shown)
        else:
            self._guarded(lambda: self.board.show(self.desk.shown(self.desk.view())))

    def _ring(self, now: float) -> None:
        due = self._sounds and self._bell.rings(self.desk.view().calls, now)
        if due and not self.backed_up():
            self.bell()

    def _make_heard(self, now: float) -> None:
        """What is said and sounded is of the moment itself: a picture may be an old one."""
        herald, desk = self.desk.herald, self.desk
        if herald is None:
            return
        view = desk.view()
        herald.heed(replace(view, doubt=desk.voice.doubt), now)
        desk.footwork.aloud(view)
        troubles = herald.troubles()
        if troubles:
            desk.say(" ".join((desk.message, *troubles)))

    def _read_back(self, entries: tuple[f.Entry, ...]) -> None:
        if self.desk.herald is not None:
            self.desk.herald.read_back(entries)

    def _notified(self, text: str) -> None:
        if self._driver is not None and not self.backed_up():
            self._driver.write(notification(text))

    def _guarded(self, job: Callable[[], Result]) -> Result | None:
        """What a job of the screen gives; a fault in it is noted and never ends the day."""
        try:
            return job()
        except Exception as fault:  # the day goes on, the fault is in the note
            self.crash_note.write(fault)
            return None
