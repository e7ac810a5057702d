"""Quantities as a paper file writes them: '30 cm', '2 mm', '2 deg', '0.3 m'."""

from __future__ import annotations

import re

_QUANTITY = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*([a-zA-Z°]*)\s*")
_CM = {"mm": 0.1, "cm": 1.0, "m": 100.0}
_DEG = {"deg": 1.0, "degree": 1.0, "degrees": 1.0, "°": 1.0}


def length_cm(text: object) -> float:
    """A length in cm. ValueError says what would be one."""
    return _quantity(text, _CM, "a length with its unit, such as '12 cm' or '2 mm'")


def length_mm(text: object) -> float:
    """A length in mm. ValueError says what would be one."""
    return _quantity(text, _CM, "a length with its unit, such as '2 mm'") * 10


def angle_deg(text: object) -> float:
    """An angle in degrees. ValueError says what would be one."""
    return _quantity(text, _DEG, "an angle with its unit, such as '2 deg'")


def turn_deg(text: object) -> float:
    """A turn in degrees, anticlockwise; it may be zero or negative."""
    words = text.strip() if isinstance(text, str) else ""
    size = words.lstrip("-").strip()
    if re.fullmatch(r"0(\.0+)?\s*(deg|degrees?|°)", size):
        return 0.0
    try:
        value = angle_deg(size)
    except ValueError:
        raise ValueError(f"{text!r} is not a turn such as '30 deg' or '-15 deg'") from None
    return -value if words.startswith("-") else value


def _quantity(text: object, units: dict[str, float], wanted: str) -> float:
    found = _QUANTITY.fullmatch(text) if isinstance(text, str) else None
    if found is None or found[2] not in units:
        raise ValueError(f"{text!r} is not {wanted}")
    value = float(found[1]) * units[found[2]]
    if value <= 0:
        raise ValueError(f"{text!r} must be more than zero")
    return round(value, 9)
