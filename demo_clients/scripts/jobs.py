"""What the scripts ask for: each job takes the rows of one member and comes back with tables, and with what was left out.

Knows nothing of files and of how anything is shown. One bad row sinks no other.
"""

import re
from collections.abc import Callable, Sequence
from urllib.parse import quote

from asking import Asking, Declined
from cells import Json, catalogue_work, costs_of, hours_of, past_work, price_of, readable, rung_of, sold_work, work_of
from found import Found
from works_csv import LeftOut, Row

TOGETHER = 100  # works priced by one question: few enough for a bar that moves, many enough for a rate's limit
LEFT = {"worst_outlet": "worst_outlet", "earnings": "worst_earnings", "yield_per_hour": "worst_yield_per_hour", "target_met": "target_met"}
Step = Callable[[], None]


class NoSuchMember(Exception):
    """The service knows no member of that name, or the key may not see it; its own words."""


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
        answer, sent = _list(asking, "quotes", part, question, given, found)
        for row, said in zip(sent, answer["rows"] if answer else (), strict=True):
            if "reason" in said:
                if said["reason"]["pointer"] == "#/member":
                    raise NoSuchMember(said["reason"]["detail"])
                found.left_out.append(LeftOut(row.line, row.id, said["reason"]["detail"]))
                continue
            quoted = said["member_quote" if mine else "quote"]
            found.caution = quoted["caution"]
            own = {name: quoted["outcome"][which] for name, which in LEFT.items()} if mine else {}
            working = "; ".join(f"{line['label']} {line['amount']['amount']}" for line in quoted["lines"])
            cells = {"price": quoted["price"], "currency": quoted["price"]["currency"], "tax": quoted["tax"], **own, "made_of": working}
            found.add("prices", **_known(row, member), medium=row["medium"], **cells, rules=said["rules_digest"][:12])
        for _ in part:
            step()
    return found


def settle_sales(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """What each row's price leaves in its outlet."""

    def question(row: Row) -> Json:
        said = {"outlet": row["outlet"], "discount_percent": row["discount_percent"], "hours": hours_of(row), "costs": costs_of(row)}
        return {name: cell for name, cell in said.items() if cell} | {"price": price_of(row), **given}

    found = Found.of(tables_of(settle_sales, given))
    for row, answer in _each(asking, f"members/{quote(member, safe='')}/settlements", rows, question, found, step):
        settled = answer["settlement"]
        steps = {step["code"]: step["amount"] for step in settled["steps"]}
        shown = {code.replace("-", "_"): steps.get(code) for code in ("listed", "discount", "tax", "payment-fee", "commission", "levy")}
        last = {name: settled.get(name) for name in ("buyer_pays", "proceeds", "earnings", "yield_per_hour")}
        currency = settled["buyer_pays"]["currency"]
        found.add("settlements", **_known(row, member), outlet=settled["outlet"], currency=currency, **shown, **last)
    return found


def sum_season(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """What sold works brought, per work and in sum; with an income wanted, how many works of which rung would make it."""
    found = Found.of(tables_of(sum_season, given))
    rungs: Sequence[Row] = given.pop("rungs", ())
    good, bad = readable(rungs, rung_of)
    found.left_out += [of_a_rung(one) for one in bad]
    question = {**given, **({"rungs": [rung for _, rung in good]} if good else {})}
    answer, sent = _list(asking, f"members/{quote(member, safe='')}/yields", rows, sold_work, question, found)
    step()
    if answer is None:
        return found
    for row, said in zip(sent, answer["yields"]["works"], strict=True):
        if _kept(found, row, said):
            cells = {
                name: said[name] for name in ("outlet", "medium", "sold_on", "sales", "proceeds", "earnings", "hours", "yield_per_hour")
            }
            found.add("works", **_known(row, member), **cells, target_met=said["target_met"])
    for kind in ("whole", "outlets", "media", "years"):
        sums = answer["yields"][kind]
        for said in [sums] if kind == "whole" else sums:
            cells = {name: said[name] for name in ("works", "sales", "proceeds", "earnings", "hours", "yield_per_hour")}
            found.add("sums", member=member, of=kind, name=said["name"], **cells, median=said["median_yield_per_hour"])
    for rung in (answer["season"] or {"rungs": []})["rungs"]:
        if rung.get("reason"):
            row = next(row for row in rungs if row.id == rung["name"])
            found.left_out.append(of_a_rung(LeftOut(row.line, row.id, rung["reason"]["detail"])))
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
    answer, _ = _list(asking, f"members/{quote(member, safe='')}/checks", rows, catalogue_work, given, found)
    step()
    if answer is None:
        return found
    for said in answer["findings"]:
        found.findings += said["severity"] != "note"
        cells = {"works": ", ".join(said["works"]), "detail": said["detail"], "mend": said["mend"]}
        found.add("findings", member=member, severity=said["severity"], code=said["code"], **cells)
    for mended in answer["mended"]:
        for change in mended["changes"]:
            found.add("mended", member=member, list=mended["kind"], id=change["id"], **{n: change[n] for n in ("listed", "mended", "way")})
        for pair in mended["unmendable"]:
            found.add("unmendable", member=member, list=mended["kind"], works=", ".join(pair["works"]), detail=pair["detail"])
    return found


def review_works(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """Every work's old and new price, the income at stake, and the years ahead."""
    found = Found.of(tables_of(review_works, given))
    answer, sent = _list(asking, f"members/{quote(member, safe='')}/reviews", rows, catalogue_work, given, found)
    step()
    if answer is None:
        return found
    for row, said in zip(sent, answer["works"], strict=True):
        if _kept(found, row, said):
            cells = {name: said[name] for name in ("state", "old_price", "rule_price", "new_price", "rise", "rise_percent", "note")}
            found.add("works", **_known(row, member), **cells)
    for said in answer["stake"]["outlets"]:
        found.add("stake", member=member, **said)
    for said in answer["ahead"]["years"]:
        found.add("years", member=member, **said)
    return found


def fit_feel(asking: Asking, member: str, rows: Sequence[Row], given: Json, step: Step) -> Found:
    """The rule behind past prices, the rate that an hour needs, and the works that do not follow."""
    found = Found.of(tables_of(fit_feel, given))
    answer, sent = _list(asking, f"members/{quote(member, safe='')}/rates", rows, past_work, given, found)
    step()
    if answer is None:
        return found
    for said in answer["left_out_works"]:
        row = sent[_place([said["reason"]["pointer"]]) or 0]
        found.left_out.append(LeftOut(row.line, row.id, said["reason"]["detail"]))
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


def _each(asking: Asking, path: str, rows: Sequence[Row], read: Callable[[Row], Json], found: Found, step: Step) -> list[tuple[Row, Json]]:
    """Each row with its own answer; what is declined is left out with the service's words."""
    good, bad = readable(rows, read)
    found.left_out += bad
    out = []
    for row, question in good:
        try:
            answer = asking.ask(path, question)
        except Declined as why:
            if why.status == 404:
                raise NoSuchMember(why.why) from None
            found.left_out.append(LeftOut(row.line, row.id, why.why))
        else:
            found.answers.append(answer)
            found.caution = answer.get("caution") or answer.get("settlement", {}).get("caution", "")
            out.append((row, answer))
        step()
    return out


def _list(
    asking: Asking, path: str, rows: Sequence[Row], read: Callable[[Row], Json], given: Json, found: Found
) -> tuple[Json | None, list[Row]]:
    """One answer for all rows, and the rows it is about. A row that the contract does not know is left out and the rest asked again."""
    good, bad = readable(rows, read)
    found.left_out += bad
    while good:
        try:
            answer = asking.ask(path, {"works": [work for _, work in good], **given})
        except Declined as why:
            if why.status == 404 or (why.pointers and re.fullmatch("#/works/[0-9]+/member", why.pointers[0])):
                raise NoSuchMember(why.why) from None
            at = _place(why.pointers)
            if at is None:  # the question itself is at fault, not a row
                raise
            row, _ = good.pop(at)
            found.left_out.append(LeftOut(row.line, row.id, why.why))
        else:
            found.answers.append(answer)
            found.caution = answer.get("caution") or answer.get("yields", {}).get("caution", "") or found.caution
            return answer, [row for row, _ in good]
    return None, []


def _place(pointers: Sequence[str]) -> int | None:
    """Which of the works the pointers lead to."""
    return next((int(found[1]) for pointer in pointers if (found := re.match("#/works/([0-9]+)(?:/|$)", pointer))), None)


def _kept(found: Found, row: Row, said: Json) -> bool:
    """Whether the row of the answer has figures; one without them goes where its reason is read."""
    if said["reason"] and not said.get("proceeds") and not said.get("new_price"):
        found.left_out.append(LeftOut(row.line, row.id, said["reason"]["detail"]))
        return False
    return True


def _known(row: Row, member: str) -> Json:
    return {"line": row.line, "member": member, "id": row.id, "title": row["title"]}
