"""A little SVG: elements as text, a chart with axes, dimension lines."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape


def num(value: float) -> str:
    """A coordinate, to a tenth of a pixel."""
    return f"{value:.1f}".removesuffix(".0")


def el(name: str, content: str = "", **attributes: object) -> str:
    """An element; `cls` is its class, an underscore in a name stands for a hyphen."""
    parts = []
    for key, value in attributes.items():
        if value is not None and value != "":
            text = num(value) if isinstance(value, float) else str(value)
            parts.append(f' {"class" if key == "cls" else key.replace("_", "-")}="{escape(text)}"')
    return f"<{name}{''.join(parts)}>{content}</{name}>" if content else f"<{name}{''.join(parts)}/>"


def text(x: float, y: float, words: str, cls: str = "", anchor: str = "") -> str:
    """Text whose baseline begins (or, by `anchor`, ends) at a point."""
    return el("text", escape(words), x=float(x), y=float(y), cls=cls, text_anchor=anchor)


def line(x1: float, y1: float, x2: float, y2: float, cls: str) -> str:
    return el("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), cls=cls)


def rect(x: float, y: float, width: float, height: float, cls: str) -> str:
    return el(
        "rect", x=float(x), y=float(y), width=float(max(width, 0)), height=float(max(height, 0)), cls=cls
    )


def polyline(points: Iterable[tuple[float, float]], cls: str) -> str:
    return el("polyline", points=" ".join(f"{num(x)},{num(y)}" for x, y in points), cls=cls)


def dimension(x: float, y1: float, y2: float, words: str, side: int = 1, cls: str = "dim") -> str:
    """A vertical dimension line; its arrows stand outside where the gap is small. `side` -1: text left."""
    top, bottom = min(y1, y2), max(y1, y2)
    inside = bottom - top > 14
    out = [line(x, top if inside else top - 12, x, bottom if inside else bottom + 12, cls)]
    for y, way in ((top, 1 if inside else -1), (bottom, -1 if inside else 1)):
        head = f"M{num(x - 3)} {num(y + 6 * way)}L{num(x)} {num(y)}L{num(x + 3)} {num(y + 6 * way)}z"
        out.append(el("path", d=head, cls=f"{cls} head"))
    out.append(text(x + 6 * side, (top + bottom) / 2 + 4, words, cls, "" if side > 0 else "end"))
    return "".join(out)


def picture(width: float, height: float, title: str, content: str, cls: str = "") -> str:
    """The svg element, named for those who cannot see it."""
    w, h = num(width), num(height)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}" height="{h}" role="img" '
        f'aria-label="{escape(title)}" class="{cls}">{content}</svg>'
    )


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers from `low` to `high`: steps of 1, 2 or 5 times a power of ten."""
    span = high - low
    if not span > 0 or not math.isfinite(span):
        return [low]
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * m for m in (1, 2, 5, 10, 20) if span / (power * m) <= most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(k * step, 12) for k in range(first, last + 1)]


def decades(low: float, high: float) -> list[float]:
    """1, 10, 100 ... from `low` to `high`; 2 and 5 between them where that leaves fewer than three."""
    exponents = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    whole = [10.0**e for e in exponents if low <= 10.0**e <= high]
    return (
        whole
        if len(whole) > 2
        else [m * 10.0**e for e in exponents for m in (1, 2, 5) if low <= m * 10.0**e <= high]
    )


class Chart:
    """Axes with ticks and names, and what is drawn on them."""

    left, right, top, bottom = 54.0, 14.0, 12.0, 42.0

    def __init__(
        self,
        x_range: tuple[float, float],
        y_range: tuple[float, float],
        x_name: str,
        y_name: str,
        *,
        log: bool = False,
        width: float = 380.0,
        height: float = 240.0,
    ) -> None:
        self.width, self.height, self.log = width, height, log
        self.x_range, self.y_range = x_range, y_range
        self.x_name, self.y_name = x_name, y_name
        self.back: list[str] = []
        self.front: list[str] = []

    def x(self, value: float) -> float:
        low, high = self.x_range
        return self.left + (value - low) / (high - low) * (self.width - self.left - self.right)

    def y(self, value: float) -> float:
        low, high = self.y_range
        if self.log:
            low, high, value = math.log(low), math.log(high), math.log(value)
        return (
            self.height - self.bottom - (value - low) / (high - low) * (self.height - self.top - self.bottom)
        )

    def band(self, low: float, high: float, cls: str) -> None:
        """A level band over the whole width."""
        self.back.append(
            rect(
                self.left, self.y(high), self.width - self.left - self.right, self.y(low) - self.y(high), cls
            )
        )

    def level(self, value: float, cls: str) -> None:
        self.back.append(line(self.left, self.y(value), self.width - self.right, self.y(value), cls))

    def upright(self, value: float, cls: str) -> None:
        self.back.append(line(self.x(value), self.top, self.x(value), self.height - self.bottom, cls))

    def curve(self, points: Sequence[tuple[float, float]], cls: str) -> None:
        self.front.append(polyline(((self.x(a), self.y(b)) for a, b in points), cls))

    def point(self, x: float, y: float, cls: str, filled: bool = True) -> None:
        self.front.append(el("circle", cx=self.x(x), cy=self.y(y), r="4.5" if filled else "3.5", cls=cls))

    def svg(self, title: str) -> str:
        out = list(self.back)
        ground, edge = self.height - self.bottom, self.width - self.right
        for value in ticks(*self.x_range):
            out.append(line(self.x(value), ground, self.x(value), ground + 4, "axis"))
            out.append(text(self.x(value), ground + 16, f"{value:g}", "tick", "middle"))
        for value in decades(*self.y_range) if self.log else ticks(*self.y_range, 5):
            out.append(line(self.left, self.y(value), edge, self.y(value), "grid"))
            out.append(
                text(self.left - 6, self.y(value) + 4, f"{value:g}".replace("-", "\u2212"), "tick", "end")
            )
        out.append(line(self.left, ground, edge, ground, "axis"))
        out.append(line(self.left, self.top, self.left, ground, "axis"))
        out.append(text((self.left + edge) / 2, self.height - 6, self.x_name, "name", "middle"))
        middle = num((self.top + ground) / 2)
        out.append(
            f'<text class="name" text-anchor="middle" transform="translate(13 {middle}) rotate(-90)">'
            f"{escape(self.y_name)}</text>"
        )
        return picture(self.width, self.height, title, "".join(out + self.front), "chart")
