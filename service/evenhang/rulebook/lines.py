"""Where a key stands in the text of a TOML file: a look at the lines, not a second parser.

Knows headers and keys at the start of a line; where it cannot tell, it says nothing.
"""

import re
from collections.abc import Iterator

_HEADER = re.compile(r"^\s*(\[\[?)([^\[\]#]+)\]\]?\s*(?:#.*)?$")
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


def lines_in(text: str) -> dict[str, int]:
    """The first line on which each key is said, to be asked with `line_of`; empty where that cannot be told."""
    out: dict[str, int] = {}
    for number, path in _stands(text):
        out.setdefault(path, number)
    return out


def line_of(lines: dict[str, int], key: str) -> int | None:
    """The line on which `key`, or the nearest table or list above it, is said; None where that cannot be told."""
    for end in range(len(key), 0, -1):
        if key[end : end + 1] in ("", ".", "[") and key[:end] in lines:
            return lines[key[:end]]
    return None


def key_at(text: str, line: int) -> tuple[int | None, str]:
    """The last key said up to and on that line, and its own line; nothing where that cannot be told."""
    last: tuple[int | None, str] = (None, "")
    for number, path in _stands(text):
        if number > line:
            break
        last = number, path
    return last
