"""Every calculator, by the module of the trade whose question it answers."""

from collections.abc import Mapping

from server.office.methods.calculators import labor, money, planting, raising, soil
from server.office.methods.calculators.calculator import Calculator

CALCULATORS: Mapping[str, tuple[Calculator, ...]] = {
    **raising.CALCULATORS,
    **soil.CALCULATORS,
    **planting.CALCULATORS,
    **labor.CALCULATORS,
    **money.CALCULATORS,
}
