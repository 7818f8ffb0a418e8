"""Consignments: works left at an outlet, and what is owed for them."""

from datetime import date
from functools import partial
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, rules_on, used
from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.consignment import Consignment, consign
from evenhang.engine.dues import OutletPayment
from evenhang.engine.works import Name


class ConsignmentRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The works left at one outlet, what became of each, and what the outlet has paid by now."""

    outlet: Name
    works: Annotated[tuple[ConsignedWork, ...], Meta(max_length=10_000)]
    payments: Annotated[tuple[OutletPayment, ...], Meta(max_length=1_000)] = ()
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class ConsignmentAnswer(Struct, frozen=True):
    """The list of works with each party's share, and what the outlet owes to whom on that day."""

    member: str
    as_of: date
    rules: RulesUsed
    consignment: Consignment


def consignment(call: Call) -> ConsignmentAnswer:
    """The list and the statement of the works at an outlet."""
    rules, on = resolve(call)
    asked: ConsignmentRequest = call.body
    found = consign(rules, partial(rules_on, call), asked.outlet, asked.works, asked.payments, on)
    return ConsignmentAnswer(rules.member, on, used(rules), found)


CONSIGNMENTS = Operation(
    "stateConsignment",
    "POST",
    "/members/{member}/consignments",
    "State a consignment",
    "The list that goes with works left at an outlet, and the statement of what is owed once some are sold or come back." + SAFE,
    (ConsignmentAnswer,),
    consignment,
    ConsignmentRequest,
    scope="books",
)
