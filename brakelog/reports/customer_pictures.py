"""How the part of an axle wore that ends first: small pictures for the customer's page."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import matplotlib.style
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, ScalarFormatter
from matplotlib.transforms import Bbox

from brakelog.record.shop import Shop
from brakelog.reports.language.language import Language, capital, language_named
from brakelog.reports.plain_names import position_at
from brakelog.reports.plain_pictures import picture_words
from brakelog.reports.wear_axes import AxisWords, Room, draw_life
from brakelog.rules.part_history import PlaceHistory

_MM_PER_INCH = 25.4
_ROOM = Room(width_in=74 / _MM_PER_INCH, height_in=23 / _MM_PER_INCH, letters=0, line=0.0)
"""Half a page wide, so that two axles stand beside each other. [in]"""
_SETTINGS = {
    "font.family": "sans-serif",
    "font.size": 6.5,
    "axes.linewidth": 0.5,
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
    "xtick.major.size": 2.0,
    "ytick.major.size": 2.0,
    "xtick.major.pad": 1.5,
    "ytick.major.pad": 1.5,
    "svg.fonttype": "none",
    "svg.hashsalt": "brakelog",
}
"""Text stays text, so that it can be searched and read aloud; ids do not change."""
_FEW_TICKS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """The picture of one part."""

    key: str
    """Distinguishes what belongs to it on a page: ``LF-pad-in``."""
    title: str
    text: str
    """In words what it shows."""
    drawing: str
    """What stands inside the SVG element: markup made here, of figures and of no text typed."""
    view_box: str


class _Figures(ScalarFormatter):
    """Numbers an axis of sizes as usual, with the decimals of a language."""

    figure: Callable[[str], str] = str

    def __call__(self, x: float, pos: int | None = None) -> str:
        return self.figure(super().__call__(x, pos))


class Pen:
    """Draws one picture after another onto the same axes, so that many cost no more memory."""

    def __init__(self) -> None:
        with matplotlib.style.context(["default", _SETTINGS]):
            self._make_axes()

    def _make_axes(self) -> None:
        self._figure = Figure(figsize=(_ROOM.width_in, _ROOM.height_in))
        self._canvas = FigureCanvasSVG(self._figure)
        self._axes: Axes = self._figure.add_axes((0.075, 0.17, 0.79, 0.76))
        self._figures = _Figures()
        self._axes.yaxis.set_major_formatter(self._figures)

    def picture(self, lang: Language, place: PlaceHistory, shop: Shop) -> Picture:
        """Return the picture of one part."""
        self._wipe()
        words = AxisWords(
            limit=lang.say("picture.limit"),
            new=lang.say("picture.new"),
            figure=lang.decimal,
            whole=lang.number,
        )
        self._figures.figure = lang.decimal
        draw_life(self._axes, place, shop, _ROOM, words)
        self._make_small()
        out = io.StringIO()
        unsaid = {"Date": None, "Creator": None}
        self._canvas.print_svg(out, metadata=unsaid)  # type: ignore[no-untyped-call]
        key = f"{place.corner.code}-{place.position.value}"
        view_box, drawing = _embedded(out.getvalue(), key)
        return Picture(
            key=key,
            title=capital(position_at(lang, place.corner, place.position)),
            text=picture_words(lang, place, shop),
            drawing=drawing,
            view_box=view_box,
        )

    def _wipe(self) -> None:
        """Take away what was drawn before; ticks and edges stay, which are dear to make."""
        axes = self._axes
        for artist in (*axes.lines, *axes.collections, *axes.texts):
            artist.remove()
        axes.containers.clear()
        axes.dataLim.set(Bbox.null())
        axes.ignore_existing_data_limits = True

    def _make_small(self) -> None:
        """Take away what the page says beside the picture, and number the axes sparsely."""
        axes = self._axes
        axes.set_title("", loc="left")
        axes.set_ylabel("")
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(MaxNLocator(_FEW_TICKS, steps=[1, 2, 5, 10]))


@cache
def _pen() -> Pen:
    return Pen()


def drawn(
    places: Sequence[PlaceHistory], shop: Shop, lang: Language | None = None
) -> tuple[Picture, ...]:
    """Return the pictures of some parts, each of which has been read.

    Parameters
    ----------
    places : sequence of PlaceHistory
        The parts.
    shop : Shop
        Says the units.
    lang : Language, optional
        The customer's language; the shop's if none is given.
    """
    lang = lang or language_named(shop.language)
    with matplotlib.style.context(["default", _SETTINGS]), warnings.catch_warnings():
        # Text stays text: the reader's fonts are asked for a sign, not those that measure it here.
        warnings.filterwarnings("ignore", message=r"Glyph .* missing")
        return tuple(_pen().picture(lang, place, shop) for place in places)


_METADATA = re.compile(r"<metadata>.*?</metadata>|<style[^>]*>.*?</style>|<!--.*?-->", re.DOTALL)
_SVG = re.compile(r'<svg [^>]*viewBox="([^"]*)"[^>]*>(.*)</svg>', re.DOTALL)
_ID = re.compile(r' id="([^"]*)"')
_LINK = re.compile(r'xlink:href="#([^"]*)"|url\(#([^)]*)\)')
_BLANKS = re.compile(r"\s*\n\s*")


def _embedded(svg: str, key: str) -> tuple[str, str]:
    """Return the view box and the inside of an SVG as it can stand in a page beside others.

    What nothing refers to loses its id; the rest gets one that belongs to this picture alone.
    """
    found = _SVG.search(_METADATA.sub("", svg))
    assert found is not None
    view_box, inside = found.groups()
    wanted = {link or url for link, url in _LINK.findall(inside)}

    def named(match: re.Match[str]) -> str:
        return f' id="{key}-{match[1]}"' if match[1] in wanted else ""

    def linked(match: re.Match[str]) -> str:
        return f'href="#{key}-{match[1]}"' if match[1] else f"url(#{key}-{match[2]})"

    return view_box, _BLANKS.sub("\n", _LINK.sub(linked, _ID.sub(named, inside))).strip()
