"""Exact conversions between what is stored (millimeters, seconds, °C) and what people say (feet, inches, °F).

Source: the international foot of 1959 (0.3048 m); NIST SP 811, appendix B. All conversions are exact; rounding is left
to whoever prints.
"""

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
MM_PER_METRE = 1000.0
SQUARE_FEET_PER_ACRE = 43_560
SQUARE_METRES_PER_HECTARE = 10_000
SECONDS_PER_HOUR = 3600.0


def feet_to_mm(feet: float) -> float:
    """Convert feet to millimeters."""
    return feet * MM_PER_FOOT


def mm_to_feet(mm: float) -> float:
    """Convert millimeters to feet."""
    return mm / MM_PER_FOOT


def inches_to_mm(inches: float) -> float:
    """Convert inches to millimeters."""
    return inches * MM_PER_INCH


def mm_to_inches(mm: float) -> float:
    """Convert millimeters to inches."""
    return mm / MM_PER_INCH


def fahrenheit_to_celsius(degrees_f: float) -> float:
    """Convert °F to °C."""
    return (degrees_f - 32.0) / 1.8


def celsius_to_fahrenheit(degrees_c: float) -> float:
    """Convert °C to °F."""
    return degrees_c * 1.8 + 32.0
