// The browser application, served for the scripts that drive it.
import { spawn } from "node:child_process";
import { once } from "node:events";
import fs from "node:fs";
import http from "node:http";
import path from "node:path";

const TYPES = { html: "text/html", js: "text/javascript", css: "text/css", wasm: "application/wasm", svg: "image/svg+xml", txt: "text/plain", webmanifest: "application/manifest+json" };

/** `warmlug serve`: its address, and how it is ended. It does not outlive the script. */
async function byProgram(program) {
  const child = spawn(program, ["serve", "--port", "0"], { stdio: ["ignore", "pipe", "inherit"] });
  process.on("exit", () => child.kill());
  const [line] = await once(child.stdout, "data");
  return { home: String(line).trim(), end: () => { const ended = once(child, "exit"); child.kill(); return ended; } };
}
/** A folder as any web host would serve it. */
async function byFolder(site) {
  const server = http.createServer((request, answer) => {
    const name = new URL(request.url, "http://x").pathname.slice(1) || "index.html";
    const file = path.join(site, path.basename(name));
    if (!fs.existsSync(file)) return answer.writeHead(404).end();
    answer.writeHead(200, { "content-type": TYPES[name.split(".").pop()] || "application/octet-stream" });
    answer.end(fs.readFileSync(file));
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  return { home: `http://localhost:${server.address().port}/`, end: () => new Promise((done) => { server.close(done); server.closeAllConnections(); }) };
}

/** Serves the folder `site`, written before, or else what `program` serves itself. */
export const served = (program, site) => (site ? byFolder(site) : byProgram(program));
