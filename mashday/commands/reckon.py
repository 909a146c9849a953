"""The command that does one sum on the spot."""

from __future__ import annotations

import argparse

from mashday.commands import output
from mashday.quantities import Units
from mashday.reckon.given import Given, Refused
from mashday.reckon.table import SUMS
from mashday.reckon.told import DONE_BY, refusal, values, words
from mashday.science.limits import OutOfRange


def reckon(options: argparse.Namespace) -> int:
    """One sum, with its working; a sentence where it cannot be done."""
    written = {option.name: getattr(options, f"of_{option.name}") for option in SUMS[options.what].options}
    units: Units = options.units or "metric"
    try:
        given = Given(options.what, SUMS[options.what], written)
        units = options.units or ("us" if given.looks_us() else "metric")
        made = DONE_BY[options.what](given)
        given.refuse_what_has_no_part()
    except Refused as refused:
        return output.refused(str(refused))
    except OutOfRange as refused:
        return output.refused(refusal(refused, units))
    if options.json:
        return output.write(options, output.written_json(values(options.what, given, made)))
    return output.write(options, words(options.what, made, units))
