"""What outlets and exchange rates cannot say: unknown currencies, terms that leave the member nothing.

Knows an outlet's terms and the marginal share of a price; no file.
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from msgspec import structs

from evenhang.engine.money import HUNDRED, MINOR_DIGITS, figure
from evenhang.engine.rules import Commission, Outlet, Purchase, Rules, RuleSet
from evenhang.engine.settlement import marginal_share

Row = tuple[str, str]
NO_CODE = "is no ISO 4217 code with minor digits"


def wrong_outlets(rules: Rules, said: dict[str, Any]) -> Iterator[Row]:
    """Key and reason of everything wrong with the outlets; `said` is what the layers say, sound or not."""
    yield from _sells_in(rules, said)
    for name, outlet in rules.outlets.items():
        at = f"outlets.{name}"
        currency = outlet.currency or rules.currency
        if currency not in MINOR_DIGITS:
            yield f"{at}.currency", f'"{currency[:40]}" {NO_CODE}'
        elif currency != rules.currency and currency not in said.get("fx", {}):
            yield f"{at}.currency", f"no exchange rate: fx.{currency} is missing"
        yield from _wrong_percents(outlet, at)
        share = marginal_share(_bare(rules), name)[0]
        if share <= 0:
            takers = "commission, the tax on it, the levy and the fee" if isinstance(outlet.terms, Commission) else "outlet and levy"
            yield f"{at}.terms", f"its {takers} take {figure(HUNDRED - HUNDRED * share, 2)} % of a sale: nothing is left to the member"


def _bare(rules: Rules) -> RuleSet:
    """The outlets without media and costs, whose schedules may be unsound."""
    return RuleSet("", structs.replace(rules, media={}, costs={}), {}, "", date.min)


def _sells_in(rules: Rules, said: dict[str, Any]) -> Iterator[Row]:
    if said.get("sells_in") == []:
        yield "sells_in", "the member sells in no outlet"
    for i, name in enumerate(rules.sells_in):
        if name not in said.get("outlets", {}):
            yield f"sells_in[{i}]", f'nobody defined the outlet "{name}"'
        elif name in rules.sells_in[:i]:
            yield f"sells_in[{i}]", f'"{name}" stands twice'


def _wrong_percents(outlet: Outlet, at: str) -> Iterator[Row]:
    if isinstance(outlet.terms, Purchase) and outlet.terms.percent > HUNDRED:
        yield f"{at}.terms.percent", "an outlet that buys outright pays at most the retail price"
    for name in ("member_percent", "limit_percent"):
        if getattr(outlet.discount, name) > HUNDRED:
            yield f"{at}.discount.{name}", "at most 100 %"
    fee = outlet.payment_fee
    if fee is not None and fee.percent >= HUNDRED:
        yield f"{at}.payment_fee.percent", "a payment fee is less than what the buyer pays"
