"""The shop's catalogue: which works it shows, how each is asked for, and what a check is told about them.

Knows no pages and no network. A work is asked for by address where an address can say it; what only the workshop knows (its hours,
what a frame cost) goes in a question from the shop's own machine, and never into a page.
"""

import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

Json = dict[str, Any]
STATES = {"for-sale": "For sale", "reserved": "Reserved", "sold": "Sold", "nfs": "Not for sale"}


class BadCatalogue(Exception):
    """The catalogue cannot be read; the message says where and why."""


@dataclass(frozen=True)
class Entry:
    """One work of the shop. `asked` is a price that the workshop has promised; without it the rules' price of the day is shown."""

    member: str
    id: str
    work: Json
    state: str = "for-sale"
    words: str = ""
    asked: Json | None = None
    shown_cm: tuple[str, str] | None = None

    @property
    def title(self) -> str:
        return str(self.work.get("title") or self.id)


def load_catalogue(file: Path) -> list[Entry]:
    """The entries of a catalogue. BadCatalogue where there is none, or one has no medium, an unknown field, or another's number."""
    try:
        rows = json.loads(file.read_text(encoding="utf-8"))
        entries = [Entry(**row) for row in rows]
    except (OSError, ValueError, TypeError) as bad:
        raise BadCatalogue(f"{file}: {bad}") from None
    if not entries:
        raise BadCatalogue(f"{file}: there are no works in it; a shop is not emptied by a file that came out empty.")
    seen: set[str] = set()
    for entry in entries:
        if not re.fullmatch("[a-z0-9][a-z0-9-]{0,62}", entry.id) or not re.fullmatch("[a-z0-9][a-z0-9-]{0,62}", entry.member):
            raise BadCatalogue(f'{file}: "{entry.id}" of "{entry.member}": both are lower-case letters, digits and hyphens')
        if entry.id in seen or "medium" not in entry.work or entry.state not in STATES:
            raise BadCatalogue(f"{file}: {entry.id} needs a medium, one of the states {', '.join(STATES)}, and a number of its own")
        seen.add(entry.id)
    return entries


def address_of(entry: Entry) -> str | None:
    """The address of the work's public price, below /v1/; None where an address cannot say it, or it would say what is private."""
    work = entry.work
    costs = work.get("costs", [])
    if "panels" in work or "hours" in work or any("amount" in cost for cost in costs):
        return None
    size = work.get("size", {})
    said = {"medium": work["medium"], **size, **{name: work[name] for name in ("format", "shape", "grade") if name in work}}
    extras = [extra["name"] for extra in work.get("extras", []) for _ in range(extra.get("quantity", 1))]
    query = [*said.items(), *(("extra", name) for name in extras), *(("cost", cost["name"]) for cost in costs)]
    return f"members/{entry.member}/price?{urlencode(query)}"


def question_of(entry: Entry) -> Json:
    """The same work as a question of the desk's."""
    return {"work": entry.work, "view": "public"}


def listed(entry: Entry, price: Json) -> Json:
    """The work as a check wants it, at the price that the shop would show."""
    return {"id": entry.id, "work": entry.work, "price": price, "state": entry.state}


def size_text(work: Json) -> str:
    """The size as a label writes it, height first."""
    sizes = work.get("panels") or ([work["size"]] if "size" in work else [])
    if not sizes:
        name = str(work.get("format", "")).replace("-", " ")
        return name.upper() if any(sign.isdigit() for sign in name) else name
    sides = [" × ".join(size[side] for side in ("height", "width", "depth") if side in size) for size in sizes]
    form = {"round": "round, ", "oval": "oval, "}.get(work.get("shape", ""), "")
    return f"{form}{' + '.join(sides)} {sizes[0]['unit']}"


MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}


def outline_mm(entry: Entry) -> tuple[float, float]:
    """Height and width in millimetres, for the picture alone: what is not known is drawn as high as it is wide."""
    if entry.shown_cm:
        return float(entry.shown_cm[0]) * 10, float(entry.shown_cm[1]) * 10
    sizes = entry.work.get("panels") or ([entry.work["size"]] if "size" in entry.work else [])
    if not sizes:
        return (297.0, 210.0)
    unit = MM[sizes[0]["unit"]]
    high = max(float(size["height"]) for size in sizes) * unit
    wide = sum(float(size.get("width", size["height"])) for size in sizes) * unit
    return high, wide
