// The worksheet's page in a browser that is not ours, at phone size and without a network: typing,
// reload, photos, save, then a certificate of what was saved; and the engine inside against the
// program itself on every example.
//
//     node page.mjs PROGRAM PLAYWRIGHT CHROMIUM FOLDER
//
// Leaves screenshots in FOLDER, to be looked at.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";

const [program, library, chromium, folder] = process.argv.slice(2).map((p) => path.resolve(p));
const playwright = createRequire(import.meta.url)(library);
fs.rmSync(folder, { recursive: true, force: true });
fs.mkdirSync(folder, { recursive: true });
const at = (name) => path.join(folder, name);
const run = (...args) => execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
const env = (name) => path.join("examples", name, "visit.yaml");

const visit = at("visit.yaml");
run("new", "--from", env("townhouse-return"), "-o", visit, "--date", "2025-11-12");
run("worksheet", visit, "--page");
const html = fs.readFileSync(at("worksheet.html"), "utf8");
assert(!/(src|href)="?http|url\(http/.test(html), "the page needs nothing from elsewhere");

const browser = await playwright.chromium.launch({ executablePath: chromium, args: ["--no-sandbox"] });
const context = await browser.newContext({
  viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, isMobile: true, hasTouch: true, offline: true,
});
const page = await context.newPage();
const faults = [];
page.on("pageerror", (e) => faults.push(String(e)));
page.on("console", (m) => m.type() === "error" && faults.push(m.text()));
await page.goto(`file://${at("worksheet.html")}`);
const answers = () => page.evaluate(() => Number(document.body.dataset.answered || 0));
await page.waitForFunction(() => document.body.dataset.answered);
const type = async (name, value) => {
  const before = await answers();
  await page.fill(`input[name="${name}"]`, value);
  await page.waitForFunction((n) => Number(document.body.dataset.answered) > n, before);
};
const value = (name) => page.inputValue(`input[name="${name}"]`);

// The page at phone size: nothing wider than the phone, every box large enough for a thumb.
const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
assert(!wide, "wider than the phone");
const low = await page.evaluate(() => [...document.querySelectorAll("main input[name]")].filter((i) => i.offsetHeight < 44).length);
assert.equal(low, 0, "boxes too low for a thumb");
await page.screenshot({ path: at("page-top.png") });

// A time by one touch, a countdown, a time stamped when a reading is typed.
await page.click('input[name="garage/heat/charging_from"] + button');
assert.match(await value("garage/heat/charging_from"), /^\d\d:\d\d$/);
await page.waitForFunction(() => /next round in 1[45] min/.test(document.getElementById("countdown").textContent));
assert.equal(await value("garage/heat/2/at"), "");
await type("garage/heat/2/breaker-L1", "9");
assert.match(await value("garage/heat/2/at"), /^\d\d:\d\d$/, "stamped");
await page.waitForFunction(() => /next round in (59|60) min/.test(document.getElementById("countdown").textContent));

// What a whole visit would have.
const typed = {
  "isolation/proved_before": "240", "isolation/proved_after": "240", "isolation/locked": "yes",
  "isolation/dead/L1-L2": "0", "isolation/dead/L1-G": "0", "isolation/dead/L2-G": "0",
  "looked_at/breaker/seen": "clean", "looked_at/stabs/seen": "clean", "looked_at/charger/seen": "dust",
  "looked_at/charger/note": "Cobweb: brushed out", "looked_at/ground/seen": "clean",
  "heat/charging_from": "09:55",
};
for (const [connection, wanted] of [["breaker-L1", 45], ["breaker-L2", 45], ["charger-L1", 22], ["charger-L2", 22],
  ["charger-G", 22], ["ground-G", 35]]) {
  typed[`torque/${connection}/found`] = "held";
  typed[`torque/${connection}/left`] = String(wanted);
}
const rounds = [["09:44", 66.0, 0], ["10:10", 66.2, 40], ["10:56", 66.7, 40]];
rounds.forEach(([time, air, current], i) => {
  typed[`heat/${i + 1}/at`] = time;
  typed[`heat/${i + 1}/air`] = String(air);
  typed[`heat/${i + 1}/current`] = String(current);
  for (const id of ["breaker-L1", "breaker-L2", "stab-L1", "stab-L2", "charger-L1", "charger-L2"]) {
    const rise = [0, 7, 11][i] * (id === "breaker-L1" ? 3 : 1);
    typed[`heat/${i + 1}/${id}`] = (air + rise).toFixed(1);
  }
});
for (const [name, text] of Object.entries(typed)) await page.fill(`input[name="garage/${name}"]`, text);
await page.waitForFunction(() => document.querySelector(".live .watch"));
const rise = await page.textContent('.row:has(input[name="garage/heat/3/breaker-L1"]) output');
assert.match(rise, /rise 33.°F/, rise);
const live = await page.textContent(".live");
assert.match(live, /Watch: .*the connection on the L1 side is getting poor/, live);
await page.locator(".live").scrollIntoViewIfNeeded();
await page.screenshot({ path: at("page-live.png") });

// A photo, a caption, a reload: nothing is lost.
await page.setInputFiles("#camera", "examples/townhouse-return/photos/terminals.jpg");
await page.fill("#photos input", 'The "hot" leg');
await page.waitForTimeout(200);
await page.reload();
await page.waitForFunction(() => document.body.dataset.answered && document.querySelector("#photos img"));
for (const [name, text] of Object.entries(typed)) assert.equal(await value(`garage/${name}`), text, name);
assert.equal(await page.inputValue("#photos input"), 'The "hot" leg');
await page.locator("#photos").scrollIntoViewIfNeeded();
await page.screenshot({ path: at("page-photos.png") });

// Melted parts or a voltage stop the work at their box: the circuit is not switched on.
for (const [box, stop, fine] of [
  ["looked_at/stabs/seen", "dust, melted", "clean"], ["looked_at/stabs/seen", "Discolored", "clean"],
  ["isolation/dead/L1-G", "120", "0"], ["isolation/dead/L1-G", "3.1 V", "3 V"],
]) {
  await page.fill(`input[name="garage/${box}"]`, stop);
  assert.match(await page.textContent(`.row:has(input[name="garage/${box}"]) > .halt`), /^STOP: /, box);
  assert.equal(await page.locator(".halt").count(), 2, "at the box, and at the temperatures");
  for (const field of ["charging_from", "1/at", "3/charger-L2"]) {
    assert(await page.isDisabled(`input[name="garage/heat/${field}"]`), field);
  }
  assert(await page.isDisabled('input[name="garage/heat/charging_from"] + button'));
  await page.waitForFunction(() => /^STOP: /.test(document.getElementById("countdown").textContent));
  await page.screenshot({ path: at("page-stop.png") });
  await page.fill(`input[name="garage/${box}"]`, fine);
  assert.equal(await page.locator(".halt").count(), 0, fine);
  assert(await page.isEnabled('input[name="garage/heat/3/charger-L2"]'));
}
await page.fill('input[name="garage/isolation/dead/L1-G"]', "0");

// A value that cannot be read is told while one types, and put right.
await page.fill('input[name="garage/heat/3/stab-L1"]', "warm");
await page.waitForFunction(() => /stab-L1: warm/.test(document.getElementById("problems").textContent));
await page.fill('input[name="garage/heat/3/stab-L1"]', typed["heat/3/stab-L1"]);
await page.waitForFunction(() => !document.getElementById("problems").textContent);

// The module writes no certificate, so it names no build as the program does.
const unnamed = ({ tool: { build, ...tool }, ...findings }) => ({ ...findings, tool });

// Saved: a zip that is filled in, judged alike, and certified.
const [download] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
await download.saveAs(at("visit.zip"));
const shown = await page.evaluate(() => answered.findings);
execFileSync("python3", ["-m", "zipfile", "-e", at("visit.zip"), at("unpacked")]);
run("fill", visit, "--with", at("visit.zip"));
const native = JSON.parse(run("check", visit, "--format", "json"));
assert.deepEqual(unnamed(shown), unnamed(native), "the page and the program judge alike");
assert.equal(native.complete, true, JSON.stringify(native.limitations));
run("certify", visit, "-o", at("certificate.pdf"));
const record = JSON.parse(run("verify", at("certificate.pdf"), "--no-known", "--allow-uncompared", "--format", "json"));
assert(record.acceptable, JSON.stringify(record).slice(0, 400));
assert.match(fs.readFileSync(visit, "utf8"), /caption: "The \\"hot\\" leg"/);
// As it is: unpacked anywhere, the zip's own visit file is certified, with all that it names.
fs.cpSync(at("unpacked"), at("elsewhere/deep"), { recursive: true });
run("certify", at("elsewhere/deep/visit.yaml"));
const again = JSON.parse(run("check", at("elsewhere/deep/visit.yaml"), "--format", "json"));
assert.deepEqual(again, native, "the zip's own visit file is judged alike");

// The engine inside and the program, on every example.
let compared = 0;
for (const name of fs.readdirSync("examples")) {
  if (!fs.existsSync(env(name))) continue;
  const source = fs.readFileSync(env(name), "utf8");
  const before = /^earlier: \[ (.*) \]$/m.exec(source);
  const earlier = before ? [fs.readFileSync(path.join("examples", name, before[1]), "utf8")] : [];
  const answer = await page.evaluate((q) => ask(q), { visit: source, rules: null, earlier, values: {} });
  assert.equal(answer.problems, undefined, name);
  const findings = JSON.parse(run("check", env(name), "--format", "json"));
  assert.deepEqual(unnamed(answer.findings), unnamed(findings), name);
  compared += 1;
}
assert(compared >= 5);
assert.deepEqual(faults, []);
const version = browser.version();
await browser.close();
console.log(`page: typed, reloaded, saved and certified offline in Chromium ${version}; engine and program agree on ${compared} examples`);
