// A key, a visit by questions, measured, signed and checked offline after the server is gone, and verified
// by the program: the same steps in each browser. What differs between their drivers is in `page`:
//
//     goto(address), reload(), run(function, ...arguments) → JSON, upload(selector, file), shot(file)
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";

const PHOTO = "examples/limited-visit/photos/panel.jpg";
const PATIENCE = 120000; // milliseconds

export async function through({ page, program, home, end, folder }) {
  const at = (name) => path.join(folder, name);
  const shot = (name) => page.shot(at(name));
  const text = (selector) => page.run((s) => document.querySelector(s)?.textContent ?? null, selector);
  const click = (selector) => page.run((s) => document.querySelector(s).click(), selector);
  /** Types as an input event, which is what the application hears. */
  const fill = (selector, value) => page.run((s, v) => {
    const box = document.querySelector(s);
    box.value = v;
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }, selector, value);
  /** Waits until `what` holds in the page. */
  async function until(what, ...args) {
    for (const latest = Date.now() + PATIENCE; !(await page.run(what, ...args)); ) {
      assert(Date.now() < latest, `${what} ${args}: ${await text("main")}`);
      await new Promise((done) => setTimeout(done, 100));
    }
  }
  const there = (selector) => until((s) => document.querySelector(s) !== null, selector);

  await page.goto(home);
  await there("h1");
  await until(() => navigator.serviceWorker.ready.then(() => true));
  await until(() => document.getElementById("foot").textContent.includes("warmlug"));
  await shot("start.png");
  await end();
  await page.reload();
  await there(".choices");

  await page.goto(`${home}#keys`);
  await there("input[name=again]");
  await fill("input[name=name]", "Ida Bergqvist");
  await fill("input[name=passphrase]", "a long enough one");
  await fill("input[name=again]", "a long enough one");
  await click("form button[type=submit]");
  await there("dl .mono");
  await shot("keys.png");
  await click("button.main");
  await there('a[href="#new"]');

  await click('a[href="#new"]');
  await there("#box-rated");
  await fill("#box-client", "Mr. Oyelaran");
  await fill("#box-site", "Mill Lane 4");
  await fill("#box-rated", "40 A");
  for (let n = 0; n < 30 && !(await page.run(() => location.hash)).startsWith("#visit/"); n += 1) {
    const before = await text("form div[aria-live]");
    await click("form button[type=submit]");
    await until((b) => location.hash.startsWith("#visit/") || document.querySelector("form div[aria-live]")?.textContent !== b, before);
  }
  await there("[data-judged]");
  const names = await page.run(() => [...document.querySelectorAll("input[name]")].map((i) => i.name));
  const circuit = names.find((n) => n.includes("/heat/")).split("/")[0];
  const connections = names.map((n) => /\/heat\/3\/(.+)$/.exec(n)?.[1]).filter((c) => c && !["at", "air", "current", "voltage"].includes(c));
  const type = (name, value) => fill(`input[name="${name}"]`, value);
  for (const name of names.filter((n) => n.includes("/isolation/dead/"))) await type(name, "0");
  for (const [name, value] of [["proved_before", "241"], ["proved_after", "241"], ["locked", "yes"]]) await type(`${circuit}/isolation/${name}`, value);
  await page.run(() => {
    for (const button of document.querySelectorAll("label:has(input[name*='/looked_at/'][name$='/seen']) + .actions button:first-child, label:has(input[name*='/torque/'][name$='/found']) + .actions button:first-child")) button.click();
  });
  await type(`${circuit}/heat/charging_from`, "09:50");
  for (const [round, time, air, current, rise] of [[1, "09:40", 61, 0, 0], [2, "10:05", 61, 40, 18], [3, "10:55", 61, 40, 24]]) {
    await type(`${circuit}/heat/${round}/at`, time);
    await type(`${circuit}/heat/${round}/air`, String(air));
    await type(`${circuit}/heat/${round}/current`, String(current));
    for (const connection of connections) await type(`${circuit}/heat/${round}/${connection}`, String(air + rise));
  }
  await until((n) => document.querySelectorAll(".what output").length === n, connections.length);
  // A photo, made smaller in a worker.
  await page.upload("#camera", path.resolve(PHOTO));
  await there("figure img");
  await shot("visit.png");

  // The key is still open.
  assert.equal(await text("input[name=passphrase]"), null);
  const began = Date.now();
  await click("form button.main");
  await until(() => document.querySelector(".result.good, .result.bad") !== null);
  assert.equal(await text(".result.bad"), null);
  console.log(`a certificate with one photo in ${Date.now() - began} ms`);
  await shot("sealed.png");
  const pdf = await page.run(() => new Promise((done, fail) => {
    const open = indexedDB.open("warmlug");
    open.onerror = () => fail(open.error);
    open.onsuccess = () => {
      const all = open.result.transaction("visits").objectStore("visits").getAll();
      all.onsuccess = () => done(Array.from(all.result[0].certificate.bytes));
    };
  }));
  fs.writeFileSync(at("certificate.pdf"), Buffer.from(pdf));
  const verified = spawnSync(program, ["verify", at("certificate.pdf"), "--no-known", "--format", "json"], { encoding: "utf8" });
  const answers = JSON.parse(verified.stdout);
  assert.equal(verified.status, 5, verified.stdout + verified.stderr);
  assert.equal(answers.unchanged, true);
  assert.equal(answers.pages.answer, "yes", verified.stdout);

  await page.goto(`${home}#check`);
  await there("#certificate");
  await page.upload("#certificate", at("certificate.pdf"));
  await there(".result.open");
  assert.match(await text("#answer"), /Mill Lane 4/);
  await shot("check.png");
}
