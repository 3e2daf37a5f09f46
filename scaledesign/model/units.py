"""Quantities in and out: lengths, temperatures, pressures, heights.

The one place that knows a millimetre from an inch. Text or a bare number comes in, an SI float64
goes out, rounded once; the other way, a *paper* style gives what a hand can work to (0.1 mm, 1/64 in)
and an *exact* style the shortest text that reads back as the same float64. No file, no document and
no limit of a flute's size belongs here, only whether a text is a quantity at all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from math import isfinite
from typing import Literal

from scaledesign.errors import QuantityError
from scaledesign.model.document import Units

Style = Literal["paper", "exact"]
Number = int | float | Decimal
Written = str | Number
"""What a person or a file gives: text with or without a unit, or a bare number."""

INCH = Fraction(127, 5000)
"""m, exactly (international yard and pound agreement, 1959)."""

HAND_STEP: Mapping[Units, float] = {"mm": 1e-4, "in": float(INCH) / 64}
"""m: what a careful hand can hold, and paper shows."""

LENGTH_UNITS: Mapping[str, Fraction] = {
    "mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": Fraction(1),
    "in": INCH, "inch": INCH, "inches": INCH, '"': INCH, "''": INCH, "″": INCH, "”": INCH,
    "ft": 12 * INCH,
}  # fmt: skip
_PRESSURE_UNITS = {"Pa": Fraction(1), "hPa": Fraction(100), "mbar": Fraction(100), "kPa": Fraction(1000)}
_ALTITUDE_UNITS = {"m": Fraction(1), "km": Fraction(1000), "ft": 12 * INCH}
_CELSIUS, _FAHRENHEIT = ("°C", "C", "℃"), ("°F", "F", "℉")

_LONGEST_TEXT = 400
_LARGEST_EXPONENT, _SMALLEST_EXPONENT = 30, -400
_LONGEST_SHOWN = 60
_LONGEST = Fraction(10)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+(?![0-9.,])")
_QUANTITY = re.compile(
    r"(?P<sign>[+-]?)\s*"
    r"(?:(?:(?P<whole>[0-9]+)(?:\s+|\s*-\s*))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?))"
    r"(?P<unit>.*)",
    re.DOTALL,
)


def parse_length(written: Written, units: Units, *, signed: bool = False) -> float:
    """Length in m from ``"16 mm"``, ``"1 3/16 in"``, ``'1-3/16"'``, ``"0.625 in"``, ``"5/8"``, ``16``.

    Parameters
    ----------
    written : text with a unit, or text or a number without one, which is then in ``units``
    units : "mm" or "in"
    signed : whether less than nothing makes sense

    Raises
    ------
    QuantityError : not a length, not finite, over 10 m, or negative where that makes no sense
    """
    example = "16" if units == "mm" else "5/8"
    amount, unit = _split(written, f'write "{example} {units}" or the bare number')
    scale = LENGTH_UNITS.get(unit or units)
    if scale is None:
        raise QuantityError(_shown(written), f"{unit!r} is no unit of length", "use mm, cm, m, in or ft")
    metres = amount * scale
    if abs(metres) > _LONGEST:
        raise QuantityError(_shown(written), "that is over 10 m", "check the unit and the decimal point")
    if metres < 0 and not signed:
        raise QuantityError(_shown(written), "a length cannot be negative", "leave out the minus sign")
    return float(metres)


def length_unit(text: str) -> str:
    """Unit a text like ``"5/8 in"`` is written in, '' where it has none or is no quantity."""
    plain = text.strip()
    found = _QUANTITY.fullmatch(plain) if len(plain) <= _LONGEST_TEXT else None
    unit = found["unit"].strip() if found else ""
    return unit if unit in LENGTH_UNITS else ""


def parse_temperature(written: Written) -> float:
    """Degrees Celsius from ``"22 °C"``, ``"72 °F"`` or a bare number, which is Celsius."""
    amount, unit = _split(written, 'write "22 °C" or "72 °F"')
    if unit in _FAHRENHEIT:
        return float((amount - 32) * Fraction(5, 9))
    if unit and unit not in _CELSIUS:
        raise QuantityError(_shown(written), f"{unit!r} is no unit of temperature", "use °C or °F")
    return float(amount)


def parse_temperature_difference(written: Written) -> float:
    """Kelvins from ``"1 K"``, ``"1 °C"``, ``"2 °F"`` or a bare number, which is kelvins."""
    amount, unit = _split(written, 'write "1 K"')
    if unit in _FAHRENHEIT:
        return float(amount * Fraction(5, 9))
    if unit not in ("", "K", *_CELSIUS):
        raise QuantityError(_shown(written), f"{unit!r} is no unit of a temperature difference", "use K")
    return float(amount)


def parse_pressure(written: Written) -> float:
    """Pascals from ``"98.4 kPa"``, ``"984 hPa"``, ``"98400 Pa"`` or a bare number, which is pascals."""
    return _scaled(written, _PRESSURE_UNITS, "Pa", "pressure", 'write "98.4 kPa"', "use Pa, hPa or kPa")


def parse_altitude(written: Written) -> float:
    """Metres above the sea from ``"250 m"``, ``"820 ft"`` or a bare number, which is metres."""
    return _scaled(written, _ALTITUDE_UNITS, "m", "altitude", 'write "250 m" or "820 ft"', "use m or ft")


def parse_number(written: Written) -> float:
    """A plain number, such as a share, a count of cents or an angle."""
    if isinstance(written, str):
        amount, unit = _split(written, "write a number")
        if unit:
            raise QuantityError(_shown(written), f"{unit!r} has no place here", "write the number alone")
        return float(amount)
    return float(_fraction(written, "write a number"))


def format_length(metres: float, units: Units, style: Style = "paper", *, unit: bool = True) -> str:
    """Length as text: ``'1 3/16 in'`` or ``'150.3 mm'``; ``unit=False`` leaves the unit out.

    ``paper`` rounds to 1/64 in or 0.1 mm. ``exact`` is the shortest decimal that ``parse_length``
    reads back as the same float64, or a fraction of 64 where that is exact.
    """
    ending = f" {units}" if unit else ""
    amount = Fraction(metres) / LENGTH_UNITS[units]
    if units == "in":
        sixty_fourths = round(amount * 64)
        if style == "paper" or float(Fraction(sixty_fourths, 64) * INCH) == metres:
            return _mixed(sixty_fourths) + ending
    elif style == "paper":
        return f"{round(float(amount), 1) + 0.0:.1f}{ending}"
    return exact_length(metres, units) + ending


def format_small(metres: float, units: Units) -> str:
    """A length below the steps of a ruler as text, to two digits: ``'0.15 mm'``, ``'0.0059 in'``."""
    return f"{float(f'{metres / float(LENGTH_UNITS[units]):.2g}'):g} {units}"


def exact_length(metres: float, unit: str) -> str:
    """Shortest decimal number of ``unit`` (a key of ``LENGTH_UNITS``) that reads back as ``metres``."""
    scale = LENGTH_UNITS[unit]
    return shortest(metres, Fraction(metres) / scale, lambda amount: float(amount * scale))


def format_temperature(celsius: float, style: Style = "paper", *, unit: Literal["°C", "°F"] = "°C") -> str:
    """Temperature as text: to the half degree a thermometer shows on paper, or exact."""
    ratio, offset = (Fraction(9, 5), 32) if unit == "°F" else (Fraction(1), 0)
    amount = Fraction(celsius) * ratio + offset
    if style == "paper":
        return f"{float(Fraction(round(amount * 2), 2)) + 0.0:g} {unit}"
    return f"{shortest(celsius, amount, lambda value: float((value - offset) / ratio))} {unit}"


def format_pressure(pascals: float, style: Style = "paper") -> str:
    """Pressure as text in kPa: one decimal on paper, or exact."""
    kilo = Fraction(pascals) / 1000
    if style == "paper":
        return f"{float(kilo):.1f} kPa"
    return f"{shortest(pascals, kilo, lambda value: float(value * 1000))} kPa"


def format_altitude(metres: float, style: Style = "paper", *, unit: Literal["m", "ft"] = "m") -> str:
    """Altitude as text: whole metres or feet on paper, or exact."""
    scale = _ALTITUDE_UNITS[unit]
    amount = Fraction(metres) / scale
    if style == "paper":
        return f"{round(amount)} {unit}"
    return f"{shortest(metres, amount, lambda value: float(value * scale))} {unit}"


def format_cents(cents: float) -> str:
    """Cents off a target as text: ``"+4"``, ``"-12"``, ``"0"``."""
    whole = round(cents)
    return f"{whole:+d}" if whole else "0"


def format_number(value: float) -> str:
    """A plain number as the shortest text that reads back as the same float64."""
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)


def shortest(target: float, amount: Fraction, back: Callable[[Fraction], float]) -> str:
    """Shortest decimal near ``amount`` that ``back`` turns into ``target`` again."""
    digits = 1
    while back(Fraction(text := _significant(amount, digits))) != target:
        digits += 1
    return text


def _significant(amount: Fraction, digits: int) -> str:
    """``amount`` to so many significant digits, without an exponent."""
    if not amount:
        return "0"
    size = abs(amount)
    places = digits - 1 - (Decimal(size.numerator) / Decimal(size.denominator)).adjusted()
    whole = str(round(size * Fraction(10) ** places))
    if places > 0:
        whole = whole.rjust(places + 1, "0")
        whole = f"{whole[:-places]}.{whole[-places:]}".rstrip("0").rstrip(".")
    else:
        whole += "0" * -places
    return f"-{whole}" if amount < 0 else whole


def _mixed(sixty_fourths: int) -> str:
    """Whole number and reduced fraction of an inch: ``'1 3/16'``."""
    whole, rest = divmod(abs(sixty_fourths), 64)
    part = Fraction(rest, 64)
    words = [str(whole)] if whole or not rest else []
    words += [f"{part.numerator}/{part.denominator}"] if rest else []
    return ("-" if sixty_fourths < 0 else "") + " ".join(words)


def _scaled(
    written: Written, known: Mapping[str, Fraction], bare: str, kind: str, example: str, use: str
) -> float:
    amount, unit = _split(written, example)
    if (unit or bare) not in known:
        raise QuantityError(_shown(written), f"{unit!r} is no unit of {kind}", use)
    return float(amount * known[unit or bare])


def _split(written: Written, example: str) -> tuple[Fraction, str]:
    """Amount and unit ('' for none) of a quantity, exactly."""
    if not isinstance(written, str):
        return _fraction(written, example), ""
    text = written.replace("\u00a0", " ").replace("\u202f", " ").replace("−", "-").strip()
    if not text:
        raise QuantityError(written, "it is empty", example)
    if len(text) > _LONGEST_TEXT:
        raise QuantityError(_shown(written), "that is not a quantity", example)
    found = _QUANTITY.fullmatch(text)
    comma = _DECIMAL_COMMA.match(text)
    if comma:
        right = comma[0].replace(",", ".")
        raise QuantityError(written, "a decimal comma is not read", f"write {right} with a point")
    if found is None:
        raise QuantityError(_shown(written), "that is not a quantity", example)
    if found["decimal"]:
        try:
            amount = _fraction(Decimal(found["decimal"]), example, written)
        except InvalidOperation:
            raise QuantityError(_shown(written), "that number has far too many digits", example) from None
    elif int(found["bottom"]) == 0:
        raise QuantityError(written, "a fraction cannot have 0 below the line", example)
    else:
        amount = int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"]))
    return (-amount if found["sign"] == "-" else amount), found["unit"].strip()


def _fraction(number: Number, example: str, written: str = "") -> Fraction:
    """A number exactly as its shortest text says it: 0.1 is one tenth."""
    shown = written or _shown(number)
    if isinstance(number, bool) or not isinstance(number, int | float | Decimal):
        raise QuantityError(shown, "that is not a quantity", example)
    if isinstance(number, int):
        if abs(number) >= 10**_LARGEST_EXPONENT:
            raise QuantityError(shown, "that number is far too large", example)
        return Fraction(number)
    if not isfinite(number):
        raise QuantityError(shown, "that is not a finite number", example)
    decimal = number if isinstance(number, Decimal) else Decimal(repr(number))
    if not decimal:
        return Fraction(0)
    if len(decimal.as_tuple().digits) > _LONGEST_TEXT:
        raise QuantityError(shown, "that number has far too many digits", example)
    if not _SMALLEST_EXPONENT < decimal.adjusted() < _LARGEST_EXPONENT:
        size = "large" if decimal.adjusted() > 0 else "small"
        raise QuantityError(shown, f"that number is far too {size}", example)
    return Fraction(decimal)


def _shown(written: object) -> str:
    """The text to show in a message, cut where it is endless."""
    try:
        text = str(written).lower() if isinstance(written, bool) else str(written)
    except ValueError:  # Python writes out no number of thousands of digits
        return "..."
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."
