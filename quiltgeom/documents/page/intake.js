// Pictures that the user brings: looked at before they are decoded, drawn anew, never run.

const MOST_BYTES = 40e6;
const MOST_PIXELS = 64e6;
const MOST_ASPECT = 100; // longer side to shorter side, as Python takes them
const KEPT_SIDE = 1000; // pixels kept of a photo: 80 to the inch of a 12-inch swatch

class Refusal extends Error {}

const bytesText = (bytes, from, count) => String.fromCharCode(...bytes.slice(from, from + count));

/** `{kind, width, height}` from the head of a picture file; kind "" if it is none we take. */
function pictureHead(b) {
  const view = new DataView(b.buffer, b.byteOffset, b.byteLength);
  const found = (kind, width, height) => ({ kind, width, height });
  if (b.length < 30) return found("", 0, 0);
  if (bytesText(b, 1, 3) === "PNG") return found("PNG", view.getUint32(16), view.getUint32(20));
  if (bytesText(b, 0, 4) === "GIF8") return found("GIF", view.getUint16(6, true), view.getUint16(8, true));
  if (bytesText(b, 0, 2) === "BM") return found("BMP", view.getInt32(18, true), Math.abs(view.getInt32(22, true)));
  if (bytesText(b, 0, 4) === "RIFF" && bytesText(b, 8, 4) === "WEBP") return webpHead(b, view);
  if (b[0] === 0xff && b[1] === 0xd8) return jpegHead(b, view);
  return found("", 0, 0);
}

function webpHead(b, view) {
  const how = bytesText(b, 12, 4);
  if (how === "VP8X") {
    const three = (i) => b[i] + b[i + 1] * 256 + b[i + 2] * 65536;
    return { kind: "WebP", width: three(24) + 1, height: three(27) + 1 };
  }
  if (how === "VP8L") {
    const bits = view.getUint32(21, true);
    return { kind: "WebP", width: (bits & 0x3fff) + 1, height: ((bits >>> 14) & 0x3fff) + 1 };
  }
  return { kind: "WebP", width: view.getUint16(26, true) & 0x3fff, height: view.getUint16(28, true) & 0x3fff };
}

function jpegHead(b, view) {
  let i = 2, size = null;
  while (i + 9 < b.length && b[i] === 0xff) {
    const mark = b[i + 1];
    if (mark === 0xff) { i += 1; continue; }
    if (mark >= 0xc0 && mark <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(mark)) {
      size = { kind: "JPEG", height: view.getUint16(i + 5), width: view.getUint16(i + 7) };
    }
    if (mark === 0xda) break;
    i += 2 + view.getUint16(i + 2);
  }
  if (!size) return { kind: "JPEG", width: 0, height: 0 };
  let end = b.length - 2;
  while (end > i && !(b[end] === 0xff && b[end + 1] === 0xd9)) end--;
  return { ...size, cut: end <= i };
}

/** Why a file is refused before it is decoded; "" if it may be tried. */
function whyRefused(file, bytes) {
  const take = "Use a JPEG, PNG, WebP, GIF or BMP picture.";
  if (file.size > MOST_BYTES) return `It has ${Math.round(file.size / 1e6)} MB; up to 40 MB can be used.`;
  if (!bytes.length) return `It is empty. ${take}`;
  const head = pictureHead(bytes);
  const start = bytesText(bytes, 0, 256).toLowerCase();
  if (/svg/.test(file.type) || /\.svgz?$/i.test(file.name) || start.includes("<svg") || start.includes("<?xml")) {
    return `An SVG drawing can carry programs and is not opened. ${take}`;
  }
  if (!head.kind) return `It is not a picture of a kind that can be used here. ${take}`;
  if (!(head.width > 0 && head.height > 0) || head.cut) return `The ${head.kind} file is damaged or cut short.`;
  if (head.width * head.height > MOST_PIXELS) {
    const million = Math.round((head.width * head.height) / 1e6);
    return `It has ${million} million pixels (${head.width} × ${head.height}); up to 64 million can be used.`;
  }
  if (Math.max(head.width, head.height) > MOST_ASPECT * Math.min(head.width, head.height)) {
    return `It has ${head.width} × ${head.height} pixels; a swatch may be ${MOST_ASPECT} times as long as wide.`;
  }
  if (head.kind === "PNG" && !bytesText(bytes, Math.max(0, bytes.length - 64), 64).includes("IEND")) {
    return "The PNG file is damaged or cut short.";
  }
  return "";
}

/** A file as a picture of the page: decoded, reduced, coded anew. Throws a Refusal. */
async function takePicture(file) {
  const bytes = file.size > MOST_BYTES ? new Uint8Array() : new Uint8Array(await file.arrayBuffer());
  const why = whyRefused(file, bytes);
  if (why) throw new Refusal(why);
  let bitmap;
  try {
    bitmap = await createImageBitmap(new Blob([bytes]));
  } catch {
    throw new Refusal("The picture is damaged and cannot be opened.");
  }
  const fit = Math.min(1, KEPT_SIDE / Math.max(bitmap.width, bitmap.height));
  const size = [bitmap.width, bitmap.height].map((v) => Math.max(1, Math.round(v * fit)));
  const canvas = reduced(bitmap, size[0], size[1]);
  bitmap.close();
  return { src: asJpeg(canvas), id: `photo-${++taken}` };
}

let taken = 0;
