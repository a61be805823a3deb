"""Times of the whole library: order of sewing, foundation sections, template PDFs. Run by hand.

Prints seconds of this process's own work, which other programs on the machine do not lengthen, and
each part's share of the order of sewing.
"""

import sys
import time
from collections.abc import Callable

from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
from quiltgeom.piecing.difficulty import quilt_difficulty
from quiltgeom.piecing.foundation import foundation_sections
from quiltgeom.piecing.sewing_plan import plan_block
from quiltgeom.piecing.steps import sewing_steps
from quiltgeom.render.pdf import pdf_bytes
from quiltgeom.tracing.build import block_templates
from quiltgeom.tracing.pages import template_pages


def main(every: int = 1) -> None:
    """All blocks, or every so-manieth of them."""
    blocks = list(load_blocks())[::every]
    quilts = [lay_out(p) for p in load_patterns()]
    plans = [plan_block(b) for b in blocks[:3]]  # warm up
    base = 0.0
    parts: list[tuple[str, Callable[[], object]]] = [
        ("plans", lambda: plans.__setitem__(slice(None), [plan_block(b) for b in blocks])),
        ("steps", lambda: [sewing_steps(p, p.labels) for p in plans]),
        ("foundations", lambda: [foundation_sections(p) for p in plans]),
        (f"difficulty of {len(quilts)} quilts", lambda: [quilt_difficulty(q) for q in quilts]),
        (
            "template pages",
            lambda: pages.extend(template_pages(block_templates(b, 12)) for b in blocks),
        ),
        ("PDFs", lambda: [pdf_bytes(p) for p in pages]),
    ]
    pages: list[list] = []
    print(f"{len(blocks)} blocks")
    for name, run in parts:
        start = time.process_time()
        run()
        spent = time.process_time() - start
        base = base or spent
        print(f"{name}: {spent:.1f} s ({spent / base:.1f} x the plans)")
    print(f"{sum(map(len, pages))} pages")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
