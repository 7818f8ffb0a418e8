"""The price guide as linked data: schema.org's OfferCatalog, Offer, VisualArtwork and Product, in JSON-LD 1.1.

Knows the answer; says nothing that it does not hold: no availability, no maker's name, no pictures.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import msgspec

from evenhang.api.guide import GuideAnswer
from evenhang.api.guide_words import last_day, words_in
from evenhang.engine.formats import ShownSize
from evenhang.engine.guide import Guide, GuideMedium, GuideRow
from evenhang.engine.money import Money

Json = dict[str, Any]
# UN/CEFACT Recommendation 20, common codes of units of length, as schema.org's unitCode asks for.
UNIT_CODES = {"mm": "MMT", "cm": "CMT", "m": "MTR", "in": "INH"}
# In a script element of a page the data must not close it, nor look like markup (HTML, section 4.12.1.3); JSON may spell any character so.
_MARKUP = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"})


def linked_data(answer: GuideAnswer, language: str) -> bytes:
    """The guide as one catalogue of catalogues, one for each medium. It may stand in a script element as it is."""
    guide = answer.guide
    words = words_in(language)
    catalogue: Json = {
        "@context": "https://schema.org",
        "@type": "OfferCatalog",
        "name": words["of"].format(guide.title, words["price_guide"]),
        "numberOfItems": len(guide.media),
        "itemListElement": [_medium(guide, medium, language) for medium in guide.media],
    }
    return msgspec.json.encode(catalogue).decode().translate(_MARKUP).encode()


def _medium(guide: Guide, medium: GuideMedium, language: str) -> Json:
    offers = list(_offers(guide, medium, language))
    return {"@type": "OfferCatalog", "name": medium.title, "numberOfItems": len(offers), "itemListElement": offers}


def _offers(guide: Guide, medium: GuideMedium, language: str) -> Iterator[Json]:
    words = words_in(language)
    for row in medium.rows:
        plain = words["price"] if medium.frame is None else words["unframed"]
        for kind, price in ((plain, row.unframed), (words["framed"], row.framed)):
            if price is not None:
                yield _offer(guide, medium, row, kind, price)


def _offer(guide: Guide, medium: GuideMedium, row: GuideRow, kind: str, price: Money) -> Json:
    """One price. `validThrough` is the last day included, where the guide's `valid_until` is the first that is not."""
    days: Json = {"validFrom": guide.valid_from.isoformat()}
    last = last_day(guide)
    if last is not None:
        days["validThrough"] = last.isoformat()
    asked: Json = {"price": str(price.amount), "priceCurrency": price.currency}
    taxed: Json = {} if guide.tax_kind == "none" else {"valueAddedTaxIncluded": guide.tax_kind == "included"}
    return {
        "@type": "Offer",
        "name": f"{medium.title}, {row.title}, {kind}",
        **asked,
        **days,
        "priceSpecification": {"@type": "PriceSpecification", **asked, **days, **taxed},
        "seller": {"@type": "Organization", "name": guide.title},
        "itemOffered": {
            "@type": ["VisualArtwork", "Product"],
            "name": f"{medium.title}, {row.title}",
            "artMedium": medium.title,
            **({} if row.size is None else _sides(row.size)),
        },
    }


def _sides(size: ShownSize) -> Json:
    sides = {"height": size.height, "width": size.width, "depth": size.depth}
    return {name: _length(side, size.unit) for name, side in sides.items() if side is not None}


def _length(side: str, unit: str) -> Json:
    """A length as a JSON number, as schema.org's Number is; every digit of it is written out."""
    return {"@type": "QuantitativeValue", "value": msgspec.Raw(f"{Decimal(side):f}".encode()), "unitCode": UNIT_CODES[unit]}
