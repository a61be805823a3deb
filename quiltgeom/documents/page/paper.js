// For paper the quilts are painted as pixels: printers take long over many laid tiles.

const PAPER_PX = 1000; // longer side of the large picture, pixels

/** Paint a quilt: neighbours' edges are added on black, so that no gap shows between them. */
function paintQuilt(pattern, looks, side, grey = false) {
  const scale = side / Math.max(pattern.width, pattern.height);
  const canvas = blankCanvas(pattern.width * scale, pattern.height * scale);
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#000000";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.globalCompositeOperation = "lighter";
  pen.imageSmoothingQuality = "high";
  pen.scale(canvas.width / (pattern.width * MILS), canvas.height / (pattern.height * MILS));
  const small = side / Math.max(pattern.width, pattern.height) < 12;
  for (const role of pattern.roles) {
    const pieces = pattern.pieces[role.name], look = looks[role.name];
    if (!pieces) continue;
    if (!look.cloth) {
      pen.fillStyle = look.colour;
      pen.fill(new Path2D(pieces.d.join("")), "evenodd");
      continue;
    }
    const parts = look.laid.places.map(() => []);
    const paths = look.laid.d || pieces.d;
    look.laid.of.forEach((place, i) => parts[place].push(paths[i]));
    parts.forEach((d, i) => {
      pen.fillStyle = clothFill(pen, look.cloth, look.laid.places[i], small);
      pen.fill(new Path2D(d.join("")), "evenodd");
    });
  }
  if (grey) greyPixels(pen, canvas);
  canvas.className = "paper";
  return canvas;
}

function clothFill(pen, cloth, place, small) {
  const tile = tileOf(cloth, place[0], small);
  const { source, matrix } = mirrored(cloth, tile, place);
  const fill = pen.createPattern(source, "repeat");
  fill.setTransform(new DOMMatrix(matrix));
  return fill;
}

/** The tile as pixels, mirrored copies and all, and where it lies in thousandths of an inch. */
function mirrored(cloth, tile, [kind, a, b, c, d, e, f]) {
  const across = kind === "mirror" || kind === "mirror-x", down = kind === "mirror" || kind === "mirror-y";
  const kept = cloth.picture.tiles, key = `paper ${tile.key} ${across} ${down}`;
  if (!kept.has(key)) {
    const canvas = blankCanvas(tile.w * (across ? 2 : 1), tile.h * (down ? 2 : 1)), pen = canvas.getContext("2d");
    for (const x of across ? [1, -1] : [1]) {
      for (const y of down ? [1, -1] : [1]) {
        pen.setTransform(x, 0, 0, y, x < 0 ? canvas.width : 0, y < 0 ? canvas.height : 0);
        pen.drawImage(tile.source, 0, 0, tile.w, tile.h);
      }
    }
    kept.set(key, canvas);
  }
  const kx = (MILS * tile.width) / tile.w, ky = (MILS * tile.height) / tile.h;
  return { source: kept.get(key), matrix: [a * kx, b * kx, c * ky, d * ky, e * MILS, f * MILS] };
}

/** Greys of the same lightness, as the page's filter makes them. */
function greyPixels(pen, canvas) {
  const image = pen.getImageData(0, 0, canvas.width, canvas.height), { data } = image;
  const linear = Array.from({ length: 256 }, (_, v) => toLinear(v / 255));
  const code = (y) => 255 * (y <= 0.0031308 ? y * 12.92 : 1.055 * y ** (1 / 2.4) - 0.055);
  const coded = Uint8Array.from({ length: 4096 }, (_, i) => Math.round(code(i / 4095)));
  for (let i = 0; i < data.length; i += 4) {
    const y = 0.2126 * linear[data[i]] + 0.7152 * linear[data[i + 1]] + 0.0722 * linear[data[i + 2]];
    data[i] = data[i + 1] = data[i + 2] = coded[Math.round(y * 4095)];
  }
  pen.putImageData(image, 0, 0);
}

/** Every quilt of the page with its painter. */
function papers(page) {
  const { show } = page, looks = show.looks(show.pattern);
  return [
    [page.big, () => paintQuilt(show.pattern, looks, PAPER_PX, byId("greys").checked)],
    [byId("grey-picture"), () => paintQuilt(show.pattern, looks, PAPER_PX / 2, true)],
    ...page.ways.map((way) => [way.svg, () => paintQuilt(way.pattern, show.looks(way.pattern), PAPER_PX / 3)]),
  ];
}

/** The same as JPEG pictures, ready to be printed: a tenth of the bytes, but not made in an instant. */
async function packedPapers(page) {
  const made = new Map();
  for (const [svg, paint] of papers(page)) {
    const image = new Image();
    image.alt = "";
    image.className = "paper";
    image.src = asJpeg(paint());
    await image.decode();
    made.set(svg, image);
  }
  return made;
}

/** Put pixels in the place of every quilt while the page is printed. */
function toPaper(page) {
  fromPaper();
  for (const [svg, paint] of papers(page)) {
    svg.classList.add("not-on-paper");
    svg.after(page.packed ? page.packed.get(svg) : paint());
  }
}

function fromPaper() {
  for (const picture of document.querySelectorAll("canvas.paper, img.paper")) picture.remove();
  for (const svg of document.querySelectorAll(".not-on-paper")) svg.classList.remove("not-on-paper");
}
