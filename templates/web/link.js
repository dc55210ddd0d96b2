// What is packed into an address behind `#`, which no host sees: a visit, or what a label on a panel
// holds. JSON, DEFLATE (RFC 1951), Base64url (RFC 4648, section 5).
import { el } from "./dom.js";
import { keep } from "./keep.js";
import { visits } from "./store.js";
import { t } from "./words.js";

const MOST = 4 << 20; // bytes unpacked, so that a short address cannot fill the memory

async function through(bytes, stream, most) {
  const reader = new Blob([bytes]).stream().pipeThrough(stream).getReader();
  const parts = [];
  let size = 0;
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    if ((size += part.value.length) > most) throw new Error(t("link.damaged"));
    parts.push(part.value);
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

export async function pack(value) {
  const bytes = await through(new TextEncoder().encode(JSON.stringify(value)), new CompressionStream("deflate-raw"), MOST);
  return btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join("")).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** The value; a damaged address is an error in words. */
export async function unpack(text) {
  try {
    const bytes = Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
    return JSON.parse(new TextDecoder().decode(await through(bytes, new DecompressionStream("deflate-raw"), MOST)));
  } catch {
    throw new Error(t("link.damaged"));
  }
}

/** A visit that came with an address. The same address opened again continues what was begun. */
export async function link(main, packed) {
  main.append(el("h1", {}, t("link.title")));
  let inside;
  try {
    inside = await unpack(packed);
    if (typeof inside.visit !== "string" || !Array.isArray(inside.files)) throw new Error(t("link.damaged"));
  } catch (why) {
    return main.append(el("p", { class: "wrong", role: "alert" }, why.message));
  }
  const begun = (await visits.all()).find((visit) => visit.from === packed);
  const open = async () => {
    if (begun) location.replace(`#visit/${begun.id}`);
    else {
      const files = inside.files.map(({ name, text }) => ({ name: String(name), bytes: new TextEncoder().encode(text) }));
      await keep(inside.visit, files, { from: packed });
    }
  };
  const title = /^\s*number:\s*"?([^"\n#]+)/m.exec(inside.visit)?.[1].trim() ?? "";
  main.append(
    el("p", {}, t(begun ? "link.begun" : "link.about", { number: title })),
    el("div", { class: "actions" }, el("button", { type: "button", class: "main", onclick: open }, t(begun ? "link.continue" : "link.open"))),
  );
}
