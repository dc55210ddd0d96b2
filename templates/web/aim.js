// Aiming at a connection: where it was read last time, how to sweep, and the highest of three shots.
import { ask } from "./engine.js";
import { box, el } from "./dom.js";
import { ring } from "./photos.js";
import { t } from "./words.js";

// Shots of one spot that differ by more show that the aim wandered; common practice, no source.
const SPREAD_K = 2;
const SHOTS = 3;

const number = (text) => {
  const value = parseFloat(text.trim().replace(",", ".").replace("\u2212", "-"));
  return Number.isFinite(value) ? value : null;
};

/** The photos of the last certificate by connection: `circuit/connection` → { url, at, date }. */
export async function lastPhotos(files) {
  const found = new Map();
  const certificates = files.filter(({ bytes }) => new TextDecoder().decode(bytes.subarray(0, 5)) === "%PDF-");
  if (!certificates.length) return found;
  try {
    const { head, files: images } = await ask({ do: "last-photos" }, certificates);
    head.photos.forEach((photo, i) => {
      const url = URL.createObjectURL(new Blob([images[i].bytes], { type: "image/jpeg" }));
      for (const { connection, at } of photo.marks) found.set(`${photo.circuit}/${connection}`, { url, at, date: photo.date, caption: photo.caption });
    });
  } catch {
    // Guidance only: without it the sheet is as complete as before.
  }
  return found;
}

/**
 * A button below each connection of `rows` (name of its last box → { inputs of the rounds, row, key }).
 * `put(input, value)` takes a value over.
 */
export function aims(rows, last, put) {
  for (const { key, connection, inputs, row } of rows) {
    const open = el("details", { class: "aim" }, el("summary", {}, t("aim.title", { connection })));
    open.addEventListener("toggle", () => { if (open.open && open.children.length === 1) open.append(...inside()); });
    row.append(open);

    function inside() {
      const before = last.get(key);
      const fahrenheit = /°F/.test(inputs[0].closest("label").textContent);
      const spread = SPREAD_K * (fahrenheit ? 1.8 : 1);
      const shots = el("div", { class: "shots" });
      const told = el("p", { role: "status" });
      const take = el("button", { type: "button", class: "main", disabled: true }, t("aim.take"));
      const add = () => {
        const n = shots.children.length + 1;
        const shot = box(t("aim.shot", { n }), { name: `${key}-shot-${n}`, inputmode: "decimal", autocomplete: "off" });
        shot.querySelector("input").removeAttribute("name");
        shots.append(shot);
      };
      for (let n = 0; n < SHOTS; n += 1) add();
      const boxes = () => [...shots.querySelectorAll("input")];
      let highest = null;
      shots.addEventListener("input", () => {
        const read = boxes().map((b) => number(b.value)).filter((v) => v !== null);
        highest = null;
        take.disabled = true;
        if (read.length < SHOTS) return told.replaceChildren(t("aim.more", { n: SHOTS - read.length }));
        const sorted = read.toSorted((a, b) => b - a);
        // The two highest agree: one of them was not a slip.
        if (sorted[0] - sorted[1] > spread) {
          if (read.length === boxes().length) add();
          return told.replaceChildren(t("aim.differ", { spread: fahrenheit ? "4 °F" : "2 °C" }));
        }
        [highest] = sorted;
        take.disabled = false;
        return told.replaceChildren(t("aim.highest", { value: boxes().find((b) => number(b.value) === highest).value }));
      });
      take.addEventListener("click", () => {
        const input = inputs.find((i) => !i.value && !i.disabled) || inputs[inputs.length - 1];
        if (input.disabled || highest === null) return;
        put(input, boxes().find((b) => number(b.value) === highest).value.trim());
        for (const b of boxes()) b.value = "";
        while (boxes().length > SHOTS) shots.lastChild.remove();
        told.replaceChildren(t("aim.taken", { label: input.getAttribute("aria-label") }));
        take.disabled = true;
      });
      return [
        before ? el("figure", {}, el("div", { class: "frame" }, el("img", { src: before.url, alt: before.caption }), ring(connection, before.at)), el("small", {}, t("aim.last", { date: before.date }))) : null,
        el("p", {}, t("aim.how")),
        shots,
        told,
        el("div", { class: "actions" }, take),
      ].filter(Boolean);
    }
  }
}
