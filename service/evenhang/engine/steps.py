"""A settled sale in words: each step with its label, the rule that made it, and the sum to follow with a pencil.

Knows nothing of how the figures came about: it writes down a Sale.
"""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ZERO, Money, figure, minor_unit, money
from evenhang.engine.rules import Commission, MarkUp, NoTax, Origin, Outlet, RuleSet, TaxAdded
from evenhang.engine.sale import OwnCosts, Sale

PAYERS = {"member": "the member", "outlet": "the outlet", "house": "the collective"}
# Code, label, amount, path of the rule, working.
Row = tuple[str, str, Decimal, str, str]


class Step(Struct, frozen=True):
    """One step of a settlement, the rule that made it, and the sum in words."""

    code: str
    label: str
    amount: Money
    rule: Origin
    working: str


def steps_of(rules: RuleSet, name: str, sold: Sale, costs: OwnCosts, percent: Decimal, hours: Decimal | None) -> tuple[Step, ...]:
    """Every step from the listed price to the yield, in the order in which it is worked out."""
    rows = (
        *_to_the_net(rules, name, sold, percent),
        *_to_the_proceeds(rules, name, sold, costs.frame),
        *_to_the_yield(rules, name, sold, costs, hours),
    )
    return tuple(Step(code, label, money(amount, sold.currency), rules.origin(path), words) for code, label, amount, path, words in rows)


def _text(sold: Sale, amount: Decimal) -> str:
    """An amount with its currency's minor digits; anything finer as it is."""
    unit = minor_unit(sold.currency)
    return format(amount.quantize(unit), "f") if amount % unit == 0 else figure(amount)


def _less(sold: Sale, first: Decimal, *others: Decimal) -> str:
    """`first` less whatever of the others is not 0."""
    words = _text(sold, first)
    for other in others:
        if other != 0:
            words += f" - {_text(sold, other)}" if other > 0 else f" + {_text(sold, -other)}"
    return words


def _to_the_net(rules: RuleSet, name: str, sold: Sale, percent: Decimal) -> Iterator[Row]:
    """Listed price, discount, sale, tax, what the buyer pays, net sale."""
    outlet, tax = rules.rules.outlets[name], rules.outlet_tax(name)
    discounting = f"outlets.{name}.discount"
    taxing = f"outlets.{name}.tax" if outlet.tax is not None else "tax"
    yield "listed", "Listed price", sold.listed, "rounding", "as it is listed"
    off = f"{figure(percent)} % of {_text(sold, sold.listed)}" if percent else "no discount"
    yield "discount", "Discount", sold.discount, discounting, off
    yield "sale", "Sale", sold.sale, discounting, _less(sold, sold.listed, sold.discount)
    sale, rate = _text(sold, sold.sale), figure(tax.percent)
    if isinstance(tax, NoTax):
        words, pays = "no tax", sale
    elif isinstance(tax, TaxAdded):
        words, pays = f"{rate} % of {sale}, on top", f"{sale} + {_text(sold, sold.tax)}"
    else:
        words, pays = f"{sale} x {rate} / {figure(HUNDRED + tax.percent)}, contained in it", f"{sale}, its tax contained"
    yield "tax", "Tax", sold.tax, taxing, words
    yield "buyer-pays", "Buyer pays", sold.pays, taxing, pays
    yield "net-sale", "Net sale", sold.net, taxing, _less(sold, sold.pays, sold.tax)


def _to_the_proceeds(rules: RuleSet, name: str, sold: Sale, frame: Decimal) -> Iterator[Row]:
    """Payment fee, what the outlet keeps, tax on it, levy, proceeds."""
    at, outlet = f"outlets.{name}", rules.rules.outlets[name]
    fee = outlet.payment_fee
    words = "no payment fee"
    if fee is not None:
        fixed = f" + {_text(sold, fee.fixed)}" if fee.fixed else ""
        words = f"{figure(fee.percent)} % of {_text(sold, sold.pays)}{fixed}, borne by {PAYERS[sold.bearer]}"
    yield "payment-fee", "Payment fee", sold.fee, f"{at}.payment_fee", words
    yield from _kept(rules, name, outlet, sold, frame)
    words = "no tax on the commission"
    if outlet.tax_on_commission is not None and sold.kept.fixed is None:
        words = f"{figure(outlet.tax_on_commission.percent)} % of {_text(sold, sold.kept.amount)}"
        words += ", which comes back to the member" if sold.recoverable else ""
    yield "tax-on-commission", "Tax on commission", sold.on_commission, f"{at}.tax_on_commission", words
    percent = rules.rules.levy_percent
    words = f"{figure(percent)} % of {_text(sold, sold.levied)}" if percent else "no levy"
    yield "levy", "Levy of the collective", sold.levy, "levy_percent", words
    words = _less(sold, sold.net, sold.members_fee, sold.kept.amount, sold.tax_passed, sold.levy)
    yield "proceeds", "Proceeds", sold.proceeds, f"{at}.terms", words


def _kept(rules: RuleSet, name: str, outlet: Outlet, sold: Sale, frame: Decimal) -> Iterator[Row]:
    """The commission and its base; or the member's fixed amount, and the rest that is the outlet's."""
    kept, at, terms = sold.kept, f"outlets.{name}", outlet.terms
    if not isinstance(terms, Commission):
        net, rate = _text(sold, kept.counted), figure(terms.percent)
        words = f"{net} x 100 / {figure(HUNDRED + terms.percent)}" if isinstance(terms, MarkUp) else f"{rate} % of {net}"
        words += ", the net price without discount" if sold.discount else ""
        yield "member-amount", "The member's fixed amount", kept.base, f"{at}.terms", words
        yield "commission", "The outlet's rest", kept.amount, f"{at}.terms", _less(sold, sold.net, kept.base)
        return
    first = frame if outlet.frame_first else ZERO
    words = _less(sold, kept.counted, kept.counted - kept.before, first)
    words += ", of the price less the discount within its limit" if kept.counted != sold.listed else ""
    words += ", less its tax" if kept.before < kept.counted else ", with its tax" if kept.before > kept.counted else ""
    words += ", less the frame" if first else ""
    words += ", never below 0" if first > kept.before else ""
    yield "commission-base", "Base of the commission", kept.base, f"{at}.commission_base", words
    words = f"{figure(terms.percent)} % of {_text(sold, kept.base)}"
    words += f" - {_text(sold, kept.off)}, the outlet's part of the discount" if kept.off else ""
    words += ", never below 0" if kept.uncovered else ""
    yield "commission", "Commission", kept.amount, f"{at}.terms", words


def _to_the_yield(rules: RuleSet, name: str, sold: Sale, costs: OwnCosts, hours: Decimal | None) -> Iterator[Row]:
    """Each of the work's own costs, their sum, earnings, and the yield where there are hours."""
    rate = rules.rate(sold.currency)
    words = "as stated" if sold.currency == rules.currency else f"as stated in {rules.currency}, x {figure(rate)}"
    for cost, amount in costs.lines.items():
        yield f"cost:{cost}", rules.rules.costs[cost].title, amount, f"costs.{cost}", words
    added = " + ".join(_text(sold, amount) for amount in costs.lines.values()) or "no costs were given"
    yield "costs", "The work's own costs", costs.total, "costs", added
    earnings = sold.proceeds - costs.total
    yield "earnings", "Earnings", earnings, f"outlets.{name}.terms", _less(sold, sold.proceeds, costs.total)
    if hours:
        yield "yield", "Yield per hour", earnings / hours, f"outlets.{name}.terms", f"{_text(sold, earnings)} / {figure(hours)} h"
