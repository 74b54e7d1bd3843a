"""The takeoff: what to buy, counted from the plan's own records."""

from .money import as_shown, money, payable, tax_on, total_price
from .order import NOT_IN_IT, take_off

__all__ = ["NOT_IN_IT", "as_shown", "money", "payable", "take_off", "tax_on", "total_price"]
