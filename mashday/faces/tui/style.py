"""The looks by name: grey by default, colour only for what is due, off or good, never colour alone."""

from __future__ import annotations

import os

from rich.style import Style


def styles() -> dict[str, Style]:
    """The style of each name, without colours where NO_COLOR asks for none."""
    plain = bool(os.environ.get("NO_COLOR"))

    def colour(name: str) -> str | None:
        return None if plain else name

    return {
        "head": Style(bold=True),
        "title": Style(reverse=True),
        "now": Style(bold=True),
        "dim": Style(dim=True),
        "call": Style(bold=True, reverse=True, color=colour("yellow")),
        "soon": Style(bold=True, underline=True),
        "danger": Style(bold=True, reverse=True, color=colour("red")),
        "good": Style(color=colour("green")),
        "off": Style(bold=True, color=colour("yellow")),
        "over": Style(bold=True, reverse=True),
        "digits": Style(reverse=True),
        "digits-half": Style(),
        "digits-typed": Style(reverse=True, bold=True, color=colour("cyan")),
        "digits-typed-half": Style(bold=True, color=colour("cyan")),
        "digits-over": Style(reverse=True, color=colour("yellow")),
        "digits-over-half": Style(color=colour("yellow")),
        "entry": Style(bold=True, reverse=True),
        "key": Style(bold=True),
    }
