"use strict";
// Makes photos small enough to print and to keep, off the page's thread.
const LONGEST = 2400; // pixels

addEventListener("message", async ({ data: { id, file } }) => {
  try {
    const image = await createImageBitmap(file);
    const scale = Math.min(1, LONGEST / Math.max(image.width, image.height));
    const canvas = new OffscreenCanvas(Math.round(image.width * scale), Math.round(image.height * scale));
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: 0.85 });
    postMessage({ id, bytes: new Uint8Array(await blob.arrayBuffer()) });
  } catch (why) {
    postMessage({ id, failed: String(why) });
  }
});
