"""Texts, numbers and changed bytes such as nobody means well with."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from fuzz import FORBIDDEN

ESCAPES = (
    "\x1b[2J",
    "\x1b]0;owned\x07",
    "\x1b]9;owned\x1b\\",
    "\x1bc",
    "\x9b2J",
    "\x9d0;owned\x9c",
    "\x90q\x9c",
    "\r63.5",
    "\x08\x08\x08",
    "\x00",
    "\x07",
    "\x7f",
    "\x85",
    "\u202e",
    "\u2066",
    "\u2069",
    "\u200b",
    "\u200f",
    "\u00ad",
    "\ufeff",
    "\u2028",
    "\u2029",
    "\U000e0041",
    "\ue000",
    "\U0010ffff",
)
"""What steers a terminal (ECMA-48; XTerm Control Sequences) or is not seen (Unicode, categories C and Z)."""
HALVES = ("\ud800", "\udfff", "\udc9b")
"""Halves of characters, as a terminal in another encoding hands them over (PEP 383)."""
MARKUP = (
    "[/]",
    "[red]",
    "[/][@click=app.quit]x[/]",
    "[bold",
    "[x] stir",
    "heat [strike] water",
    "{0}{name!r}",
    "%s%n",
    "$(reboot)",
    "`id`",
    "; rm -rf .",
    "<script>",
)
PATHS = (
    f"../../{FORBIDDEN}",
    f"/{FORBIDDEN}",
    f"~/{FORBIDDEN}",
    f"C:\\{FORBIDDEN}",
    f"\\\\host\\{FORBIDDEN}",
)
ODD = (
    "",
    " ",
    "\n",
    "\t\t",
    "-",
    ".",
    "'",
    '"',
    '"""',
    "\\",
    "\\u001b",
    "=",
    "#",
    "a" * 400,
    "W" * 5000,
    "a b " * 200,
    "e" + "\u0301" * 40,
    "\u05d0\u05d1\u05d2 \u0627\u0644",
    "\U0001f37a\U0001f469\u200d\U0001f33e",
    "\u4e2d\u6587" * 30,
    "\uff11\uff12",
    "\u0661\u0662",
    "\u2460",
    "\u00bd",
    "\u212b",
    "\ufb01",
    "nan",
    "inf",
    "None",
    "True",
)
LONGEST_ARGUMENT = 400
PLAIN = ("wash", "lid left off", "Lock Seven", "pale barley malt", "reading", "63", "opened", "stir well")
NUMBERS = (
    *(
        "0",
        "-0",
        "1",
        "-1",
        "63",
        "63.5",
        "63,5",
        "144",
        "1.048",
        "1048",
        "12",
        "5.4",
        "0.001",
        "100",
        "99.99",
    ),
    *("1000", "1,000", "1.234,5", "1e3", "1e308", "1e999", "-273.15", "-300", "1000000", "999999999", "0x10"),
    *(
        "00",
        "007",
        "1_000",
        "1.",
        ".5",
        "..",
        "1.2.3",
        "+5",
        "--5",
        "5-",
        "9" * 30,
        "9" * 5000,
        "1/2",
        "5 000",
    ),
    *("\u2212" + "5", "6\u00a03", "63\u00b0", "nan", "inf", "-inf"),
)
UNITS = (
    *("", "C", "F", "K", "degC", "deg F", "degrees", "L", "l", "mL", "gal", "qt", "imp gal", "kg", "g", "lb"),
    *("oz", "min", "h", "s", "kW", "W", "W/K", "kJ/K", "kJ", "kJ/kg", "m", "ft", "cm", "%", "ppm", "L/kg"),
    *("qt/lb", "L/min", "P", "Bx", "SG", "WK", "Lintner", "furlong", "kg**9", "q w/e r", "1", "megamegagram"),
    *("C C", "L of water", "\u00b0C", "\u2103", "\u212a", "\u03bcm", "Pa", "eV", "coulomb", "dozen"),
)


def hostile_text(chance: Random, *, halves: bool = False) -> str:
    """A text, mostly of several pieces, with something in it that should not be believed."""
    pools: list[Sequence[str]] = [ESCAPES, MARKUP, ODD, PLAIN, NUMBERS, PATHS]
    if halves:
        pools.append(HALVES)
    pieces = [chance.choice(chance.choice(pools)) for _ in range(chance.choice((1, 1, 2, 3, 5)))]
    if chance.random() < 0.2:
        pieces.append("".join(chr(_code_point(chance)) for _ in range(chance.randint(1, 12))))
    return chance.choice(("", " ")).join(pieces)


def as_argument(text: str) -> str:
    """The text as it can come from a command line or a variable: bytes without a nought, taken for UTF-8."""
    text = text[:LONGEST_ARGUMENT]
    kept = "".join(c for c in text if not "\ud800" <= c <= "\udfff" or "\udc80" <= c <= "\udcff")
    return kept.encode("utf-8", "surrogateescape").replace(b"\0", b"").decode("utf-8", "surrogateescape")


def _code_point(chance: Random) -> int:
    top = chance.choice((0x7F, 0xFF, 0x2FFF, 0xD7FF, 0x10FFFF))
    point = chance.randint(0, top)
    return 0x20 if 0xD800 <= point <= 0xDFFF else point


def quantity(chance: Random) -> str:
    """A number with a unit, of any kind or none."""
    between = chance.choice((" ", "", "  ", "\u00a0"))
    text = f"{chance.choice(NUMBERS)}{between}{chance.choice(UNITS)}"
    return text if chance.random() < 0.95 else f"{text}{chance.choice(ESCAPES)}"


WHOLE_NUMBERS = (
    0,
    1,
    -1,
    2,
    3,
    7,
    9,
    60,
    61,
    255,
    10**6,
    2**31,
    2**53 + 1,
    2**63 - 1,
    -(2**63),
    2**64,
    10**40,
)
REAL_NUMBERS = (
    *(
        0.0,
        -0.0,
        1.0,
        -1.0,
        0.5,
        5.4,
        1.05,
        37.0,
        63.0,
        99.9,
        100.0,
        101.9,
        102.5,
        144.0,
        -273.15,
        1e-9,
        1e-308,
    ),
    *(1e3, 1e6, 1e9, 1e12, 1e18, 1e300, -1e300, float("inf"), float("-inf"), float("nan")),
)


TOKENS = (
    *(
        b"[",
        b"]",
        b"[[",
        b"]]",
        b"{",
        b"}",
        b'"',
        b"'",
        b'"""',
        b"=",
        b".",
        b",",
        b"#",
        b"\n",
        b"\r\n",
        b"\\",
    ),
    *(
        b"nan",
        b"inf",
        b"true",
        b"false",
        b"1e999",
        b"0x",
        b"-",
        b"_",
        b"2026-10-03",
        b"\x00",
        b"\xff",
        b"\xc2\x9b",
    ),
    *(
        b"\x1b[2J",
        b"\xe2\x80\xae",
        b"\xef\xbb\xbf",
        b"\\u001b",
        b"\\u0000",
        b"\\U0010ffff",
        b"9" * 400,
        b"[" * 80,
    ),
    *(b"[[step]]\n", b"[pot]\n", b"[[grain]]\n", b'kind = "rest"\n', b'name = "x"\n', b"format = 1\n"),
    *(b"[[entry]]\n", b"[session]\n", b'sum = "00000000"\n', b"seq = 1\n", b"act = 1\n", b"more = true\n"),
)


def changed(chance: Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """The bytes with some of them changed, left out, doubled, moved, or put together with others."""
    text = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        place = chance.randint(0, len(text))
        match chance.randint(0, 9):
            case 0 if text:
                text[min(place, len(text) - 1)] = chance.randint(0, 255)
            case 1 if text:
                text[min(place, len(text) - 1)] ^= 1 << chance.randint(0, 7)
            case 2:
                del text[place : place + chance.choice((1, 1, 2, 5, 30, 300))]
            case 3:
                text[place:place] = chance.choice(TOKENS)
            case 4:
                end = place + chance.choice((1, 10, 80, 600))
                text[place:place] = text[place:end]
            case 5:
                del text[place:]
            case 6:
                other = chance.choice(others)
                text[place:] = other[chance.randint(0, len(other)) :]
            case 7:
                lines = text.split(b"\n")
                one, another = chance.randrange(len(lines)), chance.randrange(len(lines))
                lines[one], lines[another] = lines[another], lines[one]
                text = bytearray(b"\n".join(lines))
            case 8:
                lines = text.split(b"\n")
                lines.insert(chance.randrange(len(lines)), chance.choice(chance.choice(others).split(b"\n")))
                text = bytearray(b"\n".join(lines))
            case _:
                digits = [i for i, byte in enumerate(text) if 0x30 <= byte <= 0x39]
                if digits:
                    text[chance.choice(digits)] = chance.choice(b"0123456789.-e")
    return bytes(text)


def bytes_of_no_sense(chance: Random) -> bytes:
    """Bytes that never were a file of ours."""
    match chance.randint(0, 3):
        case 0:
            return chance.randbytes(chance.choice((0, 1, 10, 100, 3000)))
        case 1:
            return b"".join(chance.choice(TOKENS) for _ in range(chance.randint(1, 60)))
        case 2:
            return "".join(hostile_text(chance) for _ in range(20)).encode("utf-8", "surrogatepass")
        case _:
            return chance.choice(TOKENS) * chance.choice((1, 50, 2000))
