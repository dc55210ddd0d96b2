// The inspector's key: made here or brought along, kept encrypted, and saved as a backup before it seals.
import { ask, now } from "./engine.js";
import { box, bytesOf, el, save, wrong } from "./dom.js";
import { kept, persist } from "./store.js";
import { hold } from "./unlock.js";
import { day, t } from "./words.js";

const SHORTEST = 8; // characters of a passphrase; common practice, no source
const TYPE = "application/x-pkcs12";

/** The key of this device: { bytes, name, firm, licence, fingerprint, valid_until, saved }, or nothing. */
export const identity = async () => (isSecureContext ? kept.get("identity") : undefined);

export async function keys(main) {
  const here = await identity();
  main.append(el("h1", {}, t("keys.title")), el("p", {}, t("keys.about")));
  // Whoever is between could put another page here and take the key.
  if (!isSecureContext) return main.append(el("div", { class: "result bad" }, el("p", {}, t("keys.insecure"))));
  if (here) known(main, here); else create(main);
  bring(main, here);
  main.append(el("p", {}, el("small", {}, t("seal.card"))));
}

function known(main, here) {
  const backup = el("button", {
    type: "button",
    class: here.saved ? "" : "main",
    onclick: async () => {
      save(`${here.name.replace(/[^\p{L}\p{N}]+/gu, "-")}.p12`, here.bytes, TYPE);
      await kept.put("identity", { ...here, saved: true });
      location.hash = "#inspect";
    },
  }, t("keys.backup"));
  main.append(
    el("dl", {},
      el("dt", {}, t("name")), el("dd", {}, here.name),
      here.firm && [el("dt", {}, t("firm")), el("dd", {}, here.firm)],
      here.licence && [el("dt", {}, t("licence")), el("dd", {}, here.licence)],
      el("dt", {}, t("fingerprint")), el("dd", { class: "mono" }, here.fingerprint),
      el("dt", {}, t("keys.until")), el("dd", {}, day(here.valid_until.slice(0, 10))),
    ),
    el("p", {}, t("keys.give")),
    el("div", { class: "actions" }, backup),
  );
  if (!here.saved) main.append(el("p", {}, el("b", {}, t("keys.unsaved"))));
  if (!matchMedia("(display-mode: standalone)").matches) main.append(el("p", { class: "watch" }, t("keys.install")));
}

function create(main) {
  const boxes = {
    name: box(t("name"), { name: "name", autocomplete: "name" }),
    firm: box(t("firm"), { name: "firm", autocomplete: "organization" }, t("optional")),
    licence: box(t("licence"), { name: "licence", autocomplete: "off" }, t("optional")),
    passphrase: box(t("passphrase"), { name: "passphrase", type: "password", autocomplete: "new-password" }, t("passphrase.hint", { shortest: SHORTEST })),
    again: box(t("passphrase.again"), { name: "again", type: "password", autocomplete: "new-password" }),
  };
  const input = Object.fromEntries(Object.entries(boxes).map(([name, b]) => [name, b.querySelector("input")]));
  const button = el("button", { class: "main", type: "submit" }, t("keys.create"));
  const form = el("form", {
    onsubmit: async (event) => {
      event.preventDefault();
      wrong(input.name, !input.name.value.trim() && t("keys.name"));
      wrong(input.passphrase, input.passphrase.value.length < SHORTEST && t("passphrase.hint", { shortest: SHORTEST }));
      wrong(input.again, input.again.value !== input.passphrase.value && t("passphrase.differs"));
      const first = form.querySelector("[aria-invalid]");
      if (first) return first.focus();
      button.disabled = true;
      button.textContent = t("working");
      persist();
      const { head, files } = await ask({
        do: "new-identity",
        name: input.name.value.trim(),
        firm: input.firm.value.trim() || null,
        licence: input.licence.value.trim() || null,
        passphrase: input.passphrase.value,
        now: now(),
      });
      await hold({ ...head, bytes: files[0].bytes, saved: false }, input.passphrase.value, files[1].bytes);
      dispatchEvent(new Event("hashchange"));
    },
  }, Object.values(boxes), button);
  main.append(el("h2", {}, t("keys.new")), form);
}

function bring(main, here) {
  const file = box(t("keys.file"), { name: "file", type: "file", accept: ".p12,.pfx,.pem" });
  const passphrase = box(t("passphrase"), { name: "opened", type: "password", autocomplete: "current-password" });
  const [chosen, typed] = [file, passphrase].map((b) => b.querySelector("input"));
  const form = el("form", {
    onsubmit: async (event) => {
      event.preventDefault();
      wrong(chosen, !chosen.files[0] && t("keys.choose"));
      if (!chosen.files[0]) return;
      try {
        const bytes = await bytesOf(chosen.files[0]);
        const { head, files: [file] } = await ask({ do: "open-identity", passphrase: typed.value }, [{ name: "identity.p12", bytes }]);
        persist();
        // It came from a file, so there is a copy of it.
        await hold({ ...head, bytes, saved: true }, typed.value, file.bytes);
        dispatchEvent(new Event("hashchange"));
      } catch (why) {
        wrong(typed, why.message);
      }
    },
  }, file, passphrase, el("button", { type: "submit" }, t("keys.open")));
  main.append(el("details", { open: !here }, el("summary", {}, t("keys.bring")), form));
}
