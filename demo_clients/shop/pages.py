"""The pages of the shop: what each template is given, the words for machines (JSON-LD, Open Graph), and every file of the site.

Knows no network. Nothing that only the workshop may see reaches a page: it is given answers of the public view alone.
"""

import json
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from catalogue import STATES, Entry, outline_mm, size_text
from pictures import draw, png_of, svg_of

Json = dict[str, Any]
HERE = Path(__file__).parent
SHOP = "Ozzlemoor Sheds"
ROOM, LARGE, CARD = 220, 640, (600, 315)  # pixels: the longest side on the wall, on a work's page, and of a linked card
SHRINK = 0.65  # 1 would be to scale
AVAILABLE = {"for-sale": "InStock", "reserved": "Reserved", "sold": "SoldOut", "nfs": "OutOfStock"}
UNITS = {"mm": "MMT", "cm": "CMT", "m": "MTR", "in": "INH"}  # UN/CEFACT Recommendation 20, as schema.org's unitCode has them


@dataclass(frozen=True)
class Priced:
    """A work with the service's public answer, when that was last said, and the address at which a browser may ask again."""

    entry: Entry
    answer: Json
    checked_at: datetime
    address: str | None

    @property
    def price(self) -> Json:
        """What the shop asks: the promised price where there is one, else the rules'."""
        return dict(self.entry.asked or self.answer["price"])

    @property
    def promised(self) -> bool:
        return self.entry.asked is not None and self.entry.asked != self.answer["price"]


def write_site(folder: Path, priced: list[Priced], members: dict[str, Json], address: str, service: str) -> None:
    """Every file of the site into an empty folder."""
    pages = Environment(loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    policy = policy_of(service)
    shared = {
        "shop": SHOP, "address": address, "service": service, "policy": policy, "members": members, "states": STATES, "text": text,
        "built_at": datetime.now(UTC).replace(microsecond=0), "day": day, "caution": priced[0].answer["caution"] if priced else "",
    }  # fmt: skip
    largest = {member: max((max(outline_mm(one.entry)) for one in priced if one.entry.member == member), default=1) for member in members}
    shown = [_shown(one, members, address, largest[one.entry.member]) for one in priced]
    by_price = sorted(shown, key=lambda one: (one["price"]["currency"], float(one["price"]["amount"]), one["id"]))

    def write(name: str, template: str, **more: Any) -> None:
        (folder / name).write_text(pages.get_template(template).render(**shared, path=name, **more), encoding="utf-8")

    for name in ("works", "workshops", "pictures"):
        (folder / name).mkdir()
    write("index.html", "wall.html", groups=_groups(shown, members), heading="All works", here="all", member=None)
    write("by-price.html", "wall.html", groups=[{"title": "", "works": by_price}], heading="Works by price", here="price", member=None)
    write("prices.html", "prices.html", here="prices")
    write("404.html", "missing.html", here="")
    for member, row in members.items():
        own = [one for one in shown if one["member"] == member]
        if own:
            groups = [{"title": "", "works": own}]
            write(f"workshops/{member}.html", "wall.html", groups=groups, heading=row["title"], here=member, member=member)
    for one in shown:
        write(f"works/{one['id']}.html", "work.html", one=one, here="")
        _write_pictures(folder / "pictures", one)
    for asset in sorted((HERE / "assets").iterdir()):
        shutil.copyfile(asset, folder / asset.name)
    (folder / "headers.json").write_text(json.dumps(headers_of(policy), indent=1) + "\n")


def policy_of(service: str) -> str:
    """What a page may load: its own files, and prices from the service."""
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        f"connect-src {service}; base-uri 'none'; form-action 'none'"
    )


def headers_of(policy: str) -> dict[str, str]:
    """The headers that whoever serves the site sends with every file."""
    return {
        "Content-Security-Policy": f"{policy}; frame-ancestors 'none'",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cache-Control": "no-cache",
    }


def text(money: Json) -> str:
    return f"{money['amount']} {money['currency']}"


def day(moment: datetime) -> str:
    """A moment as a page says it, in one time for every visitor."""
    return f"{moment.day} {moment:%B %Y, %H:%M} UTC"


def _hung(one: Priced, largest: float) -> tuple[int, int]:
    """Width and height on the wall, in pixels: the workshop's largest work fills the room, smaller ones hang smaller, but not lost."""
    high, wide = outline_mm(one.entry)
    by = ROOM / max(high, wide) * (max(high, wide) / largest) ** SHRINK
    return max(12, round(wide * by)), max(12, round(high * by))


def _shown(one: Priced, members: dict[str, Json], address: str, largest: float) -> Json:
    """A work as the templates read it."""
    entry, answer = one.entry, one.answer
    high, wide = outline_mm(entry)
    names = [outlet["outlet"] for outlet in answer["outlets"]]
    titles = dict(zip(names, members[entry.member]["outlets"], strict=False))
    art = answer["lines"][0]
    shown = {
        "id": entry.id, "member": entry.member, "maker": members[entry.member]["title"], "title": entry.title, "words": entry.words,
        "medium": entry.work["medium"].replace("-", " "), "size": size_text(entry.work), "state": entry.state, "price": one.price,
        "promised": one.promised, "rule_price": answer["price"], "lines": answer["lines"], "art": art, "tax": answer["tax"],
        "tax_kind": answer["tax_kind"], "checked_at": one.checked_at, "ask": one.address if not one.promised else None,
        "outlets": [{**outlet, "title": titles.get(outlet["outlet"], outlet["outlet"])} for outlet in answer["outlets"]],
        "grade": (entry.work.get("grade") or "").replace("-", " "), "extras": entry.work.get("extras", []),
        "shape": entry.work.get("shape"),
        "hung": _hung(one, largest),
        "large": _fitted(wide, high, LARGE), "as_of": answer["as_of"], "digest": answer["rules"]["digest"],
    }  # fmt: skip
    return {**shown, "linked_data": _script(linked_data(one, shown, address))}


def _fitted(wide: float, high: float, most: int) -> tuple[int, int]:
    """The largest size of the same form with no side over `most` pixels."""
    by = most / max(wide, high)
    return max(24, round(wide * by)), max(24, round(high * by))


def linked_data(one: Priced, shown: Json, address: str) -> Json:
    """The work in the words of schema.org: a VisualArtwork that is also a Product, with the shop's offer."""
    page = f"{address}/works/{shown['id']}.html"
    offer = {
        "@type": "Offer", "url": page, "price": shown["price"]["amount"], "priceCurrency": shown["price"]["currency"],
        "availability": f"https://schema.org/{AVAILABLE[shown['state']]}",
        "seller": {"@type": "Organization", "name": SHOP, "url": f"{address}/"},
    }  # fmt: skip
    said: Json = {
        "@context": "https://schema.org", "@type": ["VisualArtwork", "Product"], "@id": page, "url": page, "name": shown["title"],
        "sku": shown["id"], "description": shown["words"], "artMedium": shown["medium"], "image": f"{address}/pictures/{shown['id']}.png",
        "creator": {"@type": "Organization", "name": shown["maker"]}, "offers": offer,
    }  # fmt: skip
    size = one.entry.work.get("size")
    for side in ("height", "width", "depth"):
        if size and side in size:
            said[side] = {"@type": "QuantitativeValue", "value": size[side], "unitCode": UNITS[size["unit"]]}
    return said


def _script(said: Json) -> Markup:
    """JSON as it may stand inside a script element: no `<` of a title can end it."""
    return Markup(json.dumps(said, ensure_ascii=False, indent=1).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _groups(shown: list[Json], members: dict[str, Json]) -> list[Json]:
    groups = [{"title": row["title"], "works": [one for one in shown if one["member"] == member]} for member, row in members.items()]
    return [group for group in groups if group["works"]]


def _write_pictures(folder: Path, one: Json) -> None:
    """The picture for the pages, and the card for those who link to one."""
    medium, (wide, high) = one["medium"].replace(" ", "-"), one["large"]
    picture = svg_of(draw(one["title"], medium, wide / high), one["title"], wide, high, one["shape"] or "rectangle")
    (folder / f"{one['id']}.svg").write_text(picture, encoding="utf-8")
    (folder / f"{one['id']}.png").write_bytes(png_of(draw(one["title"], medium, CARD[0] / CARD[1]), *CARD))
