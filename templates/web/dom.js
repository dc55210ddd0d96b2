// Elements made from data: text is never read as markup.

/** An element with properties (`class`, `on…`, attributes) and children. */
export function el(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === false || value === null) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "class") element.className = value;
    else if (name === "value") element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== false));
  return element;
}

/** A labelled box. `hint` is a sentence below it. */
export function box(label, properties, hint) {
  const id = properties.id || `box-${properties.name}`;
  const told = hint && el("small", { id: `${id}-hint` }, hint);
  const input = el(properties.options ? "select" : "input", {
    ...properties,
    options: undefined,
    id,
    "aria-describedby": told ? told.id : undefined,
  }, (properties.options || []).map(([value, text]) => el("option", { value, selected: value === properties.value }, text)));
  return el("p", { class: "box" }, el("label", { for: id }, label), input, told);
}

/** Marks a box as wrong, with a sentence, or as right again. */
export function wrong(input, sentence) {
  const id = `${input.id}-wrong`;
  document.getElementById(id)?.remove();
  input.removeAttribute("aria-invalid");
  if (!sentence) return;
  input.setAttribute("aria-invalid", "true");
  input.after(el("strong", { id, class: "wrong", role: "alert" }, sentence));
}

/** The bytes of a chosen file. */
export const bytesOf = async (file) => new Uint8Array(await file.arrayBuffer());

/** Saves bytes under a name. */
export function save(name, bytes, type) {
  const link = el("a", { href: URL.createObjectURL(new Blob([bytes], { type })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

/** Offers bytes to the system's share sheet; false if there is none for such files. */
export async function share(name, bytes, type) {
  const files = [new File([bytes], name, { type })];
  if (!navigator.canShare?.({ files })) return false;
  try {
    await navigator.share({ files, title: name });
  } catch (why) {
    if (why.name !== "AbortError") throw why;
  }
  return true;
}
