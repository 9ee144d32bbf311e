// What shows of a release: shadings, arrow, undercuts, proposed splits, and the words beside them.
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { LOCKED, LOCKED_MEASURED, MEASURED, closed, difference, drawn, json, opened } from './browser.mjs';

after(closed);

const choose = (page, label, value) => page.getByLabel(label, { exact: true }).selectOption(value);

/** Kinds of the lines that are drawn now. */
const kinds = (page) => page.evaluate(() => {
  const { matloftView: view } = document.getElementById('view');
  const all = view.shown.flatMap(({ lines }) => lines).filter(({ drawn }) => drawn.every((form) => form.visible));
  return [...new Set(all.map(({ line }) => line.kind))].sort();
});

for (const [name, file] of [['a plan', LOCKED], ['a measured panel', LOCKED_MEASURED]]) {
  test(`${name} that locks shows arrow, undercuts and proposed splits, each of them switched by itself`, async () => {
    const { page, told, close } = await opened(file);
    const all = await kinds(page);
    assert.ok(['pull', 'undercut', 'holds', 'proposal'].every((kind) => all.includes(kind)), all.join(', '));
    for (const [label, gone] of [['Pull', ['pull', 'holds']], ['Undercuts', ['undercut']], ['Proposed splits', ['proposal']]]) {
      const box = page.getByLabel(label, { exact: true });
      const before = await drawn(page);
      await box.focus();
      await page.keyboard.press('Space');
      assert.equal(await box.isChecked(), false, `${label} by keys alone`);
      assert.ok(difference(before, await drawn(page)) > 0.0005, `${label}: ${difference(before, await drawn(page))} of the picture`);
      assert.deepEqual((await kinds(page)).filter((kind) => gone.includes(kind)), [], label);
      await page.keyboard.press('Space');
      assert.deepEqual(await kinds(page), all, `${label} again`);
    }
    assert.match(await page.locator('.view-legend').innerText(), /border of what locks[\s\S]*proposed split/);
    assert.deepEqual(told.errors, []);
    await close();
  });
}

test('the shading by draft marks the draft that is wanted, and reads it where one clicks', async () => {
  const { page, close } = await opened(LOCKED);
  const before = await drawn(page);
  await choose(page, 'Shaded by', 'draft');
  assert.ok(difference(before, await drawn(page)) > 0.02);
  const limits = await page.locator('.view-legend .legend-list li').allTextContents();
  const { practice } = json('locked/out', 'plan.json');
  assert.deepEqual(limits, [
    `A ${practice.near_zero_draft_deg.value}\u00b0 under this a wall stands along the pull`,
    `B ${practice.draft_deg.value}\u00b0 wanted of every wall`,
  ]);
  await choose(page, 'Seen from', { label: 'above (+z)' });
  await page.waitForTimeout(600);
  await page.evaluate(() => document.getElementById('view').matloftView.read({ x: 0.02, y: 0.03 }));
  // The top of the hood is flat.
  assert.match(await page.locator('.view-status').innerText(), /draft 90\u00b0/);
  await close();
});

test('what leans against the pull is orange, what comes off is purple', async () => {
  const { page, close } = await opened(LOCKED);
  await choose(page, 'Shaded by', 'draft');
  const colours = await page.evaluate(() => {
    const { matloftView: view } = document.getElementById('view');
    const { data, width } = view.shading.texture.image;
    const [piece] = view.pieces;
    const drafts = piece.face.getAttribute('_draft_deg').array;
    const uv = view.shown[0].mesh.geometry.getAttribute('uv').array;
    return [...drafts].map((deg, point) => ({ deg, red: data[4 * Math.floor(uv[2 * point] * width)], blue: data[4 * Math.floor(uv[2 * point] * width) + 2] }));
  });
  assert.ok(colours.some(({ deg }) => deg < -20) && colours.some(({ deg }) => deg > 5));
  for (const { deg, red, blue } of colours) {
    if (deg < -2) assert.ok(red > blue + 40, `${deg}`);
    if (deg > 2) assert.ok(blue > red + 10, `${deg}`);
  }
  await close();
});

test('a thin solid is shaded by its wall', async () => {
  const { page, close } = await opened(MEASURED);
  const { parts } = json('.', 'measured.json');
  const number = parts.findIndex((part) => part.skin.wall_mm);
  await choose(page, 'Panel', String(number));
  const before = await drawn(page);
  await choose(page, 'Shaded by', 'wall');
  assert.ok(difference(before, await drawn(page)) > 0.02);
  const walls = await page.evaluate(() => [...document.getElementById('view').matloftView.pieces[0].face.getAttribute('_wall_mm').array]);
  const near = walls.filter((wall) => Math.abs(wall - parts[number].skin.wall_mm) < 0.05 * parts[number].skin.wall_mm).length;
  assert.ok(near > 0.8 * walls.length, `${near} of ${walls.length} points`);
  assert.match(await page.locator('.view-legend').innerText(), /in mm/);
  await close();
});

test('the lines to paste are read as they are, and scrolled by keys', async () => {
  const plan = json('locked/out', 'plan.json');
  const { page, close } = await opened(LOCKED, { width: 360, height: 740 });
  const { proposals } = plan.parts[0].builds[0].pieces[0].release.split;
  const shown = page.locator('pre.job-lines');
  assert.equal(await shown.count(), proposals.length);
  for (const [index, proposal] of proposals.entries()) {
    assert.equal((await shown.nth(index).textContent()).trim(), proposal.job_lines.trim());
  }
  await shown.first().focus();
  assert.ok(await shown.first().evaluate((one) => one === document.activeElement));
  await close();
});
