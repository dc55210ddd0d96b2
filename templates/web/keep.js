// A visit that comes to this device.
import { persist, visits } from "./store.js";

/** Stores a visit file with the files that it names, and shows it; `more` is stored beside them. */
export async function keep(text, files, more = {}) {
  persist();
  const id = crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`;
  await visits.put({ id, title: titled(text), text, files, values: {}, changed: Date.now(), ...more });
  // The address that it came from may hold the visit itself: it does not stay in the history.
  location.replace(`#visit/${id}`);
}

/** The number of a visit file and the name of its site. */
export function titled(text) {
  const number = /^\s*number:\s*"?([^"\n#]+)/m.exec(text)?.[1].trim() ?? "?";
  const site = /^site:(?:\s*\{\s*name:\s*|\s*\n\s+name:\s*)"?([^"\n#,}]+)/m.exec(text)?.[1].trim();
  return site ? `${number}, ${site}` : number;
}
