"""The start screen: its pages one over the other, and what each key does there."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from mashday.faces.tui.choices import front
from mashday.faces.tui.crashes import CrashNote
from mashday.faces.tui.entry import KeyGuard
from mashday.faces.tui.paint import Shown
from mashday.faces.tui.screen import CLEAN, OwnScreen
from mashday.faces.tui.start_page import (
    Choice,
    Listing,
    Page,
    Reading,
    keys_page,
    listing_rows,
    reading_rows,
)
from mashday.session.clock import SystemClock

LONGEST_NUMBER = 3
MOVES = {"down": 1, "up": -1, "pagedown": 5, "pageup": -5, "home": -10_000, "end": 10_000}
SCROLLS = {"down": 1, "up": -1, "pagedown": 10, "pageup": -10, "home": -10_000, "end": 10_000}
MARGIN, TITLE_AND_FOOT = 2, 2
TOLD_ANEW_SECONDS = 30.0
"""How often it is told anew how long a day has been left."""


def choose(folder: Path, here: Path | None = None) -> Choice | None:
    """Shows the start screen and returns what was chosen; None if it was left.

    Raises SystemExit with 128 + n if signal n ended it, with 3 for a fault of ours.
    """
    app = StartApp(partial(front, folder, here or Path(), SystemClock()))
    app.run(mouse=False)
    if app.result_code() != CLEAN:
        raise SystemExit(app.result_code())
    return app.choice


@dataclass(slots=True)
class Opened:
    """A page that is open: what is marked or how far it is scrolled, and the number being typed."""

    page: Page
    marked: int = 0
    top: int = 0
    typed: str = ""


class StartApp(OwnScreen):
    """Choose by number or by the arrows; then the real day or a rehearsal."""

    def __init__(self, first: Callable[[], Listing], seconds: Callable[[], float] = time.monotonic) -> None:
        super().__init__(CrashNote(None))
        self.choice: Choice | None = None
        self._first = first
        self._seconds = seconds
        self._guard = KeyGuard()
        self._said = ""
        self._open: list[Opened] = []
        self._over(first())

    def mounted(self) -> None:
        """Shows the first page, and tells it anew now and then."""
        self._show()
        self.set_interval(TOLD_ANEW_SECONDS, self.tell_anew)

    def on_resize(self) -> None:
        """Lays the page out for the new width, once it is known."""
        self.call_after_refresh(self._show)

    def tell_anew(self) -> None:
        """Puts the first page up to date, unless something came or went: numbers must not move underfoot."""
        bottom, anew = self._open[0], self._first()
        if isinstance(bottom.page, Listing) and len(anew.offers) == len(bottom.page.offers):
            bottom.page = anew
            self._show()

    def pressed(self, key: str, character: str | None) -> None:
        """A digit, an arrow, Enter, or a key that goes back."""
        if self._guard.drops(self._seconds()):
            return
        self._said = ""
        now = self._open[-1]
        if key in ("ctrl+c", "ctrl+q"):
            self.leave()
        elif character == "?":
            self._help(now)
        elif key in ("escape", "backspace") or character in ("-", "q", "Q"):
            self._back(now, clears=key == "escape", leaves=character in ("q", "Q"))
        elif isinstance(now.page, Listing):
            self._choosing(now, now.page, key, character or "")
        else:
            self._reading(now, now.page, key, character or "")
        self._show()

    def _over(self, page: Page) -> None:
        self._open.append(Opened(page, page.marked if isinstance(page, Listing) else 0))

    def _help(self, now: Opened) -> None:
        """Opens the page of keys; a second time closes it."""
        if now.page == keys_page():
            self._open.pop()
        else:
            self._over(keys_page())

    def _back(self, now: Opened, *, clears: bool, leaves: bool) -> None:
        if now.typed:
            now.typed = "" if clears or leaves else now.typed[:-1]
        elif len(self._open) > 1:
            self._open.pop()
        elif leaves:
            self.leave()
        else:
            self._said = "q leaves."

    def _choosing(self, now: Opened, page: Listing, key: str, character: str) -> None:
        last = len(page.offers) - 1
        if character.isascii() and character.isdigit() and len(now.typed) < LONGEST_NUMBER:
            now.typed += character
            now.marked = max(0, min(int(now.typed) - 1, last))
        elif key in MOVES:
            now.typed = ""
            now.marked = max(0, min(now.marked + MOVES[key], last))
        elif key in ("enter", "ctrl+j"):
            self._pick(now, page)
        elif character == "*" and page.other is not None:
            self._open[-1] = Opened(page.other())

    def _pick(self, now: Opened, page: Listing) -> None:
        number = int(now.typed) if now.typed else now.marked + 1
        now.typed = ""
        if not 1 <= number <= len(page.offers):
            many = f"1 to {len(page.offers)}, then Enter" if page.offers else "nothing to pick"
            self._said = f"There is no {number}: {many}."
            return
        offer = page.offers[number - 1]
        if offer.choice is not None:
            self._take(offer.choice)
        elif offer.opens is not None:
            self._over(offer.opens())

    def _reading(self, now: Opened, page: Reading, key: str, character: str) -> None:
        if key in SCROLLS:
            most = max(0, len(reading_rows(page, self._width)) - (self.size.height - TITLE_AND_FOOT))
            now.top = max(0, min(now.top + SCROLLS[key], most))
        elif page.begins and character in ("1", "2"):
            self._take(Choice(page.begins, rehearse=character == "2"))
        elif page.begins and key in ("enter", "ctrl+j"):
            self._said = "Enter begins nothing: 1 is the real day, 2 the rehearsal."

    def _take(self, choice: Choice) -> None:
        self.choice = choice
        self.leave()

    @property
    def _width(self) -> int:
        return max(1, self.size.width - MARGIN)

    def _show(self) -> None:
        now, keeps = self._open[-1], None
        if isinstance(now.page, Listing):
            rows, keeps = listing_rows(now.page, now.marked, self._width)
        else:
            rows = reading_rows(now.page, self._width)
        self.board.show(
            Shown(
                page_title=now.page.title,
                page=rows,
                page_foot=self._foot(now),
                page_keeps=keeps,
                page_top=now.top,
            )
        )

    def _foot(self, now: Opened) -> str:
        page = now.page
        if self._said:
            return self._said
        if isinstance(page, Reading):
            begins = "1: real day; 2: rehearse; " if page.begins else ""
            return f"{begins}arrows; Esc: back" if begins else "arrows: scroll; Esc: back"
        if now.typed:
            return f"> {now.typed}_ Enter picks it; Esc clears it"
        if len(self._open) == 1:
            return "> _ number or arrows, Enter; ?: keys; q: leave"
        other = f"*: {page.other_is}; " if page.other is not None else ""
        return f"> _ number, Enter; {other}Esc: back"
