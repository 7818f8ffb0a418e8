"""Reading the dated TOML layers, and laying them over one another with the origin of each value.

Knows nothing of what the keys mean.
"""

import re
import tomllib
from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from msgspec import Struct

from evenhang.engine.rules import Origin

MOST_FILES = 2_000
MOST_BYTES = 1_000_000
NAME = re.compile("[a-z0-9][a-z0-9-]{0,62}")


class Fault(Struct, frozen=True):
    """One thing wrong (or, as a warning, doubtful) in a rule folder."""

    file: str
    key: str
    reason: str
    warning: bool = False

    def line(self) -> str:
        """The fault as a person reads it."""
        where = f"{self.file}: {self.key}" if self.key else self.file
        return f"{'warning' if self.warning else 'refused'}  {where}: {self.reason}"


class Layer(Struct, frozen=True):
    """What one file says from its day on."""

    file: str
    since: date
    says: dict[str, Any]


class Folder(Struct, frozen=True):
    """The layers of a rule folder: the house's, and each member's by name, in date order."""

    house: tuple[Layer, ...]
    members: dict[str, tuple[Layer, ...]]


def read_folder(folder: Path, faults: list[Fault]) -> Folder:
    """All layers below `folder`; whatever cannot be read is added to `faults`."""
    house = _read_side(folder, folder / "house", faults)
    members: dict[str, tuple[Layer, ...]] = {}
    root = folder / "members"
    for path in sorted(root.iterdir()) if root.is_dir() else ():
        if not path.is_dir():
            continue
        if not NAME.fullmatch(path.name):
            faults.append(Fault(f"members/{path.name}", "", "a member's name is small letters, digits and hyphens"))
            continue
        members[path.name] = _read_side(folder, path, faults)
    if not members:
        faults.append(Fault("members", "", "no member: expected members/NAME/YYYY-MM-DD.toml"))
    return Folder(house, members)


def _read_side(folder: Path, side: Path, faults: list[Fault]) -> tuple[Layer, ...]:
    out: list[Layer] = []
    paths = sorted(side.glob("*.toml")) if side.is_dir() else []
    for path in paths[:MOST_FILES]:
        file = path.relative_to(folder).as_posix()
        try:
            since = date.fromisoformat(path.stem)
            raw = path.read_bytes()
            if len(raw) > MOST_BYTES:
                raise ValueError("larger than 1 MB")
            says = tomllib.loads(raw.decode("utf-8"), parse_float=_decimal)
        except (ValueError, OSError, InvalidOperation) as error:
            faults.append(Fault(file, "", f"cannot be read: {error}"))
            continue
        out.append(Layer(file, since, says))
    return tuple(out)


def _decimal(text: str) -> Decimal:
    value = Decimal(text)
    if not value.is_finite():
        raise ValueError(f"{text} is no figure for a rule")
    return value


def lay(layers: tuple[Layer, ...]) -> tuple[dict[str, Any], dict[str, Origin]]:
    """The layers over one another, in order, and where each key was last set.

    Tables merge key by key; scalars and arrays replace; a table that carries `kind` replaces whole;
    `{ kind = "removed" }` takes a key away.
    """
    merged: dict[str, Any] = {}
    origins: dict[str, Origin] = {}
    for layer in layers:
        _over(merged, layer.says, "", layer, origins)
    return merged, origins


def _over(under: dict[str, Any], says: Mapping[str, Any], at: str, layer: Layer, origins: dict[str, Origin]) -> None:
    for key, value in says.items():
        path = f"{at}.{key}" if at else key
        whole = not isinstance(value, dict) or "kind" in value
        if whole:
            for old in [p for p in origins if p == path or p.startswith(path + ".")]:
                del origins[old]
        if isinstance(value, dict) and value.get("kind") == "removed":
            under.pop(key, None)
        elif isinstance(value, dict) and not whole:
            below = under.get(key)
            under[key] = dict(below) if isinstance(below, dict) else {}
            _over(under[key], value, path, layer, origins)
        else:
            under[key] = value
            origins[path] = Origin(path, layer.file, layer.since)
