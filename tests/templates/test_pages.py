"""The printed pages, measured with libraries that did not make them."""

import io
from dataclasses import replace

import numpy as np
import pytest
import shapely
from pypdf import PdfReader
from pypdf.generic import ContentStream

from quiltgeom.errors import QuiltValueError
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.render.pdf import pdf_bytes
from quiltgeom.render.scene import Fill, Stroke
from quiltgeom.tracing.build import block_templates, quilt_templates
from quiltgeom.tracing.draw import CUT_WIDTH
from quiltgeom.tracing.pages import CHECK_WIDTH, PAPERS, template_pages
from tests.conftest import swept_blocks

BLOCKS = load_blocks()


def _strokes(page, reader):
    """(line width, closed, points) of every stroked path, all in points of the page."""
    matrix, stack, width, found = np.eye(3), [], 1.0, []
    path, closed = [], False

    def at(x, y):
        return tuple((np.array([float(x), float(y), 1.0]) @ matrix)[:2])

    for v, op in ContentStream(page.get_contents(), reader).operations:
        match op:
            case b"q":
                stack.append((matrix, width))
            case b"Q":
                matrix, width = stack.pop()
            case b"cm":
                a, b, c, d, e, f = map(float, v)
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            case b"w":
                width = float(v[0])
            case b"m" | b"l":
                path.append(at(*v))
            case b"c":
                path.append(at(*v[4:]))
            case b"h":
                closed = True
            case b"re":
                x, y, w, h = map(float, v)
                path += [at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)]
                closed = True
            case b"S" | b"s" | b"B" | b"B*":
                scale = abs(np.linalg.det(matrix[:2, :2])) ** 0.5
                found.append((width * scale, closed or op == b"s", np.array(path)))
                path, closed = [], False
            case b"f" | b"f*" | b"n":
                path, closed = [], False
    return found


def _pages(templates, paper="letter"):
    reader = PdfReader(io.BytesIO(pdf_bytes(template_pages(templates, paper))))
    return reader, [_strokes(p, reader) for p in reader.pages]


def _of_width(strokes, inches):
    return [s for s in strokes if s[0] == pytest.approx(inches * 72, rel=0.01)]


def _size(stroke):
    return np.ptp(stroke[2], axis=0)


# ISO 216; ANSI/ASME Y14.1; PDF's unit is 1/72 inch (ISO 32000-1, 8.3.2.3)
@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [
        ("letter", 612, 792),
        ("a4", 595.276, 841.890),
        ("tabloid", 792, 1224),
        ("a3", 841.890, 1190.551),
    ],
)
def test_page_size_and_check_squares(paper, width, height):
    reader, pages = _pages(block_templates(BLOCKS.get("churn-dash"), 9), paper)
    for page, strokes in zip(reader.pages, pages, strict=True):
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.01)
        squares = sorted(tuple(_size(s)) for s in _of_width(strokes, CHECK_WIDTH) if s[1])
        assert squares[0] == pytest.approx((72.0, 72.0), abs=0.01)
        assert squares[1] == pytest.approx((141.732, 141.732), abs=0.01)


def test_two_inch_half_square_triangle_cut_legs():
    block = BLOCKS.get("half-square-triangle")
    _, (strokes,) = _pages(block_templates(block, 2, trim=False))
    cuts = _of_width(strokes, CUT_WIDTH)
    assert len(cuts) == 2
    for cut in cuts:
        assert _size(cut) / 72 == pytest.approx([2.8536, 2.8536], abs=1e-4)


@pytest.mark.parametrize("key", [b.key for b in swept_blocks()])
def test_every_template_is_on_the_pages_once(key):
    made = block_templates(BLOCKS.get(key), 6)
    # beside the check squares a page has room for 5.5 inches, above them for 7.5
    if any(max(t.size) > 9 or (min(t.size) > 5.4 and max(t.size) > 7.4) for t in made.templates):
        pytest.skip("tiled over several sheets, which cuts its outline: see the next tests")
    _, pages = _pages(made)
    cuts = [s for strokes in pages for s in _of_width(strokes, CUT_WIDTH) if s[1]]
    assert len(cuts) == len(made.templates)
    drawn = sorted(tuple(sorted(round(float(v) / 72, 2) for v in _size(c))) for c in cuts)
    if all(t.cut.is_straight for t in made.templates):
        sizes = sorted(tuple(sorted(round(v, 2) for v in t.size)) for t in made.templates)
        assert np.allclose(drawn, sizes, atol=0.011)


def test_nothing_overlaps_and_everything_is_inside_the_margins():
    for key in ("bears-paw", "snails-trail", "eight-pointed-star"):
        _, pages = _pages(block_templates(BLOCKS.get(key), 10))
        for strokes in pages:
            shapes = [shapely.Polygon(s[2]) for s in _of_width(strokes, CUT_WIDTH) if s[1]]
            big = max((s for s in _of_width(strokes, CHECK_WIDTH)), key=lambda s: _size(s)[0])
            shapes.append(shapely.Polygon(big[2]))
            total = shapely.union_all(shapes)
            assert total.area == pytest.approx(sum(s.area for s in shapes), rel=1e-9)
            x0, y0, x1, y1 = total.bounds
            assert min(x0, y0) >= 0.4 * 72 - 0.01
            assert x1 <= 612 - 0.4 * 72 + 0.01
            assert y1 <= 792 - 0.4 * 72 + 0.01


def test_a_big_template_is_tiled_with_overlap_and_all_of_it_is_there():
    """The lengths of cutting line on all sheets add up to its length plus the doubled overlaps."""
    made = block_templates(BLOCKS.get("half-square-triangle"), 20)
    _, pages = _pages(made, "a4")
    assert len(pages) > 4
    length = (
        sum(
            float(np.hypot(*np.diff(s[2], axis=0).T).sum())
            for strokes in pages
            for s in _of_width(strokes, CUT_WIDTH)
        )
        / 72
    )
    whole = sum(t.cut.perimeter for t in made.templates)
    assert whole < length < 1.25 * whole


def test_an_inch_is_300_pixels_at_300_dpi():
    pdfium = pytest.importorskip("pypdfium2")
    data = pdf_bytes(template_pages(block_templates(BLOCKS.get("pinwheel"), 6), "a4"))
    image = np.asarray(pdfium.PdfDocument(data)[0].render(scale=300 / 72).to_pil().convert("L"))
    # walk along the middle row of the 1-inch square, from the right edge of the page
    width, height = PAPERS["a4"]
    row = round((height - 0.4 - 0.15 - 0.8) * 300)
    start, stop = round((width - 0.4 - 0.15 - 1.05) * 300), round((width - 0.4 - 0.1) * 300)
    dark = np.flatnonzero(image[row, start:stop] < 128)
    edges = [g.mean() for g in np.split(dark, np.flatnonzero(np.diff(dark) > 5) + 1)]
    assert edges[-1] - edges[0] == pytest.approx(300, abs=1)


def test_pages_need_no_fonts_and_are_the_same_every_time():
    made = block_templates(BLOCKS.get("friendship-star"), 9)
    data = pdf_bytes(template_pages(made))
    assert data == pdf_bytes(template_pages(block_templates(BLOCKS.get("friendship-star"), 9)))
    for page in PdfReader(io.BytesIO(data)).pages:
        assert "/Font" not in page["/Resources"]


def test_a_label_that_stands_below_its_shape_has_room_there():
    """Long thin shapes hold their label only lying or only standing; none may be written over."""
    for page in template_pages(block_templates(BLOCKS.get("mariners-compass"), 12)):
        items = [i for layer in page.layers for i in layer.items]
        texts = [
            i.path.bounds
            for i in items
            if isinstance(i, Fill)
            and i.path.bounds[3] - i.path.bounds[1] > 0.09
            and len(i.path.segments) > 40
        ]
        rings = [
            [s[1][-2:] for s in i.path.segments if s[1]]
            for i in items
            if isinstance(i, Stroke) and i.width == CUT_WIDTH
        ]
        lines = shapely.union_all([shapely.LinearRing(r) for r in rings])
        for box in texts:
            assert not lines.intersects(shapely.box(*box)), box


def test_pieces_cut_by_ruler_have_a_page_of_their_own():
    made = quilt_templates(lay_out(load_patterns().get("net-menders-chain")))
    pages = template_pages(made)
    assert len(made.by_ruler) == 4
    assert pages[-1].title.endswith(f"page {len(pages)} of {len(pages)}")
    without = template_pages(replace(made, by_ruler=(), ruler_cuts=()))
    assert len(pages) == len(without) + 1


def test_a_quilt_prints_and_an_unknown_paper_does_not():
    made = quilt_templates(lay_out(load_patterns().get("net-menders-chain")))
    assert len(template_pages(made)) >= 1
    with pytest.raises(QuiltValueError, match="letter, tabloid, a4, a3"):
        template_pages(made, "foolscap")
