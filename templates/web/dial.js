// The current dial: what each connection would reach on the hottest day at a lower current.
import { ask } from "./engine.js";
import { el } from "./dom.js";
import { t } from "./words.js";

/** For the circuits of a visit; `request()` is the engine's question with the values typed so far. */
export function dial(request, circuits) {
  const body = el("div", { "aria-live": "polite" });
  const details = el("details", {}, el("summary", {}, t("dial.title")), el("p", {}, t("dial.about")), body);
  let run = 0;
  async function draw() {
    const mine = (run += 1);
    body.replaceChildren(el("p", {}, t("working")));
    try {
      const { head } = await ask({ ...request(), do: "dial" });
      if (mine === run) body.replaceChildren(...head.circuits.map(circuit));
    } catch (why) {
      if (mine === run) body.replaceChildren(el("p", { class: "wrong" }, t("dial.none")), el("small", {}, why.message.split("\n")[0]));
    }
  }
  details.addEventListener("toggle", () => { if (details.open) draw(); });

  function circuit({ circuit: id, refused, currents }) {
    const title = circuits.length > 1 ? el("h3", {}, id) : null;
    if (refused) return el("section", {}, ...[title, el("p", { class: "halt" }, t("dial.refused"))].filter(Boolean));
    if (!currents[0].connections.length) return el("section", {}, ...[title, el("p", {}, t("dial.none"))].filter(Boolean));
    const name = `dial-${id}`;
    const slide = el("input", { type: "range", id: name, min: "0", max: String(currents.length - 1), step: "1", value: "0" });
    const shown = el("output", { for: name });
    const rows = el("tbody");
    const move = () => {
      const at = currents[Number(slide.value)];
      slide.setAttribute("aria-valuetext", at.current);
      shown.textContent = at.current;
      rows.replaceChildren(...at.connections.map((c) => el("tr", { class: c.over ? "stop" : c.within ? "" : "watch" },
        el("th", { scope: "row" }, c.connection),
        el("td", {}, `${c.hottest} ± ${c.uncertainty}`),
        el("td", {}, c.margin ?? "–", el("small", {}, c.margin == null ? t("dial.nolimit") : t(c.over ? "dial.over" : c.within ? "dial.within" : "dial.unsure"))),
      )));
    };
    slide.addEventListener("input", move);
    move();
    return el("section", {}, ...[
      title,
      el("label", { for: name }, t("dial.current")),
      slide,
      shown,
      el("table", {}, el("thead", {}, el("tr", {}, ["dial.connection", "dial.hottest", "dial.margin"].map((k) => el("th", { scope: "col" }, t(k))))), rows),
    ].filter(Boolean));
  }
  return { element: details, stale: () => { if (details.open) draw(); } };
}
