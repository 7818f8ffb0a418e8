"""A body of lines (NDJSON), read line by line within bounds.

Knows bytes; knows nothing of what a line says.
"""

from collections.abc import Iterator
from typing import IO

from evenhang.api.limits import CHUNK, LONGEST_LINE

_MOST_READ = LONGEST_LINE + 2  # with the end of the line, LF or CR LF


def lines_of(file: IO[bytes]) -> Iterator[tuple[int, bytes]]:
    """Each line with its number, counted from 1, without the white space around it; blank ones are counted and passed over.

    A line that is longer than LONGEST_LINE comes cut, still longer than it, and what follows of it is let go. After about CHUNK
    bytes comes an empty line: a sign that others may have their turn. Closes the file at its end.
    """
    number, read = 0, 0
    with file:
        while piece := file.readline(_MOST_READ):
            number += 1
            read += len(piece)
            line = piece if _is_cut(piece) else piece.strip(b" \t\r\n")
            if line:
                yield number, line
            while _is_cut(piece):
                piece = file.readline(_MOST_READ)
                yield number, b""
            if read >= CHUNK:
                read = 0
                yield number, b""


def _is_cut(piece: bytes) -> bool:
    return len(piece) == _MOST_READ and piece[-1:] != b"\n"
