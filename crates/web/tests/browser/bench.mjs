// Times in the browser: from the hand's move to the repainted rows, on the demo and on a yard of
// 4,000 plants; the app's cold start; the first plan on the screen.
//
// Prints rows for docs/performance.md. Run it on a machine that does nothing else:
// `GROUNDWRIGHT_BROWSER=target/browser node crates/web/tests/browser/bench.mjs`.

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { closeBrowser, figure, handles, openBrowser, select, start, visit, yard } from "./harness.mjs";

/** Moves of the hand that are timed. */
const MOVES = 100;

/** Forty beds in a field, a mass of about a hundred plants in each. */
function field() {
  const folder = mkdtempSync(join(tmpdir(), "field-"));
  const head = 'format = 1\nunits = "m"\nname = "Field"\n\n[boundary]\noutline = [[0, 0], [100, 0], [100, 50], [0, 50]]\n';
  const house = '\n[[building]]\nid = "house"\noutline = [[45, 44], [57, 44], [57, 50], [45, 50]]\n';
  let design = "format = 1\n";
  for (let i = 0; i < 40; i++) {
    const [x, y] = [1 + (i % 10) * 9.8, 1 + Math.floor(i / 10) * 6];
    const outline = `[{ smooth = [[${x}, ${y}], [${x + 4}, ${y - 0.4}], [${x + 8}, ${y}], [${x + 8}, ${y + 4}], [${x + 4}, ${y + 4.4}], [${x}, ${y + 4}]] }]`;
    design += `\n[[bed]]\nid = "bed-${i}"\nlabel = "field ${i} bed"\noutline = ${outline}\nmulch = "fine-bark"\n`;
    design += `\n[[planting]]\nid = "mass-${i}"\nrole = "mass"\nplant = "polystichum-setiferum"\nin = "bed bed-${i}"\nmass = true\nspacing = "62 cm"\n`;
  }
  writeFileSync(join(folder, "property.toml"), head + house);
  writeFileSync(join(folder, "design.toml"), design);
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

async function timed(name, ground, bed) {
  const app = await start(ground.folder);
  try {
    const { page, close } = await visit(app.address);
    // From the moment at which the browser begins to open the address.
    const first = await page.evaluate(() => performance.getEntriesByName("first plan")[0].startTime);
    const plants = await figure(page, "Plants to set");
    await select(page, bed);
    const points = await handles(page);
    const [x, y] = points.reduce((left, one) => (one[0] < left[0] ? one : left));
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= MOVES; i++) {
      // The page itself says when it has painted: to ask it again and again would take time from it.
      const painted = page.evaluate(() => new Promise((resolve) => {
        const watch = new PerformanceObserver((list) => {
          if (!list.getEntriesByName("trial to paint").length) return;
          watch.disconnect();
          resolve(null);
        });
        watch.observe({ type: "measure" });
      }));
      await page.mouse.move(x + 12 + 8 * Math.sin(i / 4), y + 8 * Math.cos(i / 4));
      await painted;
    }
    const times = await page.evaluate(() => performance.getEntriesByName("trial to paint").map((one) => one.duration).sort((a, b) => a - b));
    await page.keyboard.press("Escape");
    await page.mouse.up();
    await close();
    const at = (part) => times[Math.ceil(times.length * part) - 1].toFixed(0);
    console.log(`| ${name}, ${plants} plants | ${app.took.toFixed(0)} | ${first.toFixed(0)} | ${at(0.5)} | ${at(0.99)} |`);
  } finally {
    await app.stop();
    ground.remove();
  }
}

await openBrowser();
console.log("| yard | cold start, ms | first plan, ms | drag to paint, median, ms | 99th of a hundred, ms |");
console.log("| --- | ---: | ---: | ---: | ---: |");
await timed("corner lot", yard(), "Bed: walk bed, west");
await timed("field", field(), "Bed: field 15 bed");
await closeBrowser();
