"""Formats: the standard sizes, to look up by name. Not under a member; the same for everybody and every day."""

from msgspec import Struct

from evenhang.api.calls import Call, Operation
from evenhang.engine.formats import FAMILIES, Family, FormatFamily, FormatRow, list_formats
from evenhang.engine.sizes import LengthUnit


class FormatQuery(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Which standard sizes, and in which unit of length."""

    unit: LengthUnit | None = None
    family: Family | None = None


class FormatList(Struct, frozen=True):
    """Standard sizes, and where they stand. Nothing here depends on rules or on the day."""

    families: tuple[FormatFamily, ...]
    formats: tuple[FormatRow, ...]


def formats(call: Call) -> FormatList:
    """The standard sizes asked for."""
    asked: FormatQuery = call.body
    families = tuple(row for row in FAMILIES if asked.family in (None, row.family))
    return FormatList(families, list_formats(asked.unit, asked.family))


FORMAT_LIST = Operation(
    "listFormats",
    "GET",
    "/formats",
    "Standard sizes",
    "ISO 216 A and B and the traditional French canvases, by name, in the unit asked for, with their source.",
    (FormatList,),
    formats,
    query=FormatQuery,
)
