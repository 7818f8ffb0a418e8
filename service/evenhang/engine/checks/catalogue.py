"""A catalogue as a caller hands it in: works with their listed prices, days, states, editions and earlier prices.

Knows no rules and finds nothing: `entries.py` reads these works against the rules.
"""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from evenhang.engine.money import GivenMoney
from evenhang.engine.works import Name, Title, Work


class OutletListing(Struct, frozen=True, forbid_unknown_fields=True):
    """What a work is listed at in one of the member's outlets, in the outlet's currency."""

    outlet: Name
    price: GivenMoney


class EarlierPrice(Struct, frozen=True, forbid_unknown_fields=True):
    """A price the work was listed at before, and since which day."""

    price: GivenMoney
    listed_on: date


class EditionNumber(Struct, frozen=True, forbid_unknown_fields=True):
    """The edition a work belongs to, its number in it, and how many numbers it has."""

    name: Title
    number: Annotated[int, Meta(ge=1, le=100_000)]
    numbers: Annotated[int, Meta(ge=1, le=100_000)] | None = None


class CatalogueWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work of the catalogue with its listed price, in the member's currency.

    Without `listed_on` the price counts as one of the day of the check. Outlets without a price of their own ask the listed one.
    """

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    work: Work
    price: GivenMoney
    state: Literal["for-sale", "reserved", "sold", "nfs"] = "for-sale"
    listed_on: date | None = None
    outlet_prices: Annotated[tuple[OutletListing, ...], Meta(max_length=50)] = ()
    earlier_prices: Annotated[tuple[EarlierPrice, ...], Meta(max_length=100)] = ()
    edition: EditionNumber | None = None
