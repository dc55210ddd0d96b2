"use strict";
// The engine: the program's own stages as WebAssembly, one request at a time, off the page's thread.
let compiled;
const engine = () => (compiled ??= WebAssembly.compileStreaming(fetch("engine.wasm")));

async function run(input) {
  const module = await engine();
  const chunks = [];
  let read = 0, memory;
  const view = () => new DataView(memory.buffer);
  const each = (list, count, use) => {
    let total = 0;
    for (let i = 0; i < count; i++) {
      const at = view().getUint32(list + 8 * i, true), size = view().getUint32(list + 8 * i + 4, true);
      total += use(at, size);
    }
    return total;
  };
  const none = (count, size) => { view().setUint32(count, 0, true); view().setUint32(size, 0, true); return 0; };
  const calls = {
    fd_read(fd, list, count, told) {
      const total = each(list, count, (at, size) => {
        const part = input.subarray(read, read + size);
        new Uint8Array(memory.buffer).set(part, at);
        read += part.length;
        return part.length;
      });
      view().setUint32(told, total, true);
      return 0;
    },
    fd_write(fd, list, count, told) {
      const total = each(list, count, (at, size) => {
        if (fd === 1) chunks.push(new Uint8Array(memory.buffer).slice(at, at + size));
        return size;
      });
      view().setUint32(told, total, true);
      return 0;
    },
    random_get(at, size) {
      // A browser gives at most 65,536 random bytes at once.
      for (let i = 0; i < size; i += 65536) {
        crypto.getRandomValues(new Uint8Array(memory.buffer, at + i, Math.min(65536, size - i)));
      }
      return 0;
    },
    environ_sizes_get: none,
    environ_get: () => 0,
    args_sizes_get: none,
    args_get: () => 0,
    proc_exit(code) { throw new Error(`the engine ended with ${code}`); },
  };
  // Anything else that a program may ask of a system is not there (errno 52).
  const system = Object.fromEntries(
    WebAssembly.Module.imports(module).map((i) => [i.name, calls[i.name] || (() => 52)]),
  );
  const instance = await WebAssembly.instantiate(module, { wasi_snapshot_preview1: system });
  memory = instance.exports.memory;
  instance.exports._start();
  return new Uint8Array(await new Blob(chunks).arrayBuffer());
}

// A message is a line of JSON, and after it the files that it lists.
function packed({ head, files }) {
  const listed = files.map(({ name, bytes }) => ({ name, size: bytes.length }));
  const line = new TextEncoder().encode(`${JSON.stringify({ ...head, files: listed })}\n`);
  const out = new Uint8Array(files.reduce((n, f) => n + f.bytes.length, line.length));
  out.set(line);
  let at = line.length;
  for (const { bytes } of files) { out.set(bytes, at); at += bytes.length; }
  return out;
}
function unpacked(bytes) {
  const end = bytes.indexOf(10);
  const { files = [], ...head } = JSON.parse(new TextDecoder().decode(bytes.subarray(0, end)));
  let at = end + 1;
  return { head, files: files.map(({ name, size }) => ({ name, bytes: bytes.slice(at, (at += size)) })) };
}

let queue = Promise.resolve();
addEventListener("message", ({ data: { id, message } }) => {
  queue = queue.then(async () => {
    try {
      postMessage({ id, answer: unpacked(await run(packed(message))) });
    } catch (why) {
      postMessage({ id, failed: String(why) });
    }
  });
});
