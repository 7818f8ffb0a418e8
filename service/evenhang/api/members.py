"""Members: who sells what, and which rules are in force."""

from datetime import date

from msgspec import Struct

from evenhang.api.calls import Call, Operation, RulesUsed, used


class MemberRow(Struct, frozen=True):
    """A member, its media and outlets by their public names, and the rules in force."""

    member: str
    title: str
    media: tuple[str, ...]
    outlets: tuple[str, ...]
    rules: RulesUsed


class MemberList(Struct, frozen=True):
    """All members with rules in force."""

    as_of: date
    members: tuple[MemberRow, ...]


def list_members(call: Call) -> MemberList:
    """The members that have rules today."""
    rows = []
    for member, sets in call.book.segments.items():
        if sets[0].effective_from <= call.today:
            rules = call.book.in_force(member, call.today)
            outlets = tuple(rules.rules.outlets[name].title for name in rules.rules.sells_in)
            rows.append(MemberRow(member, rules.rules.title, tuple(rules.rules.media), outlets, used(rules)))
    return MemberList(call.today, tuple(rows))


MEMBERS = Operation(
    "listMembers", "GET", "/members", "Members", "Members, what they sell, the rules in force.", (MemberList,), list_members
)
