// The text of PDF files as pdf.js reads it, one JSON line a file: a list of pages.
//   node text.mjs node_modules/pdfjs-dist FILE.pdf...
import { readFile } from "node:fs/promises";
import { pathToFileURL } from "node:url";
import { resolve } from "node:path";

const [, , library, ...files] = process.argv;
const { getDocument, VerbosityLevel } = await import(pathToFileURL(resolve(library, "legacy/build/pdf.mjs")));
for (const file of files) {
  const task = getDocument({ data: new Uint8Array(await readFile(file)), verbosity: VerbosityLevel.ERRORS });
  const pdf = await task.promise;
  const pages = [];
  for (let number = 1; number <= pdf.numPages; number++) {
    const { items } = await (await pdf.getPage(number)).getTextContent();
    pages.push(items.map((item) => item.str).join(""));
  }
  console.log(JSON.stringify(pages));
  await task.destroy();
}
