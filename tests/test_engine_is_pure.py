"""The engine knows no clock, no chance, no machine, and counts no money in binary floats: held by its syntax trees."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[1] / "service" / "evenhang" / "engine"
# Whatever else is wanted is put on this list by somebody who says why: all of it is pure.
KNOWN = {
    "base64", "bisect", "collections", "collections.abc", "contextlib", "copy", "datetime", "decimal", "functools", "hashlib", "itertools",
    "math", "msgspec", "re", "statistics", "typing",
}  # fmt: skip
CLOCK = {"now", "utcnow", "today", "fromtimestamp"}
# Statistics over prices are floats inside; what they propose goes back through decimals and the member's rounding.
STATISTICS = {"checks/unitrates.py", "comparables.py", "feel.py", "position.py", "ready.py", "robust.py", "samples.py"}


def impurities(source: str, *, statistics: bool = False) -> Iterator[str]:
    """What in a file of the engine reaches outside, or counts in floats."""
    for node in ast.walk(ast.parse(source)):
        modules = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        modules += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        yield from (f"imports {name}" for name in modules if name not in KNOWN and name.split(".")[0] not in ("evenhang", "msgspec"))
        called = node.func if isinstance(node, ast.Call) else None
        if isinstance(called, ast.Attribute) and called.attr in CLOCK:
            yield f"asks a clock: {called.attr}"
        if isinstance(called, ast.Name) and called.id in ("open", "print", "input", "id", "hash"):
            yield f"calls {called.id}"
        if statistics:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            yield f"a binary float: {node.value}"
        if isinstance(called, ast.Name) and called.id == "float":
            yield "a binary float: float"
        if modules and "math" in modules:
            yield "imports math, which counts in binary floats"


@pytest.mark.parametrize("path", sorted(ENGINE.rglob("*.py")), ids=lambda path: path.relative_to(ENGINE).as_posix())
def test_the_engine_is_pure(path: Path) -> None:
    assert list(impurities(path.read_text(encoding="utf-8"), statistics=path.relative_to(ENGINE).as_posix() in STATISTICS)) == []


@pytest.mark.parametrize("name", sorted(STATISTICS))
def test_what_may_count_in_floats_does(name: str) -> None:
    assert list(impurities((ENGINE / name).read_text(encoding="utf-8"))) != []


@pytest.mark.parametrize("planted", [
    "x = 0.1", "x = float('0.1') * 2", "from datetime import datetime\nx = datetime.now()", "import datetime\nx = datetime.date.today()",
    "x = hash(b)",
    "import random", "import secrets", "import uuid", "import time", "import os.path", "import jinja2", "from math import sqrt",
    "x = open('a')",
    "def late():\n    import socket",
])  # fmt: skip
def test_each_is_seen(planted: str) -> None:
    assert list(impurities(planted))
