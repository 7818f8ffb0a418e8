"""Where a key stands in the text of a TOML file: a look at the lines, not a second parser.

Knows headers and keys at the start of a line; where it cannot tell, it says nothing.
"""

import re
from collections.abc import Iterator

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]#]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*=""")
_STEP = re.compile(r"""[A-Za-z0-9_-]+|"[^"]*"|'[^']*'""")


def _path(text: str) -> str:
    return ".".join(step.strip("\"'") for step in _STEP.findall(text))


def _stands(text: str) -> Iterator[tuple[int, str]]:
    """Line numbers and the full key that stands there, also of the headers."""
    if '"""' in text or "'''" in text:  # lines inside a long text look like keys
        return
    header = ""
    counts: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if match := _HEADER.match(line):
            header = _path(match[2])
            if match[1] == "[[":
                counts[header] = counts.get(header, -1) + 1
                header = f"{header}[{counts[header]}]"
            yield number, header
        elif match := _KEY.match(line):
            yield number, f"{header}.{_path(match[1])}" if header else _path(match[1])


def line_of(text: str, key: str) -> int | None:
    """The line on which `key`, or the nearest table or list above it, is said; None where that cannot be told."""
    best, line = "", None
    for number, path in _stands(text):
        if len(path) > len(best) and (key == path or key.startswith((path + ".", path + "["))):
            best, line = path, number
    return line


def key_at(text: str, line: int) -> tuple[int | None, str]:
    """The last key said up to and on that line, and its own line; nothing where that cannot be told."""
    last: tuple[int | None, str] = (None, "")
    for number, path in _stands(text):
        if number > line:
            break
        last = number, path
    return last
