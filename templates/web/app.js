// Which part of the application is shown: the part of the address after `#`.
import { el } from "./dom.js";
import { check } from "./check.js";
import { keys } from "./keys.js";
import { begin, inspect } from "./inspect.js";
import { link } from "./link.js";
import { look } from "./owner.js";
import { visit } from "./visit.js";
import { LANGUAGES, language, setLanguage, t } from "./words.js";

const main = document.getElementById("main");
const parts = { "": start, check, keys, inspect, new: begin, visit, link, look };

function start(main) {
  main.append(
    el("h1", {}, t("start.title")),
    el("p", {}, t("start.private")),
    el("div", { class: "choices" },
      el("a", { class: "button main", href: "#check" }, t("start.check"), el("small", {}, t("start.check.hint"))),
      el("a", { class: "button", href: "#inspect" }, t("start.inspect"), el("small", {}, t("start.inspect.hint"))),
    ),
    el("div", { class: "caution" }, el("b", {}, t("caution.title")), el("ul", {}, ["caution.who", "caution.dead", "caution.torque"].map((c) => el("li", {}, t(c))))),
  );
}

async function show() {
  const [name, ...rest] = decodeURIComponent(location.hash.slice(1)).split("/");
  document.documentElement.lang = language();
  main.replaceChildren();
  await (parts[name] || start)(main, rest.join("/"));
  document.title = `${main.querySelector("h1")?.textContent || ""} · warmlug`;
  scrollTo(0, 0);
  main.focus({ preventScroll: true });
}

const chooser = document.getElementById("language");
chooser.setAttribute("aria-label", "Language");
chooser.append(...Object.entries(LANGUAGES).map(([code, name]) => el("option", { value: code, lang: code, selected: code === language() }, name)));
chooser.addEventListener("change", () => { setLanguage(chooser.value); foot(); show(); });

async function foot() {
  const place = document.getElementById("foot");
  const [, version, digest] = /^(.*), SHA-256 .* ([0-9a-f]{64})\s*$/.exec(await (await fetch("version.txt")).text());
  place.replaceChildren(el("p", {}, t("foot.version", { version, digest })), el("p", {}, t("foot.host")));
  if (!isSecureContext) place.append(el("p", {}, el("b", {}, t("foot.insecure"))));
}

addEventListener("hashchange", show);
if ("serviceWorker" in navigator) navigator.serviceWorker.register("sw.js");
await show();
await foot();
