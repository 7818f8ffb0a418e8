"""Rows as questions: one for each, or one for all of them, and which row an answer is about.

A row that the service declines is left out with the service's words, and the others go on.
"""

import re
from collections.abc import Callable, Sequence

from asking import Asking, Declined
from cells import Json, readable
from found import Found
from works_csv import COLUMNS, LeftOut, Row

Step = Callable[[], None]


class NoSuchMember(Exception):
    """The service knows no member of that name, or the key may not see it; its own words."""


def each(asking: Asking, path: str, rows: Sequence[Row], read: Callable[[Row], Json], found: Found, step: Step) -> list[tuple[Row, Json]]:
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
            found.left_out.append(declined(row, why.pointers[0] if why.pointers else "", why.why))
        else:
            found.answers.append(answer)
            found.caution = answer.get("caution") or answer.get("settlement", {}).get("caution", "")
            out.append((row, answer))
        step()
    return out


def together(
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
            at = place(why.pointers)
            if at is None:  # the question itself is at fault, not a row
                raise
            row, _ = good.pop(at)
            found.left_out.append(declined(row, why.pointers[0], why.why))
        else:
            found.answers.append(answer)
            found.caution = answer.get("caution") or answer.get("yields", {}).get("caution", "") or found.caution
            return answer, [row for row, _ in good]
    return None, []


def declined(row: Row, pointer: str, why: str) -> LeftOut:
    """The row as left out, with the column that the pointer leads to where it leads to one."""
    column = next((step for step in pointer.split("/") if step in COLUMNS), None)
    return row.left_out(f"{column}: {why}" if column else why)


def place(pointers: Sequence[str]) -> int | None:
    """Which of the works the pointers lead to."""
    return next((int(found[1]) for pointer in pointers if (found := re.match("#/works/([0-9]+)(?:/|$)", pointer))), None)


def kept(found: Found, row: Row, said: Json) -> bool:
    """Whether the row of the answer has figures; one without them goes where its reason is read."""
    if said["reason"] and not said.get("proceeds") and not said.get("new_price"):
        found.left_out.append(declined(row, said["reason"]["pointer"], said["reason"]["detail"]))
        return False
    return True


def known(row: Row, member: str) -> Json:
    return {"line": row.line, "member": member, "id": row.id, "title": row["title"]}
