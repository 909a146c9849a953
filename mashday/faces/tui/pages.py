"""The pages that open over the board: keys and words, this step in full, the checklist, the day so far."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from mashday.engine.fold import evolve
from mashday.engine.state import State
from mashday.faces import telling
from mashday.faces.entries import entry_lines
from mashday.faces.tui import keys as table
from mashday.faces.tui.rows import harmless
from mashday.faces.view import View
from mashday.faces.vocabulary import WORDS
from mashday.session.session import Session

Page = tuple[str, ...]
SCROLLS = {"down": 1, "up": -1, "pagedown": 10, "right": 10, "pageup": -10, "left": -10, "home": -10_000}


def nothing() -> Page:
    """The lines of no page."""
    return ()


@dataclass(slots=True)
class OpenPage:
    """The page over the board and how far it is scrolled; none while the title is empty."""

    title: str = ""
    lines: Callable[[], Page] = nothing
    top: int = 0

    def scrolled(self, key: str) -> bool:
        """Scrolls by this key; false if it scrolls nothing."""
        if key not in SCROLLS:
            return False
        self.top = min(max(0, self.top + SCROLLS[key]), len(self.lines()))
        return True


def page(lines: Iterable[str]) -> Page:
    """Lines without anything a terminal could act on."""
    return tuple(harmless(line) for line in lines)


def keys_and_words(keys: tuple[table.Key, ...]) -> Page:
    """What can be pressed, then what can be said."""
    words = (f"{word.written:<24}  {word.does}" for word in WORDS.values())
    colon = table.of(keys, "word").first
    return page((*table.help_rows(keys), "", f"Words, typed after {colon}", "", *words))


def this_step(view: View) -> Page:
    """All of the step under way: what to do, its cautions, when it goes wrong, what is expected."""
    lines = [view.instruction, *view.details]
    for title, said in (
        ("Take care", view.cautions),
        ("If it goes wrong", view.if_it_goes_wrong),
        ("What is now expected", view.outlook),
    ):
        if said:
            lines += ["", title, *(f"  {line}" for line in said)]
    return page(lines)


def whole_list(view: View) -> Page:
    """Every item of the checklist with its number and value."""
    if not view.checklist:
        return ("This step has no checklist.",)
    return page(
        f"[{'x' if item.ticked else ' '}] {item.number}  {item.text}{': ' + item.value if item.value else ''}"
        for item in view.checklist
    )


def so_far(session: Session) -> Page:
    """The readings with their numbers, then everything that was written down, oldest first."""
    told: list[str] = []
    state = State()
    for entry in session.state.log:
        state = evolve(state, entry)
        told += entry_lines(entry, state, session.schedule)
    return page((*telling.log(session), "", "Everything so far", "", *told))
