"""One work left at an outlet, reckoned: what it asks or was sold for, whose share is whose, what is due for it.

Knows one work and the rules of its day; `consignment.py` knows the whole list.
"""

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from msgspec import Meta, Struct
from msgspec.structs import replace

from evenhang.engine.dues import PaidParty, due_at_once, due_of
from evenhang.engine.money import ZERO, Amount, GivenMoney, Money, money
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rules import Purchase, RuleSet
from evenhang.engine.sale import Sale, costs_in, sell
from evenhang.engine.settlement import Share, note_of, shares_of
from evenhang.engine.stated import stated_costs, stated_price
from evenhang.engine.works import Title, WorkCost
from evenhang.engine.yields import Reason

State = Literal["there", "sold", "returned"]


class ConsignedWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work left at an outlet: with `sold_on` it is sold, with `returned_on` it came back, with neither it is still there.

    `costs` matter where the outlet takes the frame out of its base. `received` is what the buyer has paid so far, if not all.
    """

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    price: GivenMoney
    title: Title | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    left_on: date | None = None
    sold_on: date | None = None
    returned_on: date | None = None
    discount_percent: Amount | None = None
    received: GivenMoney | None = None

    @property
    def state(self) -> State:
        return "sold" if self.sold_on is not None else "returned" if self.returned_on is not None else "there"


class ConsignedRow(Struct, frozen=True):
    """One work, in the outlet's currency. `shares` sum to `buyer_pays`; `due` is what the outlet owes the member for it by now.

    A work still there is reckoned without discount; one that came back has its price alone; one with refused data its reason.
    """

    id: str
    title: str | None
    state: State
    left_on: date | None
    sold_on: date | None
    returned_on: date | None
    rules_digest: str | None = None
    listed: Money | None = None
    discount: Money | None = None
    buyer_pays: Money | None = None
    outlet_share: Money | None = None
    proceeds: Money | None = None
    shares: tuple[Share, ...] = ()
    received: Money | None = None
    due: Money | None = None
    note: str = ""
    reason: Reason | None = None


class Reckoned(Struct, frozen=True):
    """A row, what it makes due to each party, and the tax on its commission that comes back to the member."""

    row: ConsignedRow
    dues: dict[PaidParty, Decimal] = {}
    comes_back: Decimal = ZERO


def check_days(work: ConsignedWork, on: date) -> None:
    """Contradictory where the days of a work do not go together, lie after `on`, or a sale's figures stand without a sale."""
    if work.sold_on is not None and work.returned_on is not None:
        raise Contradictory("A work is sold or comes back, not both.", "/returned_on", "Keep one of them.")
    for field, day, word in (
        ("left_on", work.left_on, "left"),
        ("sold_on", work.sold_on, "sold"),
        ("returned_on", work.returned_on, "returned"),
    ):
        if day is not None and day > on:
            raise Contradictory(f"On {on} this work was not {word} yet.", f"/{field}", "Ask as of a later day.")
        if day is not None and work.left_on is not None and day < work.left_on:
            raise Contradictory(f"This work was {word} before it was left there.", f"/{field}", "Is the day right?")
    for field, given in (("discount_percent", work.discount_percent), ("received", work.received)):
        if given is not None and work.sold_on is None:
            raise Contradictory(
                "This belongs to a sale, and the work is not sold.", f"/{field}", "Give the day of the sale, or leave it out."
            )


def bare_row(work: ConsignedWork, reason: Reason | None = None) -> ConsignedRow:
    """The work's row without figures."""
    return ConsignedRow(work.id, work.title, work.state, work.left_on, work.sold_on, work.returned_on, reason=reason)


def refused_row(work: ConsignedWork, refusal: Refusal, at: str) -> ConsignedRow:
    """The work's row with the reason why it has no figures; `at` is the work's place in the request."""
    pointer = "#/outlet" if refusal.pointer == "/outlet" else at + refusal.pointer
    return bare_row(work, Reason(pointer, refusal.code, refusal.sentence))


def reckon(then: RuleSet, outlet_name: str, work: ConsignedWork) -> Reckoned:
    """The work by the rules of its day. Refusals point into the work; one about the outlet points at /outlet."""
    listed = stated_price(then, outlet_name, work.price)
    costs = costs_in(then, stated_costs(then, work.costs), outlet_name)
    sold = sell(then, outlet_name, listed, work.discount_percent or ZERO, costs.frame)
    row = replace(bare_row(work), rules_digest=then.digest, listed=money(listed, sold.currency))
    if work.state == "returned":
        return Reckoned(row)
    bought = isinstance(then.rules.outlets[outlet_name].terms, Purchase)
    received = _received(work, sold, bought=bought)
    dues = due_of(sold, received) if work.state == "sold" else due_at_once(sold) if bought else {}
    shares = shares_of(sold)
    row = replace(
        row,
        discount=money(sold.discount, sold.currency),
        buyer_pays=money(sold.pays, sold.currency),
        outlet_share=next(share.amount for share in shares if share.party == "outlet"),
        proceeds=money(sold.proceeds, sold.currency),
        shares=shares,
        received=money(received, sold.currency) if work.state == "sold" else None,
        due=money(dues.get("member", ZERO), sold.currency),
        note=note_of(sold),
    )
    return Reckoned(row, dues, sold.on_commission if sold.recoverable and work.state == "sold" else ZERO)


def _received(work: ConsignedWork, sold: Sale, *, bought: bool) -> Decimal:
    """What the buyer has paid so far; all of it where nothing is said."""
    if work.received is None:
        return sold.pays
    if bought:
        raise Contradictory("The outlet buys outright: it owes all, whatever its own buyer has paid.", "/received", "Leave it out.")
    received = work.received.in_currency(sold.currency, "/received")
    if received > sold.pays:
        raise OutOfRange(f"The buyer pays {sold.pays} {sold.currency} in all.", "/received/amount", "Is it another sale's?")
    return received
