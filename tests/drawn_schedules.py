"""Random schedules and a writer of TOML: the parts from which tests/rulesets.py draws whole folders.

Every draw is valid by construction; what makes it so is said where it is drawn.
"""

from collections.abc import Mapping
from decimal import Decimal as D
from typing import Any

from hypothesis import strategies as st

from evenhang.engine.sizes import DIMENSION, FORMATS, PER

Table = dict[str, Any]
PERS = {dimension: [per for per, (of, _) in PER.items() if of == dimension] for dimension in set(DIMENSION.values())}
SCHEDULES = ("flat", "graduated", "stepped", "power", "points")


def figures(low: str, high: str, places: int = 2) -> st.SearchStrategy[D]:
    return st.decimals(D(low), D(high), places=places, allow_nan=False, allow_infinity=False)


def toml(table: Mapping[str, Any]) -> str:
    """The table as TOML: plain keys first, each inner table inline, which is how a person would not write it and TOML reads it."""
    return "".join(f"{_key(key)} = {_inline(value)}\n" for key, value in table.items())


def _key(key: str) -> str:
    return key if key and all(c.isascii() and (c.isalnum() or c in "-_") for c in key) else _inline(key)


def _inline(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case D():
            return format(value, "f") if value.is_finite() else str(value).lower().replace("infinity", "inf")
        case str():
            return '"' + "".join(c if c.isprintable() and c not in '"\\' else f"\\U{ord(c):08x}" for c in value) + '"'
        case dict():
            return "{ " + ", ".join(f"{_key(k)} = {_inline(v)}" for k, v in value.items()) + " }"
        case list() | tuple():
            return "[" + ", ".join(map(_inline, value)) + "]"
    return str(value)


@st.composite
def schedules(draw: st.DrawFn, measure: str, kinds: tuple[str, ...] = SCHEDULES) -> Table:
    """A schedule over `measure` of any kind that has a curve: rates from 0 up but never all 0, limits and points that rise."""
    kind = draw(st.sampled_from(kinds))
    per = draw(st.sampled_from([None, *PERS[DIMENSION[measure]]]))
    out: Table = {"kind": kind} | ({"per": per} if per else {})
    if kind == "flat":
        return out | {"rate": draw(figures("0.01", "40")), "base": draw(figures("0", "90"))}
    if kind == "power":
        return out | {
            "reference_price": draw(figures("1", "900")), "reference_measure": draw(figures("1", "900")),
            "exponent": draw(figures("0.05", "2")),
        }  # fmt: skip
    count = draw(st.integers(1, 4))
    edges = sorted(draw(st.lists(st.integers(1, 9000), min_size=count, max_size=count, unique=True)))
    if kind == "points":
        edges = [*edges, edges[-1] + draw(st.integers(1, 900))]
        return out | {"points": draw(_points(edges))}
    rates = draw(st.lists(figures("0", "9", 4), min_size=count, max_size=count))
    bands = [{"to": D(edge), "rate": rate} for edge, rate in zip(edges, rates, strict=True)]
    return out | {"bands": [*bands, {"rate": draw(figures("0.01", "9", 4))}]}


@st.composite
def _points(draw: st.DrawFn, edges: list[int]) -> list[Table]:
    """Prices that never fall; no segment is steeper than exponent 2, so that the ends are not either."""
    price = draw(figures("1", "500"))
    out = [{"measure": D(edges[0]), "price": price}]
    for before, edge in zip(edges, edges[1:]):
        most = price * D(edge) ** 2 / D(before) ** 2
        price += ((most - price) * draw(st.integers(0, 100)) / 100).quantize(D("0.01"), "ROUND_DOWN")
        out.append({"measure": D(edge), "price": price})
    return out


@st.composite
def lists(draw: st.DrawFn, formats: dict[str, Table]) -> Table:
    """A price for some formats, the larger by area never cheaper and equal areas at one price."""
    areas = {name: _area(name, formats) for name in (*formats, "a6", "a5", "a4", "30f", "30p", "b3")}
    names = sorted(draw(st.sets(st.sampled_from(sorted(areas)), min_size=1)), key=lambda name: areas[name])
    prices: Table = {}
    price, last = draw(figures("1", "200")), None
    for name in names:
        if last is not None and areas[name] != last:
            price += draw(figures("0", "200"))
        prices[name], last = price, areas[name]
    return {"kind": "listed", "prices": prices}


def _area(name: str, formats: dict[str, Table]) -> D:
    shown = formats.get(name, {})
    if "size" in shown:
        return D(shown["size"]["height"]) * D(shown["size"]["width"]) * 100
    size = FORMATS[shown.get("standard", name)].size
    assert size.width is not None
    return size.height * size.width * (100 if size.unit == "cm" else 1)
