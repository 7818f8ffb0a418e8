"""The yearly increase: how far prices have grown since the rules' base date.

Knows nothing of works; the caller hands the day in.
"""

from datetime import date
from decimal import Decimal

from evenhang.engine.money import EXACT, HUNDRED, ONE, in_percent
from evenhang.engine.rules import Increase
from evenhang.engine.saying import Said, joined, say


def anniversary(base: date, year: int) -> date:
    """The anniversary of `base` in `year`; 29 February has its own on 28 February in common years."""
    try:
        return base.replace(year=year)
    except ValueError:
        return base.replace(year=year, day=28)


def percent_of(increase: Increase, year: int) -> Decimal:
    """The percentage of that calendar year: the exception, else `yearly_percent`."""
    return increase.exceptions.get(str(year), increase.yearly_percent)


def years_passed(increase: Increase, on: date) -> range:
    """The calendar years whose anniversary of the base date has come, up to and including the day `on`."""
    base = increase.base_date
    last = on.year if anniversary(base, on.year) <= on else on.year - 1
    return range(base.year + 1, last + 1)


def growth(increase: Increase | None, on: date) -> Decimal:
    """The unrounded factor from the base date to `on`: one factor per anniversary passed."""
    factor = ONE
    if increase is not None:
        for year in years_passed(increase, on):
            factor = EXACT.multiply(factor, ONE + percent_of(increase, year) / HUNDRED)
    return factor


def growth_words(increase: Increase, on: date) -> Said:
    """The factors behind `growth`, in words: (1 + 5 %) for 2026 x ..."""
    factors = (
        say("(1 + {percent}) for {year}", percent=in_percent(percent_of(increase, year)), year=year) for year in years_passed(increase, on)
    )
    return joined(factors, " x ")
