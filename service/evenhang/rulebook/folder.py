"""From files to layers: names, bytes, TOML and nesting, with every fault collected.

Knows files and TOML, but not what the keys mean.
"""

import os
import re
import stat
import tomllib
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from msgspec import Struct

from evenhang.rulebook.fit import DAY
from evenhang.rulebook.layers import Fault, Layer
from evenhang.rulebook.limits import MOST_BYTES, MOST_DEPTH, MOST_FILE_BYTES, MOST_FILES, MOST_MEMBERS, overgrown
from evenhang.rulebook.lines import key_at

NAME = re.compile("[a-z0-9][a-z0-9-]{0,62}")
EXPECTED = "expected house/YYYY-MM-DD.toml or members/NAME/YYYY-MM-DD.toml"
# A key of a hundred parts, in tables of tables far deeper than rules lie; its reader's time grows with the square of the parts.
_LONG_KEY = re.compile(r"""(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){100}""")
_TOML_LINE = re.compile(r" \(at line ([0-9]+), column ([0-9]+)\)$")
_NOTES = (".md", ".txt")  # may lie beside the rules


class RuleFile(Struct, frozen=True):
    """One file of a rule folder: its path below the folder, with slashes, and its bytes."""

    path: str
    raw: bytes


class Folder(Struct, frozen=True):
    """The layers of a rule folder, the house's and each member's by name, in date order; `texts` are the files as written.

    `unread` are the first days from which something of a member, or of the house (None), could not be read.
    """

    house: tuple[Layer, ...]
    members: dict[str, tuple[Layer, ...]]
    texts: dict[str, str]
    unread: dict[str | None, date]

    def known_until(self, member: str) -> date:
        """The day from which nobody knows what holds for the member, for a file that says so could not be read."""
        return min(self.unread.get(None, date.max), self.unread.get(member, date.max))


def files_in(folder: Path, faults: list[Fault]) -> list[RuleFile]:
    """The files below `folder`, with their bytes; hidden ones and notes (.md, .txt) are left out."""
    out: list[RuleFile] = []
    read = 0
    for path in paths_in(folder, faults):
        name = _named(path, folder)
        if len(out) == MOST_FILES:
            faults.append(Fault("", "", f"more than {MOST_FILES} files"))
            break
        try:
            mode = path.stat().st_mode
            if stat.S_ISDIR(mode):
                faults.append(Fault(name, "", f"this folder is read by nobody: {EXPECTED}"))
                continue
            if not stat.S_ISREG(mode):  # a pipe would be waited for without end
                faults.append(Fault(name, "", "cannot be read: it is a pipe or a device, no plain file"))
                continue
            with path.open("rb") as file:
                raw = file.read(MOST_FILE_BYTES + 1)
        except OSError as error:
            faults.append(Fault(name, "", f"cannot be read: {error.strerror}"))
            continue
        read += len(raw)
        if read > MOST_BYTES:
            faults.append(Fault("", "", f"more than {MOST_BYTES} bytes in all files together"))
            break
        out.append(RuleFile(name, raw))
    return out


def paths_in(folder: Path, faults: list[Fault]) -> Iterator[Path]:
    """What lies in the folder, in house/ and in members/NAME/: exactly as deep as rules lie, links followed."""
    for top in _inside(folder, folder, faults):
        if top.name == "house" and os.path.isdir(top):
            yield from _inside(top, folder, faults)
        elif top.name == "members" and os.path.isdir(top):
            for member in _inside(top, folder, faults):
                yield from _inside(member, folder, faults) if os.path.isdir(member) else (member,)
        else:
            yield top


def _inside(inner: Path, folder: Path, faults: list[Fault]) -> list[Path]:
    # Unlike Path.is_dir, os.path says "no" of what may not be looked at: reading it then says why.
    try:
        return [p for p in sorted(inner.iterdir()) if not p.name.startswith(".") and not (p.suffix in _NOTES and os.path.isfile(p))]
    except FileNotFoundError:
        reason = "there is no such folder"
    except NotADirectoryError:
        reason = "this is no folder"
    except OSError as error:
        reason = f"cannot be read: {error.strerror}"
    faults.append(Fault(_named(inner, folder), "", reason) if inner != folder else Fault("", "", f"{reason}: {_shown(inner)}"))
    return []


def _named(path: Path, folder: Path) -> str:
    """The path below the folder, with slashes."""
    return _shown(path.relative_to(folder))


def _shown(path: Path) -> str:
    """The path as text that can be told everywhere: bytes that are no UTF-8 as \\x and two digits."""
    return os.fsencode(path.as_posix()).decode("utf-8", "backslashreplace")


def read_files(files: Iterable[RuleFile], faults: list[Fault]) -> Folder:
    """The layers in these files; whatever cannot be read is added to `faults`."""
    house: list[Layer] = []
    members: dict[str, list[Layer]] = {}
    texts: dict[str, str] = {}
    for file in sorted(files, key=lambda file: file.path):
        side = _side(file.path)
        if isinstance(side, str):
            faults.append(Fault(file.path, "", side))
            continue
        if file.path in texts:
            faults.append(Fault(file.path, "", "this file is there twice"))
            continue
        texts[file.path] = ""
        member, since = side
        mine = house if member is None else members.setdefault(member, [])
        says = _read(file, texts, faults)
        if says is not None:
            mine.append(Layer(file.path, since, says))
    if not members and not any(fault.file.partition("/")[0] in ("", "members") for fault in faults):
        faults.append(Fault("members", "", "no member: expected members/NAME/YYYY-MM-DD.toml"))
    if len(members) > MOST_MEMBERS:
        faults.append(Fault("members", "", f"more than {MOST_MEMBERS} members"))
        members = {}
    return Folder(tuple(house), {name: tuple(layers) for name, layers in members.items()}, texts, _unread(faults))


def _unread(faults: list[Fault]) -> dict[str | None, date]:
    out: dict[str | None, date] = {}
    for fault in faults:
        match fault.file.split("/"):
            case ["house", *_]:
                whose = None
            case ["members", member, *_]:
                whose = member
            case _:
                continue
        side = _side(fault.file)
        out[whose] = min(out.get(whose, date.max), date.min if isinstance(side, str) else side[1])
    return out


def _side(path: str) -> tuple[str | None, date] | str:
    """Whose file it is (None for the house) and its day, or why that cannot be told."""
    match path.split("/"):
        case ["house", file]:
            member = None
        case ["members", member, file]:
            if not NAME.fullmatch(member):
                return "a member's name is small letters, digits and hyphens"
        case _:
            return f"no rule file lies here: {EXPECTED}"
    stem, dot, ending = file.rpartition(".")
    if dot + ending != ".toml":
        return f"no rule file has this ending: {EXPECTED}"
    try:
        if not DAY.fullmatch(stem):
            raise ValueError(stem)
        return member, date.fromisoformat(stem)
    except ValueError:
        return f'"{stem[:40]}" is no day: {EXPECTED}'


def _read(file: RuleFile, texts: dict[str, str], faults: list[Fault]) -> dict[str, Any] | None:
    if len(file.raw) > MOST_FILE_BYTES:
        faults.append(Fault(file.path, "", f"larger than {MOST_FILE_BYTES} bytes"))
        return None
    try:
        text = file.raw.decode("utf-8").removeprefix("\ufeff")  # a byte order mark, which some editors write
        texts[file.path] = text
        if long := _LONG_KEY.search(text):
            line = text.count("\n", 0, long.start()) + 1
            faults.append(Fault(file.path, "", f"nested more than {MOST_DEPTH} deep", line=line))
            return None
        says = tomllib.loads(text, parse_float=_figure)
    except UnicodeDecodeError as error:
        faults.append(Fault(file.path, "", f"cannot be read: it is no UTF-8 at byte {error.start}"))
    except RecursionError:
        faults.append(Fault(file.path, "", "nested too deeply"))
    except ValueError as error:
        faults.append(_no_toml(file.path, text, str(error)))
    else:
        if reason := overgrown(says):
            faults.append(Fault(file.path, "", reason))
            return None
        return says
    return None


def _figure(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:  # an exponent beyond all bounds: any figure that is refused for its size stands for it
        return Decimal("1e999999")


def _no_toml(path: str, text: str, reason: str) -> Fault:
    """The fault of a file that is no TOML, with the line and, where a key stands twice, the key."""
    place = _TOML_LINE.search(reason)
    line = int(place[1]) if place else len(text.splitlines()) if "end of document" in reason else None
    if line and (place or "Cannot" in reason) and ("overwrite" in reason or "twice" in reason or "mutate" in reason):
        # The reader has gone past the line end when it notices; the key stands on that line or the one before.
        at, key = key_at(text, line)
        return Fault(path, key, "this key is said twice; keep one of them", line=at)
    return Fault(path, "", f"is no TOML: {_TOML_LINE.sub('', reason)[:200]}", line=line)
