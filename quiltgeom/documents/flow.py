"""Pages of running text, tables and pictures, broken where there is no more room."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import Font, fit_text, text_items, wrap_text

INK, SOFT, RULE = "#222222", "#555555", "#b9b2a4"
MARGIN = 0.7
"""Inches: no printer sold needs more."""


@dataclass
class Flow:
    """Adds things one below the other; a new page begins where the next one does not fit.

    Attributes:
        paper: page width and height, inches.
        title: of the document, at the foot of every page.
        pages: what has been laid so far.
    """

    paper: tuple[float, float]
    title: str
    pages: list[Scene] = field(default_factory=list)
    y: float = 0.0

    def __post_init__(self) -> None:
        self.new_page()

    @property
    def width(self) -> float:
        """Room between the margins, inches."""
        return self.paper[0] - 2 * MARGIN

    @property
    def room(self) -> float:
        """Height that is left on this page, inches."""
        return self.paper[1] - MARGIN - 0.3 - self.y

    def new_page(self) -> None:
        """Go on at the top of a new page."""
        self.pages.append(Scene(*self.paper, title=self.title))
        self.y = MARGIN

    def need(self, height: float) -> None:
        """Begin a new page unless this much room is left."""
        if self.room < height and self.y > MARGIN:
            self.new_page()

    def add(self, *items: Item, label: str = "text") -> None:
        """Put items, already in their place, on this page."""
        self.pages[-1] = self.pages[-1].with_items(*items, label=label)

    def heading(self, text: str, points: float = 15.0, below: float = 0.9) -> None:
        """A heading that stays with ``below`` inches of what follows it."""
        self.need(points / 72 * 1.6 + below)
        self.y += points / 72 * 1.15
        size = fit_text(text, self.width, points, "Semibold")
        self.add(*text_items(text, MARGIN, self.y, size, font="Semibold"), label="heading")
        self.y += points / 72 * 0.55

    def rule(self) -> None:
        """A fine line across the page."""
        line = line_path([(MARGIN, self.y), (self.paper[0] - MARGIN, self.y)])
        self.add(Stroke(line, 0.008, RULE), label="rule")
        self.y += 0.12

    def paragraph(
        self, text: str, points: float = 10.5, *, colour: str = INK, indent: float = 0.0
    ) -> None:
        """Wrapped text; a long one is broken between pages."""
        for line in wrap_text(text, self.width - indent, points):
            self.need(points / 72 * 1.35)
            self.y += points / 72 * 1.05
            self.add(*text_items(line, MARGIN + indent, self.y, points, colour=colour))
            self.y += points / 72 * 0.3
        self.y += points / 72 * 0.35

    def row(
        self,
        cells: Sequence[str],
        stops: Sequence[float],
        points: float = 10.5,
        *,
        font: Font = "Regular",
    ) -> None:
        """One row of a table; ``stops`` are shares of the width at which the cells begin."""
        ends = [*stops[1:], 1.0]
        wrapped = [
            wrap_text(c, (e - s) * self.width - 0.1, points, font) or [""]
            for c, s, e in zip(cells, stops, ends, strict=True)
        ]
        lines = max(map(len, wrapped))
        self.need(lines * points / 72 * 1.3 + 0.05)
        base = self.y + points / 72 * 1.05
        for text, stop in zip(wrapped, stops, strict=True):
            self.add(*text_items(text, MARGIN + stop * self.width, base, points, font=font))
        self.y += lines * points / 72 * 1.3 + 0.05

    def scene(self, picture: Scene, width: float, height: float) -> None:
        """A framed picture, as large as fits into ``width`` x ``height``, in the middle."""
        scale = min(width / picture.width, height / picture.height)
        w, h = picture.width * scale, picture.height * scale
        left = (self.paper[0] - w) / 2
        self.need(h + 0.15)
        self.pages[-1] = self.pages[-1].with_scene(picture, left, self.y, scale)
        self.add(Stroke(path_of(rectangle(left, self.y, w, h)), 0.008, SOFT), label="frame")
        self.y += h + 0.15

    def sheet(self, picture: Scene) -> None:
        """A sheet of drawings at its own size (smaller where it is too large), unframed."""
        most = self.paper[1] - 2 * MARGIN - 0.3
        scale = min(1.0, self.width / picture.width, most / picture.height)
        self.need(picture.height * scale)
        self.pages[-1] = self.pages[-1].with_scene(picture, MARGIN, self.y, scale)
        self.y += picture.height * scale + 0.1

    def place(self, picture: Scene, x: float, y: float) -> None:
        """A picture at its own size, its top left corner at ``x``, ``y``."""
        self.pages[-1] = self.pages[-1].with_scene(picture, x, y)

    def chip(self, picture: Scene | str, side: float) -> None:
        """A square of cloth (or of a plain colour) at the left margin; ``y`` stays."""
        box = path_of(rectangle(MARGIN, self.y, side, side))
        if isinstance(picture, str):
            self.add(Fill(box, Solid(picture)), label="chip")
        else:
            self.pages[-1] = self.pages[-1].with_scene(
                picture, MARGIN, self.y, side / picture.width
            )
        self.add(Stroke(box, 0.008, SOFT), label="frame")

    def finished(self, extra: Sequence[Scene] = ()) -> list[Scene]:
        """All pages and further sheets, each with its number at the foot."""
        pages = [*self.pages, *(on_paper(s, self.paper) for s in extra)]
        out = []
        for number, page in enumerate(pages, 1):
            y = self.paper[1] - 0.38
            foot = f"{self.title}    page {number} of {len(pages)}"
            size = fit_text(foot, self.width, 8.0)
            out.append(
                page.with_items(
                    *text_items(foot, self.paper[0] / 2, y, size, anchor="middle", colour=SOFT),
                    label="foot",
                )
            )
        return out


def on_paper(scene: Scene, paper: tuple[float, float]) -> Scene:
    """A sheet made for another paper, made smaller where need be and centred; text stays text.

    A foot of 0.3 in stays free for the page number.
    """
    room = (paper[0], paper[1] - 0.3)
    scale = min(1.0, room[0] / scene.width, room[1] / scene.height)
    left = (paper[0] - scene.width * scale) / 2
    page = Scene(*paper, title=scene.title, description=scene.description)
    return page.with_scene(scene, left, 0.0, scale)
