// The engine of the phone page, run by Node's own WASI, judges every example as the program does.
//
//     node engine.mjs PROGRAM MODULE

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
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
fs.rmSync(folder, { recursive: true });
assert(compared >= 5);
console.log(`engine: agrees with the program on ${compared} examples`);
