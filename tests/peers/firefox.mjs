// The browser application in Firefox, at phone size: a key, a visit by questions, measured, signed and
// checked offline after the server is gone, and verified by the program.
//
//     node firefox.mjs PROGRAM PUPPETEER FIREFOX FOLDER [SITE]
//
// SITE is a folder written before; without it, PROGRAM serves its own. Leaves screenshots in FOLDER, to be looked at.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";
import { served } from "./site.mjs";

const [program, library, firefox, folder, given] = process.argv.slice(2).map((p) => path.resolve(p));
const puppeteer = createRequire(import.meta.url)(library);
fs.rmSync(folder, { recursive: true, force: true });
fs.mkdirSync(folder, { recursive: true });
const at = (name) => path.join(folder, name);

const { home, end } = await served(program, given);

const browser = await puppeteer.launch({ browser: "firefox", executablePath: firefox, headless: true });
process.on("exit", () => browser.process()?.kill());
const page = await browser.newPage();
await page.setViewport({ width: 390, height: 844 });
const faults = [];
page.on("pageerror", (e) => faults.push(String(e)));
page.on("console", (m) => m.type() === "error" && faults.push(m.text()));
page.on("dialog", (d) => d.accept());
page.setDefaultTimeout(120000);
const shot = (name) => page.screenshot({ path: at(name), fullPage: true });
const text = (selector) => page.$eval(selector, (e) => e.textContent);
/** Types as an input event, which is what the application hears. */
const fill = (selector, value) => page.$eval(selector, (e, v) => { e.value = v; e.dispatchEvent(new Event("input", { bubbles: true })); }, value);
const click = (selector) => page.$eval(selector, (e) => e.click());

/** Waits until `what` holds in the page, whose rules forbid the text that the library would run there. */
async function until(what, ...args) {
  for (const end = Date.now() + 120000; !(await page.evaluate(what, ...args)); ) {
    assert(Date.now() < end, `${what}: ${await text("main")}`);
    await new Promise((done) => setTimeout(done, 100));
  }
}

await page.goto(home);
await page.waitForSelector("h1");
await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
await shot("start.png");
await end();
await page.reload();
await page.waitForSelector(".choices");

await page.goto(`${home}#keys`);
await page.waitForSelector("input[name=again]");
await fill("input[name=name]", "Ida Bergqvist");
await fill("input[name=passphrase]", "a long enough one");
await fill("input[name=again]", "a long enough one");
await click("form button[type=submit]");
await page.waitForSelector("dl .mono");
await click("button.main");
await page.waitForSelector('a[href="#new"]');
await shot("keys.png");

await click('a[href="#new"]');
await page.waitForSelector("#box-rated");
await fill("#box-client", "Mr. Oyelaran");
await fill("#box-site", "Mill Lane 4");
await fill("#box-rated", "40 A");
for (let n = 0; n < 30 && !page.url().includes("#visit/"); n += 1) {
  const before = await text("form div[aria-live]");
  await click("form button[type=submit]");
  await until((b) => location.hash.startsWith("#visit/") || document.querySelector("form div[aria-live]")?.textContent !== b, before);
}
await page.waitForSelector("[data-judged]");
const names = await page.$$eval("input[name]", (all) => all.map((i) => i.name));
const circuit = names.find((n) => n.includes("/heat/")).split("/")[0];
const connections = names.map((n) => /\/heat\/3\/(.+)$/.exec(n)?.[1]).filter((c) => c && !["at", "air", "current", "voltage"].includes(c));
const type = (name, value) => fill(`input[name="${name}"]`, value);
for (const name of names.filter((n) => n.includes("/isolation/dead/"))) await type(name, "0");
for (const [name, value] of [["proved_before", "241"], ["proved_after", "241"], ["locked", "yes"]]) await type(`${circuit}/isolation/${name}`, value);
await page.$$eval("label:has(input[name*='/looked_at/'][name$='/seen']) + .actions button:first-child, label:has(input[name*='/torque/'][name$='/found']) + .actions button:first-child", (all) => all.forEach((b) => b.click()));
await type(`${circuit}/heat/charging_from`, "09:50");
for (const [round, time, air, current, rise] of [[1, "09:40", 61, 0, 0], [2, "10:05", 61, 40, 18], [3, "10:55", 61, 40, 24]]) {
  await type(`${circuit}/heat/${round}/at`, time);
  await type(`${circuit}/heat/${round}/air`, String(air));
  await type(`${circuit}/heat/${round}/current`, String(current));
  for (const connection of connections) await type(`${circuit}/heat/${round}/${connection}`, String(air + rise));
}
await until((n) => document.querySelectorAll(".what output").length === n, connections.length);
// A photo, made smaller in a worker.
const camera = await page.$("#camera");
await camera.uploadFile(path.resolve("examples/limited-visit/photos/panel.jpg"));
await page.waitForSelector("figure img");
await shot("visit.png");

await fill("input[name=passphrase]", "a long enough one");
const began = Date.now();
await click("form button.main");
await page.waitForSelector(".result.good");
console.log(`a certificate with one photo in ${Date.now() - began} ms`);
await shot("sealed.png");
const pdf = await page.evaluate(() => new Promise((done, fail) => {
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
await page.waitForSelector("#certificate");
await (await page.$("#certificate")).uploadFile(at("certificate.pdf"));
await page.waitForSelector(".result.open");
assert.match(await text("#answer"), /Mill Lane 4/);
await shot("check.png");
assert.deepEqual(faults, []);
const version = await browser.version();
await browser.close();
console.log(`a visit by questions, measured, signed and checked offline in ${version}`);
