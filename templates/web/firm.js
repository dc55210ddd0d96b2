// The firm's file on this device, and the certificate numbers that were given here.
import { ask, said, today } from "./engine.js";
import { box, bytesOf, el, save } from "./dom.js";
import { kept } from "./store.js";
import { t } from "./words.js";

/** { bytes, firm, technicians, devices, rules, device }, or nothing. */
export const firm = () => kept.get("firm");
/** The firm's file for a request: a list with one file, or an empty one. */
export async function firmFile() {
  const here = await firm();
  return here ? [{ name: "firm.yaml", bytes: here.bytes }] : [];
}

async function numbered(more) {
  const here = await firm();
  const numbers = (await kept.get("numbers")) || "";
  const { head } = await ask({ do: "number", numbers, device: here?.device ?? null, date: today(), ...more }, await firmFile());
  return head.wrong ? { ...head, wrong: said(head) } : head;
}
/** The next free number of this device, or `wrong` with the reason. */
export const nextNumber = () => numbered({});
/** Enters a number as given; the reason if it can't be, or nothing. */
export async function enterNumber(number, site) {
  const head = await numbered({ number, site });
  if (!head.wrong) await kept.put("numbers", head.numbers);
  return head.wrong;
}

/** Where the file is chosen. */
export async function firmSection(problem) {
  const here = await firm();
  const numbers = await kept.get("numbers");
  const again = () => dispatchEvent(new Event("hashchange"));
  const file = el("input", { type: "file", id: "firm", accept: ".yaml,.yml", onchange: async () => {
    problem.replaceChildren();
    try {
      const bytes = await bytesOf(file.files[0]);
      const { head } = await ask({ do: "firm" }, [{ name: "firm.yaml", bytes }]);
      const device = head.devices.includes(here?.device) ? here.device : head.devices.length === 1 ? head.devices[0] : null;
      await kept.put("firm", { ...head, bytes, device });
      again();
    } catch (why) {
      problem.replaceChildren(el("pre", { class: "wrong" }, why.message));
    }
  } });
  const parts = [el("p", {}, here ? t("firm.here", { firm: here.firm }) : t("firm.about")), el("p", { class: "box" }, el("label", { for: "firm" }, t("firm.choose")), file)];
  if (here?.devices.length) {
    const device = box(t("firm.device"), { name: "device", value: here.device ?? "", options: [["", "–"], ...here.devices.map((d) => [d, d])] }, t("firm.device.hint"));
    device.querySelector("select").addEventListener("change", async (event) => { await kept.put("firm", { ...(await firm()), device: event.target.value || null }); });
    parts.push(device);
  }
  const actions = [
    numbers && el("button", { type: "button", onclick: () => save("numbers.csv", new TextEncoder().encode(numbers), "text/csv") }, t("firm.numbers")),
    here && el("button", { type: "button", onclick: async () => { await kept.put("firm", undefined); again(); } }, t("firm.forget")),
  ].filter(Boolean);
  return el("details", { open: Boolean(here?.devices.length && !here.device) }, el("summary", {}, t("firm.title")), parts, el("div", { class: "actions" }, actions));
}
