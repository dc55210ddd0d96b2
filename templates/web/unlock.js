// The inspector's key while this page is open. The passphrase is asked for once, and the key is derived
// from it as soon as it is typed, for that takes seconds on a phone.
//
// The engine reads and writes PKCS#12 files and can do all of this. Beside the file, this device stores a
// copy that the browser itself can open, several times as fast: AES-256-GCM with a key by PBKDF2.
import { ask } from "./engine.js";
import { kept } from "./store.js";
import { t } from "./words.js";

const ROUNDS = 600000; // of PBKDF2 with HMAC-SHA-256: as many as in the engine's files

let open; // { fingerprint, bytes }: a file without a passphrase, in memory only
let opening; // { passphrase, fingerprint, promise }

/** The opened key's file; nothing before its passphrase was entered. */
export const opened = (identity) => (identity && open?.fingerprint === identity.fingerprint ? open.bytes : undefined);

/** Forgets the opened key. */
export function lock() {
  open = undefined;
  opening = undefined;
}

/** Opens the key; the same passphrase again joins what has begun. A wrong one is an error in words. */
export function unlock(identity, passphrase) {
  if (opening?.passphrase === passphrase && opening.fingerprint === identity.fingerprint) return opening.promise;
  const mine = { passphrase, fingerprint: identity.fingerprint };
  // Forgotten, or replaced with another passphrase, while it was derived.
  const current = () => opening === mine;
  mine.promise = derived(identity, passphrase).then((bytes) => {
    if (current()) open = { fingerprint: identity.fingerprint, bytes };
  });
  opening = mine;
  // The passphrase itself is not kept.
  const done = () => { if (current()) opening = undefined; };
  mine.promise.then(done, done);
  return mine.promise;
}

/** Stores an identity, and keeps it open: `bytes` is its file without a passphrase. */
export async function hold(identity, passphrase, bytes) {
  open = { fingerprint: identity.fingerprint, bytes };
  await stored(identity, passphrase, bytes);
}

async function stored(identity, passphrase, bytes) {
  await kept.put("identity", { ...identity, quick: await wrapped(passphrase, bytes) });
}

async function derived(identity, passphrase) {
  const { quick } = identity;
  if (quick && crypto.subtle) {
    const key = await derive(passphrase, quick.salt, "decrypt");
    try {
      return new Uint8Array(await crypto.subtle.decrypt({ name: "AES-GCM", iv: quick.iv }, key, quick.bytes));
    } catch {
      throw new Error(t("passphrase.wrong"));
    }
  }
  const { files: [file] } = await ask({ do: "open-identity", passphrase }, [{ name: "identity.p12", bytes: identity.bytes }]);
  await stored(identity, passphrase, file.bytes);
  return file.bytes;
}

async function wrapped(passphrase, bytes) {
  if (!crypto.subtle) return undefined;
  const [salt, iv] = [32, 12].map((length) => crypto.getRandomValues(new Uint8Array(length)));
  const key = await derive(passphrase, salt, "encrypt");
  return { salt, iv, bytes: new Uint8Array(await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, bytes)) };
}

async function derive(passphrase, salt, use) {
  const typed = await crypto.subtle.importKey("raw", new TextEncoder().encode(passphrase), "PBKDF2", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt, iterations: ROUNDS }, typed, { name: "AES-GCM", length: 256 }, false, [use]);
}
