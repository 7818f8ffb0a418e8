"""Layers of rules by day, and laying them over one another with the origin of each value.

Knows nothing of what the keys mean, and nothing of files but their names.
"""

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from msgspec import Struct

from evenhang.engine.rules import Origin

REMOVED = "removed"
_INDEX = re.compile(r"\[[0-9]+\]")


class Fault(Struct, frozen=True):
    """One thing wrong (or, as a warning, doubtful) in a rule folder: the file, the exact key, the reason, the line if known."""

    file: str
    key: str
    reason: str
    warning: bool = False
    line: int | None = None

    def text(self) -> str:
        """The fault as a person reads it, without its file."""
        return f"{'warning' if self.warning else 'refused'}  {self.placed()}"

    def placed(self) -> str:
        """The place in its file, and the reason."""
        where = f"{self.key}: " if self.key else ""
        at = f"line {self.line}  " if self.line else ""
        return f"{at}{where}{self.reason}"


class Layer(Struct, frozen=True):
    """What one file says from its day on."""

    file: str
    since: date
    says: dict[str, Any]


class Laid(Struct, frozen=True):
    """Layers laid over one another: the values, where each was last set, and what was removed and is gone.

    `idle` is what a layer removes although it was not there.
    """

    values: dict[str, Any]
    origins: dict[str, Origin]
    idle: tuple[Origin, ...] = ()
    gone: dict[str, Origin] = {}

    def file_of(self, key: str, otherwise: str) -> str:
        """The file to blame for `key`: the one that set it, removed it, or set the nearest table above it, else `otherwise`."""
        at = _INDEX.sub("", key)
        while at:
            if at in self.origins:
                return self.origins[at].layer
            if at in self.gone:
                return self.gone[at].layer
            inside = [origin for path, origin in self.origins.items() if path.startswith(at + ".")]
            if inside:
                return max(inside, key=lambda origin: (origin.since or date.min, origin.layer)).layer
            at = at.rpartition(".")[0]
        return otherwise


class _Mark(Struct):
    """Who last set a value, or removed it, and the marks of what lies inside it."""

    origin: Origin | None
    inside: dict[str, "_Mark"]
    removed: bool = False


def lay(layers: tuple[Layer, ...]) -> Laid:
    """The layers over one another, in order.

    Tables merge key by key; scalars and arrays replace; a table that carries `kind` replaces whole;
    `{ kind = "removed" }` takes a key away.
    """
    values: dict[str, Any] = {}
    marks: dict[str, _Mark] = {}
    idle: list[Origin] = []
    for layer in layers:
        _over(values, layer.says, "", layer, marks, idle)
    found = list(_flat(marks))
    origins = {mark.path: mark for mark, removed in found if not removed}
    return Laid(values, origins, tuple(idle), {mark.path: mark for mark, removed in found if removed})


def _over(under: dict[str, Any], says: Mapping[str, Any], at: str, layer: Layer, marks: dict[str, _Mark], idle: list[Origin]) -> None:
    for key, value in says.items():
        path = f"{at}.{key}" if at else key
        if isinstance(value, dict) and value.get("kind") == REMOVED:
            if key not in under:
                idle.append(Origin(path, layer.file, layer.since))
            under.pop(key, None)
            marks[key] = _Mark(Origin(path, layer.file, layer.since), {}, removed=True)
        elif isinstance(value, dict) and "kind" not in value:
            below = under.get(key)
            if not isinstance(below, dict):
                below, marks[key] = {}, _Mark(None, {})
            under[key] = dict(below)
            # What lies in a table that was set whole has no mark of its own yet.
            _over(under[key], value, path, layer, marks.setdefault(key, _Mark(None, {})).inside, idle)
        else:
            under[key] = value
            marks[key] = _Mark(Origin(path, layer.file, layer.since), {})


def _flat(marks: dict[str, _Mark]) -> Iterator[tuple[Origin, bool]]:
    for mark in marks.values():
        if mark.origin is not None:
            yield mark.origin, mark.removed
        yield from _flat(mark.inside)
