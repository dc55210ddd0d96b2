// One visit: the sheet in its working order, live findings, photos, and the sealed certificate.
import { aims, lastPhotos } from "./aim.js";
import { device } from "./device.js";
import { dial } from "./dial.js";
import { ask, now } from "./engine.js";
import { box, bytesOf, el, save, share, wrong } from "./dom.js";
import { firmFile } from "./firm.js";
import { titled } from "./keep.js";
import { identity } from "./keys.js";
import { labels } from "./owner.js";
import { pictures } from "./photos.js";
import { visits } from "./store.js";
import { lock, opened, unlock } from "./unlock.js";
import { zip } from "./zip.js";
import { language, outcome, t } from "./words.js";

const PDF = "application/pdf";
// Temperatures as found, and those after a repair.
const SERIES = ["heat", "heat_after"];
const NAMED = new Set(["at", "air", "current", "voltage", "confirmed"]);
let ticking, warm = false;

const clock = () => now().slice(11, 16);
/** The name under which a value is marked as one that was looked at again. */
const mark = (name) => (/\/(air|left|found)$/.test(name) ? name.replace(/[^/]+$/, "confirmed") : `${name}/confirmed`);

export async function visit(main, id) {
  clearInterval(ticking);
  const here = await visits.get(id);
  if (!here) return main.append(el("h1", {}, t("visit.gone")), el("a", { href: "#inspect" }, t("back")));
  let sheet;
  try {
    ({ head: sheet } = await ask({ do: "sheet", visit: here.text, now: now() }, [...(await firmFile()), ...here.files]));
    // With what it takes from the firm's file, as that is on this day.
    if (sheet.request.visit !== here.text) await visits.put(Object.assign(here, { text: sheet.request.visit }));
  } catch (why) {
    // A link brings no pictures, and a phone may have chosen one file of several.
    const more = el("input", { type: "file", id: "more", multiple: true, onchange: async () => {
      for (const file of more.files) here.files.push({ name: file.name, bytes: await bytesOf(file) });
      await visits.put(here);
      dispatchEvent(new Event("hashchange"));
    } });
    main.append(el("h1", {}, t("visit.unreadable")), el("pre", {}, why.message), el("p", { class: "box" }, el("label", { for: "more" }, t("visit.more")), more));
    const without = await ask({ do: "without-pictures", visit: here.text }, here.files).then((a) => a.head, () => ({ left_out: [] }));
    if (without.left_out.length) {
      main.append(el("div", { class: "actions" }, el("button", { type: "button", onclick: async () => {
        await visits.put(Object.assign(here, { text: without.visit }));
        dispatchEvent(new Event("hashchange"));
      } }, t("visit.without", { names: without.left_out.join(", ") }))));
    }
    main.append(el("a", { href: "#inspect" }, t("back")));
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
    else if (SERIES.includes(section) || (section.startsWith("isolation") && round !== "locked") || (section === "torque" && what === "left")) input.inputMode = "decimal";
    if (input.list) choices(input, [...input.list.options].map((option) => option.value));
    // The row quotes the word in the visit's language.
    if (round === "locked") choices(input, [...input.closest(".row").querySelector(".what").textContent.matchAll(/[“„«]\s*([^”“»]+?)\s*[”“»]/g)].map((m) => m[1]).slice(0, 1));
  }
  let unsaved;
  const stored = el("p", { class: "wrong full", role: "alert", hidden: true }, t("visit.full"));
  function full() {
    if (!stored.hidden) return;
    stored.hidden = false;
    // Not behind it.
    document.activeElement?.scrollIntoView({ block: "center" });
  }
  async function keep() {
    here.changed = Date.now();
    try {
      await visits.put(here);
      stored.hidden = true;
    } catch {
      full();
    }
  }
  function put(name, value) {
    if (value) values[name] = value; else delete values[name];
    const input = inputs.get(name);
    if (input && input.value !== value) input.value = value;
    delete values[mark(name)];
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
  function choices(input, words) {
    const several = input.name.endsWith("/seen");
    const row = el("div", { class: "actions" });
    const chosen = () => input.value.split(",").map((w) => w.trim()).filter(Boolean);
    const draw = () => { for (const b of row.children) b.setAttribute("aria-pressed", String(chosen().includes(b.textContent))); };
    for (const value of words) {
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
    for (const told of body.querySelectorAll(".what output, .doubt")) told.remove();
  }
  /** A question about a value, below its box; `yes` is what happens when it is right. */
  function doubt(name, text, yes) {
    const input = inputs.get(name);
    if (!input) return;
    const id = `${input.id}-doubt`;
    document.getElementById(id)?.remove();
    const right = el("button", { type: "button", lang: language(), "aria-describedby": `${id}-text`, onclick: () => { yes(); guard(); soon(name); keep(); } }, t("box.right"));
    input.closest("label").after(el("div", { class: "doubt", id, role: "status" }, el("p", { id: `${id}-text` }, text), right));
  }
  const looked = (name) => { values[mark(name)] = "yes"; refused.delete(name); wrong(inputs.get(name), ""); };
  /** What is wrong, without the lines of a file: the sentence and the advice. */
  function sentence(why, name) {
    const kind = why.head?.kind;
    // The engine's sentences are in English.
    if (kind && name && (kind === "doubtful" || language() !== "en")) return t(`box.${kind}`, { value: values[name] });
    const lines = why.message.split("\n");
    const what = lines[0].replace(/^\S+:\d+:\d+: /, "").replaceAll("`", "");
    const advice = lines.find((line) => line.startsWith("  = "))?.slice(4).replaceAll("`", "");
    return advice ? `${what}: ${advice}` : what;
  }
  /** The box that a problem is about, or else the one just changed. */
  function blamed(why, changed) {
    const some = usable();
    return [why.head?.field, changed].find((name) => name in some && inputs.has(name));
  }
  /** When nothing can change any more, or the readings that would decide what still can. */
  function settling(circuit) {
    const judged = answered.findings.circuits.find((c) => c.id === circuit);
    if (judged?.decided_at) return [el("li", { class: "settling", lang: language() }, el("b", {}, t("settling.done", { time: judged.decided_at })))];
    const series = SERIES.findLast((one) => values[`${circuit}/${one}/charging_from`]);
    const began = /^(\d{1,2}):(\d{2})/.exec(values[`${circuit}/${series}/charging_from`] || "");
    const fahrenheit = /°F/.test([...inputs].find(([name]) => name.startsWith(`${circuit}/heat/`) && name.endsWith("/air"))?.[1].closest("label").textContent);
    const difference = (k) => (fahrenheit ? `${(k * 1.8).toFixed(0)} °F` : `${k.toFixed(1)} K`);
    const open = (judged?.connections ?? []).filter((c) => c.can_change);
    return open.map(({ id: connection, can_change: { grade, check, read_again_min: minutes, decided_below_k: below } }) => {
      const could = t("settling.could", { connection, grade: words.grades[grade] });
      if (!began || !minutes || !below) return el("li", { class: "settling", lang: language() }, could);
      const at = Number(began[1]) * 60 + Number(began[2]) + Math.ceil(minutes);
      const time = [Math.floor(at / 60) % 24, at % 60].map((n) => String(n).padStart(2, "0")).join(":");
      const how = check === "leg-difference" ? "settling.legs" : "settling.rise";
      return el("li", { class: "settling", lang: language() }, could, " ", el("b", {}, t(how, { time, below: difference(below) })));
    });
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
        refused.set(name, why.head?.kind);
        wrong(inputs.get(name), sentence(why, name));
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
    for (const [name, kind] of refused) if (kind === "doubtful") doubt(name, t("box.doubtful.hint"), () => looked(name));
    for (const { field, text } of answered.questions) doubt(field, text, () => looked(field));
    for (const { field, rated } of answered.over_rating) {
      if (here.looked?.[field] === values[field]) continue;
      doubt(field, t("box.over", { rated }), () => { here.looked = { ...here.looked, [field]: values[field] }; });
    }
    for (const { circuit, connection, rise, margin } of answered.rises) {
      const input = inputs.get(`${circuit}/heat/3/${connection}`);
      const what = input?.closest(".row").querySelector(".what");
      const told = [rise && say("rise", { rise }), margin && say("margin", { margin })].filter(Boolean).join(", ");
      if (what && told) what.append(el("output", {}, told));
    }
    for (const [circuit, list] of live) {
      const found = answered.findings.findings.filter((f) => f.circuit === circuit && f.grade !== "pass");
      list.replaceChildren(...settling(circuit), ...found.map((f) => el("li", { class: f.grade }, say("graded", { grade: words.grades[f.grade], text: f.text }))));
    }
    state.replaceChildren(...summary(answered.findings));
    lower.stale();
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

  // ---- photos, aiming, the current dial ---------------------------------------------------------
  const points = [...inputs.keys()].map((n) => /^([^/]+)\/heat\/3\/(.+)$/.exec(n)).filter((m) => m && !NAMED.has(m[2])).map(([, circuit, connection]) => [circuit, connection]);
  const album = pictures({ id, points, words, say, full });
  aims(points.map(([circuit, connection]) => {
    const inputsOf = [1, 2, 3].map((round) => inputs.get(`${circuit}/heat/${round}/${connection}`)).filter(Boolean);
    return { key: `${circuit}/${connection}`, connection, inputs: inputsOf, row: inputsOf[0].closest(".row") };
  }), await lastPhotos(here.files), (input, value) => {
    input.value = value;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });
  const lower = dial(() => ({ ...sheet.request, values: usable() }), circuits);

  // ---- what changes the visit file itself: a torque from a label, one more charger ---------------
  async function changed(text) {
    here.text = text;
    here.title = titled(text);
    await visits.put(here);
    dispatchEvent(new Event("hashchange"));
  }
  const places = [...inputs.keys()].map((n) => /^([^/]+)\/looked_at\/(.+)\/seen$/.exec(n)).filter(Boolean).map(([, circuit, place]) => [circuit, place]);
  const torques = device(() => here.text, places, changed);

  const like = box(t("copy.like"), { name: "like", options: circuits.map((c) => [c, c]) });
  const name = box(t("copy.name"), { name: "charger-name", autocomplete: "off" }, t("copy.name.hint"));
  const copied = el("div", { "aria-live": "assertive" });
  const copy = el("details", {}, el("summary", {}, t("copy.title")), like, name, el("button", { type: "button", onclick: async () => {
    try {
      const { head } = await ask({ do: "copy", visit: here.text, like: like.querySelector("select").value, name: name.querySelector("input").value });
      await changed(head.visit);
    } catch (why) {
      copied.replaceChildren(el("p", { class: "wrong" }, sentence(why)));
    }
  } }, t("copy.add")), copied);

  /** The visit file as it is now, with its files: what was typed, and the photos of this page. */
  async function whole() {
    await judge();
    const listed = await album.listed();
    let text = answered?.visit || here.text;
    if (listed.length) {
      const old = /^photos:[ \t]*\n([ \t]*)-/m.exec(text);
      const indent = old ? old[1] : "  ";
      // A JSON text is a YAML text.
      const lines = listed.map((p) => {
        const marks = Object.keys(p.marks).length ? `, circuit: ${JSON.stringify(p.circuit)}, marks: ${JSON.stringify(p.marks)}` : "";
        return `${indent}- { id: page-${p.number}, file: ${p.file}, caption: ${JSON.stringify(p.caption)}${marks} }`;
      }).join("\n");
      text = old ? text.replace(/^photos:[ \t]*\n/m, (head) => `${head}${lines}\n`) : `${text.replace(/\n*$/, "\n")}\nphotos:\n${lines}\n`;
    }
    return { text, listed, files: [...here.files, ...listed.map((p) => ({ name: p.file, bytes: p.bytes }))] };
  }
  /** The files for the office: unpacked anywhere, the visit file in it can be certified as it is. */
  async function forOffice() {
    const { text: named, listed, files } = await whole();
    let text = named;
    const encode = (words) => new TextEncoder().encode(words);
    const laid = files.map(({ name, bytes }) => {
      // What lies elsewhere on a computer lies beside the visit file here.
      const plain = name.startsWith("photos/") ? name : name.split("/").pop();
      if (plain !== name) text = text.replaceAll(name, plain);
      return { name: plain, bytes };
    });
    const originals = listed.filter((p) => p.original).map((p) => ({ name: `originals/${p.number}-${p.original.name.replace(/[^\p{L}\p{N}.-]+/gu, "-")}`, bytes: p.original.bytes }));
    const sums = [];
    for (const { name: file, bytes } of crypto.subtle ? originals : []) {
      const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
      sums.push(`${[...digest].map((b) => b.toString(16).padStart(2, "0")).join("")}  ${file}\n`);
    }
    const sheetOf = { values, photos: listed.map((p) => ({ id: `page-${p.number}`, file: p.file, caption: p.caption })) };
    return zip([
      { name: "visit.yaml", bytes: encode(text) },
      { name: "worksheet.json", bytes: encode(JSON.stringify(sheetOf, null, 1)) },
      ...laid,
      ...originals,
      ...(sums.length ? [{ name: "SHA256SUMS", bytes: encode(sums.join("")) }] : []),
    ]);
  }

  // ---- the end: draft, certificate, files for the office ---------------------------------------
  const state = el("div", { "aria-live": "polite" });
  const problems = el("div", { "aria-live": "assertive" });
  const done = el("div", { "aria-live": "polite" });
  const key = await identity();
  const passphrase = box(t("passphrase"), { name: "passphrase", type: "password", autocomplete: "current-password" });
  const typed = passphrase.querySelector("input");
  const seal = el("button", { class: "main", type: "submit", disabled: !key?.saved }, t("seal.seal"));
  const access = el("div", { "aria-live": "polite" });
  const form = el("form", { onsubmit: (event) => { event.preventDefault(); make(true); } }, access, seal);
  function showKey() {
    access.replaceChildren(...(opened(key) ? [
      el("p", {}, t("key.open", { name: key.name })),
      el("div", { class: "actions" }, el("button", { type: "button", onclick: () => { lock(); showKey(); } }, t("key.lock"))),
    ] : [passphrase]));
  }
  // The passphrase is complete when its box is left: the key is ready when the button is pressed.
  typed.addEventListener("change", () => { if (key && typed.value) unlock(key, typed.value).catch(() => {}); });
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
      const first = [];
      if (sealed) {
        if (!opened(key)) await unlock(key, typed.value);
        first.push({ name: "identity.p12", bytes: opened(key) });
        request.passphrase = "";
      }
      const { head, files: [pdf] } = await ask(request, [...first, ...files]);
      const name = `${head.number.replace(/[^\p{L}\p{N}.-]+/gu, "-")}${sealed ? "" : "-draft"}.pdf`;
      if (sealed) {
        here.certificate = { name, bytes: pdf.bytes };
        await keep();
      }
      if (sealed) {
        typed.value = "";
        showKey();
      }
      done.replaceChildren(el("div", { class: "result good" }, el("h2", {}, t(sealed ? "seal.done" : "seal.draft")), ...summary(head.findings), offer(name, pdf.bytes)));
      // The certificate is made, whatever becomes of a label.
      if (sealed) await labels({ ...sheet.request, values: usable() }).then((made) => done.append(...made), () => {});
    } catch (why) {
      done.replaceChildren(el("div", { class: "result bad", role: "alert" }, el("h2", {}, t("seal.failed")), el("pre", {}, why.message)));
    }
    seal.disabled = !key?.saved;
  }
  main.append(...[
    lower.element,
    album.element,
    torques,
    copy,
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
        save("visit.zip", await bytesOf(await forOffice()), "application/zip");
      } }, t("visit.office")),
    ),
    done,
    stored,
  ].filter(Boolean));
  if (here.certificate) done.append(el("p", {}, t("inspect.sealed")), offer(here.certificate.name, here.certificate.bytes));
  showKey();
  await album.draw();
  guard();
  await judge();
  tick();
  // A browser compiles each part of the engine when it first runs. A draft that nobody sees, made while the
  // first steps are read, halves the time that a phone takes for the certificate.
  if (!warm) {
    warm = true;
    ask({ do: "certify", visit: answered?.visit || here.text, now: now() }, here.files).catch(() => {});
  }
}

function summary(findings) {
  return [
    el("p", {}, el("b", {}, outcome(findings))),
    findings.limitations.length > 0 && el("details", {}, el("summary", {}, t("seal.missing", { count: findings.limitations.length })),
      el("ul", {}, findings.limitations.map((l) => el("li", {}, l.text || l)))),
  ].filter(Boolean);
}
