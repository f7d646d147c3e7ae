// Photos and pictures of the project: brought to the server, shown from its folder.

/** @typedef {import("./messages.d.ts").PictureNews} PictureNews */

/** The layer under which pictures are switched off. */
export const LAYER = "PICTURES";

/** Largest picture that is kept, in bytes. */
const LARGEST = 30 * 1024 * 1024;

/**
 * Brings a picture to the project's folder.
 * @param {Blob} file
 * @returns {Promise<string>} its name below the folder
 */
export async function bring(file) {
  if (file.size > LARGEST) throw new Error("This picture is too large: at most 30 MB; make it smaller first.");
  /** @type {{ name?: string, why?: string }} */
  let told;
  try {
    const answer = await fetch("/pictures", { method: "POST", body: file, headers: { "content-type": "application/octet-stream" } });
    told = await answer.json();
  } catch {
    throw new Error("The app does not answer; choose the picture again when it does.");
  }
  if (!told.name) throw new Error(`${told.why?.charAt(0).toUpperCase()}${told.why?.slice(1)}.`);
  return told.name;
}

/** Where a file of the project's folder is shown. @param {string} file */
export const address = (file) => `/pictures/${file.split("/").map(encodeURIComponent).join("/")}`;

/** Pictures that were asked for, by file. @type {Map<string, HTMLImageElement>} */
const known = new Map();

/**
 * A picture as far as it is here already.
 * @param {string} file
 * @param {() => void} come told when it is here
 * @returns {HTMLImageElement | null}
 */
export function image(file, come) {
  let image = known.get(file);
  if (!image) {
    image = new Image();
    known.set(file, image);
    image.src = address(file);
  }
  if (image.complete && image.naturalWidth) return image;
  image.addEventListener("load", come, { once: true });
  return null;
}

/**
 * Paints a picture between the places of its lower corners.
 * @param {CanvasRenderingContext2D} ink
 * @param {HTMLImageElement} image
 * @param {[number, number]} from lower left, in pixels of the canvas
 * @param {[number, number]} to lower right
 */
export function lay(ink, image, from, to) {
  const [x, y] = [to[0] - from[0], to[1] - from[1]];
  const grain = 1 / image.naturalWidth;
  ink.setTransform(x * grain, y * grain, -y * grain, x * grain, from[0], from[1]);
  ink.drawImage(image, 0, -image.naturalHeight);
}
