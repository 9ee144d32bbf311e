// For everyone: by keys alone, read out, on a phone, without a program running, on paper.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { DEMO, HOSTILE, LOCKED, LOCKED_MEASURED, MEASURED, closed, difference, drawn, json, opened, require } from './browser.mjs';

after(closed);

test('the Tab key reaches every control once round, and leaves each again', async () => {
  const { page, close } = await opened(DEMO);
  await page.locator('.view-more').evaluate((details) => { details.open = true; });
  await page.evaluate(() => { document.getElementById('view').matloftView.step(1); });
  const wanted = await page.evaluate(() => {
    const all = [...document.querySelectorAll('a[href], button, select, input, summary, canvas[tabindex="0"]')];
    const seen = all.filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.disabled && (one.type !== 'radio' || one.checked));
    seen.forEach((one, index) => { one.dataset.stop = index; });
    return seen.map((one) => `${one.tagName} ${one.getAttribute('aria-label') ?? one.textContent.trim().slice(0, 40)}`);
  });
  await page.evaluate(() => { document.activeElement?.blur(); scrollTo(0, 0); });
  const reached = new Set();
  for (let presses = 0; presses < wanted.length + 60 && reached.size < wanted.length; presses++) {
    await page.keyboard.press('Tab');
    const stop = await page.evaluate(() => document.activeElement?.dataset?.stop);
    if (stop !== undefined) reached.add(Number(stop));
  }
  assert.deepEqual(wanted.filter((_, index) => !reached.has(index)), []);
  await close();
});

test('everything in the view is done by keys', async () => {
  const { page, close } = await opened(DEMO);
  const canvas = page.locator('.view-canvas');
  await canvas.focus();
  let last = await drawn(page);
  for (const key of ['ArrowLeft', 'ArrowUp', 'Shift+ArrowRight', '+', '-', 'Home']) {
    await page.keyboard.press(key);
    const now = await drawn(page);
    assert.ok(difference(last, now) > 0.005, `${key}: ${difference(last, now)} of the picture`);
    last = now;
  }
  await page.keyboard.press('n');
  const first = await page.locator('.view-status').innerText();
  assert.match(first, /^Corner \w+ of mould a\. Made by: /);
  await page.keyboard.press('n');
  assert.notEqual(await page.locator('.view-status').innerText(), first);
  await page.keyboard.press('p');
  assert.equal(await page.locator('.view-status').innerText(), first);
  assert.ok(await canvas.evaluate((element) => element === document.activeElement), 'the focus stays on the view');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-pressed')), 'true', 'the focus is on the row');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-pressed')), 'true', 'the next row is picked by Enter');
  await page.getByLabel('Shaded by').focus();
  const before = await drawn(page);
  await page.keyboard.press('ArrowDown');
  assert.ok(difference(before, await drawn(page)) > 0.005, 'another shading by keys');
  await page.getByLabel('mould', { exact: true }).focus();
  await page.keyboard.press('ArrowRight');
  assert.match(await page.locator('.view-status').innerText(), /moulding/);
  await canvas.focus();
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('[data-corner] button[aria-pressed="true"]').count(), 0);
  await close();
});

for (const [name, file] of [['of the demo', DEMO], ['of measured panels', MEASURED], ['with hostile names', HOSTILE], ['of a panel that locks', LOCKED], ['of a measured panel that locks', LOCKED_MEASURED]]) {
  for (const scheme of ['light', 'dark']) {
    test(`the report ${name} has no serious finding of axe, ${scheme}`, async () => {
      const { page, close } = await opened(file, { scheme });
      await page.evaluate(require('axe-core').source);
      // The other scheme differs in its colours alone.
      const rules = scheme === 'light' ? {} : { runOnly: ['color-contrast', 'link-in-text-block'] };
      const { violations } = await page.evaluate((only) => axe.run({ resultTypes: ['violations'], ...only }), rules);
      const serious = violations.filter(({ impact }) => impact === 'serious' || impact === 'critical');
      assert.deepEqual(serious.map(({ id, nodes }) => `${id}: ${nodes.length} times, first ${nodes[0].html.slice(0, 200)}`), []);
      await close();
    });
  }

  test(`the report ${name} does not scroll sideways on a phone`, async () => {
    const { page, close } = await opened(file, { width: 360, height: 740 });
    const { wide, room } = await page.evaluate(() => ({ wide: document.documentElement.scrollWidth, room: innerWidth }));
    assert.ok(wide <= room, `${wide} px in ${room}`);
    const over = await page.locator('.view-controls, .view-legend, .view-frame').evaluateAll((all) => all.filter((one) => one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.className));
    assert.deepEqual(over, []);
    await close();
  });
}

test('without JavaScript tables, stills and drawings are there, and no control that does nothing', async () => {
  const plan = json('demo', 'plan.json');
  const { page, told, close } = await opened(DEMO, { script: false });
  assert.equal(await page.locator('article[data-panel]').count(), plan.parts.length);
  assert.equal(await page.locator('button:visible, select:visible, input:visible, canvas:visible').count(), 0);
  const n = plan.parts.flatMap((part) => part.builds.flatMap((build) => build.pieces.flatMap((piece) => piece.corners))).length;
  assert.equal(await page.locator('[data-corner]').count(), n);
  assert.ok((await page.locator('table').count()) > 4 * plan.parts.length);
  const stills = page.locator('article[data-panel] img');
  for (const still of await stills.all()) {
    await still.scrollIntoViewIfNeeded();
    assert.ok(await still.evaluate((image) => image.complete && image.naturalWidth > 100));
  }
  assert.ok((await page.getByRole('heading', { level: 3 }).count()) >= plan.parts.length);
  assert.deepEqual(told.console, []);
  await close();
});

for (const format of ['A4', 'Letter']) {
  test(`printed on ${format} there are pages, and text that can be searched`, async () => {
    const plan = json('demo', 'plan.json');
    const { page, close } = await opened(DEMO);
    const folder = mkdtempSync(join(tmpdir(), 'paper-'));
    const file = join(folder, 'report.pdf');
    await page.pdf({ path: file, format });
    const info = execFileSync('pdfinfo', [file], { encoding: 'utf8' });
    const n = Number(info.match(/^Pages:\s+(\d+)/m)[1]);
    const points = { A4: [595, 842], Letter: [612, 792] }[format];
    const size = info.match(/^Page size:\s+([\d.]+) x ([\d.]+)/m).slice(1).map(Number);
    assert.ok(points.every((side, axis) => Math.abs(side - size[axis]) < 2), size.join(' x '));
    const pieces = plan.parts.reduce((sum, part) => sum + part.builds.length, 0);
    assert.ok(n >= pieces && n < 12 * pieces, `${n} pages for ${pieces} builds`);
    const text = execFileSync('pdftotext', [file, '-'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
    for (const part of plan.parts) assert.ok(text.includes(part.name), part.name);
    assert.ok(!text.includes('Shaded by'), 'the view stays off the paper');
    assert.equal(readFileSync(file).subarray(0, 5).toString(), '%PDF-');
    rmSync(folder, { recursive: true });
    await close();
  });
}
