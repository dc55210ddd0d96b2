// The browser application in WebKit (WebKitGTK), driven by the W3C's WebDriver protocol.
//
//     node webkit.mjs PROGRAM MINIBROWSER FOLDER [SITE]
//
// Needs WebKitWebDriver and a display, such as xvfb-run's. SITE is a folder written before; without it,
// PROGRAM serves its own. Leaves screenshots in FOLDER, to be looked at.

import fs from "node:fs";
import net from "node:net";
import path from "node:path";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { served } from "./site.mjs";
import { through } from "./through.mjs";

const [program, binary, folder, given] = process.argv.slice(2).map((p) => path.resolve(p));
fs.rmSync(folder, { recursive: true, force: true });
fs.mkdirSync(folder, { recursive: true });

const { home, end } = await served(program, given);
const probe = net.createServer().listen(0, "127.0.0.1");
await once(probe, "listening");
const { port } = probe.address();
probe.close();
// What it stores ends with this run.
const data = path.join(folder, "home");
const driver = spawn("WebKitWebDriver", [`--port=${port}`], { stdio: "inherit", env: { ...process.env, HOME: data, XDG_DATA_HOME: data, XDG_CACHE_HOME: data, XDG_CONFIG_HOME: data } });
process.on("exit", () => driver.kill());

async function command(method, place, body) {
  const answer = await fetch(`http://127.0.0.1:${port}${place}`, { method, body: body && JSON.stringify(body) });
  const { value } = await answer.json();
  if (!answer.ok) throw new Error(`${place}: ${value.error}: ${value.message}`);
  return value;
}
for (let tries = 0; ; tries += 1) {
  try {
    await command("GET", "/status");
    break;
  } catch (why) {
    if (tries === 100) throw why;
    await new Promise((done) => setTimeout(done, 100));
  }
}
const { sessionId, capabilities } = await command("POST", "/session", { capabilities: { alwaysMatch: { unhandledPromptBehavior: "accept", "webkitgtk:browserOptions": { binary, args: ["--automation"] } } } });
const session = `/session/${sessionId}`;
await command("POST", `${session}/timeouts`, { script: 120000 });
await command("POST", `${session}/window/rect`, { width: 390, height: 844 });
const ELEMENT = "element-6066-11e4-a52e-4f735466cecf"; // as the protocol names a reference
const page = {
  goto: (url) => command("POST", `${session}/url`, { url }),
  reload: () => command("POST", `${session}/refresh`, {}),
  run: (what, ...args) => command("POST", `${session}/execute/sync`, { script: `return (${what})(...arguments)`, args }),
  upload: async (selector, file) => {
    const found = await command("POST", `${session}/element`, { using: "css selector", value: selector });
    await command("POST", `${session}/element/${found[ELEMENT]}/value`, { text: file });
  },
  shot: async (file) => fs.writeFileSync(file, Buffer.from(await command("GET", `${session}/screenshot`), "base64")),
};
await through({ page, program, home, end, folder });
await command("DELETE", session);
console.log(`a visit by questions, measured, signed and checked offline in WebKitGTK ${capabilities.browserVersion}`);
process.exit();
