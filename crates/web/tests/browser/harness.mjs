// The real binary on a port of its own, a copy of a demo, a real browser.
//
// What is found is found by role and name; what is waited for is a condition, never a time. An
// error on the console of any page fails the test.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { crc32, deflateSync } from "node:zlib";

const modules = process.env.GROUNDWRIGHT_BROWSER;
assert(modules, "GROUNDWRIGHT_BROWSER names the folder with node_modules; `cargo xtask test` makes it");
const require = createRequire(join(modules, "package.json"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const root = fileURLToPath(new URL("../../../../", import.meta.url));
const binary = process.env.GROUNDWRIGHT_BINARY ?? join(root, "target/release/groundwright");
export const pictures = join(modules, "pictures");
mkdirSync(pictures, { recursive: true });

let browser;

export async function openBrowser() {
  browser = await chromium.launch({
    executablePath: process.env.GROUNDWRIGHT_CHROMIUM ?? "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  return browser;
}

export const closeBrowser = () => browser?.close();

/** A copy of a demo in a temporary folder. */
export function yard(demo = "corner-lot") {
  const folder = mkdtempSync(join(tmpdir(), "yard-"));
  cpSync(join(root, "demo", demo), folder, { recursive: true });
  return {
    folder,
    read: (name) => readFileSync(join(folder, name), "utf8"),
    write: (name, text) => writeFileSync(join(folder, name), text),
    drop: (name) => rmSync(join(folder, name)),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** Starts the app; gives its address and how long it took until it printed it, in milliseconds. */
export async function start(folder, port = 0) {
  const begin = performance.now();
  const child = spawn(binary, ["open", folder, "--no-browser", "--port", String(port)], { stdio: ["ignore", "pipe", "pipe"] });
  let errors = "";
  child.stderr.on("data", (data) => (errors += data));
  const ended = new Promise((resolve) => child.on("exit", (code, signal) => resolve({ code, signal })));
  const address = await new Promise((resolve, reject) => {
    let text = "";
    child.stdout.on("data", (data) => {
      text += data;
      const found = /http:\S+/.exec(text);
      if (found) resolve(found[0]);
    });
    child.on("exit", () => reject(new Error(`the app ended before it was open: ${errors}`)));
  });
  return {
    address,
    port: Number(new URL(address).port),
    took: performance.now() - begin,
    async stop(signal = "SIGTERM") {
      child.kill(signal);
      return ended;
    },
  };
}

/** A page with a clean profile that fails on console errors. */
export async function visit(address, { width = 1440, height = 900, touch = false, scheme = "light", broken = false, plan = true } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, hasTouch: touch, isMobile: touch, colorScheme: scheme });
  const page = await context.newPage();
  const errors = [];
  // A server that is away makes the browser itself complain; such tests say so.
  page.on("console", (message) => message.type() === "error" && !(broken && /WebSocket|ERR_CONNECTION/.test(message.text())) && errors.push(message.text()));
  page.on("pageerror", (error) => errors.push(String(error)));
  await page.goto(address);
  if (plan) await page.waitForFunction(() => performance.getEntriesByName("first plan").length > 0);
  return {
    page,
    async close() {
      await context.close();
      assert.deepEqual(errors, [], "errors on the console");
    },
    async picture(name) {
      await page.screenshot({ path: join(pictures, `${name}.png`) });
    },
  };
}

/** A picture as a camera's file: a PNG of one tone with a darker band, for the file input. */
export function photograph(name, width = 64, height = 48) {
  const chunk = (kind, data) => {
    const body = Buffer.concat([Buffer.from(kind), data]);
    const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
    length.writeUInt32BE(data.length);
    check.writeUInt32BE(crc32(body));
    return Buffer.concat([length, body, check]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 2, 0, 0, 0], 8);
  const rows = Array.from({ length: height }, (_, y) => Buffer.concat([Buffer.from([0]), Buffer.alloc(3 * width, y % 16 < 4 ? 90 : 170)]));
  const buffer = Buffer.concat([Buffer.from("89504e470d0a1a0a", "hex"), chunk("IHDR", head), chunk("IDAT", deflateSync(Buffer.concat(rows))), chunk("IEND", Buffer.alloc(0))]);
  return { name, mimeType: "image/png", buffer };
}

/** The figure of a name: `Plants to set`. */
export const figure = (page, name) => page.locator(".figures div", { hasText: name }).locator("dd").innerText();

/** Selects an element from the list of what is on the plan. */
export async function select(page, title) {
  const contents = page.locator("details", { has: page.locator("summary", { hasText: "On the plan" }) });
  if (!(await contents.evaluate((details) => details.open))) await contents.locator("summary").click();
  await contents.getByLabel("Search").fill(title);
  await contents.getByRole("button", { name: title }).first().click();
  await page.getByRole("region", { name: "Selection" }).getByRole("heading", { name: title }).first().waitFor();
}

/** Waits until the hand's change is kept: undo can be pressed and no trial is shown. */
export const undoable = (page, can = true) => page.waitForFunction((can) => [...document.querySelectorAll("header button")].some((button) => button.textContent === "Undo" && button.disabled !== can), can);

/** Handles of the selection, as places on the page, as soon as they are painted. */
export async function handles(page) {
  const found = await page.waitForFunction(() => {
    const box = document.querySelector(".sheet").getBoundingClientRect();
    const over = document.querySelector("canvas.over");
    const { data, width, height } = over.getContext("2d").getImageData(0, 0, over.width, over.height);
    const accent = /#(..)(..)(..)/.exec(getComputedStyle(over).getPropertyValue("--accent")).slice(1).map((part) => parseInt(part, 16));
    const full = (x, y) => {
      const at = 4 * (y * width + x);
      return data[at + 3] > 240 && accent.every((channel, i) => Math.abs(data[at + i] - channel) < 12);
    };
    // Rims of the square points: two opaque rows nine or ten pixels apart.
    const found = [];
    for (let y = 0; y < height - 11; y++) {
      for (let x = 0; x < width - 11; x++) {
        let all = true;
        for (let i = 0; i < 10 && all; i++) all = full(x + i, y) && full(x, y + i) && full(x + i, y + 10) && full(x + 10, y + i);
        if (all && !found.some((one) => Math.abs(one[0] - x) < 8 && Math.abs(one[1] - y) < 8)) found.push([x, y]);
      }
    }
    return found.length && found.map(([x, y]) => [box.left + (x + 5) / devicePixelRatio, box.top + (y + 5) / devicePixelRatio]);
  });
  return found.jsonValue();
}

/** Faults of accessibility that axe finds. */
export async function accessibility(page) {
  // The policy of the page forbids scripts from elsewhere; the test's own comes by another door.
  await page.evaluate(axe);
  const result = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"] }));
  return result.violations.map((one) => `${one.id}: ${one.help} (${one.nodes.map((node) => node.target.join(" ")).slice(0, 4).join(", ")})`);
}
