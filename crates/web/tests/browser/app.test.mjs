// The app in a real browser: what a person does, and what must not go wrong.

import assert from "node:assert/strict";
import { request } from "node:http";
import { after, before, test } from "node:test";
import { accessibility, closeBrowser, figure, handles, openBrowser, select, start, undoable, visit, yard } from "./harness.mjs";

before(openBrowser);
after(closeBrowser);

/** A yard, its app and a page; all is taken down again. */
async function opened(work, how = {}) {
  const ground = yard(how.demo);
  const app = await start(ground.folder);
  try {
    const view = await visit(app.address, how);
    await work({ ...view, app, ground });
    await view.close();
  } finally {
    await app.stop();
    ground.remove();
  }
}

/** Bytes that an address answers, asked with headers of our own. */
const answer = (port, path, headers) =>
  new Promise((resolve, reject) => {
    const asked = request({ host: "127.0.0.1", port, path, headers }, (response) => {
      response.resume();
      response.on("end", () => resolve({ status: response.statusCode, headers: response.headers }));
    });
    asked.on("error", reject);
    asked.on("upgrade", (response, socket) => {
      socket.destroy();
      resolve({ status: response.statusCode, headers: response.headers });
    });
    asked.end();
  });

test("only its own page may ask, and nothing inline may run", async () => {
  const ground = yard();
  const app = await start(ground.folder);
  try {
    const own = `127.0.0.1:${app.port}`;
    const upgrade = { Connection: "Upgrade", Upgrade: "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==" };
    assert.equal((await answer(app.port, "/", { Host: own })).status, 200);
    assert.equal((await answer(app.port, "/", { Host: "yard.example" })).status, 421);
    assert.equal((await answer(app.port, "/live", { Host: own, Origin: `http://${own}`, ...upgrade })).status, 101);
    assert.equal((await answer(app.port, "/live", { Host: own, Origin: "http://yard.example", ...upgrade })).status, 403);
    assert.equal((await answer(app.port, "/assets/0/../../Cargo.toml", { Host: own })).status, 404);
    const { headers } = await answer(app.port, "/", { Host: own });
    assert.match(headers["content-security-policy"], /default-src 'none'; script-src 'self'; style-src 'self'/);
    assert.equal(headers["x-content-type-options"], "nosniff");
  } finally {
    assert.deepEqual(await app.stop(), { code: 0, signal: null }, "it stops gracefully");
    ground.remove();
  }
});

test("a dragged bed line takes its plants along, and undo takes all back", async () => {
  await opened(async ({ page, ground, picture }) => {
    const before = await figure(page, "Plants to set");
    const files = ground.read("design.toml");
    await select(page, "Bed: walk bed, west");
    const area = await page.locator(".side .quiet").first().innerText();
    const points = await handles(page);
    assert.ok(points.length >= 5, `${points.length} points`);
    const [x, y] = points.reduce((left, one) => (one[0] < left[0] ? one : left));
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= 12; i++) await page.mouse.move(x - 4 * i, y + i);
    // While the hand moves, words and figures move with it, and nothing is kept.
    await page.waitForFunction((area) => document.querySelector(".side .quiet").innerText !== area, area);
    await page.waitForFunction((before) => document.querySelector("[data-key=plants] dd").innerText !== before, before);
    assert.equal(ground.read("design.toml"), files);
    await picture("while-dragging");
    await page.mouse.up();
    await undoable(page);
    const during = await figure(page, "Plants to set");
    assert.notEqual(during, before);
    await page.getByRole("button", { name: "Undo" }).click();
    await page.waitForFunction((before) => document.querySelector("[data-key=plants] dd").innerText === before, before);
    await undoable(page, false);
    await page.getByRole("button", { name: "Redo" }).click();
    await page.waitForFunction((during) => document.querySelector("[data-key=plants] dd").innerText === during, during);
    await page.keyboard.press("Control+z");
    await undoable(page, false);
    await page.waitForFunction((area) => document.querySelector(".side .quiet").innerText === area, area);
  });
});

test("escape lets go and nothing is kept", async () => {
  await opened(async ({ page }) => {
    const before = await figure(page, "Plants to set");
    await select(page, "Bed: walk bed, west");
    const [[x, y]] = await handles(page);
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= 10; i++) await page.mouse.move(x - 5 * i, y);
    await page.locator(".sheet").press("Escape");
    await page.mouse.up();
    await page.waitForFunction((before) => document.querySelector("[data-key=plants] dd").innerText === before, before);
    await undoable(page, false);
  });
});

test("what is typed wrong is said beside the field, and nothing is kept", async () => {
  await opened(async ({ page, ground }) => {
    const files = ground.read("design.toml");
    await select(page, "Bed: walk bed, west");
    const panel = page.getByRole("region", { name: "Selection" });
    for (const [label, wrong, said] of [
      ["Mulch depth", "three inches", /three inches/],
      ["Mulch depth", "-2 in", /-2|below|between|expected/],
      ["Mulch product", "gold leaf", /gold leaf/],
      ["Slope", "steep", /steep/],
    ]) {
      const field = panel.getByLabel(label, { exact: true });
      const old = await field.inputValue();
      await field.fill(wrong);
      await field.press("Enter");
      const alert = panel.locator(".field", { has: page.getByLabel(label, { exact: true }) }).getByRole("alert");
      await alert.filter({ hasText: said }).waitFor();
      assert.equal(await field.getAttribute("aria-invalid"), "true");
      await field.press("Escape");
      assert.equal(await field.inputValue(), old);
    }
    assert.equal(ground.read("design.toml"), files);
    const depth = panel.getByLabel("Mulch depth", { exact: true });
    await depth.fill("4 1/2\"");
    await depth.press("Enter");
    await panel.getByText(/4 1\/2" of fine bark/).waitFor();
    await panel.locator("summary", { hasText: "Points" }).click();
    const east = panel.getByLabel("Point 4 east");
    await east.fill("40-6 1/2");
    await east.press("Enter");
    await page.waitForFunction(() => [...document.querySelectorAll(".pair input")].some((input) => input.value === `40' 6 1/2"`));
  });
});

test("two windows on one project see the same", async () => {
  await opened(async ({ page, app }) => {
    const other = await visit(app.address);
    await select(page, "Bed: walk bed, west");
    await select(other.page, "Bed: walk bed, west");
    const field = (page) => page.getByRole("region", { name: "Selection" }).getByLabel("Mulch depth", { exact: true });
    await field(page).fill("5 in");
    await field(page).press("Enter");
    await other.page.waitForFunction(() => [...document.querySelectorAll(".field input")].some((input) => input.value === "5 in"));
    await other.page.getByRole("button", { name: "Undo" }).click();
    await page.waitForFunction(() => [...document.querySelectorAll(".field input")].some((input) => input.value === "2.5 in"));
    await other.close();
  });
});

test("what is done while the app is away is sent when it is back", async () => {
  const ground = yard();
  let app = await start(ground.folder);
  try {
    const { page, close } = await visit(app.address, { broken: true });
    await select(page, "Bed: walk bed, west");
    const field = page.getByRole("region", { name: "Selection" }).getByLabel("Mulch depth", { exact: true });
    await field.waitFor();
    await app.stop();
    await page.getByText("The app does not answer").waitFor();
    await field.fill("6 in");
    await field.press("Enter");
    await page.getByText("1 change waits here").waitFor();
    app = await start(ground.folder, app.port);
    await page.getByText(/6" of fine bark/).first().waitFor();
    await page.waitForFunction(() => document.querySelector(".connection").textContent === "");
    await close();
  } finally {
    await app.stop();
    ground.remove();
  }
});

test("what was kept survives a kill, and can be undone after it", async () => {
  const ground = yard();
  const files = ground.read("design.toml");
  let app = await start(ground.folder);
  try {
    const first = await visit(app.address, { broken: true });
    await select(first.page, "Bed: walk bed, west");
    const field = first.page.getByRole("region", { name: "Selection" }).getByLabel("Mulch depth", { exact: true });
    await field.fill("7 in");
    await field.press("Enter");
    await undoable(first.page);
    await app.stop("SIGKILL");
    await first.close();
    app = await start(ground.folder);
    const again = await visit(app.address);
    await select(again.page, "Bed: walk bed, west");
    await again.page.getByText(/7" of fine bark/).first().waitFor();
    assert.match(ground.read("design.toml"), /depth = "7 in"/);
    await again.page.getByRole("button", { name: "Undo" }).click();
    await again.page.getByText(/2 1\/2" of fine bark/).first().waitFor();
    await undoable(again.page, false);
    await again.close();
    await app.stop();
    assert.equal(ground.read("design.toml"), files, "comments and order are as they were");
  } finally {
    await app.stop("SIGKILL");
    ground.remove();
  }
});

test("what another program writes into the folder is taken in", async () => {
  await opened(async ({ page, ground }) => {
    await select(page, "Bed: walk bed, west");
    ground.write("design.toml", ground.read("design.toml").replace('label = "walk bed, west"', 'label = "long bed"'));
    await page.getByRole("heading", { name: "Bed: long bed" }).waitFor();
    ground.write("design.toml", `${ground.read("design.toml")}\n[[bed]]\nid = `);
    await page.getByText(/they do not read/).waitFor();
  });
});

test("a folder that does not read says where and how to mend it", async () => {
  const ground = yard();
  const good = ground.read("design.toml");
  ground.write("design.toml", good.replace('mulch = "medium-bark"', 'mulch = "medium bark chips"'));
  const app = await start(ground.folder);
  try {
    const { page, close } = await visit(app.address, { plan: false });
    await page.getByRole("heading", { name: "The project's files do not read" }).waitFor();
    await page.getByText(/design\.toml:\d+:\d+.*medium bark chips/).waitFor();
    ground.write("design.toml", good);
    await page.getByRole("button", { name: "Look again" }).click();
    await page.getByRole("application", { name: "Drawing" }).waitFor();
    await close();
  } finally {
    await app.stop();
    ground.remove();
  }
});

test("a bed, a mass and single plants are drawn by hand", async () => {
  await opened(async ({ page, picture }) => {
    const box = await page.locator(".sheet").boundingBox();
    const round = async (cx, cy, r) => {
      await page.mouse.move(cx + r, cy);
      await page.mouse.down();
      for (let i = 1; i <= 40; i++) await page.mouse.move(cx + r * Math.cos(i * 0.157), cy + r * 0.7 * Math.sin(i * 0.157));
      await page.mouse.up();
    };
    const free = [box.x + 165, box.y + 120];
    await page.getByRole("button", { name: "Bed line" }).click();
    await round(...free, 70);
    await page.getByRole("heading", { name: /^Bed: bed/ }).waitFor();
    await undoable(page);
    await page.locator("summary", { hasText: "Plants for this bed" }).click();
    await page.getByLabel("Search by name or kind").fill("fern");
    const plant = page.locator(".plants button").first();
    await plant.filter({ hasText: /fill this bed/ }).waitFor();
    await plant.click();
    const before = Number(await figure(page, "Plants to set"));
    await page.getByRole("button", { name: "Fill the selected bed" }).click();
    await page.waitForFunction((before) => Number(document.querySelector("[data-key=plants] dd").innerText) > before, before);
    await page.getByRole("heading", { name: /^Mass: \d+ × / }).waitFor();
    await picture("drawn-by-hand");
    await page.getByRole("button", { name: "Remove" }).click();
    await page.waitForFunction((before) => Number(document.querySelector("[data-key=plants] dd").innerText) === before, before);
    await page.getByRole("button", { name: "Single plant" }).click();
    await page.mouse.click(...free);
    await page.waitForFunction((before) => Number(document.querySelector("[data-key=plants] dd").innerText) === before + 1, before);
    for (let i = 0; i < 4; i++) {
      await page.keyboard.press("Control+z");
      await page.waitForTimeout(0);
    }
    await undoable(page, false);
  });
});

test("distances are measured in the reader's units", async () => {
  await opened(async ({ page }) => {
    const box = await page.locator(".sheet").boundingBox();
    await page.getByRole("button", { name: "Measure" }).click();
    await page.mouse.click(box.x + 300, box.y + 200);
    await page.mouse.click(box.x + 420, box.y + 260);
    await page.locator(".live").filter({ hasText: /\d+' / }).waitFor();
    await page.getByLabel("Units").selectOption("metric");
    await page.waitForFunction(() => / m²$/.test(document.querySelector("[data-key=beds] dd").innerText));
    await page.mouse.click(box.x + 420, box.y + 300);
    await page.locator(".live").filter({ hasText: /\d m, .* in all/ }).waitFor();
  });
});

test("findings are shown, mended and accepted with a reason", async () => {
  await opened(async ({ page, picture }) => {
    await page.getByRole("link", { name: "Checks" }).click();
    await page.getByText(/to decide under/).waitFor();
    const first = await page.locator(".cause").first().getAttribute("class");
    assert.match(first, /danger/, "what can hurt stands first");
    await picture("checks");
    const accept = page.getByRole("button", { name: "Accept as it is…" }).last();
    await accept.click();
    await page.getByLabel("Reason for accepting it").fill("the owner knows");
    await page.getByRole("button", { name: "Accept with this reason" }).click();
    await page.getByText("Accepted: the owner knows").waitFor();
    await page.getByRole("button", { name: "Let it count again" }).click();
    await page.getByText("Accepted: the owner knows").waitFor({ state: "detached" });
    const remedies = page.locator(".remedy");
    const total = await remedies.count();
    assert.ok(total > 0, "some remedy is one click");
    const text = await page.getByText(/to decide under/).innerText();
    await remedies.first().click();
    await page.waitForFunction((text) => document.querySelector(".reading .quiet").innerText !== text, text);
    await page.getByRole("button", { name: "Show on the plan" }).first().click();
    await page.getByRole("application", { name: "Drawing" }).waitFor();
    assert.notEqual(await page.locator(".explain").innerText(), "");
    await picture("finding-on-the-plan");
  });
});

test("keys alone suffice", async () => {
  await opened(async ({ page }) => {
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    assert.equal(await page.evaluate(() => document.activeElement.id), "view");
    await select(page, "Bed: walk bed, west");
    await page.locator(".sheet").focus();
    await page.keyboard.press("ArrowRight");
    await undoable(page);
    await page.keyboard.press("Control+z");
    await undoable(page, false);
    await page.keyboard.press("Escape");
    await page.getByText("Nothing selected").waitFor();
  });
});

test("a phone shows it all, and a finger moves it", async () => {
  await opened(
    async ({ page, picture }) => {
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= 360, `${wide} px wide`);
      await picture("phone-plan");
      const box = await page.locator(".sheet").boundingBox();
      await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
      await page.getByText("Nothing selected").waitFor({ state: "detached" });
      for (const view of ["Checks", "Estimate"]) {
        await page.getByRole("link", { name: view }).click();
        await page.getByRole("heading", { level: 1 }).waitFor();
        assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 360, view);
        await picture(`phone-${view.toLowerCase()}`);
      }
    },
    { width: 360, height: 740, touch: true },
  );
});

test("two fingers bring the plan nearer and move it, and nothing is changed", async () => {
  await opened(
    async ({ page, ground }) => {
      const before = ground.read("design.toml");
      const box = await page.locator(".sheet").boundingBox();
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      const hand = await page.context().newCDPSession(page);
      const touch = (type, ...points) => hand.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
      await page.getByLabel("Units").selectOption("metric");
      /** Metres of the yard between two taps that are 100 px apart. */
      const span = async () => {
        await page.getByRole("button", { name: "Measure" }).click();
        await page.touchscreen.tap(x - 50, y + 60);
        // One place has no distance yet: what was said before is gone.
        await page.waitForFunction(() => document.querySelector(".live").textContent === "");
        await page.touchscreen.tap(x + 50, y + 60);
        await page.waitForFunction(() => /[\d.]+ m/.test(document.querySelector(".live").textContent));
        const metres = Number(/([\d.]+) m/.exec(await page.locator(".live").innerText())[1]);
        await page.keyboard.press("Escape");
        await page.getByRole("button", { name: "Pick" }).click();
        return metres;
      };
      await page.getByLabel("Snap").evaluate((box) => box.click());
      const far = await span();
      await touch("touchStart", [x - 30, y]);
      await touch("touchStart", [x - 30, y], [x + 30, y]);
      for (let i = 1; i <= 8; i++) await touch("touchMove", [x - 30 - 5 * i, y], [x + 30 + 5 * i, y]);
      await touch("touchEnd");
      // The fingers were 60 px apart and are 140 px apart now.
      const near = await span();
      assert.ok(Math.abs(far / near - 140 / 60) < 0.1, `${far} m became ${near} m`);
      await page.getByText("Nothing selected").waitFor();
      assert.equal(ground.read("design.toml"), before);
      assert.ok(await page.getByRole("button", { name: "Undo" }).isDisabled());
    },
    { width: 390, height: 844, touch: true },
  );
});

test("a wall of glass is used whole, and its letters can be read from a chair", async () => {
  await opened(
    async ({ page, picture }) => {
      const sheet = await page.locator(".sheet").boundingBox();
      assert.ok(sheet.width > 0.7 * 3840 && sheet.height > 0.8 * 2160, `${sheet.width} by ${sheet.height}`);
      const size = await page.evaluate(() => parseFloat(getComputedStyle(document.querySelector(".figures")).fontSize));
      assert.ok(size >= 20, `${size} px`);
      await select(page, "Bed: walk bed, west");
      assert.ok((await handles(page)).length > 2);
      await picture("plan-large");
      for (const view of ["Site", "Checks", "Estimate"]) {
        await page.getByRole("link", { name: view }).click();
        await page.getByRole("heading", { level: 1 }).waitFor();
        assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 3840, view);
        await picture(`${view.toLowerCase()}-large`);
      }
    },
    { width: 3840, height: 2160 },
  );
});

for (const scheme of ["light", "dark"]) {
  test(`nothing keeps anybody out, ${scheme}`, async () => {
    await opened(
      async ({ page, picture }) => {
        await select(page, "Bed: walk bed, west");
        for (const summary of ["Points", "Move by", "Plants for this bed", "Layers"]) await page.locator("summary", { hasText: summary }).click();
        assert.deepEqual(await accessibility(page), []);
        await picture(`plan-${scheme}`);
        for (const view of ["Checks", "Estimate"]) {
          await page.getByRole("link", { name: view }).click();
          await page.getByRole("heading", { level: 1 }).waitFor();
          assert.deepEqual(await accessibility(page), [], view);
          await picture(`${view.toLowerCase()}-${scheme}`);
        }
      },
      { scheme },
    );
  });
}
