// Which place of the cloth each patch shows: the rules of the library's previews, in the page.
// Lengths in inches, x right, y down, angles in degrees clockwise.

const ORIGINS = 8; // shared places of the cloth: neighbours differ, and few pictures are needed

const modulo = (value, n) => ((value % n) + n) % n;

/** Whole number nearest to a value; halves go to the even one. */
function roundEven(value) {
  const r = Math.round(value);
  return Math.abs(value % 1) === 0.5 && r % 2 !== 0 ? r - 1 : r;
}

/** `a b c d` of a clockwise turn, exact at quarter turns. */
function turnMatrix(angle) {
  const whole = modulo(angle, 360);
  const quarter = Math.floor(whole / 90);
  const exact = whole === quarter * 90;
  const cos = exact ? [1, 0, -1, 0][quarter] : Math.cos((whole * Math.PI) / 180);
  const sin = exact ? [0, 1, 0, -1][quarter] : Math.sin((whole * Math.PI) / 180);
  return [cos, sin, -sin, cos];
}

/** Corners of a path given in thousandths of an inch; arcs as fine polylines. */
function pathPoints(d) {
  const points = [];
  for (const [, op, rest] of d.matchAll(/([MLAZ])([^MLAZ]*)/g)) {
    if (op === "Z") continue;
    const v = rest.trim().split(/\s+/).map(Number);
    const end = [v[v.length - 2] / 1000, v[v.length - 1] / 1000];
    if (op === "A") points.push(...arcPoints(points[points.length - 1], end, v[0] / 1000, v[3], v[4]));
    points.push(end);
  }
  return points;
}

/** Points inside a circular arc (SVG 1.1, appendix F.6.5). */
function arcPoints([x0, y0], [x1, y1], r, large, sweep) {
  const hx = (x0 - x1) / 2, hy = (y0 - y1) / 2, half = hx * hx + hy * hy;
  const reach = Math.sqrt(Math.max(0, (r * r - half) / half)) * (large !== sweep ? 1 : -1);
  const cx = (x0 + x1) / 2 + reach * hy, cy = (y0 + y1) / 2 - reach * hx;
  const start = Math.atan2(y0 - cy, x0 - cx);
  let span = Math.atan2(y1 - cy, x1 - cx) - start;
  if (sweep && span < 0) span += 2 * Math.PI;
  if (!sweep && span > 0) span -= 2 * Math.PI;
  const out = [];
  for (let i = 1; i < 32; i++) {
    const a = start + (span * i) / 32;
    out.push([cx + r * Math.cos(a), cy + r * Math.sin(a)]);
  }
  return out;
}

/** Bounding box `[low x, low y, high x, high y]` of a patch in the axes of a cloth at `angle`. */
function clothBox(points, angle) {
  const [a, b, c, d] = turnMatrix(-angle);
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    const u = x * a + y * c, v = x * b + y * d;
    box[0] = Math.min(box[0], u);
    box[1] = Math.min(box[1], v);
    box[2] = Math.max(box[2], u);
    box[3] = Math.max(box[3], v);
  }
  return box;
}

/** Width and height after which cloth of a known repeat comes back. */
function repeatSpan([width, height, kind]) {
  return [width * (kind === "half-drop" ? 2 : 1), height * (kind === "brick" ? 2 : 1)];
}

/** How cloth goes on where a patch reaches beyond the swatch. */
function goesOn(cloth, beyond) {
  if (cloth.repeat) return "repeat";
  if (!beyond) return "plain";
  if (cloth.direction !== "one-way") return "mirror";
  // a one-way print is mirrored across its up only: otherwise it would stand on its head
  return modulo(roundEven(cloth.up / 90), 2) === 1 ? "mirror-y" : "mirror-x";
}

/** The place of every patch on its cloth.
 *
 * pieces: [{points, lie}] of one role, in the quilt's order.
 * cloth: {width, height, repeat, direction, up, motif}.
 * Returns {places: [[kind, a, b, c, d, e, f]], of: [index of a place], beyond: how many patches
 * reach beyond the swatch}.
 */
function layPieces(pieces, cloth, { seed = 0, stream = 0, fussy = false } = {}) {
  const groups = new Map();
  pieces.forEach((piece, i) => {
    const angle = Number(modulo(piece.lie - cloth.up, 360).toFixed(9));
    groups.set(angle, [...(groups.get(angle) || []), i]);
  });
  const places = [], known = new Map(), of = new Array(pieces.length);
  let beyond = 0;
  [...groups.keys()].sort((p, q) => p - q).forEach((angle, number) => {
    const members = groups.get(angle);
    const [a, b, c, d] = turnMatrix(angle);
    const boxes = members.map((i) => clothBox(pieces[i].points, angle));
    chooseShifts(boxes, cloth, [seed, stream, number], fussy).forEach(([u, v], k) => {
      const [x0, y0, x1, y1] = boxes[k];
      const over = !(x0 + u >= -1e-6 && y0 + v >= -1e-6 &&
        x1 + u <= cloth.width + 1e-6 && y1 + v <= cloth.height + 1e-6);
      beyond += over;
      // cloth = turned-back quilt + shift, so quilt = turn(cloth - shift)
      const place = [goesOn(cloth, over), a, b, c, d, -(a * u + c * v), -(b * u + d * v)];
      const key = place.join(" ");
      if (!known.has(key)) known.set(key, places.push(place) - 1);
      of[members[k]] = known.get(key);
    });
  });
  return { places, of, beyond };
}

function chooseShifts(boxes, cloth, entropy, fussy) {
  const numbers = randomNumbers(entropy, 2 * ORIGINS + 3 * boxes.length);
  const origins = Array.from({ length: ORIGINS }, (_, i) => numbers.slice(2 * i, 2 * i + 2));
  const [mx, my] = cloth.motif || [cloth.width / 2, cloth.height / 2];
  return boxes.map((box, k) => {
    const own = numbers.slice(2 * ORIGINS + 3 * k, 2 * ORIGINS + 3 * k + 3);
    if (fussy) return [mx - (box[0] + box[2]) / 2, my - (box[1] + box[3]) / 2];
    if (cloth.repeat) {
      const [w, h] = repeatSpan(cloth.repeat);
      const pick = origins[Math.floor(own[2] * ORIGINS)];
      return [pick[0] * w, pick[1] * h];
    }
    return insideShift(box, cloth, origins, own);
  });
}

/** A shared place of the cloth where the patch lies wholly inside the swatch, else its own. */
function insideShift(box, cloth, origins, own) {
  const size = [cloth.width, cloth.height];
  const span = [box[2] - box[0], box[3] - box[1]];
  const fitting = [];
  for (const origin of origins) {
    const shift = [0, 1].map((k) => {
      const start = box[k] + origin[k] * size[k];
      const tiles = Math.floor(start / size[k]);
      const fits = start - tiles * size[k] + span[k] <= size[k];
      return fits ? origin[k] * size[k] - tiles * size[k] : null;
    });
    if (shift[0] !== null && shift[1] !== null) fitting.push(shift);
  }
  if (fitting.length) return fitting[Math.floor(own[2] * fitting.length)];
  return [0, 1].map((k) => own[k] * (size[k] - span[k]) - box[k]);
}
