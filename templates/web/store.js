// What this device keeps: the key (encrypted), the known signers, and the visits with their photos.
const opened = new Promise((done, fail) => {
  const open = indexedDB.open("warmlug", 1);
  open.onupgradeneeded = () => {
    open.result.createObjectStore("kept");
    open.result.createObjectStore("visits", { keyPath: "id" });
    open.result.createObjectStore("photos", { keyPath: "id" }).createIndex("visit", "visit");
  };
  open.onsuccess = () => done(open.result);
  open.onerror = () => fail(open.error);
});

async function within(store, mode, use) {
  const db = await opened;
  return new Promise((done, fail) => {
    const work = db.transaction(store, mode);
    const asked = use(work.objectStore(store));
    // Only what is committed is kept: a full storage shows here.
    work.oncomplete = () => done(asked.result);
    work.onabort = () => fail(work.error || asked.error);
    work.onerror = () => fail(work.error || asked.error);
  });
}

export const kept = {
  get: (name) => within("kept", "readonly", (s) => s.get(name)),
  put: (name, value) => within("kept", "readwrite", (s) => s.put(value, name)),
};
export const visits = {
  all: () => within("visits", "readonly", (s) => s.getAll()),
  get: (id) => within("visits", "readonly", (s) => s.get(id)),
  put: (visit) => within("visits", "readwrite", (s) => s.put(visit)),
  async delete(id) {
    for (const photo of await photos.of(id)) await photos.delete(photo.id);
    await within("visits", "readwrite", (s) => s.delete(id));
  },
};
export const photos = {
  of: (visit) => within("photos", "readonly", (s) => s.index("visit").getAll(visit)),
  put: (photo) => within("photos", "readwrite", (s) => s.put(photo)),
  delete: (id) => within("photos", "readwrite", (s) => s.delete(id)),
};

/**
 * Asks the browser not to clear this when space runs out. Nothing waits for the answer: Firefox asks the
 * user first, who may never answer.
 */
export const persist = () => { navigator.storage?.persist?.().catch(() => {}); };
