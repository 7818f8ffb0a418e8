"""What the scripts ask for: each job takes the rows of one member and comes back with tables, and with what was left out.

Knows nothing of files and of how anything is shown. One bad row sinks no other.
"""

from collections.abc import Callable, Sequence
from urllib.parse import quote

from asked_rows import NoSuchMember, Step, declined, each, kept, known, place, together
from asking import Asking
from cells import Json, catalogue_work, costs_of, discount_of, hours_of, past_work, price_of, readable, rung_of, sold_work, work_of
from found import Found
from works_csv import LeftOut, Row

TOGETHER = 100  # works priced by one question: few enough for a bar that moves, many enough for a rate's limit
LEFT = {"worst_outlet": "worst_outlet", "earnings": "worst_earnings", "yield_per_hour": "worst_yield_per_hour", "target_met": "target_met"}


def tables_of(run: Callable[..., Found], question: Json) -> list[str]:
    """The tables that a job comes back with, whatever it finds."""
    if run is price_works:
        return ["prices, mine" if question.get("mine") else "prices"]
    if run is sum_season:
        return ["works", "sums", *(["rungs"] if question.get("rungs") else [])]
    if run is check_works:
        return ["findings", *(["mended", "unmendable"] if question.get("mend") else [])]
    return {settle_sales: ["settlements"], review_works: ["works, review", "stake", "years"], fit_feel: ["feel", "hourly", "odd"]}[run]


def price_works(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """A price for each row, many by one question; with `mine` also what is left of it where least is."""
    found = Found.of(tables_of(price_works, given))
    mine = given.pop("mine", False)

    def question(row: Row) -> Json:
        return {"id": str(row.line), "member": member, "work": work_of(row), "breakdown": "member" if mine else "public"}

    for start in range(0, len(rows), TOGETHER):
        part = rows[start : start + TOGETHER]
        answer, sent = together(asking, "quotes", part, question, given, found)
        for row, said in zip(sent, answer["rows"] if answer else (), strict=True):
            if "reason" in said:
                if said["reason"]["pointer"] == "#/member":
                    raise NoSuchMember(said["reason"]["detail"])
                found.left_out.append(declined(row, said["reason"]["pointer"], said["reason"]["detail"]))
                continue
            quoted = said["member_quote" if mine else "quote"]
            found.caution = quoted["caution"]
            own = {name: quoted["outcome"][which] for name, which in LEFT.items()} if mine else {}
            working = "; ".join(f"{line['label']} {line['amount']['amount']}" for line in quoted["lines"])
            cells = {"price": quoted["price"], "currency": quoted["price"]["currency"], "tax": quoted["tax"], **own, "made_of": working}
            found.add("prices", **known(row, member), medium=row["medium"], **cells, rules=said["rules_digest"][:12])
        for _ in part:
            step()
    return found


def settle_sales(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """What each row's price leaves in its outlet."""

    def question(row: Row) -> Json:
        said = {"outlet": row["outlet"], "discount_percent": discount_of(row), "hours": hours_of(row), "costs": costs_of(row)}
        return {name: cell for name, cell in said.items() if cell} | {"price": price_of(row), **given}

    found = Found.of(tables_of(settle_sales, given))
    for row, answer in each(asking, f"members/{quote(member, safe='')}/settlements", rows, question, found, step):
        settled = answer["settlement"]
        steps = {step["code"]: step["amount"] for step in settled["steps"]}
        shown = {code.replace("-", "_"): steps.get(code) for code in ("listed", "discount", "tax", "payment-fee", "commission", "levy")}
        last = {name: settled.get(name) for name in ("buyer_pays", "proceeds", "earnings", "yield_per_hour")}
        currency = settled["buyer_pays"]["currency"]
        found.add("settlements", **known(row, member), outlet=settled["outlet"], currency=currency, **shown, **last)
    return found


def sum_season(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """What sold works brought, per work and in sum; with an income wanted, how many works of which rung would make it."""
    found = Found.of(tables_of(sum_season, given))
    rungs: Sequence[Row] = given.pop("rungs", ())
    good, bad = readable(rungs, rung_of)
    found.left_out += [of_a_rung(one) for one in bad]
    question = {**given, **({"rungs": [rung for _, rung in good]} if good else {})}
    answer, sent = together(asking, f"members/{quote(member, safe='')}/yields", rows, sold_work, question, found)
    step()
    if answer is None:
        return found
    for row, said in zip(sent, answer["yields"]["works"], strict=True):
        if kept(found, row, said):
            cells = {
                name: said[name] for name in ("outlet", "medium", "sold_on", "sales", "proceeds", "earnings", "hours", "yield_per_hour")
            }
            found.add("works", **known(row, member), **cells, target_met=said["target_met"])
    for kind in ("whole", "outlets", "media", "years"):
        sums = answer["yields"][kind]
        for said in [sums] if kind == "whole" else sums:
            cells = {name: said[name] for name in ("works", "sales", "proceeds", "earnings", "hours", "yield_per_hour")}
            found.add("sums", member=member, of=kind, name=said["name"], **cells, median=said["median_yield_per_hour"])
    for at, rung in enumerate((answer["season"] or {"rungs": []})["rungs"]):
        if rung.get("reason"):
            row, _ = good[at]
            found.left_out.append(of_a_rung(declined(row, rung["reason"]["pointer"], rung["reason"]["detail"])))
        for said in rung["outlets"]:
            cells = {name: said[name] for name in ("outlet", "earnings", "works", "works_still", "hours")}
            found.add("rungs", member=member, rung=rung["name"], **cells)
    return found


def of_a_rung(one: LeftOut) -> LeftOut:
    """The same of a row of the other file, whose lines are counted for themselves."""
    return LeftOut(one.line, one.id, f"In the file of rungs: {one.why}")


def check_works(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """Everything that does not hang together, and the mended list where one is wanted."""
    found = Found.of(tables_of(check_works, given))
    answer, sent = together(asking, f"members/{quote(member, safe='')}/checks", rows, catalogue_work, given, found)
    step()
    if answer is None:
        return found
    for said in answer["findings"]:
        at = None if said.get("about") else place([said.get("pointer") or ""])
        if at is not None:  # nothing at all could be looked for: the row was not read
            found.left_out.append(declined(sent[at], said["pointer"], f"{said['detail']} {said['mend']}"))
            continue
        found.findings += said["severity"] != "note"
        cells = {"works": ", ".join(said["works"]), "detail": said["detail"], "mend": said["mend"]}
        found.add("findings", member=member, severity=said["severity"], code=said["code"], **cells)
    found.tables["findings"] = list(
        {tuple(line.values()): line for line in found.tables["findings"]}.values()
    )  # nothing twice, word for word
    counted = {row.id: row.line for row in reversed(sent)}  # of two rows of one id the service counts the first
    for mended in answer["mended"]:
        for change in mended["changes"]:
            cells = {name: change[name] for name in ("id", "listed", "mended", "way")}
            found.add("mended", line=counted[change["id"]], member=member, list=mended["kind"], **cells)
        for pair in mended["unmendable"]:
            found.add("unmendable", member=member, list=mended["kind"], works=", ".join(pair["works"]), detail=pair["detail"])
    return found


def review_works(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """Every work's old and new price, the income at stake, and the years ahead."""
    found = Found.of(tables_of(review_works, given))
    answer, sent = together(asking, f"members/{quote(member, safe='')}/reviews", rows, catalogue_work, given, found)
    step()
    if answer is None:
        return found
    for row, said in zip(sent, answer["works"], strict=True):
        if kept(found, row, said):
            cells = {name: said[name] for name in ("state", "old_price", "rule_price", "new_price", "rise", "rise_percent", "note")}
            found.add("works", **known(row, member), **cells)
    for said in answer["stake"]["outlets"]:
        found.add("stake", member=member, **said)
    for said in answer["ahead"]["years"]:
        found.add("years", member=member, **said)
    return found


def fit_feel(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """The rule behind past prices, the rate that an hour needs, and the works that do not follow."""
    found = Found.of(tables_of(fit_feel, given))
    answer, sent = together(asking, f"members/{quote(member, safe='')}/rates", rows, past_work, given, found)
    step()
    if answer is None:
        return found
    for said in answer["left_out_works"]:
        row = sent[place([said["reason"]["pointer"]]) or 0]
        found.left_out.append(declined(row, said["reason"]["pointer"], said["reason"]["detail"]))
    for said in answer["feel"]:
        cells = {name: said[name] for name in ("medium", "counted", "exponent", "reference_measure", "per", "reference_price")}
        found.add("feel", member=member, **cells, typical_error_percent=said["median_error_percent"], **_ready(said))
        for odd in said["odd"]:
            found.add("odd", member=member, medium=said["medium"], **{n: odd[n] for n in ("id", "asked", "felt", "error_percent")})
    for said in answer["hourly"]:
        cells = {name: said[name] for name in ("medium", "counted", "needed", "wanted", "rate", "per", "reached")}
        found.add("hourly", member=member, **cells, **_ready(said))
    return found


def _ready(said: Json) -> Json:
    """The schedule to copy into a rule file, or why there is none."""
    ready = said["schedules"][0]["toml"] if said["schedules"] else None
    return {"schedule": ready, "reason": (said.get("reason") or {}).get("detail")}
