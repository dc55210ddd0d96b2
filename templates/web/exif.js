// What a camera wrote about a photo (Exif 2.32): when it was taken and with what. The place and everything
// else stays out, as in the certificate.
const MAKE = 0x010f, MODEL = 0x0110, CHANGED = 0x0132, INSIDE = 0x8769, TAKEN = 0x9003;
const ASCII = 2, LONG = 4; // kinds of values
const FURTHEST = 1 << 20; // bytes from the start within which metadata are looked for

/** The metadata of a JPEG or HEIC file as an APP1 segment of a JPEG; nothing where there are none. */
export function segment(bytes) {
  const start = tiff(bytes.subarray(0, FURTHEST));
  if (start < 0) return undefined;
  try {
    const found = read(bytes, start);
    return found.size ? written(found) : undefined;
  } catch (why) {
    // Damaged metadata say nothing.
    if (why instanceof RangeError) return undefined;
    throw why;
  }
}

/** A JPEG with a segment behind its first marker. */
export function inserted(jpeg, app1) {
  if (!app1) return jpeg;
  const out = new Uint8Array(jpeg.length + app1.length);
  out.set(jpeg.subarray(0, 2));
  out.set(app1, 2);
  out.set(jpeg.subarray(2), 2 + app1.length);
  return out;
}

/** Where the TIFF header is: behind `Exif` and two zeros, in both kinds of files. */
function tiff(bytes) {
  for (let at = bytes.indexOf(0x45); at >= 0; at = bytes.indexOf(0x45, at + 1)) {
    const word = String.fromCharCode(...bytes.subarray(at, at + 10));
    if (word === "Exif\0\0II*\0" || word === "Exif\0\0MM\0*") return at + 6;
  }
  return -1;
}

function read(bytes, start) {
  const view = new DataView(bytes.buffer, bytes.byteOffset + start, bytes.length - start);
  const little = view.getUint8(0) === 0x49;
  const found = new Map();
  function directory(at, depth) {
    const count = view.getUint16(at, little);
    for (let entry = at + 2; entry < at + 2 + 12 * count; entry += 12) {
      const tag = view.getUint16(entry, little), kind = view.getUint16(entry + 2, little);
      const length = view.getUint32(entry + 4, little);
      if (tag === INSIDE && depth === 0) directory(view.getUint32(entry + 8, little), 1);
      if (![MAKE, MODEL, CHANGED, TAKEN].includes(tag) || kind !== ASCII || length > 200) continue;
      const from = length > 4 ? view.getUint32(entry + 8, little) : entry + 8;
      const text = Array.from({ length }, (_, n) => view.getUint8(from + n));
      found.set(tag, text);
    }
  }
  directory(view.getUint32(4, little), 0);
  return found;
}

function written(found) {
  const inside = found.get(TAKEN);
  const first = [MAKE, MODEL, CHANGED].filter((tag) => found.has(tag)).map((tag) => [tag, found.get(tag)]);
  const size = (entries, more) => 2 + 12 * (entries.length + more) + 4;
  const head = 8, second = head + size(first, inside ? 1 : 0);
  let end = second + (inside ? size([inside], 0) : 0);
  const total = end + [...first.map(([, text]) => text), inside ?? []].reduce((n, text) => n + (text.length > 4 ? text.length : 0), 0);
  const out = new Uint8Array(10 + total);
  const view = new DataView(out.buffer, 10);
  out.set([0xff, 0xe1, (total + 8) >> 8, (total + 8) & 255, 0x45, 0x78, 0x69, 0x66, 0, 0]);
  out.set([0x4d, 0x4d, 0, 42], 10);
  view.setUint32(4, head);
  function entry(at, tag, text) {
    view.setUint16(at, tag);
    view.setUint16(at + 2, ASCII);
    view.setUint32(at + 4, text.length);
    const to = text.length > 4 ? end : at + 8;
    if (text.length > 4) { view.setUint32(at + 8, end); end += text.length; }
    out.set(text, 10 + to);
  }
  view.setUint16(head, first.length + (inside ? 1 : 0));
  first.forEach(([tag, text], n) => entry(head + 2 + 12 * n, tag, text));
  if (inside) {
    const at = head + 2 + 12 * first.length;
    view.setUint16(at, INSIDE);
    view.setUint16(at + 2, LONG);
    view.setUint32(at + 4, 1);
    view.setUint32(at + 8, second);
    view.setUint16(second, 1);
    entry(second + 2, TAKEN, inside);
  }
  return out;
}
