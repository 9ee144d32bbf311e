// Names from files and jobs are text, whatever they look like; and the scene is a sound GLB with any of them.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { HOSTILE, HOSTILE_MEASURED, closed, json, opened, reports, require } from './browser.mjs';

after(closed);

for (const [what, file, names] of [
  ['a plan', HOSTILE, () => json('hostile', 'out', 'plan.json').parts.flatMap((part) => [part.name, part.file, ...part.builds.flatMap((build) => [build.schedule, ...build.pieces.flatMap((piece) => piece.splits.map((split) => split.name))])])],
  ['a measurement', HOSTILE_MEASURED, () => json('hostile', 'measured.json').parts.flatMap((part) => [part.name, part.file])],
]) {
  test(`no name in ${what} is run, and each is shown as text`, async () => {
    const { page, told, close } = await opened(file);
    const panels = await page.getByLabel('Panel', { exact: true }).locator('option').count();
    assert.ok(panels > 0);
    for (let panel = 0; panel < panels; panel++) await page.getByLabel('Panel', { exact: true }).selectOption({ index: panel });
    await page.evaluate(() => { for (let n = 0; n < 3; n++) document.getElementById('view').matloftView.step(1); });
    for (const shading of await page.getByLabel('Shaded by').locator('option').evaluateAll((all) => all.map((one) => one.value))) {
      await page.getByLabel('Shaded by').selectOption(shading);
    }
    await page.waitForTimeout(300);
    assert.equal(await page.evaluate(() => window.hit), undefined);
    assert.deepEqual(told, { requests: [], console: [], errors: [], dialogs: [] });
    assert.equal(await page.locator('script').count(), 2, 'the scene and the view, and no more');
    assert.equal(await page.locator('svg [onload], [onerror], iframe, object, embed').count(), 0);
    const text = await page.evaluate(() => document.body.textContent);
    const given = [...new Set(names())];
    assert.ok(given.some((name) => name.includes('<')), given.join('\n'));
    assert.deepEqual(given.filter((name) => !text.includes(name)), []);
    await close();
  });
}

for (const scene of [['demo', 'scene.glb'], ['hostile', 'out', 'scene.glb']]) {
  test(`${scene.join('/')} passes the validator of its standard without error or warning`, async () => {
    const validator = require('gltf-validator');
    const bytes = new Uint8Array(readFileSync(join(reports, ...scene)));
    const { issues, mimeType } = await validator.validateBytes(bytes, { maxIssues: 20 });
    assert.equal(mimeType, 'model/gltf-binary');
    assert.deepEqual({ errors: issues.numErrors, warnings: issues.numWarnings }, { errors: 0, warnings: 0 }, JSON.stringify(issues.messages.filter(({ severity }) => severity < 2), null, 1));
  });
}
