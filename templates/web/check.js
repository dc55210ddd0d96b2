// For whoever received a certificate: what is proved, what is only claimed, what was not looked at.
import { ask, now } from "./engine.js";
import { box, bytesOf, el, wrong } from "./dom.js";
import { firmFile } from "./firm.js";
import { kept } from "./store.js";
import { told } from "./verdict.js";
import { day, outcome, t } from "./words.js";

export function check(main) {
  const file = el("input", { type: "file", id: "certificate", accept: "application/pdf,.pdf", onchange: () => examine(file.files[0]) });
  const pin = box(t("check.pin"), { name: "pin", autocomplete: "off", spellcheck: "false" }, t("check.pin.hint"));
  const line = box(t("check.line"), { name: "line", autocomplete: "off", spellcheck: "false" }, t("check.line.hint"));
  const firm = el("input", { type: "file", id: "check-firm", accept: ".yaml,.yml", "aria-describedby": "check-firm-hint", onchange: () => chosen && examine(chosen) });
  const answer = el("div", { id: "answer", "aria-live": "polite" });
  const drop = el("div", { class: "drop" }, el("label", { for: "certificate" }, el("b", {}, t("check.file")), el("small", {}, t("check.drop"))), file);
  drop.addEventListener("dragover", (event) => event.preventDefault());
  drop.addEventListener("drop", (event) => { event.preventDefault(); examine(event.dataTransfer.files[0]); });
  // Only some browsers read codes; the line can always be typed.
  if ("BarcodeDetector" in window) {
    const photo = el("input", { type: "file", id: "scan", accept: "image/*", capture: "environment", onchange: () => scan(photo) });
    line.append(el("label", { for: "scan" }, t("check.scan")), photo);
  }
  const again = el("button", { type: "button", onclick: () => chosen && examine(chosen) }, t("check.again"));
  main.append(
    el("h1", {}, t("check.title")),
    el("p", {}, t("check.about")),
    drop,
    answer,
    el("details", {}, el("summary", {}, t("check.more")), pin, line,
      el("p", { class: "box" }, el("label", { for: "check-firm" }, t("check.firm")), firm, el("small", { id: "check-firm-hint" }, t("check.firm.hint"))),
      again),
  );

  async function scan(photo) {
    const input = line.querySelector("input");
    try {
      const image = await createImageBitmap(photo.files[0]);
      const [code] = await new BarcodeDetector({ formats: ["qr_code"] }).detect(image);
      wrong(photo, !code && t("check.scan.none"));
      if (!code) return;
      input.value = code.rawValue;
      if (chosen) await examine(chosen);
    } catch {
      wrong(photo, t("check.scan.none"));
    }
  }
  /** Enters a key as one that the reader compared. */
  async function accept(fingerprint) {
    if (!confirm(t("check.same.sure"))) return;
    const known = (await kept.get("known-signers")) || "";
    const line = new RegExp(`^(${fingerprint}) (?:met )?(?=\\d{4}-)`, "im");
    await kept.put("known-signers", known.replace(line, "$1 accepted "));
    await examine(chosen);
  }

  let chosen;
  async function examine(next) {
    if (!next) return;
    chosen = next;
    answer.replaceChildren(el("p", {}, t("working")));
    try {
      const known = (await kept.get("known-signers")) || "";
      const request = { do: "verify", known, now: now() };
      const [pinned, copied] = [pin, line].map((p) => p.querySelector("input").value.trim());
      if (pinned) request.pin = pinned;
      if (copied) request.check_line = copied;
      const ours = firm.files.length ? [{ name: "firm.yaml", bytes: await bytesOf(firm.files[0]) }] : await firmFile();
      const { head } = await ask(request, [{ name: next.name, bytes: await bytesOf(next) }, ...ours]);
      if (head.known !== known) await kept.put("known-signers", head.known);
      answer.replaceChildren(...result(next.name, head, accept).filter(Boolean));
    } catch (why) {
      answer.replaceChildren(el("div", { class: "result bad", role: "alert" }, el("h2", {}, t("check.failed")), el("pre", {}, why.message)));
    }
  }
}

/** A sentence of the engine. */
const saying = (tag, sentence) => {
  const { text, lang } = told(sentence);
  return el(tag, { lang }, text);
};
const list = (title, sentences) => (sentences.length > 0 ? [
  el("h3", {}, title),
  el("ul", {}, sentences.map((s) => saying("li", s))),
] : []);
const moment = (at) => `${day(at.slice(0, 10))}, ${at.slice(11, 16)} (${at.slice(19).replace("Z", "") || "UTC"})`;

function result(name, { answers, good, known, firm }, accept) {
  const kind = answers.genuine ? "good" : good ? "open" : "bad";
  const { stated, proof, certificate } = answers;
  const certifier = answers.seal.signatures.find((s) => s.role === "certification");
  const facts = stated && [
    [t("outcome"), outcome(stated)],
    [t("charging"), t(`charging.${stated.charging}`, { amperes: stated.charging_limit_a })],
    ...(new Set(stated.circuits.map((c) => [c.charging, c.charging_limit_a, c.next_due].join())).size > 1 ? stated.circuits : []).map((c) => [
      c.name, [c.charging && t(`charging.${c.charging}`, { amperes: c.charging_limit_a }), `${t("due")}: ${c.next_due ? day(c.next_due) : t("due.none")}`].filter(Boolean).join(" · "),
    ]),
    [t("site"), stated.site],
    [t("inspected"), day(stated.date)],
    [t("due"), stated.next_due ? day(stated.next_due) : t("due.none")],
    [t("check.signed"), certifier?.signed.at && t("check.signed.clock", { at: moment(certifier.signed.at) })],
    [t("number"), certificate?.number],
  ];
  const fingerprint = certifier?.signer?.fingerprint;
  // Only a key that was met can be entered as compared.
  const met = kind === "open" && known.toLowerCase().includes(fingerprint);
  return [
    el("div", { class: `result ${kind}`, role: "status" },
      el("h2", {}, t(`check.${kind}`)),
      saying("p", answers.sentence),
      answers.signed_in_future && el("p", {}, el("b", {}, t("check.future", { at: answers.signed_in_future }))),
      // The first one is the signing time in the future, if it is.
      ...answers.time_warnings.slice(answers.signed_in_future ? 1 : 0).map((odd) => el("p", {}, saying("b", `${odd}.`))),
    ),
    ...(facts ? [
      el("h3", {}, t("check.says")),
      el("dl", {}, facts.filter(([, value]) => value).flatMap(([what, value]) => [el("dt", {}, what), el("dd", {}, value)])),
    ] : []),
    ...list(t("check.when"), stated?.signed ? [stated.signed] : []),
    ...list(t("check.objections"), answers.objections),
    ...(proof ? [
      ...list(t("check.proved"), proof.proved),
      ...list(t("check.claimed"), proof.claimed),
      ...list(t("check.unseen"), proof.not_looked_at),
    ] : []),
    ...(fingerprint ? [
      el("h3", {}, t("check.key")),
      el("p", { class: "mono" }, fingerprint.toUpperCase().replace(/(.{4})(?=.)/g, "$1 ")),
      el("small", {}, t("check.key.hint")),
      met && el("div", { class: "actions" }, el("button", { type: "button", onclick: () => accept(fingerprint) }, t("check.same"))),
    ] : []),
    el("small", {}, name),
    firm && el("small", {}, t("check.firm.used", { firm })),
  ];
}
