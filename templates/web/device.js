// What labels say of terminals: a torque is typed once, and remembered by make and model on this device,
// with a photo of the label.
import { ask } from "./engine.js";
import { box, el, wrong } from "./dom.js";
import { shrunk } from "./photos.js";
import { kept } from "./store.js";
import { language, t } from "./words.js";

const named = (make, model, place) => [make, model, place].map((w) => w.trim().toLowerCase()).join("|");

/** For the places ([circuit, place]) of a visit; `taken(text)` stores the changed visit file. */
export function device(visit, places, taken) {
  const where = box(t("device.place"), { name: "device-place", options: places.map(([c, p]) => [`${c}/${p}`, new Set(places.map(([of]) => of)).size > 1 ? `${c}: ${p}` : p]) });
  const make = box(t("device.make"), { name: "device-make", autocomplete: "off" });
  const model = box(t("device.model"), { name: "device-model", autocomplete: "off" });
  const torque = box(t("device.torque"), { name: "device-torque", inputmode: "decimal", autocomplete: "off" }, t("device.torque.hint"));
  const photo = el("input", { type: "file", id: "device-photo", accept: "image/*", capture: "environment" });
  const known = el("div", { "aria-live": "polite" });
  const value = (b) => b.querySelector("input, select").value;
  const input = torque.querySelector("input");

  async function recall() {
    const [, place] = value(where).split("/");
    const all = (await kept.get("torques")) || {};
    const found = value(model).trim() && all[named(value(make), value(model), place)];
    known.replaceChildren();
    if (!found) return;
    input.value = found.torque;
    known.append(el("p", {}, t("device.known", { torque: found.torque })));
    if (found.photo) known.append(el("figure", {}, el("img", { alt: t("device.photo"), src: URL.createObjectURL(new Blob([found.photo], { type: "image/jpeg" })) })));
  }
  for (const b of [where, make, model]) b.addEventListener("change", recall);

  async function enter() {
    wrong(input, "");
    try {
      const [circuit, place] = value(where).split("/");
      // Only the charger has a make and a model in the visit file.
      const named_ = place === "charger" ? { make: value(make), model: value(model) } : {};
      const { head } = await ask({ do: "device", visit: visit(), circuit, place, torque: input.value, ...named_ });
      if (head.wrong) {
        wrong(input, language() === "en" ? head.wrong.replaceAll("`", "") : t("box.unreadable", { value: input.value }));
        return input.focus();
      }
      if (value(model).trim()) {
        const all = (await kept.get("torques")) || {};
        const before = all[named(value(make), value(model), place)];
        const bytes = photo.files[0] ? await shrunk(photo.files[0]) : before?.photo;
        await kept.put("torques", { ...all, [named(value(make), value(model), place)]: { torque: input.value.trim(), photo: bytes } });
      }
      await taken(head.visit);
    } catch (why) {
      wrong(input, why.message.split("\n")[0]);
    }
  }
  return el("details", {}, el("summary", {}, t("device.title")), el("p", {}, t("device.about")), where, make, model, torque,
    el("p", { class: "box" }, el("label", { for: "device-photo" }, t("device.photo")), photo), known,
    el("button", { type: "button", onclick: enter }, t("device.enter")));
}
