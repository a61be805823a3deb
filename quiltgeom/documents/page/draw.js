// Pictures as SVG in thousandths of an inch, each tile of cloth in its own pixels.

const SVG = "http://www.w3.org/2000/svg";
const XLINK = "http://www.w3.org/1999/xlink";
const MILS = 1000;
const NUDGE = "translate(3 1)"; // a thread's breadth, along no direction in which seams run
const LONG_TILE = 864; // pixels that a short repeat is written out to
const SMALL_SIDE = 300; // pixels of the swatches in small pictures

/** An SVG element; `href` goes where older programs look for it. */
function shape(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "href") element.setAttributeNS(XLINK, "xlink:href", value);
    else if (value !== null && value !== undefined) element.setAttribute(key, String(value));
  }
  element.append(...children);
  return element;
}

/** Text without the characters that XML forbids. */
const xmlText = (text) => String(text).replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, "");

const short = (n) => String(Number(n.toPrecision(9)));

function blankCanvas(width, height) {
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(width));
  canvas.height = Math.max(1, Math.round(height));
  return canvas;
}

/** A picture reduced by halves (so that fine stripes are averaged, not skipped). */
function reduced(source, width, height) {
  [width, height] = [Math.max(1, width), Math.max(1, height)]; // halving never comes below 1
  let [w, h] = [source.naturalWidth || source.width, source.naturalHeight || source.height];
  let now = source;
  do {
    w = Math.max(width, Math.ceil(w / 2));
    h = Math.max(height, Math.ceil(h / 2));
    const next = blankCanvas(w, h), pen = next.getContext("2d");
    pen.imageSmoothingQuality = "high";
    pen.fillStyle = "#ffffff";
    pen.fillRect(0, 0, w, h); // what is transparent lies on white
    pen.drawImage(now, 0, 0, w, h);
    now = next;
  } while (w > width || h > height);
  return now;
}

const asJpeg = (canvas) => canvas.toDataURL("image/jpeg", 0.92);

/** Make a picture ready to be drawn: decoded, with a small copy, its mean colour and lightness. */
async function openPicture(picture) {
  if (picture.ready) return picture;
  const image = new Image();
  image.src = picture.src;
  await image.decode();
  const { naturalWidth: w, naturalHeight: h } = image;
  const fit = Math.min(1, SMALL_SIDE / Math.max(w, h));
  const few = fit < 1 ? reduced(image, Math.round(w * fit), Math.round(h * fit)) : image;
  Object.assign(picture, {
    w, h, image, few, fewSrc: fit < 1 ? asJpeg(few) : picture.src,
    ...meanLight(few), tiles: new Map(), ready: true,
  });
  return picture;
}

const toLinear = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
const lightnessOf = (y) => (y > 216 / 24389 ? 116 * Math.cbrt(y) - 16 : (y * 24389) / 27);

/** Mean colour, and CIE lightness 0..100 of the mean light. */
function meanLight(source) {
  const side = 96, canvas = reduced(source, side, side);
  const data = canvas.getContext("2d").getImageData(0, 0, side, side).data;
  const sum = [0, 0, 0];
  let light = 0;
  for (let i = 0; i < data.length; i += 4) {
    for (let k = 0; k < 3; k++) sum[k] += data[i + k];
    light += 0.2126 * toLinear(data[i] / 255) + 0.7152 * toLinear(data[i + 1] / 255) +
      0.0722 * toLinear(data[i + 2] / 255);
  }
  const n = data.length / 4;
  const hex = sum.map((v) => Math.round(v / n).toString(16).padStart(2, "0")).join("");
  return { mean: "#" + hex, lightness: lightnessOf(light / n) };
}

/** Lightness of `#rrggbb`. */
function colourLightness(hex) {
  const [r, g, b] = [1, 3, 5].map((i) => toLinear(parseInt(hex.slice(i, i + 2), 16) / 255));
  return lightnessOf(0.2126 * r + 0.7152 * g + 0.0722 * b);
}

/** The tile of a cloth: `{href, w, h}` pixels spanning `{width, height}` inches. */
function tileOf(cloth, kind, small) {
  const picture = cloth.picture;
  const plain = { href: small ? picture.fewSrc : picture.src, key: small ? "s" : "l",
    source: small ? picture.few : picture.image,
    ...(small ? { w: picture.few.width, h: picture.few.height } : { w: picture.w, h: picture.h }),
    width: cloth.width, height: cloth.height };
  if (kind !== "repeat") return plain;
  const [rw, rh, how] = cloth.repeat;
  const part = [Math.min(1, rw / cloth.width), Math.min(1, rh / cloth.height)];
  if (how === "straight" && part[0] > 0.9999 && part[1] > 0.9999) return plain;
  const key = [plain.key, ...part.map((p) => p.toFixed(6)), how].join(" ");
  if (!picture.tiles.has(key)) {
    picture.tiles.set(key, repeatTile(small ? picture.few : picture.image, plain, part, how));
  }
  const made = picture.tiles.get(key), [w, h] = repeatSpan(cloth.repeat);
  return { ...made, key, width: w * made.times[0], height: h * made.times[1] };
}

/** One whole repeat (half-drop and brick: two), written out so that it drifts nowhere. */
function repeatTile(source, { w, h }, part, how) {
  const box = [w * part[0], h * part[1]];
  let [cols, rows] = box.map((v) => Math.max(2, Math.round(v)));
  if (how === "half-drop") rows += rows % 2;
  if (how === "brick") cols += cols % 2;
  const wide = how === "half-drop" ? 2 * cols : cols, high = how === "brick" ? 2 * rows : rows;
  const times = [wide, high].map((v) => Math.max(1, Math.floor(LONG_TILE / v)));
  const canvas = blankCanvas(wide * times[0], high * times[1]), pen = canvas.getContext("2d");
  const one = blankCanvas(cols, rows), first = one.getContext("2d");
  first.imageSmoothingQuality = "high";
  first.drawImage(source, 0, 0, box[0], box[1], 0, 0, cols, rows);
  for (let i = 0; i < canvas.width / cols; i++) {
    for (let j = -1; j < canvas.height / rows; j++) {
      const down = how === "half-drop" && i % 2 ? rows / 2 : 0;
      const across = how === "brick" && modulo(j, 2) ? cols / 2 : 0;
      pen.drawImage(one, i * cols - across, j * rows + down);
      if (across) pen.drawImage(one, i * cols + across, j * rows + down);
    }
  }
  return { href: asJpeg(canvas), source: canvas, w: canvas.width, h: canvas.height, times };
}

let drawn = 0;

/** Patterns and pictures of one drawing: `own` ones (for a file), or shared by the whole page. */
class Cloths {
  constructor(defs, small, own = false) {
    Object.assign(this, { defs, small, own, images: new Map(), names: new Map() });
    this.prefix = own ? "" : `d${++drawn}-`;
  }

  /** Id of the pattern that lays a cloth at a place. */
  pattern(cloth, [kind, a, b, c, d, e, f]) {
    const tile = tileOf(cloth, kind, this.small);
    const name = `${this.prefix}cut-${this.names.size + 1}`;
    this.names.set(name, true);
    const kx = (MILS * tile.width) / tile.w, ky = (MILS * tile.height) / tile.h;
    const values = [a * kx, b * kx, c * ky, d * ky, e * MILS, f * MILS].map(short);
    const wide = kind === "mirror" || kind === "mirror-x", high = kind === "mirror" || kind === "mirror-y";
    const w = tile.w * (wide ? 2 : 1), h = tile.h * (high ? 2 : 1);
    const image = this.image(cloth, tile);
    const pattern = shape("pattern", { id: name, width: w, height: h,
      patternUnits: "userSpaceOnUse", patternTransform: `matrix(${values.join(" ")})` });
    // under the picture its mean colour: edges of tiles may let a little through
    pattern.append(shape("rect", { width: w, height: h, fill: cloth.picture.mean }),
      shape("use", { href: image }));
    if (wide) pattern.append(shape("use", { href: image, transform: `matrix(-1 0 0 1 ${w} 0)` }));
    if (high) pattern.append(shape("use", { href: image, transform: `matrix(1 0 0 -1 0 ${h})` }));
    if (wide && high) {
      pattern.append(shape("use", { href: image, transform: `matrix(-1 0 0 -1 ${w} ${h})` }));
    }
    this.defs.append(pattern);
    return name;
  }

  image(cloth, tile) {
    return this.own ? pictureIn(this.defs, this.images, "cloth", cloth, tile) : sharedPicture(cloth, tile);
  }
}

/** Reference to a tile's picture among `defs`, put there when it is first needed. */
function pictureIn(defs, known, name, cloth, tile) {
  const key = `${cloth.picture.id} ${tile.key}`;
  if (!known.has(key)) {
    const id = `${name}-${known.size + 1}`;
    defs.append(shape("image", { id, width: tile.w, height: tile.h, preserveAspectRatio: "none", href: tile.href }));
    known.set(key, id);
  }
  return "#" + known.get(key);
}

const sharedKnown = new Map();

/** The same, for all drawings of the page: a picture is decoded once. */
function sharedPicture(cloth, tile) {
  return pictureIn(document.getElementById("shared-cloths"), sharedKnown, "shared-cloth", cloth, tile);
}

/** The patches of a quilt in their cloth, as one path per place of the cloth. */
function coverGroup(pattern, looks, cloths) {
  const group = shape("g", { "fill-rule": "evenodd" });
  for (const role of pattern.roles) {
    const pieces = pattern.pieces[role.name], look = looks[role.name];
    if (!pieces) continue;
    if (!look.cloth) {
      group.append(shape("path", { d: pieces.d.join(""), fill: look.colour }));
      continue;
    }
    const parts = look.laid.places.map(() => []);
    const paths = look.laid.d || pieces.d; // as cut, joined strips are their lengths
    look.laid.of.forEach((place, i) => parts[place].push(paths[i]));
    parts.forEach((d, place) => {
      const name = cloths.pattern(look.cloth, look.laid.places[place]);
      group.append(shape("path", { d: d.join(""), fill: `url(#${name})` }));
    });
  }
  return group;
}

/** Draw the quilt into an `svg` element; `words` are for those who do not see it. */
function drawQuilt(svg, pattern, looks, { small = false, own = false, id = "", words = null } = {}) {
  const w = pattern.width * MILS, h = pattern.height * MILS;
  const defs = shape("defs"), cloths = new Cloths(defs, small, own);
  const group = coverGroup(pattern, looks, cloths);
  group.id = id || `${cloths.prefix}quilt`;
  defs.append(group);
  svg.setAttribute("viewBox", `0 0 ${short(w)} ${short(h)}`);
  const heads = words ? [shape("title", {}, xmlText(words[0])), shape("desc", {}, xmlText(words[1]))] : [];
  const ground = own ? [shape("rect", { id: "ground", width: "100%", height: "100%", fill: "#ffffff" })] : [];
  svg.replaceChildren(...heads, ...ground, defs, ...coverUses(group.id));
}

/** A cover is drawn crisp, once aside and once in place, and then smooth: no gaps at seams. */
function coverUses(id) {
  const crisp = { href: "#" + id, "shape-rendering": "crispEdges" };
  return [shape("use", { ...crisp, transform: NUDGE }), shape("use", crisp), shape("use", { href: "#" + id })];
}

/** The quilt as a file of its own, in real inches. */
function quiltFile(pattern, looks, title, words) {
  const inches = (v) => `${Number(v.toPrecision(6))}in`;
  const svg = shape("svg", { width: inches(pattern.width), height: inches(pattern.height), role: "img" });
  drawQuilt(svg, pattern, looks, { own: true, id: "quilt", words: [title, words] });
  const text = new XMLSerializer().serializeToString(svg);
  return '<?xml version="1.0" encoding="utf-8"?>\n' + text + "\n";
}

/** A window of cloth, print up, `width` x `height` inches at true scale to its neighbours. */
function drawWindow(svg, look, width, height) {
  const defs = shape("defs");
  let fill = look.colour;
  if (look.cloth) {
    const points = [[0, 0], [width, 0], [width, height], [0, height]];
    const { places } = layPieces([{ points, lie: 0 }], look.cloth, { fussy: true });
    fill = `url(#${new Cloths(defs, false).pattern(look.cloth, places[0])})`;
  }
  svg.setAttribute("viewBox", `0 0 ${width * MILS} ${height * MILS}`);
  svg.replaceChildren(defs, shape("rect", { width: width * MILS, height: height * MILS, fill }));
}
