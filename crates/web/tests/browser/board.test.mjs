// The page of a picture's layers, and its model: opened as a file, by a real browser and by the standard's
// own validator.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";

import { accessibility, closeBrowser, openBrowser, pictures } from "./harness.mjs";

const modules = process.env.GROUNDWRIGHT_BROWSER ?? "";
const root = fileURLToPath(new URL("../../../../", import.meta.url));
const binary = process.env.GROUNDWRIGHT_BINARY ?? join(root, "target/release/groundwright");
const require = createRequire(join(modules, "package.json"));
const folder = mkdtempSync(join(tmpdir(), "pictures-"));

/** Runs the picture command and gives what it says. @param {string[]} more */
function picture(...more) {
  const words = ["picture", join(root, "demo/corner-lot"), "--to", folder, "--format", "json", ...more];
  const done = spawnSync(binary, words, { encoding: "utf8", maxBuffer: 1 << 26 });
  assert.equal(done.status, 0, done.stderr);
  return JSON.parse(done.stdout).pictures[0];
}

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await openBrowser();
});
after(async () => {
  await closeBrowser();
  rmSync(folder, { recursive: true, force: true });
});

test("zones are switched and dimmed on a page of its own", async () => {
  const made = picture("--time", "22:40", "--windows", "6", "--size", "320x180", "--samples", "4", "--board");
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  const errors = [];
  page.on("pageerror", (error) => errors.push(String(error)));
  page.on("request", (request) => assert.match(request.url(), /^(file|data):/, "nothing is fetched from anywhere"));
  await page.goto(pathToFileURL(made.board).href);
  await page.waitForSelector("body[data-ready=yes]");

  /** Mean of the canvas, and how far it is off the PNG at most and in the mean, in steps of 255. */
  const compare = (png) =>
    page.evaluate(async (png) => {
      const canvas = document.querySelector("canvas");
      const mine = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
      const image = new Image();
      image.src = png;
      await image.decode();
      const sheet = document.createElement("canvas");
      [sheet.width, sheet.height] = [canvas.width, canvas.height];
      const pen = sheet.getContext("2d");
      pen.drawImage(image, 0, 0);
      const theirs = pen.getImageData(0, 0, sheet.width, sheet.height).data;
      let [sum, apart, most] = [0, 0, 0];
      for (let i = 0; i < mine.length; i++) {
        if (i % 4 === 3) continue;
        sum += mine[i];
        apart += Math.abs(mine[i] - theirs[i]);
        most = Math.max(most, Math.abs(mine[i] - theirs[i]));
      }
      const count = (mine.length / 4) * 3;
      return { mean: sum / count, apart: apart / count, most };
    }, png);
  const png = "data:image/png;base64," + readFileSync(made.png).toString("base64");
  const first = await compare(png);
  assert(first.mean > 3, `the picture is dark: ${first.mean}`);
  assert(first.apart < 0.5 && first.most <= 6, `the page is off the picture: ${JSON.stringify(first)}`);

  const sliders = page.getByRole("slider");
  const count = await sliders.count();
  assert.equal(count, made.layers.filter((name) => name !== "sun").length + 1);
  for (let i = 0; i < count - 1; i++) await sliders.nth(i).fill("0");
  await page.waitForFunction(() => document.querySelector("canvas").getContext("2d").getImageData(0, 0, 320, 180).data.every((v, i) => i % 4 === 3 || v === 0));
  await page.getByRole("slider", { name: "windows" }).fill("100");
  await page.waitForFunction(() => document.querySelector("canvas").getContext("2d").getImageData(0, 0, 320, 180).data.some((v, i) => i % 4 !== 3 && v > 100));
  await page.getByRole("button", { name: "As designed" }).click();
  await page.waitForFunction((mean) => {
    const data = document.querySelector("canvas").getContext("2d").getImageData(0, 0, 320, 180).data;
    let sum = 0;
    for (let i = 0; i < data.length; i++) if (i % 4 !== 3) sum += data[i];
    return Math.abs(sum / (data.length / 4) / 3 - mean) < 0.01;
  }, first.mean);
  await page.screenshot({ path: join(pictures, "board.png") });
  assert.deepEqual(await accessibility(page), []);
  assert.deepEqual(errors, []);
});

test("the model has no faults by the validator of the standard's authors", async () => {
  const made = picture("--model");
  const validator = require("gltf-validator");
  const report = await validator.validateBytes(new Uint8Array(readFileSync(made.model)));
  const said = report.issues.messages.filter((/** @type {{severity: number}} */ message) => message.severity < 2);
  assert.equal(report.issues.numErrors, 0, JSON.stringify(said.slice(0, 5)));
  assert.equal(report.issues.numWarnings, 0, JSON.stringify(said.slice(0, 5)));
  assert(report.info.drawCallCount > 100 && report.info.totalTriangleCount > 100_000, JSON.stringify(report.info));
});
