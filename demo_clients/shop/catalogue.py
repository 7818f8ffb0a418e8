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
    """The entries of a catalogue. BadCatalogue where there is none, or one has a field that is no such, or another's number."""
    try:
        rows = json.loads(file.read_text(encoding="utf-8"))
        json.dumps(rows, ensure_ascii=False).encode()  # half a sign, written as \ud800, is in no page
    except (OSError, ValueError, RecursionError) as bad:
        raise BadCatalogue(f"{file}: {bad}") from None
    if not isinstance(rows, list):
        raise BadCatalogue(f"{file}: there are no works in it: it is no list in [].")
    entries = [_entry(file, number, row) for number, row in enumerate(rows, start=1)]
    if not entries:
        raise BadCatalogue(f"{file}: there are no works in it; a shop is not emptied by a file that came out empty.")
    seen: set[str] = set()
    for entry in entries:
        if not re.fullmatch("[a-z0-9][a-z0-9-]{0,62}", entry.id) or not re.fullmatch("[a-z0-9][a-z0-9-]{0,62}", entry.member):
            raise BadCatalogue(f'{file}: "{entry.id}" of "{entry.member}": both are lower-case letters, digits and hyphens')
        if entry.id in seen or entry.state not in STATES:
            raise BadCatalogue(f"{file}: {entry.id} needs one of the states {', '.join(STATES)}, and a number of its own")
        seen.add(entry.id)
    return entries


MONEY = {"amount!": str, "currency!": str}
SIZE = {"height!": str, "width": str, "depth": str, "unit!": str}
WORK = {
    "medium!": str, "title": str, "size": SIZE, "panels": [SIZE], "format": str, "shape": str, "grade": str, "hours": str,
    "costs": [{"name!": str, "amount": MONEY}], "extras": [{"name!": str, "quantity": int}],
}  # fmt: skip
ROW = {"member!": str, "id!": str, "work!": WORK, "state": str, "words": str, "asked": MONEY, "shown_cm": [str]}  # "!" must be there
KINDS = {str: "a text in quotes", int: "a whole number", dict: "an object in {}", list: "a list in []"}


def _entry(file: Path, number: int, row: Any) -> Entry:
    """One work of the file; null is as good as absent. BadCatalogue names the file, the work, the field, and what it should be."""
    named = isinstance(row, dict) and isinstance(row.get("id"), str)
    where = f"{file}: {row['id'] if named else f'work {number} of the list'}"
    said = {name: value for name, value in row.items() if value is not None} if isinstance(row, dict) else row
    if fault := _fault_in(said, ROW, ""):
        raise BadCatalogue(f"{where}: {fault}")
    unknown = said.keys() - {name.rstrip("!") for name in ROW}
    if unknown:
        raise BadCatalogue(f"{where}: there is no field {', '.join(sorted(unknown))}")
    shown = said.get("shown_cm")
    form = "[1-9][0-9]{0,4}([.][0-9]{1,4})?"
    if shown is not None and not (len(shown) == 2 and all(re.fullmatch(form, side) for side in shown)):
        raise BadCatalogue(f'{where}: shown_cm is height and width, such as ["61", "46"]')
    return Entry(**said)


def _fault_in(said: Any, shape: Any, at: str) -> str | None:
    """What is wrong with a value of that shape, with the field at fault; None where nothing is."""
    kind = shape if isinstance(shape, type) else type(shape)
    if type(said) is not kind:
        return f"{at or 'it'} is {KINDS[kind]}"
    inside: list[tuple[Any, Any, str]] = []
    if kind is list:
        inside = [(one, shape[0], f"{at}/{place}") for place, one in enumerate(said)]
    elif kind is dict:
        for name, inner in shape.items():
            field = name.rstrip("!")
            here = f"{at}/{field}" if at else field
            if field in said:
                inside.append((said[field], inner, here))
            elif field != name:
                return f"{here} is missing"
    return next((fault for one in inside if (fault := _fault_in(*one))), None)


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
