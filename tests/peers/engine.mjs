// The engine of the phone page, run by Node's own WASI, judges every example as the program does, and visits
// made from them by changing values at random: what one refuses, the other refuses too.
//
//     node engine.mjs PROGRAM MODULE

import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { WASI } from "node:wasi";

const [program, file] = process.argv.slice(2).map((p) => path.resolve(p));
const compiled = await WebAssembly.compile(fs.readFileSync(file));
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "engine-"));

async function ask(question) {
  const [asked, answered] = ["asked", "answered"].map((name) => path.join(folder, name));
  fs.writeFileSync(asked, JSON.stringify(question));
  const [stdin, stdout] = [fs.openSync(asked, "r"), fs.openSync(answered, "w")];
  const wasi = new WASI({ version: "preview1", stdin, stdout, returnOnExit: true });
  wasi.start(await WebAssembly.instantiate(compiled, wasi.getImportObject()));
  [stdin, stdout].forEach((fd) => fs.closeSync(fd));
  return JSON.parse(fs.readFileSync(answered, "utf8"));
}

// The module writes no certificate, so it names no build as the program does.
const unnamed = ({ tool: { build, ...tool }, ...findings }) => ({ ...findings, tool });

let compared = 0;
for (const name of fs.readdirSync("examples")) {
  const visit = path.join("examples", name, "visit.yaml");
  if (!fs.existsSync(visit)) continue;
  const source = fs.readFileSync(visit, "utf8");
  const before = /^earlier: \[ (.*) \]$/m.exec(source);
  const earlier = before ? [fs.readFileSync(path.join("examples", name, before[1]), "utf8")] : [];
  const answer = await ask({ visit: source, rules: null, earlier, values: {} });
  assert.equal(answer.problems, undefined, name);
  const native = execFileSync(program, ["check", visit, "--format", "json"], { encoding: "utf8" });
  assert.deepEqual(unnamed(answer.findings), unnamed(JSON.parse(native)), name);
  compared += 1;
}

// ---- visits at random ------------------------------------------------------------------------------
const VISITS = 60;
const SEED = 20261006;
/** Numbers from 0 to 1 that are the same in every run (mulberry32). */
function numbers(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
const random = numbers(SEED);
const one = (list) => list[Math.floor(random() * list.length)];
const times = (factor) => (text) => String(Number((Number(text) * factor()).toFixed(1)));
// [what is looked for, what its first group becomes]
const CHANGES = [
  [/(?:breaker|charger|splice|receptacle|panel)[\w-]*: (\d+(?:\.\d+)?)(?: °[CF])?(?=[ ,}\n])/g, times(() => 0.7 + random())],
  [/\btemperature: (\d+(?:\.\d+)?)/g, times(() => 0.7 + random())],
  [/\bair: (\d+(?:\.\d+)?)/g, times(() => 0.8 + 0.4 * random())],
  [/\bcurrent: (\d+(?:\.\d+)?) A/g, times(() => 0.3 + random())],
  [/\bleft: (\d+(?:\.\d+)?)/g, times(() => 0.5 + random())],
  [/\bfound: (\w+)/g, () => one(["held", "moved", "loose"])],
  [/\bseen: (\w+)(?=[ ,}\n])/g, () => one(["clean", "dust", "corroded", "discoloured", "melted", "damaged"])],
  [/\bmaterial: (\w+)/g, () => one(["copper", "aluminium"])],
  [/\bsize: (\d+ AWG|\d+ mm²)/g, (text) => (/AWG/.test(text) ? one(["12 AWG", "10 AWG", "8 AWG", "6 AWG", "4 AWG"]) : one(["4 mm²", "6 mm²", "10 mm²", "16 mm²"]))],
  [/\brating: (\d+) A/g, () => one(["20", "32", "40", "50", "60"])],
  [/\brated_current: (\d+) A/g, () => one(["16", "24", "32", "40", "48"])],
  [/\blocked: (\w+)/g, () => one(["yes", "no"])],
  [/\bhottest_air: (\d+)/g, times(() => 0.7 + 0.6 * random())],
  [/\blanguage: (\w+)/g, () => one(["en", "de", "fr", "es"])],
];
function changed(source) {
  let text = source;
  for (let n = 1 + Math.floor(random() * 5); n > 0; n -= 1) {
    const [pattern, made] = one(CHANGES);
    const found = [...text.matchAll(pattern)];
    if (!found.length) continue;
    const { 0: whole, 1: value, index } = one(found);
    const at = index + whole.indexOf(value, whole.indexOf(":"));
    text = text.slice(0, at) + made(value) + text.slice(at + value.length);
  }
  return text;
}
const sources = fs.readdirSync("examples").map((name) => path.join("examples", name, "visit.yaml")).filter((file) => fs.existsSync(file));
const outcomes = new Map();
for (let n = 0; n < VISITS; n += 1) {
  const example = sources[n % sources.length];
  const source = changed(fs.readFileSync(example, "utf8"));
  // Beside the example, whose photos and earlier visit it names.
  const place = path.join(folder, "examples", path.basename(path.dirname(example)));
  if (!fs.existsSync(place)) fs.cpSync("examples", path.join(folder, "examples"), { recursive: true });
  const file = path.join(place, "visit.yaml");
  fs.writeFileSync(file, source);
  const before = /^earlier: \[ (.*) \]$/m.exec(source);
  const earlier = before ? [fs.readFileSync(path.join(path.dirname(example), before[1]), "utf8")] : [];
  const answer = await ask({ visit: source, rules: null, earlier, values: {} });
  const native = spawnSync(program, ["check", file, "--format", "json"], { encoding: "utf8" });
  const which = `visit ${n} of seed ${SEED}, from ${example}`;
  assert.equal(answer.problems !== undefined, native.status !== 0, `${which}: ${answer.problems ?? native.stderr}`);
  fs.copyFileSync(example, file);
  if (native.status === 0) assert.deepEqual(unnamed(answer.findings), unnamed(JSON.parse(native.stdout)), which);
  const outcome = native.status === 0 ? answer.findings.outcome : "refused";
  outcomes.set(outcome, (outcomes.get(outcome) ?? 0) + 1);
}
// Of every kind of result some, and few that are refused.
assert(outcomes.size >= 4 && (outcomes.get("refused") ?? 0) < VISITS / 3, JSON.stringify([...outcomes]));
fs.rmSync(folder, { recursive: true });
assert(compared >= 5);
console.log(`engine: agrees with the program on ${compared} examples and ${VISITS} visits at random: ${[...outcomes].map(([what, n]) => `${n} ${what}`).join(", ")}`);
