// The register's overview page in a browser that is not ours, with 1,000 circuits: searched, filtered, sorted,
// its links, landmarks and contrast, on a phone and on a screen, light and dark, and printed.
//
//     node overview.mjs PROGRAM PLAYWRIGHT CHROMIUM FOLDER
//
// Leaves screenshots in FOLDER, to be looked at.

import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [program, library, chromium, folder] = process.argv.slice(2).map((p) => path.resolve(p));
const playwright = createRequire(import.meta.url)(library);
fs.rmSync(folder, { recursive: true, force: true });
fs.mkdirSync(folder, { recursive: true });
const at = (name) => path.join(folder, name);

// 1,000 circuits in 125 properties, with three visits each; the units are those of the certificates.
const CIRCUITS = 1000;
const TODAY = "2026-11-29";
const rows = [];
for (let n = 0; n < CIRCUITS; n += 1) {
  for (const visit of [0, 1, 2]) {
    const stop = n % 97 === 0 && visit === 2;
    const complete = n % 31 !== 0;
    rows.push({
      number: `202${4 + visit}-${String(n).padStart(4, "0")}`, site: `${1 + Math.floor(n / 8)} Mill Lane & Sons`, circuit: `bay-${n % 8}`,
      circuit_name: `Bay ${n % 8}`, date: `202${4 + visit}-03-0${1 + (n % 9)}`,
      outcome: stop ? "unsatisfactory" : complete ? "satisfactory" : "incomplete", complete,
      worst_grade: stop ? "stop" : "pass", worst_margin_k: 25 - visit * 5,
      next_due: stop ? null : `202${n % 13 === 0 ? 6 : 7}-06-0${1 + (n % 9)}`, signer: "Ada Ohm", fingerprint: "ab".repeat(32),
      signed_at: `202${4 + visit}-03-09T12:00:00Z`, valid: true, problem: null, units: n % 3 ? "us" : "si",
      sha256: `${visit}${n}`.padStart(64, "0"), replaces: null, file: at(`certificates of ${n % 8}/${n}-${visit}.pdf`), key_compared: true,
      margins: [["breaker-L1", 25 - visit * 5], ["charger-L1", 30 - visit]].map(([connection, margin_k]) => ({ connection, margin_k })),
    });
  }
}
fs.writeFileSync(at("rows.jsonl"), rows.map((row) => `${JSON.stringify(row)}\n`).join(""));
const page_file = at("overview.html");
const ran = spawnSync(program, ["register", at("rows.jsonl"), "--believe-lines", "--no-known", "--allow-uncompared", "--today", TODAY,
  "--page", page_file, "-o", at("list.txt")], { encoding: "utf8" });
assert(fs.existsSync(page_file), `${ran.stdout}${ran.stderr}`);
const html = fs.readFileSync(page_file, "utf8");
assert(html.length < 1_000_000, `${html.length} bytes`);
assert(!/(src|href)="?http|url\(http/.test(html), "the page needs nothing from elsewhere");

const browser = await playwright.chromium.launch({ executablePath: chromium, args: ["--no-sandbox"] });
const faults = [];
async function open(viewport, colorScheme, javaScriptEnabled = true) {
  const context = await browser.newContext({ viewport, colorScheme, offline: true, javaScriptEnabled });
  const page = await context.newPage();
  page.on("pageerror", (e) => faults.push(String(e)));
  page.on("console", (m) => m.type() === "error" && faults.push(m.text()));
  await page.goto(pathToFileURL(page_file).href);
  return page;
}
const shown = (page) => page.locator("main tbody tr:visible").count();
const found = (page) => page.textContent("#found");

const DESK = { width: 1280, height: 900 };
const PHONE = { width: 360, height: 740 };
for (const [name, viewport] of [["phone", PHONE], ["screen", DESK]]) {
  for (const scheme of ["light", "dark"]) {
    const page = await open(viewport, scheme);
    assert.equal(await found(page), "1000 circuits");
    const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    assert(!wide, `${name}: wider than the window`);

    // Each text against what is behind it (WCAG 2.1, 1.4.3): the page has one ground.
    const faint = await page.evaluate(() => {
      const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
      const rgb = (color) => {
        canvas.fillStyle = color;
        canvas.fillRect(0, 0, 1, 1);
        return [...canvas.getImageData(0, 0, 1, 1).data].slice(0, 3);
      };
      const light = (color) => {
        const [r, g, b] = rgb(color).map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
      };
      const ground = document.createElement("div");
      ground.style.color = "Canvas";
      document.body.append(ground);
      const behind = light(getComputedStyle(ground).color);
      ground.remove();
      const low = new Set();
      for (const one of document.querySelectorAll("h1, h2, h2 span, p, li, label, thead th, tbody th, tr:nth-child(-n+3) *")) {
        const own = light(getComputedStyle(one).color);
        const ratio = (Math.max(own, behind) + 0.05) / (Math.min(own, behind) + 0.05);
        if (one.textContent.trim() && ratio < 4.5) low.add(`${one.tagName}.${one.className} ${ratio.toFixed(2)}`);
      }
      return [...low];
    });
    assert.deepEqual(faint, [], `${name}, ${scheme}`);
    await page.screenshot({ path: at(`${name}-${scheme}.png`) });
    await page.context().close();
  }
}

const page = await open(DESK, "light");
// Landmarks, headings and names, as a screen reader goes from one to the next.
for (const role of ["banner", "main", "search"]) assert.equal(await page.getByRole(role).count(), 1, role);
assert.equal(await page.getByRole("heading", { level: 1 }).count(), 1);
// One for each property, and one for all of them together.
assert.equal(await page.getByRole("region").count(), CIRCUITS / 8 + 1);
assert.equal(await page.getByRole("region", { name: /^All circuits together/ }).count(), 1);
assert.equal(await page.getByRole("region", { name: /^1 Mill Lane & Sons/ }).count(), 1);
assert.equal(await page.getByRole("status").count(), 1, "the number found is announced");
for (const label of ["Search", "Show", "Sort"]) assert.equal(await page.getByLabel(label).count(), 1, label);
const unnamed = await page.evaluate(() => [...document.querySelectorAll("svg[role=img]")].filter((s) => !s.getAttribute("aria-label")).length);
assert.equal(unnamed, 0, "each line tells its numbers");

// What must not be used comes first; each circuit is there once, with its latest certificate.
assert.equal(await shown(page), CIRCUITS);
assert.match(await page.locator("main tbody tr").first().textContent(), /do not use before repair/);
const link = page.locator("main tbody tr a").first();
assert.match(await link.textContent(), /^2026-/);
assert.equal(await page.locator("main tbody tr a", { hasText: /^202[45]-/ }).count(), 0);

// Links lead to the files beside the page, also where a folder has spaces.
const targets = await page.evaluate(() => [...document.querySelectorAll("main tbody tr a")].map((a) => a.href));
const wanted = rows.filter((row) => row.number.startsWith("2026")).map((row) => pathToFileURL(row.file).href);
assert.deepEqual([...new Set(targets)].sort(), wanted.sort());

// One unit system, although the certificates have two.
const units = await page.evaluate(() => new Set([...document.querySelectorAll("main summary")].map((s) => s.textContent.replace(/[-−\d.\s\u00a0\u202f]+/, ""))).size);
assert.equal(units, 1, "one unit");

// Search, filters and sorting; a thousand rows are searched while somebody types.
const began = Date.now();
await page.fill("#search", "mill 2026-0611");
assert.equal(await shown(page), 1);
assert(Date.now() - began < 2000, "a search takes too long");
assert.equal(await found(page), "1 circuit");
assert.equal(await page.locator("main section:visible").count(), 1, "properties without a circuit are hidden");
await page.fill("#search", "no such street");
assert.equal(await found(page), "0 circuits");
await page.fill("#search", "");
const now = rows.filter((row) => row.number.startsWith("2026"));
for (const [value, fits] of [
  ["stop", (row) => row.next_due === null],
  ["late", (row) => row.next_due !== null && row.next_due < TODAY],
  ["incomplete", (row) => !row.complete],
  ["unsatisfactory", (row) => row.outcome === "unsatisfactory"],
]) {
  await page.selectOption("#show", value);
  assert.equal(await shown(page), now.filter(fits).length, value);
}
await page.selectOption("#show", "");
await page.selectOption("#sort", "site");
const sites = await page.locator("main section h2").evaluateAll((heads) => heads.map((h) => h.firstChild.textContent.trim()));
assert.deepEqual(sites, [...sites].sort((a, b) => a.localeCompare(b)));
await page.selectOption("#sort", "due");
assert.match(await page.locator("main tbody tr").first().textContent(), /do not use before repair/);
// By keyboard alone.
await page.keyboard.press("Tab");
await page.focus("#search");
await page.keyboard.type("12 mill");
assert(await shown(page) < CIRCUITS);
await page.keyboard.press("Enter");
assert.equal(await page.inputValue("#search"), "12 mill", "Enter sends nothing");
await page.screenshot({ path: at("searched.png") });

// Printed, each property begins a sheet, and everything is there.
await page.fill("#search", "");
await page.pdf({ path: at("overview.pdf"), format: "A4" });
const pages = execFileSync("pdfinfo", [at("overview.pdf")], { encoding: "utf8" }).match(/Pages:\s+(\d+)/);
assert.equal(Number(pages[1]), CIRCUITS / 8 + 1, "a sheet for each property, and one for all of them together");
const text = execFileSync("pdftotext", ["-f", "2", "-l", "2", at("overview.pdf"), "-"], { encoding: "utf8" });
assert.match(text, /Mill Lane/);
assert.match(text, /charger-L1/, "the margins of the connections are printed");

// Without scripts it is the same list, without the form.
const plain = await open(DESK, "light", false);
assert.equal(await shown(plain), CIRCUITS);
assert(!(await plain.isVisible("form")));

assert.deepEqual(faults, []);
await browser.close();
console.log(`overview: ${CIRCUITS} circuits, ${html.length} bytes, ${pages[1]} sheets`);
