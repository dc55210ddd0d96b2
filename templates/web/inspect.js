// For the inspector: the visits on this device, and new ones.
import { ask, today } from "./engine.js";
import { box, bytesOf, el, wrong } from "./dom.js";
import { enterNumber, firm, firmFile, firmSection, nextNumber } from "./firm.js";
import { keep, titled } from "./keep.js";
import { identity } from "./keys.js";
import { visits } from "./store.js";
import { unzip } from "./zip.js";
import { language, t } from "./words.js";

export async function inspect(main) {
  const [here, all] = [await identity(), await visits.all()];
  all.sort((a, b) => b.changed - a.changed);
  const problem = el("div", { "aria-live": "assertive" });
  const files = el("input", { type: "file", id: "open", multiple: true, accept: ".yaml,.yml,.zip,.pdf,image/*", onchange: () => attempt(problem, () => openFiles([...files.files])) });
  const last = el("input", { type: "file", id: "last", accept: "application/pdf,.pdf", onchange: () => attempt(problem, () => after(last.files[0])) });
  main.append(
    el("h1", {}, t("inspect.title")),
    el("p", {}, here ? t("inspect.key", { name: here.name }) : t("inspect.nokey"), " ", el("a", { href: "#keys" }, t("keys.title"))),
    el("div", { class: "choices" }, el("a", { class: "button main", href: "#new" }, t("inspect.new"))),
    el("p", { class: "box" }, el("label", { for: "last" }, t("inspect.after")), last),
    el("p", { class: "box" }, el("label", { for: "open" }, t("inspect.open")), files, el("small", {}, t("inspect.open.hint"))),
    problem,
    await firmSection(problem),
  );
  if (all.length) {
    main.append(el("h2", {}, t("inspect.here")), el("ul", { class: "list" }, all.map((visit) => el("li", {},
      el("a", { href: `#visit/${visit.id}` }, `${visit.title}`, visit.certificate && el("small", {}, t("inspect.sealed"))),
      el("button", {
        type: "button",
        onclick: async () => {
          if (!confirm(t("inspect.delete.sure", { title: visit.title }))) return;
          await visits.delete(visit.id);
          dispatchEvent(new Event("hashchange"));
        },
      }, t("delete")),
    ))));
  }
}

async function attempt(problem, work) {
  problem.replaceChildren();
  try {
    await work();
  } catch (why) {
    problem.replaceChildren(el("pre", { class: "wrong" }, why.message));
  }
}

async function openFiles(chosen) {
  let files = [];
  for (const file of chosen) {
    const bytes = await bytesOf(file);
    if (/\.zip$/i.test(file.name)) files.push(...(await unzip(bytes)));
    else files.push({ name: file.name, bytes });
  }
  const texts = files.filter(({ name }) => /\.ya?ml$/i.test(name));
  const visit = texts.find(({ name }) => /(^|\/)visit\.ya?ml$/i.test(name)) || texts[0];
  if (!visit) throw new Error(t("inspect.open.none"));
  files = files.filter((file) => file !== visit && !/worksheet\.json$/.test(file.name));
  await keep(new TextDecoder().decode(visit.bytes), files);
}

async function after(file) {
  if (!file) return;
  const bytes = await bytesOf(file);
  const here = await firm();
  // Only the firm's ranges keep two devices from giving the same number.
  const { number = null, wrong: full } = here?.devices.length ? await nextNumber() : {};
  if (full) throw new Error(full);
  const { head } = await ask({ do: "next", date: today(), number }, [{ name: file.name, bytes }, ...(await firmFile())]);
  if (number) await enterNumber(number, titled(head.visit));
  await keep(head.visit, [{ name: file.name, bytes }]);
}

// How a charger is usually connected: the places where covers come off, from the supply.
const USUAL_PLACES = [
  ["wired", "breaker, charger"],
  ["plugged", "breaker, receptacle"],
  ["spliced", "breaker, splice, charger"],
  ["panel", "breaker, sub-panel, charger"],
  ["disconnect", "breaker, disconnect, charger"],
];
/** Buttons that enter them. */
function usualPlaces(input) {
  const shown = () => buttons.forEach((button, n) => button.setAttribute("aria-pressed", String(input.value.split(",").map((p) => p.trim()).join(", ") === USUAL_PLACES[n][1])));
  const buttons = USUAL_PLACES.map(([how, places]) => el("button", { type: "button", onclick: () => { input.value = places; shown(); } }, t(`places.${how}`)));
  input.addEventListener("input", shown);
  shown();
  return el("span", { class: "actions" }, buttons);
}
/** How places are named on the sheet and in the certificate. */
const NAMES = () => Object.fromEntries(["breaker", "disconnect", "charger", "receptacle", "splice", "sub-panel"].map((id) => [id, t(`place.${id}`)]));
const FACTS = ["inspector", "client", "site", "legs", "rated", "breaker", "conductor", "places"];

export async function begin(main) {
  const here = await identity();
  const rules = box(t("new.rules"), { name: "rules", options: [["us", t("new.rules.us")], ["iec", t("new.rules.iec")]] });
  const ours = await firm();
  const proposed = await nextNumber();
  const number = box(t("number"), { name: "number", value: proposed.number ?? "" }, t("new.number.hint"));
  const place = el("div");
  const step = el("div", { "aria-live": "polite" });
  const button = el("button", { class: "main", type: "submit" }, t("next"));
  const answers = [];
  const inputs = {};
  const choose = rules.querySelector("select");
  const form = el("form", { onsubmit: (event) => { event.preventDefault(); forward().catch(show); } }, rules, number, place, step, button);
  const show = (why) => step.replaceChildren(el("pre", { class: "wrong", role: "alert" }, why.message));
  main.append(el("h1", {}, t("inspect.new")), el("p", {}, t("new.about")), form);
  wrong(number.querySelector("input"), proposed.wrong);
  // Without the firm's word for it, those of the place that the browser was made for.
  const american = /-(US|CA|MX|PR)$/.test(navigator.language) || (language() === "en" && !/-(GB|IE|AU|NZ|IN|ZA)$/.test(navigator.language));
  choose.value = ["us", "iec"].includes(ours?.rules) ? ours.rules : american ? "us" : "iec";
  choose.addEventListener("change", usual);
  await usual();

  async function usual() {
    const { head } = await ask({ do: "usual", rules: choose.value });
    answers.length = 0;
    step.replaceChildren();
    place.replaceChildren(...FACTS.map((name) => {
      const typed = ["inspector", "client", "site"].includes(name);
      const value = typed ? (name === "inspector" && here?.name) || "" : head.usual[name].replace(/ copper$/, "");
      const people = name === "inspector" && ours?.technicians.length ? ours.technicians.map((one) => [one, one]) : undefined;
      const made = box(t(`fact.${name}`), { name, value, options: people, autocomplete: "off", required: typed }, t(`fact.${name}.hint`));
      inputs[name] = made.querySelector("input, select");
      if (name === "places") made.append(usualPlaces(inputs.places));
      return made;
    }));
  }

  async function forward() {
    const open = step.querySelector("input, select");
    if (open && !open.disabled) answers.push([open.name, open.value.trim()]);
    for (const input of Object.values(inputs)) wrong(input, "");
    const facts = Object.fromEntries(FACTS.map((name) => [name, inputs[name].value.trim()]));
    const { head } = await ask({ do: "begin", rules: choose.value, number: number.querySelector("input").value.trim(), date: today(), facts, answers, language: language(), names: NAMES() }, await firmFile());
    if (head.wrong) {
      const input = inputs[head.wrong] || open;
      if (input === open) answers.pop();
      // The engine's own sentences are in English.
      wrong(input, language() === "en" ? head.why.replaceAll("`", "") : t(`box.${head.kind}`, { value: input.value }));
      input.focus();
      return;
    }
    if (head.visit) {
      // A number is given only to a visit that can be made.
      const typed = number.querySelector("input");
      const taken = await enterNumber(typed.value.trim(), facts.site);
      wrong(typed, taken);
      return taken ? typed.focus() : keep(head.visit, []);
    }
    const { key, question, choices, example, usual: value } = head.ask;
    const options = choices.length ? [["", t("new.dontknow")], ...choices.map(({ word, text }) => [word, text ?? t(`choice.${word}`) ?? word])] : undefined;
    const hint = options ? t("new.skip.choice") : [example && t("new.example", { example }), t("new.skip")].filter(Boolean).join(" ");
    const asked = box(question[0].toUpperCase() + question.slice(1), { name: key, value: value || "", options, autocomplete: "off" }, hint);
    step.replaceChildren(el("h2", {}, t("new.more")), asked);
    asked.querySelector("input, select").focus();
  }
}
