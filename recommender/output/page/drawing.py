"""A small drawing board for SVG: scales, axes, marks and words that stay text.

Colours come from the page's style sheet by class name, so that light, dark and print each have
their own; no attribute holds a style.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from markupsafe import Markup, escape

from recommender.output.screen import safe

Point = tuple[float, float]


@dataclass(frozen=True)
class Scale:
    """A linear scale from a quantity to the board."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        span = self.high - self.low or 1.0
        return self.start + (value - self.low) / span * (self.end - self.start)

    def ticks(self, most: int = 6) -> list[float]:
        """Round values along it, at most so many."""
        span = (self.high - self.low) or 1.0
        step = 10.0 ** np.floor(np.log10(span / most))
        step = next(step * k for k in (1, 2, 2.5, 5, 10) if span / (step * k) <= most)
        first = np.ceil(self.low / step - 1e-9)
        out = [float(n * step) + 0.0 for n in np.arange(first, first + most + 2)]
        return [value for value in out if value <= self.high + 1e-9 * span]


@dataclass
class Board:
    """Marks collected into one SVG picture with a title and a description."""

    title: str
    says: str
    width: float = 640
    height: float = 360
    marks: list[Markup] = field(default_factory=list)

    def add(self, name: str, shown: str = "", text: object = None, **attributes: object) -> None:
        """An element of a class; `text` is its content, shown as text."""
        told = {"class": shown, **{k.replace("_", "-"): v for k, v in attributes.items()}}
        body = Markup(" ").join(
            Markup('{}="{}"').format(key, _plain(value))
            for key, value in told.items() if value not in ("", None)
        )  # fmt: skip
        inside = Markup("") if text is None else escape(safe(text))
        self.marks.append(Markup("<{0} {1}>{2}</{0}>").format(Markup(name), body, inside))

    def line(self, a: Point, b: Point, shown: str) -> None:
        self.add("line", shown, x1=a[0], y1=a[1], x2=b[0], y2=b[1])

    def path(self, points: Iterable[Point], shown: str, closed: bool = False) -> None:
        text = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + ("Z" if closed else "")
        self.add("path", shown, d=text)

    def box(self, a: Point, b: Point, shown: str) -> None:
        (x1, y1), (x2, y2) = a, b
        self.add("rect", shown, x=min(x1, x2), y=min(y1, y2), width=abs(x2 - x1),
                 height=abs(y2 - y1))  # fmt: skip

    def words(self, at: Point, text: object, shown: str = "words", anchor: str = "start") -> None:
        self.add("text", shown, text, x=at[0], y=at[1], text_anchor=anchor)

    def mark(self, at: Point, shape: str, size: float, shown: str) -> None:
        """A mark told apart by its shape as well: ring, disc, cross, square, diamond, triangle."""
        x, y = at
        if shape in ("disc", "ring"):
            self.add("circle", shown, cx=x, cy=y, r=size)
        elif shape == "cross":
            self.path([(x - size, y - size), (x + size, y + size)], shown)
            self.path([(x - size, y + size), (x + size, y - size)], shown)
        else:
            shapes: dict[str, list[Point]] = {
                "square": [(-1, -1), (1, -1), (1, 1), (-1, 1)],
                "diamond": [(0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)],
                "triangle": [(0, -1.3), (1.2, 0.9), (-1.2, 0.9)],
            }
            corners = shapes[shape]
            self.path([(x + size * a, y + size * b) for a, b in corners], shown, closed=True)

    def axes(self, x: Scale, y: Scale, x_words: str, y_words: str, most: int = 7) -> None:
        """Ruled lines with their numbers, and what each axis is."""
        for value in x.ticks(most):
            self.line((x.at(value), y.start), (x.at(value), y.end), "rule")
            self.words((x.at(value), y.start + 16), f"{value:g}", "tick", "middle")
        for value in y.ticks(6):
            self.line((x.start, y.at(value)), (x.end, y.at(value)), "rule")
            self.words((x.start - 6, y.at(value) + 4), f"{value:g}", "tick", "end")
        self.line((x.start, y.start), (x.end, y.start), "axis")
        self.line((x.start, y.start), (x.start, y.end), "axis")
        self.words((x.end, y.start + 34), x_words, "label", "end")
        self.words((x.start, y.end - 10), y_words, "label")

    def svg(self) -> Markup:
        """The picture."""
        return Markup(
            '<svg class="picture" viewBox="0 0 {:g} {:g}" role="img" aria-label="{}">'
            "<title>{}</title>{}</svg>"
        ).format(
            self.width, self.height, safe(f"{self.title}. {self.says}"), safe(self.title),
            Markup("").join(self.marks),
        )  # fmt: skip


def scales(
    board: Board, x: Sequence[float], y: Sequence[float], left: float = 52, right: float = 16,
    top: float = 34, bottom: float = 44,
) -> tuple[Scale, Scale]:  # fmt: skip
    """Scales over the board for quantities within [low, high] each; y runs upward."""
    return (
        Scale(x[0], x[1], left, board.width - right),
        Scale(y[0], y[1], board.height - bottom, top),
    )


def _plain(value: object) -> object:
    return f"{value:.1f}" if isinstance(value, float) else value
