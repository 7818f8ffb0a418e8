"""Resale royalties: what the maker is due when a work is sold on through the trade. Not under a member: no rule set answers."""

from datetime import date

from msgspec import Struct

from evenhang.api.calls import SAFE, Call, Operation
from evenhang.engine.money import ZERO, Amount, GivenMoney
from evenhang.engine.royalty import GivenRate, ResaleRoyalty, SaleKind, law_of, royalty_of, with_smallest
from evenhang.engine.works import Name


class RoyaltyRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One sale. `exchange` is needed where the price is in another currency than the place's law counts in."""

    place: Name
    price: GivenMoney
    tax_percent: Amount | None = None
    sale: SaleKind = "resale-through-trade"
    exchange: GivenRate | None = None
    smallest_price: GivenMoney | None = None
    as_of: date | None = None


class RoyaltyAnswer(Struct, frozen=True):
    """The royalty on the sale, by the law of the place on the day of the sale."""

    as_of: date
    royalty: ResaleRoyalty


def resale_royalty(call: Call) -> RoyaltyAnswer:
    """The royalty of a sale on the day."""
    asked: RoyaltyRequest = call.body
    on = asked.as_of or call.today
    law = with_smallest(law_of(asked.place, on), asked.smallest_price)
    return RoyaltyAnswer(on, royalty_of(law, asked.price, asked.tax_percent or ZERO, asked.sale, asked.exchange))


ROYALTIES = Operation(
    "computeResaleRoyalty",
    "POST",
    "/resale-royalties",
    "Compute the royalty on a resale",
    "The maker's royalty when a work is sold on through the trade, band by band, by place and day, with its source. "
    "Arithmetic, not advice: local law decides; ask a licensed adviser." + SAFE,
    (RoyaltyAnswer,),
    resale_royalty,
    RoyaltyRequest,
)
