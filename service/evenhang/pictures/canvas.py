"""What all pictures share: colours, sizes, and how a figure becomes an SVG that explains itself and is the same bytes each time.

Knows matplotlib; knows no prices.
"""

import functools
import hashlib
import importlib.util
import io
import re
import threading
import unicodedata
import warnings
from collections.abc import Callable, Mapping, Sequence
from html import escape
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from evenhang.pictures.voice import Voice, breadth

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure

Look = dict[str, Any]  # how something is drawn, in matplotlib's words
SVG = "image/svg+xml"
# Styles stand in the picture itself, so its policy allows them; nothing else is let in.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
INCH = 72  # points, which are the pixels of a picture here
KEY_SIZE, KEY_ROW = 9, 16  # of what says which mark means what: the size of its letters, the height of its rows
MOST_LETTERS = 40  # of a title in a picture; the whole title stands in the answer


class Colours(NamedTuple):
    """What a picture is drawn with. `first` to `third` are told apart by eyes of every kind, and never by colour alone."""

    paper: str
    ink: str
    faint: str
    grid: str
    first: str
    second: str
    third: str


LIGHT = Colours("#ffffff", "#22302f", "#56625f", "#d9d4c7", "#0e8597", "#8322bd", "#889123")
DARK = Colours("#161c1c", "#ece7db", "#adb6b1", "#38423f", "#35b4d7", "#9a63e6", "#b2932e")


class Drawing(NamedTuple):
    """A picture to be: its name and its words for those who do not see it, how large, and who paints it."""

    title: str
    description: str
    width: int
    height: int
    paint: Callable[["Figure"], None]


_LOCK = threading.Lock()  # matplotlib's fonts and settings are not made for several threads
_SETTINGS: Any = {  # of a type whose names differ from version to version
    "svg.hashsalt": "evenhang",  # names of parts out of what they are, not out of chance
    "svg.fonttype": "none",  # text stays text: to be read aloud, searched, and shown in a reader's own fonts, also of languages ours lack
    "text.parse_math": False,  # a title with dollar signs is no formula
    "axes.formatter.use_mathtext": False,
    "font.family": ["DejaVu Sans"],  # comes with matplotlib; what is measured with it
    "font.size": 11,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.linewidth": 0.8,
    "hatch.linewidth": 1.2,
    "figure.facecolor": LIGHT.paper,
    "axes.facecolor": LIGHT.paper,
    "savefig.facecolor": LIGHT.paper,
    "grid.color": LIGHT.grid,
    **dict.fromkeys(("text.color", "axes.labelcolor", "axes.titlecolor", "axes.edgecolor", "xtick.color", "ytick.color"), LIGHT.ink),
    "legend.frameon": False,
}


@functools.cache
def can_draw() -> bool:
    """Whether the extra is installed."""
    return importlib.util.find_spec("matplotlib") is not None


def drawn(drawing: Drawing) -> bytes:
    """The picture as SVG 1.1 with role, title and description, in the light and in the dark."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    out = io.BytesIO()
    with _LOCK, rc_context(_SETTINGS), warnings.catch_warnings():
        # Measured in a font that lacks the letters of some languages; shown in the reader's own, which has them.
        warnings.filterwarnings("ignore", "Glyph .* missing from", UserWarning)
        figure = Figure(figsize=(drawing.width / INCH, drawing.height / INCH), dpi=INCH)
        drawing.paint(figure)
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return _explained(out.getvalue().decode(), drawing).encode()


def short(title: str) -> str:
    """A title as a picture shows it: on one line, without marks that do not show or turn the text round, and cut where it is long."""
    text = " ".join("".join(letter for letter in title if letter.isspace() or unicodedata.category(letter)[0] != "C").split())
    return text if len(text) <= MOST_LETTERS else text[: MOST_LETTERS - 1] + "…"


def by_ratio(axes: "Axes", which: Literal["x", "y"], values: Sequence[float]) -> None:
    """A logarithmic scale over these values, where all are over 0, with at least two labels on it."""
    from matplotlib.ticker import LogLocator, MaxNLocator, NullLocator

    if not values or min(values) <= 0:
        return
    axes.set(**{f"{which}scale": "log"})
    axis: Axis = axes.xaxis if which == "x" else axes.yaxis
    spread = max(values) / min(values)
    if spread < 4:  # too narrow for 1, 2 and 5
        axis.set_major_locator(MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]))
    else:
        axis.set_major_locator(LogLocator(subs=(1, 2, 5) if spread < 200 else (1,), numticks=12))
    axis.set_minor_locator(NullLocator())


def plain_numbers(axes: "Axes", voice: Voice, *, x: bool = True, y: bool = True) -> None:
    """Axes that say numbers as the reader's language writes them, also where their scale is logarithmic."""
    from matplotlib.ticker import FuncFormatter, NullFormatter

    for axis, wanted in ((axes.xaxis, x), (axes.yaxis, y)):
        if wanted:
            axis.set_major_formatter(FuncFormatter(lambda value, _: voice.tick(value)))
            axis.set_minor_formatter(NullFormatter())


def key(figure: "Figure", known: Mapping[str, "Artist"], left: float, top: float) -> None:
    """What each mark means, in rows from `top` points below the upper edge on. Each entry has its place by the letters of those before it,
    since the font that measures lacks the letters of some languages."""
    width, height = (INCH * side for side in figure.get_size_inches())
    across, down = left, top
    for label, mark in known.items():
        room = KEY_SIZE * (4.2 + 0.58 * breadth(label))
        if across > left and across + room > width:
            across, down = left, down + KEY_ROW
        place: Look = {"loc": "center left", "bbox_to_anchor": (across / width, 1 - down / height), "borderpad": 0, "borderaxespad": 0}
        figure.legend([mark], [label], fontsize=KEY_SIZE, **place)
        across += room


def marks_of(figure: "Figure") -> dict[str, "Artist"]:
    """Every mark with a meaning in the panels of a figure, each meaning once."""
    return {label: mark for axes in figure.axes for mark, label in zip(*axes.get_legend_handles_labels(), strict=True)}


_ROOT = re.compile(r"<svg\b[^>]*>")
_DROPPED = re.compile(r"<!DOCTYPE[^>]*>\s*|<metadata>.*?</metadata>\s*|<!--.*?-->\s*", re.S)
_FONT = re.compile(r"'DejaVu Sans'(?:, [^;\"]*)?")


def _explained(svg: str, drawing: Drawing) -> str:
    """The picture with what it shows said in words (SVG Accessibility API Mappings; WAI-ARIA role img), and its colours for the dark."""
    svg = _FONT.sub("system-ui, sans-serif", _DROPPED.sub("", svg))
    mark = hashlib.sha256(svg.encode()).hexdigest()[:8]  # names that do not clash where two pictures stand in one page
    root = _ROOT.search(svg)
    if root is None:
        raise ValueError("no picture")
    opened = root[0][:-1] + f' role="img" aria-labelledby="title-{mark} words-{mark}">'
    words = (
        f'\n <title id="title-{mark}">{escape(_legal(drawing.title))}</title>'
        f'\n <desc id="words-{mark}">{escape(_legal(drawing.description))}</desc>'
        f"\n <style>{_in_the_dark()}</style>"
    )
    return svg[: root.start()] + opened + words + svg[root.end() :]


def _legal(text: str) -> str:
    """The text without what XML 1.0 cannot hold (section 2.2, Char)."""
    return "".join(letter for letter in text if unicodedata.category(letter) not in ("Cc", "Cs") and letter not in "\ufffe\uffff")


def _in_the_dark() -> str:
    """Each colour's other one. What cannot read it shows the picture in the light."""
    rules = [
        f'[style*="{part}: {light}"],[{part}="{light}"]{{{part}:{dark}!important}}'
        for light, dark in zip(LIGHT, DARK, strict=True)
        for part in ("fill", "stroke")
    ]
    return f"@media (prefers-color-scheme:dark){{{''.join(rules)}}}"
