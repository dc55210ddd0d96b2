// The browser application in Firefox, at phone size.
//
//     node firefox.mjs PROGRAM PUPPETEER FIREFOX FOLDER [SITE]
//
// SITE is a folder written before; without it, PROGRAM serves its own. Leaves screenshots in FOLDER, to be looked at.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";
import { served } from "./site.mjs";
import { through } from "./through.mjs";

const [program, library, firefox, folder, given] = process.argv.slice(2).map((p) => path.resolve(p));
const puppeteer = createRequire(import.meta.url)(library);
fs.rmSync(folder, { recursive: true, force: true });
fs.mkdirSync(folder, { recursive: true });

const { home, end } = await served(program, given);
const browser = await puppeteer.launch({ browser: "firefox", executablePath: firefox, headless: true });
process.on("exit", () => browser.process()?.kill());
const tab = await browser.newPage();
await tab.setViewport({ width: 390, height: 844 });
const faults = [];
tab.on("pageerror", (e) => faults.push(String(e)));
tab.on("console", (m) => m.type() === "error" && faults.push(m.text()));
tab.on("dialog", (d) => d.accept());
const page = {
  goto: (address) => tab.goto(address),
  reload: () => tab.reload(),
  run: (what, ...args) => tab.evaluate(what, ...args),
  upload: async (selector, file) => (await tab.$(selector)).uploadFile(file),
  shot: (file) => tab.screenshot({ path: file, fullPage: true }),
};
await through({ page, program, home, end, folder });
assert.deepEqual(faults, []);
const version = await browser.version();
await browser.close();
console.log(`a visit by questions, measured, signed and checked offline in ${version}`);
