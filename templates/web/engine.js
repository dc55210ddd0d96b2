// Asks the engine, which runs in a worker.
import { day, t } from "./words.js";

const worker = new Worker("worker.js");
const waiting = new Map();
let last = 0;

worker.addEventListener("message", ({ data: { id, answer, failed } }) => {
  const { done, fail } = waiting.get(id);
  waiting.delete(id);
  if (failed) fail(new Error(failed)); else done(answer);
});
worker.addEventListener("error", (event) => {
  for (const { fail } of waiting.values()) fail(new Error(event.message || "the engine could not be loaded"));
  waiting.clear();
});

/** What is wrong by an answer of the engine, in the language of the page if that has a sentence for it. */
export function said({ error, problems, wrong }) {
  const values = error && { ...error.values, ...(error.values.day && { day: day(error.values.day) }) };
  return (error && t(`error.${error.id}`, values)) || problems || wrong;
}

/** Asks `head` with `files` ([{ name, bytes }]); answers { head, files }. Problems are thrown as text; `head` of such an error is the answer. */
export function ask(head, files = []) {
  return new Promise((done, fail) => {
    const id = (last += 1);
    waiting.set(id, {
      fail,
      done: (answer) => (answer.head.problems ? fail(Object.assign(new Error(said(answer.head)), { head: answer.head })) : done(answer)),
    });
    worker.postMessage({ id, message: { head, files } });
  });
}

/** This device's time with its offset from UTC, to the second (RFC 3339). */
export function now() {
  const at = new Date();
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  const ahead = -at.getTimezoneOffset();
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  const time = `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
  return `${day}T${time}${ahead < 0 ? "-" : "+"}${two(ahead / 60)}:${two(ahead % 60)}`;
}
export const today = () => now().slice(0, 10);
