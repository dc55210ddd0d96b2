// Zip files (APPNOTE.TXT, 4.3.7, 4.3.12, 4.3.16): written without compression, read with deflate too.
const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  return n;
});
function crc(bytes) {
  let c = ~0;
  for (const b of bytes) c = TABLE[(c ^ b) & 255] ^ (c >>> 8);
  return ~c >>> 0;
}

/** The files ([{ name, bytes }]) as one zip. */
export function zip(files) {
  const parts = [], directory = [];
  let offset = 0;
  for (const { name, bytes } of files) {
    const text = new TextEncoder().encode(name);
    const fields = [20, 0x0800, 0, 0, 0x21];
    const local = new DataView(new ArrayBuffer(30)), central = new DataView(new ArrayBuffer(46));
    local.setUint32(0, 0x04034b50, true);
    central.setUint32(0, 0x02014b50, true);
    central.setUint16(4, 20, true);
    for (const [header, at] of [[local, 4], [central, 6]]) {
      fields.forEach((f, i) => header.setUint16(at + 2 * i, f, true));
      header.setUint32(at + 10, crc(bytes), true);
      header.setUint32(at + 14, bytes.length, true);
      header.setUint32(at + 18, bytes.length, true);
      header.setUint16(at + 22, text.length, true);
    }
    central.setUint32(42, offset, true);
    parts.push(local, text, bytes);
    directory.push(central, text);
    offset += 30 + text.length + bytes.length;
  }
  const size = directory.reduce((n, p) => n + p.byteLength, 0);
  const end = new DataView(new ArrayBuffer(22));
  end.setUint32(0, 0x06054b50, true);
  end.setUint16(8, files.length, true);
  end.setUint16(10, files.length, true);
  end.setUint32(12, size, true);
  end.setUint32(16, offset, true);
  return new Blob([...parts, ...directory, end], { type: "application/zip" });
}

const MOST = 512 << 20; // bytes unpacked, so that a small file cannot fill the memory

/** The files of a zip; throws if it is none or larger than 512 MB unpacked. */
export async function unzip(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let end = bytes.length - 22;
  while (end >= 0 && view.getUint32(end, true) !== 0x06054b50) end -= 1;
  if (end < 0) throw new Error("this is not a complete zip file");
  const files = [];
  let at = view.getUint32(end + 16, true), total = 0;
  for (let n = view.getUint16(end + 10, true); n > 0; n -= 1) {
    if (view.getUint32(at, true) !== 0x02014b50) throw new Error("this zip file is damaged");
    const method = view.getUint16(at + 10, true), packed = view.getUint32(at + 20, true);
    const size = view.getUint32(at + 24, true), length = view.getUint16(at + 28, true);
    const name = new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + length));
    const local = view.getUint32(at + 42, true);
    const start = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
    at += 46 + length + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
    if (name.endsWith("/")) continue;
    if ((total += size) > MOST) throw new Error("this zip file is too large");
    const raw = bytes.slice(start, start + packed);
    if (method === 0) files.push({ name, bytes: raw });
    else if (method === 8) {
      const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
      const reader = stream.getReader(), out = new Uint8Array(size);
      let filled = 0;
      for (let part = await reader.read(); !part.done; part = await reader.read()) {
        if (filled + part.value.length > size) throw new Error("this zip file is damaged");
        out.set(part.value, filled);
        filled += part.value.length;
      }
      files.push({ name, bytes: out });
    } else throw new Error(`${name} is packed in a way that this page cannot read`);
  }
  return files;
}
