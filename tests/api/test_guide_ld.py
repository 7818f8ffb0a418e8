"""The price guide as linked data: by pencil, within schema.org's vocabulary, and never the end of the script that holds it."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from msgspec.structs import replace
from tests.api.guides import EVIL, guide_titled

from evenhang.api.guide_ld import UNIT_CODES, linked_data
from evenhang.api.language import LANGUAGES

# schema.org, release 12.0 of the vocabulary: what may stand on which type, and of what kind it is. Rows marked "read" were read in the
# release's table of properties (domainIncludes, rangeIncludes); the others are from memory.
VOCABULARY: dict[str, tuple[set[str], set[str], str]] = {
    "name": ({"Thing"}, {"Text"}, "memory"),
    "numberOfItems": ({"ItemList"}, {"Integer"}, "memory"),
    "itemListElement": ({"ItemList"}, {"ListItem", "Text", "Thing"}, "read"),
    "price": ({"Offer", "PriceSpecification", "TradeAction"}, {"Number", "Text"}, "read"),
    "priceCurrency": ({"Offer", "PriceSpecification", "Reservation", "Ticket", "TradeAction"}, {"Text"}, "read"),
    "priceSpecification": ({"Demand", "Offer", "TradeAction"}, {"PriceSpecification"}, "read"),
    "validFrom": ({"Demand", "Offer", "PriceSpecification"}, {"Date"}, "memory"),
    "validThrough": ({"Demand", "Offer", "PriceSpecification"}, {"Date"}, "read"),
    "valueAddedTaxIncluded": ({"PriceSpecification"}, {"Boolean"}, "read"),
    "seller": ({"Demand", "Offer"}, {"Organization", "Person"}, "memory"),
    "itemOffered": ({"Demand", "Offer"}, {"CreativeWork", "Product", "Service"}, "memory"),
    "artMedium": ({"VisualArtwork"}, {"Text", "URL"}, "memory"),
    "height": ({"MediaObject", "Person", "Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "memory"),
    "width": ({"MediaObject", "Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "read"),
    "depth": ({"Product", "VisualArtwork"}, {"Distance", "QuantitativeValue"}, "memory"),
    "value": ({"MonetaryAmount", "PropertyValue", "QuantitativeValue"}, {"Boolean", "Number", "StructuredValue", "Text"}, "read"),
    "unitCode": ({"QuantitativeValue"}, {"Text", "URL"}, "memory"),
}
ABOVE = {"OfferCatalog": "ItemList", "VisualArtwork": "CreativeWork"}
TYPES = {"OfferCatalog", "Offer", "VisualArtwork", "Product", "PriceSpecification", "Organization", "QuantitativeValue"}


def is_a(kind: str) -> set[str]:
    return {kind, "Thing"} | ({ABOVE[kind]} if kind in ABOVE else set())


def kinds_of(value: Any) -> set[str]:
    if isinstance(value, dict):
        types = value["@type"] if isinstance(value["@type"], list) else [value["@type"]]
        return set().union(*(is_a(kind) for kind in types))
    if isinstance(value, bool):
        return {"Boolean"}
    if isinstance(value, int | float):
        return {"Number", "Integer"} if isinstance(value, int) else {"Number"}
    return {"Text", "Date"} if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", value) else {"Text"}


def misfits(node: dict[str, Any]) -> Iterator[str]:
    """What in a node of linked data the vocabulary does not know, stands on another type, or is of another kind."""
    kinds = kinds_of(node)
    types = node["@type"] if isinstance(node["@type"], list) else [node["@type"]]
    yield from (f"no such type: {kind}" for kind in types if kind not in TYPES)
    for name, value in node.items():
        if name.startswith("@"):
            continue
        if name not in VOCABULARY:
            yield f"no such property: {name}"
            continue
        domain, range_, _ = VOCABULARY[name]
        if not domain & kinds:
            yield f"{name} on {types}"
        for one in value if isinstance(value, list) else [value]:
            if not range_ & kinds_of(one):
                yield f"{name}: {one}"
            if isinstance(one, dict):
                yield from misfits(one)


@pytest.mark.parametrize("language", LANGUAGES)
def test_linked_data_fits_the_vocabulary(language: str) -> None:
    assert list(misfits(json.loads(linked_data(guide_titled("Oil"), language)))) == []


def test_the_vocabularys_rules_see_a_misfit() -> None:
    found = json.loads(linked_data(guide_titled("Oil"), "en"))
    offer = found["itemListElement"][0]["itemListElement"][0]
    offer |= {"valueAddedTaxIncluded": True, "validFrom": "soon", "colour": "red", "seller": "me"}
    assert list(misfits(found)) == ["validFrom: soon", "seller: me", "valueAddedTaxIncluded on ['Offer']", "no such property: colour"]


def test_linked_data_by_pencil() -> None:
    found = json.loads(linked_data(guide_titled("Oil"), "en"))
    assert [(part["name"], part["numberOfItems"]) for part in found["itemListElement"]] == [("Oil", 2), ("Oil", 1), ("Oil", 0)]
    offer = found["itemListElement"][0]["itemListElement"][1]
    assert (offer["name"], offer["price"], offer["priceCurrency"]) == ("Oil, Oil, Framed", "1310.00", "EUR")
    # The guide's prices stand until 1 April, exclusive; the vocabulary names the last day on which they do.
    assert (offer["validFrom"], offer["validThrough"]) == ("2026-04-01", "2027-03-31")
    assert offer["priceSpecification"]["valueAddedTaxIncluded"] is True
    assert offer["itemOffered"]["height"] == {"@type": "QuantitativeValue", "value": 30, "unitCode": "CMT"}
    vessel = found["itemListElement"][1]["itemListElement"][0]
    assert vessel["itemOffered"]["height"] == {"@type": "QuantitativeValue", "value": 12.5, "unitCode": "INH"}
    assert "width" not in vessel["itemOffered"]


@pytest.mark.parametrize(("kind", "said"), [("none", None), ("included", True), ("added", False)])
def test_tax_is_said_where_there_is_one(kind: Any, said: bool | None) -> None:
    answer = guide_titled("Oil")
    found = json.loads(linked_data(replace(answer, guide=replace(answer.guide, tax_kind=kind)), "en"))
    assert found["itemListElement"][0]["itemListElement"][0]["priceSpecification"].get("valueAddedTaxIncluded") is said


def test_units_are_those_of_recommendation_20() -> None:
    """UN/CEFACT Recommendation 20, common codes: MMT millimetre, CMT centimetre, MTR metre, INH inch (from memory)."""
    assert UNIT_CODES == {"mm": "MMT", "cm": "CMT", "m": "MTR", "in": "INH"}


def test_linked_data_cannot_close_its_script() -> None:
    raw = linked_data(guide_titled(EVIL), "en")
    assert not set(raw) & set(b"<>&")
    assert json.loads(raw)["name"].startswith(EVIL)
