// The owner's look at closed covers, and the label on the panel that opens it. It can show that
// something changed; it is never a clean bill.
import { ask } from "./engine.js";
import { box, el, save, wrong } from "./dom.js";
import { pack, unpack } from "./link.js";
import { language, t } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const QUIET = 4; // light modules around a code (ISO/IEC 18004, 5.3.8)

/** A square code as a picture. */
async function drawn(text) {
  const { head: { side, modules } } = await ask({ do: "code", text });
  const all = side + 2 * QUIET;
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${all} ${all}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", t("label.code"));
  const light = document.createElementNS(SVG, "path");
  light.setAttribute("d", `M0 0h${all}v${all}h-${all}z`);
  light.setAttribute("fill", "#fff");
  const dark = document.createElementNS(SVG, "path");
  dark.setAttribute("fill", "#000");
  let path = "";
  for (let n = 0; n < modules.length; n += 1) {
    if (modules[n] === "1") path += `M${QUIET + (n % side)} ${QUIET + Math.floor(n / side)}h1v1h-1z`;
  }
  dark.setAttribute("d", path);
  svg.append(light, dark);
  return svg;
}

/** Labels for the circuits whose first visit read closed covers; nothing if there are none. */
export async function labels(request) {
  const { head } = await ask({ ...request, do: "label" });
  return Promise.all(head.labels.map(async (inside) => {
    const address = `${location.href.split("#")[0]}#look/${await pack(inside)}`;
    let code;
    try {
      code = await drawn(address);
    } catch {
      return el("p", { class: "wrong" }, t("label.long"));
    }
    const name = `label-${inside.number}.svg`.replace(/[^\p{L}\p{N}.-]+/gu, "-");
    return el("section", { class: "label" },
      el("h2", {}, t("label.title", { circuit: inside.circuit })),
      el("p", {}, t("label.about")),
      code,
      el("div", { class: "actions" }, el("button", { type: "button", onclick: () => save(name, new XMLSerializer().serializeToString(code), "image/svg+xml") }, t("label.save")), el("a", { class: "button", href: address }, t("label.open"))),
    );
  }));
}

const decimal = (text) => Number(text.trim().replace(",", ".").replace("\u2212", "-") || NaN);

/** What a label's code opens. */
export async function look(main, packed) {
  main.append(el("h1", {}, t("look.title")));
  let inside;
  try {
    inside = await unpack(packed);
    if (!Array.isArray(inside.points)) throw new Error(t("link.damaged"));
  } catch (why) {
    return main.append(el("p", { class: "wrong", role: "alert" }, why.message));
  }
  const firm = String(inside.firm);
  const answer = el("div", { id: "answer", "aria-live": "assertive" });
  const call = () => answer.replaceChildren(el("div", { class: "result bad", role: "alert" }, el("h2", {}, t("look.call", { firm })), el("p", {}, t("look.call.how"))));
  const form = el("form", { hidden: true });
  const first = el("div", { class: "caution" },
    el("b", {}, t("look.closed")),
    el("p", {}, t("look.signs")),
    el("div", { class: "actions" },
      el("button", { type: "button", onclick: () => { form.hidden = true; call(); } }, t("look.yes")),
      el("button", { type: "button", onclick: () => { answer.replaceChildren(); form.hidden = false; form.querySelector("input").focus(); } }, t("look.no")),
    ),
  );
  const unit = box(t("look.unit"), { name: "unit", value: navigator.language === "en-US" ? "F" : "C", options: [["C", "°C"], ["F", "°F"]] });
  const typed = (label, name, hint) => box(label, { name, inputmode: "decimal", autocomplete: "off", required: true }, hint);
  const current = typed(t("look.current"), "current", t("look.current.hint", { rated: inside.rated_a }));
  const air = typed(t("look.air"), "air", t("look.air.hint"));
  const points = inside.points.map((point, n) => typed(t("look.point", { name: String(point.name) }), `point-${n}`, t("look.point.hint")));
  form.append(el("p", {}, t("look.how")), unit, current, air, ...points, el("button", { class: "main", type: "submit" }, t("look.compare")));
  form.noValidate = true;
  form.addEventListener("input", () => answer.replaceChildren());
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const inputs = [current, air, ...points].map((b) => b.querySelector("input"));
    for (const input of inputs) wrong(input, Number.isFinite(decimal(input.value)) ? "" : t("look.number"));
    const bad = form.querySelector("[aria-invalid]");
    if (bad) return bad.focus();
    const fahrenheit = unit.querySelector("select").value === "F";
    const [ampere, ...temperatures] = inputs.map((input) => decimal(input.value));
    const [air_c, ...readings] = temperatures.map((value) => (fahrenheit ? (value - 32) / 1.8 : value));
    // Air that no one stands in, or covers colder than ice: most likely the other unit.
    if (air_c < -40 || air_c > 60) return wrong(inputs[1], t("look.implausible"));
    try {
      const { head } = await ask({
        do: "look", rules: inside.rules, rated_a: inside.rated_a, current_a: ampere, air_c,
        points: inside.points.map(({ rise_k, uncertainty_k }, n) => ({ rise_k, uncertainty_k, reading_c: readings[n] })),
      });
      if (head.verdicts.includes("call")) return call();
      if (head.verdicts.includes("too-little")) return answer.replaceChildren(el("div", { class: "result open" }, el("h2", {}, t("look.little")), el("p", {}, t("look.little.how", { rated: inside.rated_a }))));
      answer.replaceChildren(el("div", { class: "result open", role: "status" }, el("h2", {}, t("look.like")), el("p", {}, t("look.like.not"))));
    } catch (why) {
      answer.replaceChildren(el("p", { class: "wrong" }, why.message));
    }
  });
  const about = new Intl.DateTimeFormat(language(), { dateStyle: "long", timeZone: "UTC" }).format(new Date(inside.date));
  main.append(el("p", {}, t("look.about", { circuit: String(inside.circuit), date: about, firm })), first, form, answer);
}
