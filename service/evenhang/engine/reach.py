"""How far a price reaches, unrounded: proceeds as straight lines over the listed price, and how far rounding can stray from them.

Knows nothing of grids; `target.py` starts from here and runs every price forward.
"""

from decimal import Decimal
from typing import NamedTuple

from evenhang.engine.money import HUNDRED, ONE, ZERO, minor_unit
from evenhang.engine.rules import Commission, MarkUp, NoTax, Outlet, RuleSet, TaxAdded


class Line(NamedTuple):
    """slope x listed price + offset: the slope is the member's marginal share, the offset in the outlet's currency."""

    slope: Decimal
    offset: Decimal


class Stretch(NamedTuple):
    """The listed prices that bring a figure: from `least` up to `most`, without an end where that is None."""

    least: Decimal
    most: Decimal | None


def proceeds_lines(rules: RuleSet, outlet_name: str, discount_percent: Decimal, frame: Decimal) -> tuple[Line, ...]:
    """Unrounded proceeds at any listed price are the lowest of these lines.

    One line for what is left without any commission, one with it: the floors at 0, of the base after the frame and of
    the commission after the outlet's part of the discount, are where the two cross. Marked-up and purchased works have one.
    """
    outlet, tax = rules.rules.outlets[outlet_name], rules.outlet_tax(outlet_name)
    net = ONE if isinstance(tax, (TaxAdded, NoTax)) else HUNDRED / (HUNDRED + tax.percent)
    levy = rules.rules.levy_percent / HUNDRED
    if not isinstance(outlet.terms, Commission):
        percent = outlet.terms.percent
        part = HUNDRED / (HUNDRED + percent) if isinstance(outlet.terms, MarkUp) else percent / HUNDRED
        return (Line(net * (part - levy), ZERO),)
    pays = ONE + tax.percent / HUNDRED if isinstance(tax, TaxAdded) else ONE
    off = discount_percent / HUNDRED
    fee = outlet.payment_fee if outlet.payment_fee and outlet.payment_fee.borne_by == "member" else None
    fixed = fee.fixed if fee else ZERO
    without = (ONE - off) * (net - net * levy - (pays * fee.percent / HUNDRED if fee else ZERO))
    percent = outlet.terms.percent / HUNDRED
    base = pays if outlet.commission_base == "gross" else net
    within = min(off, outlet.discount.limit_percent / HUNDRED)
    taken = percent * base * (ONE - within if outlet.discount.share == "both" else ONE) - _borne(outlet, net, off, within)
    first = percent * frame if outlet.frame_first else ZERO
    tau = _with_tax(outlet)
    return Line(without, -fixed), Line(without - tau * taken, tau * first - fixed)


def _borne(outlet: Outlet, net: Decimal, off: Decimal, within: Decimal) -> Decimal:
    """The outlet's part of the discount, per unit of listed price."""
    rule = outlet.discount
    borne = (HUNDRED - rule.member_percent) / HUNDRED * net * within if rule.share == "split" else ZERO
    return borne + (net * (off - within) if rule.beyond_limit == "outlet" else ZERO)


def _with_tax(outlet: Outlet) -> Decimal:
    charged = outlet.tax_on_commission
    return ONE + (charged.percent / HUNDRED if charged and not charged.recoverable else ZERO)


def noise(rules: RuleSet, outlet_name: str, discount_percent: Decimal) -> Decimal:
    """A bound on how far rounded proceeds stray from the lines: half a minor unit per rounded line, twice.

    The lines: tax, fee, levy and tax on the commission; the commission, which carries its tax with it; and with a
    discount the discount, its limit and the three nets from which the outlet's part of it is worked out.
    """
    tau = _with_tax(rules.rules.outlets[outlet_name])
    lines = 4 + tau + (ONE + 4 * tau if discount_percent else ZERO)
    return lines * minor_unit(rules.outlet_currency(outlet_name))


def stretch(lines: tuple[Line, ...], needed: Decimal) -> Stretch | None:
    """The listed prices at which every line brings `needed`, unrounded; None where there are none."""
    least, most = ZERO, None
    for slope, offset in lines:
        if slope > 0:
            least = max(least, (needed - offset) / slope)
        elif slope < 0:
            end = (needed - offset) / slope
            most = end if most is None else min(most, end)
        elif offset < needed:
            return None
    return None if most is not None and most < least else Stretch(least, most)
