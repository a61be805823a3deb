"""Times of the whole library: order of sewing, foundation sections, template PDFs. Run by hand."""

import time

from quiltgeom.library.blocks import load_blocks
from quiltgeom.piecing.foundation import foundation_sections
from quiltgeom.piecing.plan import plan_block
from quiltgeom.piecing.steps import sewing_steps
from quiltgeom.render.pdf import pdf_bytes
from quiltgeom.templates.build import block_templates
from quiltgeom.templates.pages import template_pages


def main() -> None:
    blocks = list(load_blocks())
    start = time.perf_counter()
    plans = [plan_block(b) for b in blocks]
    for block, plan in zip(blocks, plans, strict=True):
        sewing_steps(plan, [p.role for p in block.patches])
    sewn = time.perf_counter()
    for plan in plans:
        foundation_sections(plan)
    founded = time.perf_counter()
    pages = 0
    for block in blocks:
        made = template_pages(block_templates(block, 12))
        pages += len(made)
        pdf_bytes(made)
    done = time.perf_counter()
    print(f"{len(blocks)} blocks: order of sewing {sewn - start:.1f} s, foundations "
          f"{founded - sewn:.1f} s, {pages} template pages {done - founded:.1f} s "
          f"({(done - founded) / max(sewn - start, 1e-9):.1f} times the order)")  # fmt: skip


if __name__ == "__main__":
    main()
