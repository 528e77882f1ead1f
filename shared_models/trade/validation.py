"""Checks that turn an impossible number into one clear error."""

import math

from shared_models.errors import BadQuantity


def finite(field: str, value: float) -> None:
    """Raise BadQuantity unless `value` is a finite number."""
    if not math.isfinite(value):
        raise BadQuantity(field, value, "a finite number")


def positive(field: str, value: float) -> None:
    """Raise BadQuantity unless `value` is a finite number above zero."""
    if not (math.isfinite(value) and value > 0):
        raise BadQuantity(field, value, "above 0")


def not_negative(field: str, value: float) -> None:
    """Raise BadQuantity unless `value` is a finite number of zero or more."""
    if not (math.isfinite(value) and value >= 0):
        raise BadQuantity(field, value, "0 or more")


def within(field: str, value: float, low: float, high: float) -> None:
    """Raise BadQuantity unless low <= `value` <= high."""
    if not low <= value <= high:
        raise BadQuantity(field, value, f"from {low:g} to {high:g}")


def inside(field: str, value: float) -> None:
    """Raise BadQuantity unless 0 < `value` < 1: a share or a chance that is neither none nor all."""
    if not 0 < value < 1:
        raise BadQuantity(field, value, "above 0 and below 1")


def whole(field: str, value: float, least: int = 0) -> None:
    """Raise BadQuantity unless `value` is a whole number of `least` or more."""
    if not (math.isfinite(value) and value >= least and value == math.floor(value)):
        raise BadQuantity(field, value, f"a whole number of {least} or more")
