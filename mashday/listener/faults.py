"""Why a listener cannot listen, in a sentence."""

from __future__ import annotations


class CannotListen(Exception):
    """What is missing or wrong, and what would do; its text is for the person."""


def lacks(package: str, extra: str) -> CannotListen:
    """The fault of a package that is not installed."""
    return CannotListen(
        f'The package {package} is not installed. Install it with: pip install "mashday[{extra}]"'
    )
