// One visit: the sheet in its working order, live findings, photos, and the sealed certificate.
import { ask, now } from "./engine.js";
import { box, bytesOf, el, save, share, wrong } from "./dom.js";
import { identity } from "./keys.js";
import { photos, visits } from "./store.js";
import { zip } from "./zip.js";
import { outcome, t } from "./words.js";

const PDF = "application/pdf";
const LONGEST = 2400; // pixels of a photo: enough to print, small enough to keep
// Temperatures as found, and those after a repair.
const SERIES = ["heat", "heat_after"];
const NAMED = new Set(["at", "air", "current", "voltage"]);
let ticking;

const clock = () => now().slice(11, 16);

export async function visit(main, id) {
  clearInterval(ticking);
  const here = await visits.get(id);
  if (!here) return main.append(el("h1", {}, t("visit.gone")), el("a", { href: "#inspect" }, t("back")));
  let sheet;
  try {
    ({ head: sheet } = await ask({ do: "sheet", visit: here.text, now: now() }, here.files));
  } catch (why) {
    main.append(el("h1", {}, t("visit.unreadable")), el("pre", {}, why.message), el("a", { href: "#inspect" }, t("back")));
    return;
  }
  const words = sheet.words;
  const say = (word, values) => words[word].replace(/\{(\w+)\}/g, (_, name) => values[name]);
  const body = el("div", { lang: sheet.language });
  // Made by the engine from the visit, every text in it escaped; scripts in it would not run.
  body.innerHTML = sheet.html;
  main.append(el("a", { href: "#inspect" }, t("back")), body);

  // ---- boxes: kept at every stroke, so that neither sleep nor reload loses them ---------------
  const inputs = new Map([...body.querySelectorAll("input[name]")].map((i) => [i.name, i]));
  const values = here.values;
  const refused = new Map();
  for (const [name, input] of inputs) {
    input.id = `box-${name}`;
    input.value = values[name] || "";
    const [, section, round, what] = name.split("/");
    if (what === "at" || round === "charging_from") input.type = "time";
    else if (SERIES.includes(section) || (section.startsWith("isolation") && round === "dead")) input.inputMode = "decimal";
    if (input.list) choices(input);
  }
  let unsaved;
  const stored = el("p", { class: "wrong", role: "alert", hidden: true }, t("visit.full"));
  async function keep() {
    here.changed = Date.now();
    try {
      await visits.put(here);
      stored.hidden = true;
    } catch {
      stored.hidden = false;
    }
  }
  function put(name, value) {
    if (value) values[name] = value; else delete values[name];
    const input = inputs.get(name);
    if (input && input.value !== value) input.value = value;
    refused.delete(name);
    if (input) wrong(input, "");
    clearTimeout(unsaved);
    unsaved = setTimeout(keep, 100);
  }
  body.addEventListener("input", (event) => {
    const name = event.target.name;
    if (!inputs.has(name)) return;
    put(name, event.target.value);
    // The first reading of a round says when the round was.
    const [circuit, section, round, what] = name.split("/");
    const at = `${circuit}/${section}/${round}/at`;
    if (SERIES.includes(section) && what && !NAMED.has(what) && event.target.value && inputs.has(at) && !values[at]) put(at, clock());
    guard();
    soon(name);
  });
  /** What may be typed into a box, as buttons below it; several conditions are separated by commas. */
  function choices(input) {
    const several = input.name.endsWith("/seen");
    const row = el("div", { class: "actions" });
    const chosen = () => input.value.split(",").map((w) => w.trim()).filter(Boolean);
    const draw = () => { for (const b of row.children) b.setAttribute("aria-pressed", String(chosen().includes(b.textContent))); };
    for (const { value } of input.list.options) {
      row.append(el("button", { type: "button", "aria-pressed": "false", onclick: () => {
        const now = chosen();
        const next = now.includes(value) ? now.filter((w) => w !== value) : several ? [...now, value] : [value];
        input.value = next.join(", ");
        input.dispatchEvent(new Event("input", { bubbles: true }));
        draw();
      } }, value));
    }
    input.addEventListener("input", draw);
    input.closest("label").after(row);
    draw();
  }
  for (const [name, input] of inputs) {
    if (!/\/(charging_from|repairs\/\d+\/at)$/.test(name)) continue;
    input.after(el("button", { type: "button", onclick: () => { put(name, clock()); guard(); soon(name); tick(); } }, words.now));
  }

  // ---- stop: damage by heat, or a voltage where none may be, keeps the circuit off ------------
  const stopping = new Set(words.stops.seen.map((word) => word.toLowerCase()));
  const circuits = [...new Set([...inputs.keys()].map((n) => n.split("/")[0]))];
  const stopped = new Set();
  function stops([, section, part, what], value) {
    if (section === "looked_at" && what === "seen") {
      return value.split(",").some((word) => stopping.has(word.trim().toLowerCase()));
    }
    if (!section.startsWith("isolation") || part !== "dead") return false;
    const volts = parseFloat(value.replace(",", ".")) / (/mV/.test(value) ? 1000 : 1);
    return Math.abs(volts) > words.stops.dead;
  }
  function halt(place, stop) {
    const shown = place.querySelector(":scope > .halt");
    if (!stop) return shown?.remove();
    if (!shown) place.prepend(el("p", { class: "halt", role: "alert" }, words.stop));
  }
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
      const first = inputs.get(`${circuit}/heat/1/at`);
      if (first) halt(first.closest(".table"), stopped.has(circuit));
    }
  }

  // ---- findings as one types; a wrong box is marked and left out, and disables nothing --------
  const live = new Map(circuits.map((circuit) => {
    const list = el("ul", { class: "live", "aria-live": "polite" });
    const last = [...inputs].filter(([n]) => n.startsWith(`${circuit}/heat/3/`)).pop()?.[1];
    (last?.closest(".table") || body).after(list);
    return [circuit, list];
  }));
  // What a value needs beside it before anything follows from it.
  const needs = [
    [/^(.+\/heat(?:_after)?\/\d+)\/.+$/, (head) => ["at", "current"].every((k) => values[`${head}/${k}`]) && Object.keys(values).some((n) => n.startsWith(`${head}/`) && !NAMED.has(n.slice(head.length + 1)))],
    [/^(.+\/torque\/[^/]+)\/(?!found$).+$/, (head) => values[`${head}/found`]],
    [/^(.+\/looked_at\/[^/]+)\/note$/, (head) => values[`${head}/seen`]],
    [/^(.+\/not_read\/[^/]+)\/note$/, (head) => values[`${head}/why`]],
    [/^(.+\/left_as)\/(?!state$).+$/, (head) => values[`${head}/state`]],
    [/^(.+\/repairs\/\d+)\/.+$/, (head) => ["connection", "done"].every((k) => !inputs.has(`${head}/${k}`) || values[`${head}/${k}`])],
  ];
  const alone = (name) => needs.some(([pattern, met]) => { const part = pattern.exec(name); return part && !met(part[1]); });
  /** Names of the values that lack something beside them, such as a round without its current. */
  function partial() {
    const some = Object.keys(values).filter(alone);
    for (const name of Object.keys(values).filter((n) => n.endsWith("/charging_from"))) {
      const series = name.slice(0, -"charging_from".length);
      if (!Object.keys(values).some((n) => n.startsWith(series) && n !== name && !some.includes(n))) some.push(name);
    }
    return some;
  }
  const usable = () => {
    const without = new Set([...refused.keys(), ...partial()]);
    return Object.fromEntries(Object.entries(values).filter(([name]) => !without.has(name)));
  };
  const judged = (some) => ask({ do: "judge", ...sheet.request, values: some }).then((a) => a.head);
  let waiting, answered, run = 0;
  function soon(name) {
    clearTimeout(waiting);
    clear();
    waiting = setTimeout(() => judge(name), 250);
  }
  function clear() {
    for (const list of live.values()) list.replaceChildren();
    for (const told of body.querySelectorAll(".what output")) told.remove();
  }
  /** What is wrong, without the lines of a file: the sentence and the advice. */
  function sentence(why) {
    const lines = why.message.split("\n");
    const what = lines[0].replace(/^\S+:\d+:\d+: /, "").replaceAll("`", "");
    const advice = lines.find((line) => line.startsWith("  = "))?.slice(4).replaceAll("`", "");
    return advice ? `${what}: ${advice}` : what;
  }
  /** The box that a problem is about: the one with the value that it quotes, or the one just changed. */
  function blamed(why, changed) {
    const some = usable();
    const quoted = [...why.message.split("\n")[0].matchAll(/[`“]([^`”]+)[`”]/g)].map((m) => m[1]);
    const names = Object.keys(some).filter((name) => quoted.includes(some[name]));
    return names.includes(changed) ? changed : names[0] ?? (changed in some ? changed : undefined);
  }
  async function judge(changed) {
    const mine = (run += 1);
    let trouble;
    for (let tries = 0; tries < 40; tries += 1) {
      trouble = undefined;
      try {
        answered = await judged(usable());
        break;
      } catch (why) {
        trouble = why;
        const name = blamed(why, changed);
        if (!name) break;
        refused.set(name, sentence(why));
        wrong(inputs.get(name), sentence(why));
      }
    }
    if (mine !== run) return;
    if (trouble) {
      answered = undefined;
      problems.replaceChildren(el("pre", {}, trouble.message));
      return;
    }
    if (mine !== run) return;
    problems.replaceChildren();
    clear();
    for (const { circuit, connection, rise, margin } of answered.rises) {
      const input = inputs.get(`${circuit}/heat/3/${connection}`);
      const what = input?.closest(".row").querySelector(".what");
      const told = [rise && say("rise", { rise }), margin && say("margin", { margin })].filter(Boolean).join(", ");
      if (what && told) what.append(el("output", {}, told));
    }
    for (const [circuit, list] of live) {
      const found = answered.findings.findings.filter((f) => f.circuit === circuit && f.grade !== "pass");
      list.replaceChildren(...found.map((f) => el("li", { class: f.grade }, say("graded", { grade: words.grades[f.grade], text: f.text }))));
    }
    state.replaceChildren(...summary(answered.findings));
    body.dataset.judged = String(run);
  }

  // ---- how long until the next round ----------------------------------------------------------
  const countdown = el("p", { id: "countdown", role: "timer" });
  function tick() {
    const told = [];
    for (const circuit of circuits) {
      const name = circuits.length > 1 ? `${circuit}: ` : "";
      if (stopped.has(circuit)) { told.push(name + words.stop); continue; }
      const from = (series) => /^(\d{1,2}):(\d{2})/.exec(values[`${circuit}/${series}/charging_from`] || "");
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
      told.push(name + (left > 0 ? say("next", { minutes: left }) : words.due));
    }
    countdown.textContent = told.join("; ");
  }
  ticking = setInterval(tick, 1000);

  // ---- photos: a tap marks the connection that is chosen ---------------------------------------
  const connections = [...inputs.keys()].map((n) => /^[^/]+\/heat\/3\/(.+)$/.exec(n)?.[1]).filter((c) => c && !NAMED.has(c));
  const pictures = el("div");
  const camera = el("input", { type: "file", id: "camera", accept: "image/*", capture: "environment", multiple: true });
  const trouble = el("div", { "aria-live": "assertive" });
  camera.addEventListener("change", async () => {
    trouble.replaceChildren();
    for (const file of camera.files) {
      try {
        await take(file);
      } catch {
        // Never lost in silence: phones write kinds that not every browser reads.
        trouble.append(el("p", { class: "wrong" }, t("photo.unreadable", { name: file.name })));
      }
    }
    camera.value = "";
    await draw();
  });
  async function take(file) {
    const image = await createImageBitmap(file);
    const scale = Math.min(1, LONGEST / Math.max(image.width, image.height));
    const canvas = el("canvas", { width: Math.round(image.width * scale), height: Math.round(image.height * scale) });
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    const all = await photos.of(id);
    const number = 1 + Math.max(0, ...all.map((p) => p.number));
    await photos.put({ id: `${id}/${number}`, visit: id, number, bytes: await bytesOf(blob), caption: "", marks: {} });
  }
  async function draw() {
    const all = await photos.of(id);
    all.sort((a, b) => a.number - b.number);
    pictures.replaceChildren(...all.map((photo) => {
      const keepPhoto = () => photos.put(photo).catch(() => { stored.hidden = false; });
      const image = el("img", { alt: photo.caption || say("photo", { number: photo.number }), src: URL.createObjectURL(new Blob([photo.bytes], { type: "image/jpeg" })) });
      const caption = box(words.shows, { name: `caption-${photo.number}`, value: photo.caption });
      caption.querySelector("input").addEventListener("input", (event) => { photo.caption = event.target.value; keepPhoto(); });
      const mark = box(t("photo.mark"), { name: `mark-${photo.number}`, options: [["", t("photo.mark.none")], ...connections.map((c) => [c, c])] }, t("photo.mark.hint"));
      const marked = el("small", {}, Object.keys(photo.marks).join(", "));
      image.addEventListener("click", (event) => {
        const which = mark.querySelector("select").value;
        if (!which) return;
        const { left, top, width, height } = image.getBoundingClientRect();
        photo.marks[which] = [(event.clientX - left) / width, (event.clientY - top) / height].map((n) => Number(n.toFixed(3)));
        marked.textContent = Object.keys(photo.marks).join(", ");
        keepPhoto();
      });
      return el("figure", {}, image, marked, caption, mark, el("button", { type: "button", onclick: async () => { await photos.delete(photo.id); draw(); } }, words.delete));
    }));
  }

  /** The visit file as it is now, with its files: what was typed, and the photos of this page. */
  async function whole() {
    await judge();
    const taken = await photos.of(id);
    taken.sort((a, b) => a.number - b.number);
    const listed = taken.map((p) => ({ ...p, file: `photos/page-${p.number}.jpg`, caption: p.caption || say("photo", { number: p.number }) }));
    let text = answered?.visit || here.text;
    if (listed.length) {
      const old = /^photos:[ \t]*\n([ \t]*)-/m.exec(text);
      const indent = old ? old[1] : "  ";
      // A JSON text is a YAML text.
      const lines = listed.map((p) => {
        const marks = Object.keys(p.marks).length ? `, marks: ${JSON.stringify(p.marks)}` : "";
        return `${indent}- { id: page-${p.number}, file: ${p.file}, caption: ${JSON.stringify(p.caption)}${marks} }`;
      }).join("\n");
      text = old ? text.replace(/^photos:[ \t]*\n/m, (head) => `${head}${lines}\n`) : `${text.replace(/\n*$/, "\n")}\nphotos:\n${lines}\n`;
    }
    return { text, files: [...here.files, ...listed.map((p) => ({ name: p.file, bytes: p.bytes }))] };
  }

  // ---- the end: draft, certificate, files for the office ---------------------------------------
  const state = el("div", { "aria-live": "polite" });
  const problems = el("div", { "aria-live": "assertive" });
  const done = el("div", { "aria-live": "polite" });
  const key = await identity();
  const passphrase = box(t("passphrase"), { name: "passphrase", type: "password", autocomplete: "current-password" });
  const seal = el("button", { class: "main", type: "submit", disabled: !key?.saved }, t("seal.seal"));
  const form = el("form", { onsubmit: (event) => { event.preventDefault(); make(true); } }, passphrase, seal);
  const offer = (name, bytes) => el("div", { class: "actions" },
    el("button", { type: "button", class: "main", onclick: async () => { if (!(await share(name, bytes, PDF))) save(name, bytes, PDF); } }, t("seal.share")),
    el("button", { type: "button", onclick: () => save(name, bytes, PDF) }, t("seal.save")),
  );
  async function make(sealed) {
    done.replaceChildren(el("p", {}, t("working")));
    seal.disabled = true;
    try {
      const { text, files } = await whole();
      if (refused.size) throw new Error(t("seal.boxes"));
      const lacking = partial().map((name) => inputs.get(name)?.getAttribute("aria-label") || name);
      if (lacking.length) throw new Error(`${t("seal.partial")}\n${lacking.join("\n")}`);
      const request = { do: "certify", visit: text, now: now() };
      const first = sealed ? [{ name: "identity.p12", bytes: key.bytes }] : [];
      if (sealed) request.passphrase = passphrase.querySelector("input").value;
      const { head, files: [pdf] } = await ask(request, [...first, ...files]);
      const name = `${head.number.replace(/[^\p{L}\p{N}.-]+/gu, "-")}${sealed ? "" : "-draft"}.pdf`;
      if (sealed) {
        here.certificate = { name, bytes: pdf.bytes };
        await keep();
      }
      passphrase.querySelector("input").value = "";
      done.replaceChildren(el("div", { class: "result good" }, el("h2", {}, t(sealed ? "seal.done" : "seal.draft")), ...summary(head.findings), offer(name, pdf.bytes)));
    } catch (why) {
      done.replaceChildren(el("div", { class: "result bad", role: "alert" }, el("h2", {}, t("seal.failed")), el("pre", {}, why.message)));
    }
    seal.disabled = !key?.saved;
  }
  main.append(...[
    stored,
    el("h2", {}, words.photos),
    el("p", { class: "box" }, el("label", { for: "camera" }, words.take), camera),
    trouble,
    pictures,
    el("h2", {}, t("seal.title")),
    countdown,
    state,
    problems,
    !key && el("p", {}, t("inspect.nokey"), " ", el("a", { href: "#keys" }, t("keys.title"))),
    key && !key.saved && el("p", {}, el("b", {}, t("keys.unsaved")), " ", el("a", { href: "#keys" }, t("keys.title"))),
    form,
    el("div", { class: "actions" },
      el("button", { type: "button", onclick: () => make(false) }, t("seal.try")),
      el("button", { type: "button", onclick: async () => {
        const { text, files } = await whole();
        const blob = zip([{ name: "visit.yaml", bytes: new TextEncoder().encode(text) }, ...files]);
        save("visit.zip", await bytesOf(blob), "application/zip");
      } }, words.save),
    ),
    done,
  ].filter(Boolean));
  if (here.certificate) done.append(el("p", {}, t("inspect.sealed")), offer(here.certificate.name, here.certificate.bytes));
  await draw();
  guard();
  await judge();
  tick();
}

function summary(findings) {
  return [
    el("p", {}, el("b", {}, outcome(findings))),
    findings.limitations.length > 0 && el("details", {}, el("summary", {}, t("seal.missing", { count: findings.limitations.length })),
      el("ul", {}, findings.limitations.map((l) => el("li", {}, l.text || l)))),
  ].filter(Boolean);
}
