"""Where an answer goes: a terminal, a pipe, or a file that is written whole or not at all. Never over what was read."""

import os
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

import click

from cells import relisted
from found import Found
from showing import csv_of, json_of, show, written
from works_csv import Works


def check_targets(sources: Sequence[BinaryIO | None], targets: Mapping[str, Path | None]) -> None:
    """A usage error where a file would be written over what is read or over another, or into no folder. To be asked first."""
    read = [os.fstat(one.fileno()) for one in sources if one is not None]  # also where it comes in through "-"
    written: dict[str, Path] = {}
    for option, target in targets.items():
        if target is None:
            continue
        if not (folder := real(target).parent).is_dir():
            raise click.UsageError(f"{option} {target}: there is no folder {folder}.")
        if target.exists() and not target.is_file():
            raise click.UsageError(f"{option} {target} is no file that could be written whole; leave the option out to write into a pipe.")
        if target.exists() and any(os.path.samestat(one, target.stat()) for one in read):
            raise click.UsageError(f"{option} {target} is the file that is read; write to another one.")
        for other, path in written.items():
            if real(path) == real(target):
                raise click.UsageError(f"{option} and {other} are the same file; write to two.")
        written[option] = target


def write(found: Found, given: Mapping[str, Any]) -> None:
    """The answer to where it is wanted, in the form that is wanted there."""
    here = given["out"] is None
    if here and given["form"] is None and sys.stdout.isatty():
        show(found)
        return
    name = given["table"] or next(iter(found.tables))
    if name not in found.tables:
        raise click.UsageError(f'there is no table "{name}"; there are {", ".join(found.tables)}.')
    form = {"bom": given["bom"], "decimal_comma": given["decimal_comma"]}
    data = json_of(found) if given["form"] == "json" else csv_of(found.columns[name], found.rows_of(name), **form)
    if here:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    else:
        write_file(given["out"], data)


def real(file: Path) -> Path:
    """Where a link leads to, or the file itself."""
    return Path(os.path.realpath(file))


def write_file(file: Path, data: bytes) -> None:
    """Write beside the file and then put it in its place, so that nobody ever finds half of it; a link stays one.

    A usage error where that cannot be done.
    """
    file = real(file)
    beside = file.with_name(f".{file.name}.part")
    try:
        beside.write_bytes(data)
        beside.replace(file)
    except OSError as fault:
        raise click.UsageError(f"{file} cannot be written: {fault.strerror}.") from None
    finally:
        with suppress(OSError):
            beside.unlink()


def mended_csv(works: Works, found: Found, given: Mapping[str, Any]) -> bytes:
    """The file as it came, every row of it, with the mended prices in their place."""
    new = {line["line"]: line["mended"] for line in found.tables.get("mended", [])}
    lines = [[name.strip() for name in works.columns]]
    for row in works.rows:
        price = new.get(str(row.line))
        cells = relisted(row, price) if price else row.cells
        lines.append([cells.get(name, "") for name in works.columns])
    return written(lines, bom=given["bom"], decimal_comma=given["decimal_comma"])
