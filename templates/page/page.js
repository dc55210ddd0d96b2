"use strict";
const request = JSON.parse(document.getElementById("data").textContent);
// What the page says, in the visit's language; `{places}` are filled here.
const words = JSON.parse(document.getElementById("words").textContent);
const say = (word, values) => words[word].replace(/\{(\w+)\}/g, (_, place) => values[place]);
// Files that the visit file names, for the zip.
const beside = JSON.parse(document.getElementById("beside").textContent);
const store = `warmlug-${ID}`;
const inputs = new Map([...document.querySelectorAll("input[name]")].map((i) => [i.name, i]));

// ---- what was typed: kept at every stroke, so that neither sleep nor reload loses it -------
const values = JSON.parse(localStorage.getItem(store) || "{}");
for (const [name, input] of inputs) input.value = values[name] || "";

function put(name, value) {
  if (value) values[name] = value; else delete values[name];
  localStorage.setItem(store, JSON.stringify(values));
  const input = inputs.get(name);
  if (input && input.value !== value) input.value = value;
}

const clock = () => {
  const now = new Date();
  return [now.getHours(), now.getMinutes()].map((n) => String(n).padStart(2, "0")).join(":");
};
// Temperatures as found, and those after a repair.
const SERIES = ["heat", "heat_after"];
const NAMED = new Set(["at", "air", "current", "voltage"]);

document.addEventListener("input", (event) => {
  const name = event.target.name;
  if (!name || !inputs.has(name)) return;
  put(name, event.target.value);
  // The first reading of a round says when the round was.
  const [circuit, section, round, what] = name.split("/");
  const at = `${circuit}/${section}/${round}/at`;
  if (SERIES.includes(section) && what && !NAMED.has(what) && event.target.value && !values[at]) put(at, clock());
  guard();
  soon();
});

// A time is entered by one touch.
for (const [name, input] of inputs) {
  if (!/\/(charging_from|repairs\/\d+\/at)$/.test(name)) continue;
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = words.now;
  button.addEventListener("click", () => { put(name, clock()); soon(); tick(); });
  input.after(button);
}

// ---- the engine: the program's own, compiled to WebAssembly --------------------------------
const bytes = Uint8Array.from(atob(document.getElementById("engine").textContent), (c) => c.charCodeAt(0));
const compiled = WebAssembly.compile(bytes);

async function ask(question) {
  const input = new TextEncoder().encode(JSON.stringify(question));
  const module = await compiled;
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
        const part = new Uint8Array(memory.buffer).slice(at, at + size);
        if (fd === 1) chunks.push(part);
        return size;
      });
      view().setUint32(told, total, true);
      return 0;
    },
    random_get(at, size) { crypto.getRandomValues(new Uint8Array(memory.buffer, at, size)); return 0; },
    environ_sizes_get(count, size) { view().setUint32(count, 0, true); view().setUint32(size, 0, true); return 0; },
    environ_get() { return 0; },
    args_sizes_get(count, size) { view().setUint32(count, 0, true); view().setUint32(size, 0, true); return 0; },
    args_get() { return 0; },
    proc_exit(code) { throw new Error(`the engine ended with ${code}`); },
  };
  // Anything else that a program may ask of a system is not there (errno 52).
  const system = Object.fromEntries(
    WebAssembly.Module.imports(module).map((i) => [i.name, calls[i.name] || (() => 52)]),
  );
  const instance = await WebAssembly.instantiate(module, { wasi_snapshot_preview1: system });
  memory = instance.exports.memory;
  instance.exports._start();
  return JSON.parse(await new Blob(chunks).text());
}

// ---- rise, leg difference and grade as one types -------------------------------------------
const problems = document.getElementById("problems");
const circuits = [...new Set([...inputs.keys()].map((n) => n.split("/")[0]))];
const live = new Map(circuits.map((circuit) => {
  const last = [...inputs].filter(([n]) => n.startsWith(`${circuit}/heat/3/`)).pop()[1];
  const list = document.createElement("ul");
  list.className = "live";
  last.closest(".table").after(list);
  return [circuit, list];
}));

// ---- stop: damage by heat, or a voltage where none may be, keeps the circuit off -------------
const stopping = new Set(words.stops.seen.map((word) => word.toLowerCase()));
function stops([, section, part, what], value) {
  if (section === "looked_at" && what === "seen") {
    return value.split(",").some((word) => stopping.has(word.trim().toLowerCase()));
  }
  if (!section.startsWith("isolation") || part !== "dead") return false;
  const volts = parseFloat(value.replace(",", ".")) / (/mV/.test(value) ? 1000 : 1);
  return Math.abs(volts) > words.stops.dead;
}
function halt(place, stopped) {
  const shown = place.querySelector(":scope > .halt");
  if (!stopped) return shown?.remove();
  if (shown) return;
  const told = document.createElement("p");
  told.className = "halt";
  told.setAttribute("role", "alert");
  told.textContent = words.stop;
  place.prepend(told);
}
const stopped = new Set();
function guard() {
  stopped.clear();
  const rows = new Map();
  for (const [name, input] of inputs) {
    const stop = stops(name.split("/"), input.value);
    const row = input.closest(".row");
    rows.set(row, rows.get(row) || stop);
    // What is found after the temperatures stops the work at its box; the readings are taken.
    const [circuit, section] = name.split("/");
    if (stop && (section === "isolation" || section === "looked_at")) stopped.add(circuit);
  }
  for (const [row, stop] of rows) halt(row, stop);
  // No temperatures without switching on: what was typed stays, nothing more can be entered.
  for (const [name, input] of inputs) {
    const [circuit, section] = name.split("/");
    if (section !== "heat") continue;
    input.disabled = stopped.has(circuit);
    if (input.nextElementSibling?.tagName === "BUTTON") input.nextElementSibling.disabled = input.disabled;
  }
  for (const circuit of circuits) {
    halt(inputs.get(`${circuit}/heat/1/at`).closest(".table"), stopped.has(circuit));
  }
}

let waiting, answered;
function soon() { clearTimeout(waiting); waiting = setTimeout(show, 250); }

async function show() {
  const answer = await ask({ ...request, values });
  answered = answer;
  problems.textContent = answer.problems || "";
  document.body.dataset.answered = String(Number(document.body.dataset.answered || 0) + 1);
  if (answer.problems) return;
  for (const { circuit, connection, rise, margin } of answer.rises) {
    const input = inputs.get(`${circuit}/heat/3/${connection}`);
    const what = input.closest(".row").querySelector(".what");
    let told = what.querySelector("output");
    if (!told) what.append(told = document.createElement("output"));
    told.textContent = [rise && say("rise", { rise }), margin && say("margin", { margin })].filter(Boolean).join(", ");
  }
  for (const [circuit, list] of live) {
    const found = answer.findings.findings.filter((f) => f.circuit === circuit && f.grade !== "pass");
    list.replaceChildren(...found.map((f) => {
      const item = document.createElement("li");
      item.className = f.grade;
      item.textContent = say("graded", { grade: words.grades[f.grade], text: f.text });
      return item;
    }));
  }
}

// ---- how long until the next round ---------------------------------------------------------
function tick() {
  const told = [];
  for (const circuit of circuits) {
    if (stopped.has(circuit)) {
      told.push(circuits.length > 1 ? `${circuit}: ${words.stop}` : words.stop);
      continue;
    }
    const from = (series) => /^(\d{1,2}):(\d{2})$/.exec(values[`${circuit}/${series}/charging_from`] || "");
    const series = SERIES.findLast(from);
    if (!series) continue;
    const began = from(series);
    const start = new Date();
    start.setHours(Number(began[1]), Number(began[2]), 0, 0);
    let past = (Date.now() - start) / 60000;
    if (past < -720) past += 1440; // charging began before midnight
    const next = [[2, 15], [3, 60]].find(([round]) => !values[`${circuit}/${series}/${round}/at`]);
    if (!next) continue;
    const left = Math.ceil(next[1] - past);
    const name = circuits.length > 1 ? `${circuit}: ` : "";
    told.push(name + (left > 0 ? say("next", { minutes: left }) : words.due));
  }
  document.getElementById("countdown").textContent = told.join("; ");
}
setInterval(tick, 1000);

// ---- photos: kept in the page's own store --------------------------------------------------
const opened = new Promise((done, fail) => {
  const open = indexedDB.open(store, 1);
  open.onupgradeneeded = () => open.result.createObjectStore("photos", { keyPath: "id" });
  open.onsuccess = () => done(open.result);
  open.onerror = () => fail(open.error);
});
async function photos(mode, use) {
  const db = await opened;
  return new Promise((done, fail) => {
    const asked = use(db.transaction("photos", mode).objectStore("photos"));
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}
const LONGEST = 2400; // pixels: enough to print, small enough to keep

document.getElementById("camera").addEventListener("change", async (event) => {
  for (const file of event.target.files) {
    const image = await createImageBitmap(file);
    const scale = Math.min(1, LONGEST / Math.max(image.width, image.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * scale);
    canvas.height = Math.round(image.height * scale);
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    const bytes = await blob.arrayBuffer();
    const known = await photos("readonly", (s) => s.getAllKeys());
    const id = 1 + Math.max(0, ...known);
    await photos("readwrite", (s) => s.put({ id, bytes, caption: "" }));
  }
  event.target.value = "";
  draw();
});

async function draw() {
  const all = await photos("readonly", (s) => s.getAll());
  document.getElementById("photos").replaceChildren(...all.map((photo) => {
    const figure = document.createElement("figure");
    const image = document.createElement("img");
    image.alt = photo.caption || say("photo", { number: photo.id });
    image.src = URL.createObjectURL(new Blob([photo.bytes], { type: "image/jpeg" }));
    const caption = document.createElement("input");
    caption.placeholder = words.shows;
    caption.value = photo.caption;
    caption.addEventListener("input", () => photos("readwrite", (s) => s.put({ ...photo, caption: caption.value })));
    const away = document.createElement("button");
    away.textContent = words.delete;
    away.addEventListener("click", async () => { await photos("readwrite", (s) => s.delete(photo.id)); draw(); });
    figure.append(image, caption, away);
    return figure;
  }));
}

// ---- saving: a zip with the visit file, the values and the photos --------------------------
const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  return n;
});
function crc(bytes) {
  let c = ~0;
  for (const b of bytes) c = TABLE[(c ^ b) & 255] ^ (c >>> 8);
  return ~c >>> 0;
}
// Stored without compression (APPNOTE.TXT, 4.3.7, 4.3.12, 4.3.16); names are UTF-8.
function zip(files) {
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

document.getElementById("save").addEventListener("click", async () => {
  await show();
  const taken = await photos("readonly", (s) => s.getAll());
  const listed = taken.map((p) => ({ id: `page-${p.id}`, file: `photos/page-${p.id}.jpg`, caption: p.caption || say("photo", { number: p.id }) }));
  let text = answered.visit || request.visit;
  if (listed.length && !/^photos:/m.test(text)) {
    // A JSON text is a YAML text.
    const lines = listed.map((p) => `  - { id: ${p.id}, file: ${p.file}, caption: ${JSON.stringify(p.caption)} }`);
    text = `${text.replace(/\n*$/, "\n")}\nphotos:\n${lines.join("\n")}\n`;
  }
  // Earlier visits may lie elsewhere; in the zip they lie beside the visit file.
  for (const { named, path } of beside) if (named !== path) text = text.replaceAll(named, path);
  const encode = (t) => new TextEncoder().encode(t);
  const files = [
    { name: "visit.yaml", bytes: encode(text) },
    ...beside.map((b) => ({ name: b.path, bytes: Uint8Array.from(atob(b.bytes), (c) => c.charCodeAt(0)) })),
    { name: "worksheet.json", bytes: encode(JSON.stringify({ values, photos: listed }, null, 1)) },
    ...taken.map((p, i) => ({ name: listed[i].file, bytes: new Uint8Array(p.bytes) })),
  ];
  const link = document.createElement("a");
  link.href = URL.createObjectURL(zip(files));
  link.download = "visit.zip";
  link.click();
});

draw();
guard();
show();
tick();
