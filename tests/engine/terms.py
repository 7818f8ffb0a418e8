"""Random terms of outlets, for the laws that hold under any of them."""

from datetime import date
from decimal import Decimal as D

from hypothesis import strategies as st

from evenhang.engine.rules import (
    Commission,
    Cost,
    Discount,
    Exchange,
    MarkUp,
    Medium,
    NoTax,
    Outlet,
    PaymentFee,
    Purchase,
    Rounding,
    Rules,
    RuleSet,
    Step,
    TaxAdded,
    TaxIncluded,
    TaxOnCommission,
)
from evenhang.engine.schedules import Flat
from evenhang.engine.settlement import marginal_share

FX = {
    "JPY": Exchange(D("160.25"), date(2025, 1, 1), Rounding((Step(D(100), D(50_000)), Step(D(500))))),
    "KWD": Exchange(D("0.335"), date(2025, 1, 1), Rounding((Step(D("0.250")),), "up")),
    "USD": Exchange(D("1.0825"), date(2025, 1, 1)),
}
GRIDS = (None, Rounding((Step(D("0.50"), D(20)), Step(D(5)))), Rounding((Step(D(10), D(200)), Step(D(50))), "up"))

percents = st.decimals(D(0), D(40), places=2)
terms = st.one_of(
    st.builds(Commission, percents), st.builds(MarkUp, percents | st.just(D(260))), st.builds(Purchase, st.decimals(D(10), D(90), places=2))
)
taxes = st.one_of(st.just(NoTax()), st.builds(TaxIncluded, percents), st.builds(TaxAdded, percents))
discounts = st.builds(Discount, st.sampled_from(["both", "split"]), percents, percents, st.sampled_from(["outlet", "member"]))
fees = st.builds(PaymentFee, st.sampled_from(["member", "outlet", "house"]), st.decimals(D(0), D(5), places=2), st.just(D("0.25")))


def outlets_in(currencies: list[str | None]) -> st.SearchStrategy[Outlet]:
    return st.builds(
        Outlet,
        title=st.just("O"),
        terms=terms,
        currency=st.sampled_from(currencies),
        commission_base=st.sampled_from(["net", "gross"]),
        frame_first=st.booleans(),
        tax_on_commission=st.none() | st.builds(TaxOnCommission, percents, st.booleans()),
        payment_fee=st.none() | fees,
        discount=discounts,
        tax=st.none() | taxes,
    )


def rules_of(*outlets: Outlet, **more: object) -> RuleSet:
    """A member that sells in these outlets, named a, b, c ..., with a frame and a mount among its costs."""
    named = dict(zip("abcd", outlets, strict=False))
    costs = {"frame": Cost("Frame", "recovered", frame=True), "mount": Cost("Mount", "recovered")}
    media = {"oil": Medium("Oil", "area", Flat(D(1)))}
    rules = Rules("M", "EUR", media, named, tuple(named), costs=costs, fx=FX, **more)
    return RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))


@st.composite
def rule_sets(draw: st.DrawFn, currencies: tuple[str | None, ...] = (None, "JPY", "KWD", "USD"), least: str = "0.05") -> RuleSet:
    """Rule sets of one to four outlets, in each of which at least `least` of a further unit of price reaches the member."""
    outlets = draw(st.lists(outlets_in(list(currencies)), min_size=1, max_size=4))
    more = {"tax": draw(taxes), "levy_percent": draw(percents) / 10, "rounding": draw(st.sampled_from(GRIDS))}
    everything = rules_of(*outlets, **more)
    kept = [o for name, o in everything.rules.outlets.items() if marginal_share(everything, name)[0] >= D(least)]
    return rules_of(*(kept or [Outlet("Door", Commission(D(0)))]), **more)
