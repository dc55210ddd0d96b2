// Photos of a visit: taken, made smaller, marked with a tap.
import { box, bytesOf, el } from "./dom.js";
import { inserted, segment } from "./exif.js";
import { photos } from "./store.js";
import { t } from "./words.js";

let worker, last = 0;
const waiting = new Map();

/** The photo as a JPEG that is small enough to keep. */
export function shrunk(file) {
  if (!worker) {
    worker = new Worker("shrink.js");
    worker.addEventListener("message", ({ data: { id, bytes, failed } }) => {
      const { done, fail } = waiting.get(id);
      waiting.delete(id);
      if (failed) fail(new Error(failed)); else done(bytes);
    });
    worker.addEventListener("error", (event) => {
      for (const { fail } of waiting.values()) fail(new Error(event.message));
      waiting.clear();
    });
  }
  return new Promise((done, fail) => {
    const id = (last += 1);
    waiting.set(id, { done, fail });
    worker.postMessage({ id, file });
  });
}

const jpeg = (bytes) => bytes[0] === 0xff && bytes[1] === 0xd8;

/**
 * The photos of a visit. `points` are [circuit, connection]; `say` fills the sheet's own words; `full` is
 * called when this device has no room left.
 */
export function pictures({ id, points, words, say, full }) {
  const shown = el("div");
  const trouble = el("div", { "aria-live": "assertive" });
  const camera = el("input", { type: "file", id: "camera", accept: "image/*", capture: "environment", multiple: true });
  const several = new Set(points.map(([circuit]) => circuit)).size > 1;
  const named = (circuit, connection) => (several ? `${circuit}: ${connection}` : connection);

  camera.addEventListener("change", async () => {
    trouble.replaceChildren(el("p", {}, t("working")));
    const failed = [];
    for (const file of camera.files) {
      try {
        await take(file);
      } catch (why) {
        // Never lost in silence: phones write kinds that not every browser reads, and storage ends.
        if (why.name === "QuotaExceededError") full();
        else failed.push(el("p", { class: "wrong" }, t("photo.unreadable", { name: file.name })));
      }
    }
    trouble.replaceChildren(...failed);
    camera.value = "";
    await draw();
  });
  async function take(file) {
    const original = await bytesOf(file);
    // What the camera wrote about it would be lost with the conversion.
    const bytes = inserted(await shrunk(file), segment(original));
    const all = await all_();
    const number = 1 + Math.max(0, ...all.map((p) => p.number));
    // What had to be converted is kept as it was, too.
    const kept = jpeg(original) ? {} : { original: { name: file.name, bytes: original } };
    await photos.put({ id: `${id}/${number}`, visit: id, number, bytes, caption: "", circuit: null, marks: {}, ...kept });
  }
  async function all_() {
    const all = await photos.of(id);
    return all.sort((a, b) => a.number - b.number);
  }
  async function draw() {
    shown.replaceChildren(...(await all_()).map(figure));
  }
  function figure(photo) {
    const keep = () => photos.put(photo).catch(full);
    const image = el("img", { alt: photo.caption || say("photo", { number: photo.number }), src: URL.createObjectURL(new Blob([photo.bytes], { type: "image/jpeg" })) });
    const caption = box(words.shows, { name: `caption-${photo.number}`, value: photo.caption });
    caption.querySelector("input").addEventListener("input", (event) => { photo.caption = event.target.value; keep(); });
    const options = points.map(([circuit, connection]) => [`${circuit}/${connection}`, named(circuit, connection)]);
    const mark = box(t("photo.mark"), { name: `mark-${photo.number}`, options: [["", t("photo.mark.none")], ...options] }, t("photo.mark.hint"));
    const marked = el("small");
    const frame = el("div", { class: "frame" }, image);
    function rings() {
      frame.querySelectorAll(".ring").forEach((ring) => ring.remove());
      for (const [connection, at] of Object.entries(photo.marks)) frame.append(ring(connection, at));
      marked.textContent = Object.keys(photo.marks).map((c) => named(photo.circuit, c)).join(", ");
    }
    image.addEventListener("click", (event) => {
      const which = mark.querySelector("select").value;
      if (!which) return;
      const cut = which.indexOf("/");
      const [circuit, connection] = [which.slice(0, cut), which.slice(cut + 1)];
      // The marks of a photo belong to one circuit.
      if (photo.circuit !== circuit) photo.marks = {};
      photo.circuit = circuit;
      const { left, top, width, height } = image.getBoundingClientRect();
      photo.marks[connection] = [(event.clientX - left) / width, (event.clientY - top) / height].map((n) => Number(n.toFixed(3)));
      rings();
      keep();
    });
    rings();
    const away = el("button", { type: "button", onclick: async () => { await photos.delete(photo.id); draw(); } }, words.delete);
    return el("figure", {}, frame, marked, caption, mark, away);
  }

  return {
    element: el("section", {},
      el("h2", {}, words.photos),
      el("p", { class: "box" }, el("label", { for: "camera" }, words.take), camera),
      trouble,
      shown,
    ),
    draw,
    /** As the visit file lists them. */
    async listed() {
      return (await all_()).map((p) => ({ ...p, file: `photos/page-${p.number}.jpg`, caption: p.caption || say("photo", { number: p.number }) }));
    },
  };
}

/** A ring around a place in a photo, given as fractions of width and height. */
export function ring(name, [x, y]) {
  const made = el("span", { class: "ring", title: name });
  made.style.left = `${100 * x}%`;
  made.style.top = `${100 * y}%`;
  return made;
}
