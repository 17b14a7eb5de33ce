"""Quantities in words with their inch counterparts beside them, for people; records stay SI.

A quantity in words is a number, a range or a vector with its unit: `14.40 mm`, `15.4 to 24.6 kN`,
`(0, 0, -1000) N`. A counterpart has as many significant digits as the figure, at least three:
`5 N·m` on a bolt is no figure of one digit.

Source: 25.4 mm an inch, 4.4482216152605 N a pound-force, 0.45359237 kg a pound, each exact; NIST
SP 811, appendix B, from memory, unverified. The others follow.
"""

import re
from math import floor, log10

INCH_MM, POUND_FORCE_N, POUND_KG = 25.4, 4.4482216152605, 0.45359237

LEAST_DIGITS = 3
LEAST_GROUPED = 999_999.5
"""From which thousands stand apart; a number in a narrow column must not be cut at a blank."""

_KSI_MPA = 1000 * POUND_FORCE_N / INCH_MM**2
_FOOT_M = 12 * INCH_MM / 1000

COUNTERPARTS: dict[str, tuple[str, float]] = {
    "mm": ("in", INCH_MM),
    "mm²": ("in²", INCH_MM**2),
    "mm³": ("in³", INCH_MM**3),
    "mm⁴": ("in⁴", INCH_MM**4),
    "cm³": ("in³", (INCH_MM / 10) ** 3),
    "N": ("lbf", POUND_FORCE_N),
    "kN": ("lbf", POUND_FORCE_N / 1000),
    "MPa": ("ksi", _KSI_MPA),
    "GPa": ("ksi", _KSI_MPA / 1000),
    "N/mm": ("lbf/in", POUND_FORCE_N / INCH_MM),
    "N/mm³": ("lbf/in³", POUND_FORCE_N / INCH_MM**3),
    "mm/kN": ("in/lbf", INCH_MM * 1000 / POUND_FORCE_N),
    "N·m": ("lbf·ft", POUND_FORCE_N * _FOOT_M),
    "N m": ("lbf·ft", POUND_FORCE_N * _FOOT_M),
    "1/m": ("1/ft", 1 / _FOOT_M),
    "g": ("oz", 1000 * POUND_KG / 16),
    "kg": ("lb", POUND_KG),
}
"""Inch unit of each SI unit that is printed, and how many of the SI unit one of it is."""

NUMBER = r"[-+−]?\d+(?: \d{3})*(?:\.\d+)?"
_UNIT = "|".join(sorted(map(re.escape, COUNTERPARTS), key=len, reverse=True))
_LIST = rf"\({NUMBER}(?:, {NUMBER})+\)|(?:± ?)?{NUMBER}(?:(?: to | and | ± ){NUMBER})*"
_QUANTITY = re.compile(
    rf"(?<![\w./·−+-])(?P<numbers>{_LIST})(?P<gap>[ \u00a0])(?P<unit>{_UNIT})"
    rf"(?![\w·/²³⁴])(?! m\b)"
)
_NUMBER = re.compile(rf"(?<![\w.]){NUMBER}")


def counterpart(number: str, unit: str) -> str:
    """Return a printed number in the inch unit of an SI unit, with its sign and digits."""
    value = float(re.sub(r"\s", "", number).replace("−", "-")) / COUNTERPARTS[unit][1]
    if value == 0:
        return "0"
    figures = re.sub(r"\D", "", number).lstrip("0")
    decimals = max(LEAST_DIGITS, len(figures)) - 1 - floor(log10(abs(value)))
    rounded = f"{round(value, decimals):.{max(0, decimals)}f}"
    if decimals <= 0 and abs(value) >= LEAST_GROUPED:
        rounded = f"{int(rounded):,}".replace(",", " ")
    return f"+{rounded}" if number.startswith("+") else rounded


def counterparts(text: str, unit: str) -> str:
    """Return a text of numbers that all have one SI unit, each in its inch unit."""
    return _NUMBER.sub(lambda found: counterpart(found[0], unit), text)


def beside(text: str) -> str:
    """Return a sentence with the counterpart of every quantity in brackets behind it."""
    return _QUANTITY.sub(lambda found: f"{found[0]} ({_converted(found)})", text)


def replaced(text: str) -> str:
    """Return a sentence with the counterpart of every quantity in its place."""
    return _QUANTITY.sub(_converted, text)


def unit_at_end(text: str) -> str | None:
    """Return the SI unit that a head or label ends with, None where it has none."""
    found = re.search(rf"(?:^|[\s,])({_UNIT})$", text)
    return found[1] if found else None


def _converted(found: re.Match[str]) -> str:
    unit = found["unit"]
    numbers = counterparts(found["numbers"], unit).removeprefix("(").removesuffix(")")
    return f"{numbers} {COUNTERPARTS[unit][0]}"
