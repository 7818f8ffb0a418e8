"""Each row of a CSV of works as the parts of a request.

Knows the columns and nothing of files. A cell that does not say what its column holds raises BadCell.
"""

import re
from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from works_csv import LeftOut, Row

Json = dict[str, Any]


class BadCell(Exception):
    """One cell does not say what its column holds."""

    def __init__(self, column: str, why: str) -> None:
        super().__init__(f"{column}: {why}")


def readable(rows: Iterable[Row], read: Callable[[Row], Json]) -> tuple[list[tuple[Row, Json]], list[LeftOut]]:
    """Each row with what `read` makes of it, and those of which it makes nothing."""
    good: list[tuple[Row, Json]] = []
    bad: list[LeftOut] = []
    for row in rows:
        try:
            good.append((row, read(row)))
        except BadCell as why:
            bad.append(row.left_out(str(why)))
    return good, bad


def work_of(row: Row) -> Json:
    """The work that the row describes, as requests hold it. BadCell where a cell says something else."""
    if not row["medium"]:
        raise BadCell("medium", "is empty; every work has a medium")
    said = {name: row[name] for name in ("medium", "title", "format", "shape", "grade") if row[name]}
    return _filled(
        **said,
        size=_size(row),
        panels=[_panel(row, panel) for panel in _parts(row["panels"])],
        extras=[_extra(part) for part in _parts(row["extras"])],
        costs=costs_of(row),
        hours=hours_of(row),
    )


def catalogue_work(row: Row) -> Json:
    """The row as a work of a catalogue, with what it is listed at."""
    number = _whole(row, "number")
    if bool(row["edition"]) != bool(number):
        raise BadCell("number" if row["edition"] else "edition", "is empty; an edition and a number go together")
    return _filled(
        id=row.id,
        work=work_of(row),
        price=price_of(row),
        state=row["state"] or None,
        listed_on=_day(row, "listed_on"),
        outlet_prices=[_named_price(row, part) for part in _parts(row["outlet_prices"])],
        earlier_prices=[_dated_price(row, part) for part in _parts(row["earlier_prices"])],
        edition=_filled(name=row["edition"], number=number, numbers=_whole(row, "numbers")) if number else None,
    )


def sold_work(row: Row) -> Json:
    """The row as a sale: where, when, at what listed price, and what was taken off."""
    for needed in ("outlet", "medium", "sold_on"):
        if not row[needed]:
            raise BadCell(needed, "is empty; a sale has one")
    said = {"id": row.id, "outlet": row["outlet"], "medium": row["medium"], "sold_on": _day(row, "sold_on")}
    return _filled(**said, price=price_of(row), discount_percent=discount_of(row), costs=costs_of(row), hours=hours_of(row))


def past_work(row: Row) -> Json:
    """The row as a past work: its hours, its price, or both."""
    return _filled(id=row.id, work=work_of(row), price=price_of(row) if row["price"] else None)


def rung_of(row: Row) -> Json:
    """The row as a rung of the ladder: `id` is its name, `number` how many are sold in each round of the mix."""
    if not re.fullmatch("[a-z0-9][a-z0-9-]{0,62}", row["id"]):
        raise BadCell("id", f'is "{row["id"][:40]}"; a rung is named by lower-case letters, digits and hyphens, such as large-vessel')
    return _filled(name=row.id, price=price_of(row), costs=costs_of(row), hours=hours_of(row), parts=_whole(row, "number"))


def price_of(row: Row) -> Json:
    if not row["price"]:
        raise BadCell("price", "is empty")
    return _money(row, "price", row["price"])


def relisted(row: Row, amount: str) -> dict[str, str]:
    """The row's cells with that amount as its price, and in each outlet that asked what was listed; all else in them stays."""
    old = price_of(row)
    new = amount.replace(".", ",") if row.comma else amount

    def part_of(cell: str) -> str:
        name, said, text = cell.partition("=")
        price = _money(row, "outlet_prices", text.strip())
        same = price["currency"] == old["currency"] and Decimal(price["amount"]) == Decimal(old["amount"])
        return f"{name}{said}{_with_amount(text, new)}" if same else cell

    outlets = {"outlet_prices": "+".join(map(part_of, row["outlet_prices"].split("+")))} if row["outlet_prices"] else {}
    return row.cells | outlets | {"price": _with_amount(row["price"], new)}


def _with_amount(text: str, amount: str) -> str:
    """The text with its first figure changed."""
    return re.sub("[0-9][0-9.,]*", amount, text, count=1)


def hours_of(row: Row) -> str | None:
    return _figure(row, "hours")


def discount_of(row: Row) -> str | None:
    return _figure(row, "discount_percent")


def costs_of(row: Row) -> list[Json]:
    out = []
    for part in _parts(row["costs"]):
        name, said, amount = (piece.strip() for piece in part.partition("="))
        out.append({"name": name, "amount": _money(row, "costs", amount)} if said else {"name": name})
    return out


def _filled(**fields: Any) -> Json:
    """The fields that say something: a request has no empty ones."""
    return {name: said for name, said in fields.items() if said not in (None, "", [])}


def _parts(cell: str) -> list[str]:
    return [part.strip() for part in cell.split("+")] if cell else []


def figure(name: str, said: str, comma: bool) -> str:
    """The figure as requests hold it, with a point. BadCell where it is none, or is written with the other decimal sign."""
    mark, other, called = (",", ".", "comma") if comma else (".", ",", "point")
    if not re.fullmatch(f"[0-9]{{1,12}}([{mark}][0-9]{{1,6}})?", said):
        hint = "; with --decimal-comma a point is no decimal sign" if comma else "; for decimal commas say --decimal-comma"
        hint = hint if other in said else ""
        raise BadCell(name, f'is "{said[:40]}"; write digits with at most one {called}, such as 1240{mark}00{hint}')
    return said.replace(",", ".")


def _figure(row: Row, column: str, text: str | None = None) -> str | None:
    said = row[column] if text is None else text
    return figure(column, said, row.comma) if said else None


def _whole(row: Row, column: str) -> int | None:
    if row[column] and not re.fullmatch("[1-9][0-9]{0,3}", row[column]):
        raise BadCell(column, f'is "{row[column][:40]}"; write a whole number from 1 to 9999')
    return int(row[column]) if row[column] else None


def _day(row: Row, column: str) -> str | None:
    try:
        return date.fromisoformat(row[column]).isoformat() if row[column] else None
    except ValueError:
        raise BadCell(column, f'is "{row[column][:40]}"; write a day as 2026-04-11') from None


def _size(row: Row) -> Json | None:
    sides = _filled(**{side: _figure(row, side) for side in ("height", "width", "depth")})
    if sides and "height" not in sides:
        raise BadCell("height", "is empty; a size is said height first")
    return {**sides, "unit": row["unit"] or "cm"} if sides else None


def _panel(row: Row, panel: str) -> Json:
    sides = [_figure(row, "panels", side.strip()) for side in panel.split("x")]
    if not 1 <= len(sides) <= 3 or not all(sides):
        raise BadCell("panels", f'is "{panel[:40]}"; write height x width, such as 40 x 60')
    return {**dict(zip(("height", "width", "depth"), sides, strict=False)), "unit": row["unit"] or "cm"}


def _extra(part: str) -> Json:
    name, said, quantity = (piece.strip() for piece in part.partition("*"))
    if said and not re.fullmatch("[1-9][0-9]{0,3}", quantity):
        raise BadCell("extras", f'is "{part[:40]}"; write how many after a star, such as gilded-edge * 4')
    return {"name": name, "quantity": int(quantity)} if said else {"name": name}


def _money(row: Row, column: str, text: str) -> Json:
    amount, _, code = text.partition(" ")
    if not amount:
        raise BadCell(column, "has no amount after =")
    if any(sign.isdigit() for sign in code):
        raise BadCell(column, f'is "{text[:40]}"; write the digits without spaces between them')
    return {"amount": _figure(row, column, amount), "currency": code.strip() or row["currency"] or "EUR"}


def _named_price(row: Row, part: str) -> Json:
    name, _, amount = (piece.strip() for piece in part.partition("="))
    return {"outlet": name, "price": _money(row, "outlet_prices", amount)}


def _dated_price(row: Row, part: str) -> Json:
    day, _, amount = (piece.strip() for piece in part.partition("="))
    on = _day(Row(row.line, {"earlier_prices": day}), "earlier_prices")
    return {"listed_on": on, "price": _money(row, "earlier_prices", amount)}
