"""Random rule folders that the loader accepts, and works to price by them, for the laws that hold under any rules.

    folders()          whole folders: {path: TOML text}; a house and one to three members, one to three days, every kind of rule
    books()            the same, loaded: a RuleBook
    rule_sets()        one rule set of such a book: a RuleSet
    sized(medium)      two works of a medium, the second no smaller than the first on any side (panels, formats, hours as it needs)
    works(rules)       a work that some medium of the rules can price, with grade, extras and costs
    mutated(files)     the folder with one value in one place replaced by something else, most often something wrong
    toml(table)        a table as TOML, for folders made by hand

Every draw is valid by construction: nothing is filtered away. What makes a set valid is said where it is drawn. Figures are small
enough to be a workshop's; names are single letters and words of no meaning.
"""

import datetime
from collections.abc import Mapping
from decimal import Decimal as D

from hypothesis import strategies as st
from tests.drawn_schedules import Table, figures, lists, schedules, toml
from tests.drawn_works import mutated, sized, works

from evenhang.engine.money import minor_unit
from evenhang.engine.rules import RuleSet
from evenhang.rulebook.book import RuleBook, check_files
from evenhang.rulebook.folder import RuleFile

__all__ = ["DAYS", "books", "figures", "folders", "loaded", "mutated", "rule_sets", "schedules", "sized", "toml", "works"]

DAYS = (datetime.date(2025, 1, 1), datetime.date(2025, 9, 15), datetime.date(2026, 2, 28))
MEMBERS = ("ash", "birch", "cedar")
FOREIGN = {"JPY": ("160.25", ["100", "1000"]), "KWD": ("0.335", ["0.25", "0.5"]), "USD": ("1.0825", None), "CLF": ("0.0275", None)}


# --- One layer -----------------------------------------------------------------------------------------------------------------


@st.composite
def roundings(draw: st.DrawFn, unit: D) -> Table:
    """Steps each a multiple of the one before, and limits that are multiples of the larger step beside them."""
    step = unit * draw(st.sampled_from([1, 5, 10, 25, 50, 500]))
    steps: list[Table] = []
    limit = D(0)
    for _ in range(draw(st.integers(0, 2))):
        wider = step * draw(st.sampled_from([1, 2, 5, 10]))
        limit = (limit // wider + draw(st.integers(1, 20))) * wider
        steps.append({"step": step, "below": limit})
        step = wider
    return {"steps": [*steps, {"step": step}], "direction": draw(st.sampled_from(["nearest", "up"]))}


taxes = st.one_of(
    st.just({"kind": "none"}),
    st.builds(lambda kind, p: {"kind": kind, "percent": p}, st.sampled_from(["included", "added"]), figures("0", "25")),
)


@st.composite
def outlets(draw: st.DrawFn) -> Table:
    """Terms that leave the member something: at most 45 % of at most 1.25 of the net, 25 % tax on it, a fee and a levy of 5 %."""
    kind = draw(st.sampled_from(["commission", "mark-up", "purchase"]))
    percent = {"commission": figures("0", "45"), "mark-up": figures("0", "250"), "purchase": figures("20", "100")}[kind]
    out: Table = {"title": "An outlet", "terms": {"kind": kind, "percent": draw(percent)}}
    if draw(st.booleans()):
        out["currency"] = draw(st.sampled_from(["EUR", *FOREIGN]))
    if draw(st.booleans()):
        out |= {"commission_base": draw(st.sampled_from(["net", "gross"])), "frame_first": draw(st.booleans())}
    if draw(st.booleans()):
        out["tax_on_commission"] = {"percent": draw(figures("0", "25")), "recoverable": draw(st.booleans())}
    if draw(st.booleans()):
        party = st.sampled_from(["member", "outlet", "house"])
        out["payment_fee"] = {"borne_by": draw(party), "percent": draw(figures("0", "5")), "fixed": draw(figures("0", "2"))}
    if draw(st.booleans()):
        out["discount"] = {
            "share": draw(st.sampled_from(["both", "split"])), "member_percent": draw(figures("0", "100")),
            "limit_percent": draw(figures("0", "100")), "beyond_limit": draw(st.sampled_from(["outlet", "member"])),
        }  # fmt: skip
    if draw(st.booleans()):
        out["tax"] = draw(taxes)
    return out


@st.composite
def exchanges(draw: st.DrawFn) -> Table:
    """A pinned rate for every currency that an outlet may use, some with steps of their own."""
    out: Table = {}
    for code, (rate, steps) in FOREIGN.items():
        out[code] = {"rate": D(rate), "on": DAYS[0]}
        if steps is not None and draw(st.booleans()):
            out[code]["rounding"] = {"steps": [{"step": D(steps[0]), "below": D(steps[1]) * 50}, {"step": D(steps[1])}]}
        elif draw(st.booleans()):
            out[code]["rounding"] = draw(roundings(minor_unit(code)))
    return out


@st.composite
def houses(draw: st.DrawFn) -> Table:
    """What all members share: currency, grid, tax, levy, budget bands, outlets and rates."""
    limits = sorted(draw(st.sets(st.integers(1, 90), max_size=3)))
    bands = [{"title": "a band", "below": D(limit * 50)} for limit in limits]
    names = draw(st.lists(st.sampled_from(["studio", "shop", "gallery", "fair", "web"]), min_size=1, max_size=4, unique=True))
    return {
        "currency": "EUR", "collective": "Sheds", "time_zone": "Etc/UTC", "levy_percent": draw(figures("0", "5")), "tax": draw(taxes),
        "rounding": draw(roundings(D("0.01"))), "bands": [*bands, {"title": "the rest"}], "fx": draw(exchanges()),
        "outlets": {name: draw(outlets()) for name in names},
    }  # fmt: skip


MEASURES = ("area", "united", "longest", "height", "volume", "piece", "canvas")


@st.composite
def media(draw: st.DrawFn, rounding: Table, formats: dict[str, Table]) -> Table:
    """A medium of any measure; a minimum is a whole number of the largest step from its limit on, and so always on the grid."""
    kind = draw(st.sampled_from(["curve", "curve", "curve", "listed", "time", "by-hours"]))
    measure = "hours" if kind in ("time", "by-hours") else "area" if kind == "listed" else draw(st.sampled_from(MEASURES))
    out: Table = {"title": f"By {measure}", "measure": measure, "round_as": draw(st.sampled_from(["true-area", "rectangle"]))}
    if kind == "time":
        out["schedule"] = {"kind": "time", "hourly_rate": draw(figures("1", "90"))}
    elif kind == "listed":
        out["schedule"] = draw(lists(formats))
    else:
        out["schedule"] = draw(schedules(measure))
    if measure != "hours" and draw(st.booleans()):
        out["hours"] = draw(schedules(measure, ("flat",)))
    if draw(st.booleans()):
        steps = rounding["steps"]
        last = steps[-1]["step"]
        below = steps[-2]["below"] if len(steps) > 1 else D(0)
        out["minimum"] = below + last * draw(st.integers(1, 20))
    return out


@st.composite
def costs(draw: st.DrawFn) -> Table:
    treatment = draw(st.sampled_from(["absorbed", "at_cost", "marked_up", "recovered"]))
    out: Table = {"title": "A cost", "treatment": treatment}
    if treatment == "marked_up":
        out["percent"] = draw(figures("0", "50"))
    if treatment == "at_cost":
        out["show_at_cost"] = draw(st.booleans())
    if draw(st.booleans()):
        measure = draw(st.sampled_from(["area", "united", "longest", "height", "piece"]))
        out["estimate"] = {"kind": "estimate", "measure": measure, "schedule": draw(schedules(measure))}
    return out


@st.composite
def members(draw: st.DrawFn, house: Table) -> Table:
    """What one member does: media, grades, extras, costs, an increase, some of the house's outlets and terms of its own."""
    formats: dict[str, Table] = {
        "small": {"title": "Small", "size": {"height": "20", "width": draw(st.sampled_from(["20", "30.5"])), "unit": "cm"}},
        "iso": {"title": "Standard", "standard": draw(st.sampled_from(["a3", "b4", "12p"]))},
    }
    rounding = draw(st.none() | roundings(D("0.01")))
    named = {f"m{i}": draw(media(rounding or house["rounding"], formats)) for i in range(draw(st.integers(1, 4)))}
    extras = {
        "fixed": {"kind": "fixed", "title": "Fixed", "amount": draw(figures("0", "90")), "unit": "side"},
        "share": {"kind": "percent", "title": "Share", "percent": draw(figures("0", "60"))},
    }
    out: Table = {
        "title": "A workshop",
        "length_unit": draw(st.sampled_from(["mm", "cm", "m", "in"])),
        "sells_in": draw(st.lists(st.sampled_from(sorted(house["outlets"])), min_size=1, unique=True)),
        "media": named,
        "formats": formats,
        "grades": {"fine": {"title": "Fine", "factor": draw(figures("0.5", "3"))}},
        "extras": extras,
        "costs": {"frame": draw(costs()) | {"frame": True}, "stuff": draw(costs())},
    }
    if rounding:
        out["rounding"] = rounding
    if draw(st.booleans()):
        years = draw(st.dictionaries(st.sampled_from(["2025", "2026", "2027"]), figures("0", "20"), max_size=2))
        out["increase"] = {
            "base_date": draw(st.dates(datetime.date(2023, 1, 1), DAYS[0])),
            "yearly_percent": draw(figures("0", "12")),
            "exceptions": years,
        }
    if draw(st.booleans()):
        floor = draw(figures("0", "30"))
        out["earning"] = {"hourly_floor": floor, "hourly_target": floor + draw(figures("0", "30"))}
    return out


@st.composite
def changes(draw: st.DrawFn, house: Table, own: Table, since: datetime.date) -> Table:
    """What a later file of a member's may change: rates counted from that day, terms, an extra that goes."""
    name = draw(st.sampled_from(sorted(own["media"])))
    medium = own["media"][name]
    out: Table = {"media": {name: {}}}
    kind = medium["schedule"]["kind"]
    if kind == "listed":
        out["media"][name]["schedule"] = draw(lists(own["formats"]))
    elif kind == "time":
        out["media"][name]["schedule"] = {"kind": "time", "hourly_rate": draw(figures("1", "90"))}
    else:
        out["media"][name]["schedule"] = draw(schedules(medium["measure"]))
    if draw(st.booleans()):
        out["extras"] = {"share": {"kind": "removed"}}
    if draw(st.booleans()):
        out["grades"] = {"fine": {"factor": draw(figures("0.5", "3"))}}
    if draw(st.booleans()):
        outlet = draw(st.sampled_from(sorted(house["outlets"])))
        out["outlets"] = {outlet: {"terms": {"kind": "commission", "percent": draw(figures("0", "45"))}}}
    if "increase" in own:
        out["increase"] = {"base_date": since, "yearly_percent": draw(figures("0", "12"))}
    return out


# --- Whole folders -------------------------------------------------------------------------------------------------------------


@st.composite
def folders(draw: st.DrawFn, most_members: int = 3) -> dict[str, str]:
    """A whole rule folder, by path and text, that the loader accepts; it may be warned about."""
    house = draw(houses())
    out = {f"house/{DAYS[0]}.toml": toml(house)}
    for member in MEMBERS[: draw(st.integers(1, most_members))]:
        own = draw(members(house))
        out[f"members/{member}/{DAYS[0]}.toml"] = toml(own)
        if draw(st.booleans()):
            out[f"members/{member}/{DAYS[1]}.toml"] = toml(draw(changes(house, own, DAYS[1])))
    if draw(st.booleans()):
        out[f"house/{DAYS[2]}.toml"] = toml({"levy_percent": draw(figures("0", "5")), "tax": draw(taxes)})
    return out


def loaded(files: Mapping[str, str]) -> RuleBook:
    """The book of a folder that the loader accepts; AssertionError with its refusals otherwise."""
    checked = check_files([RuleFile(path, text.encode()) for path, text in files.items()])
    assert checked.book is not None, checked.refusals
    book: RuleBook = checked.book
    return book


def books() -> st.SearchStrategy[RuleBook]:
    return folders().map(loaded)


@st.composite
def rule_sets(draw: st.DrawFn) -> RuleSet:
    """The rule set of one member on one day."""
    book = draw(folders(most_members=1).map(loaded))
    return draw(st.sampled_from(list(book.by_digest.values())))
