// The page as a file on a stick: nothing is asked for, nothing is complained of, and its figures are the plan's.
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { DEMO, MEASURED, closed, json, opened } from './browser.mjs';

after(closed);

for (const [name, file] of [['of the demo', DEMO], ['of measured panels', MEASURED]]) {
  test(`the report ${name} asks for nothing and complains of nothing`, async () => {
    const { page, told, close } = await opened(file);
    for (const section of await page.locator('section[id]').all()) await section.scrollIntoViewIfNeeded();
    assert.equal(await page.locator('.view-canvas').count(), 1, 'the view is there');
    const shading = page.getByLabel('Shaded by');
    for (const text of await shading.locator('option').allTextContents()) await shading.selectOption(text);
    await page.waitForTimeout(300);
    assert.deepEqual(told, { requests: [], console: [], errors: [], dialogs: [] });
    await close();
  });
}

for (const [name, file, document] of [['of the plan', DEMO, ['demo', 'plan.json']], ['of the measurement', MEASURED, ['measured.json']]]) {
  test(`every figure ${name} is the document's, rounded`, async () => {
    const whole = json(...document);
    const { page, close } = await opened(file);
    const figures = await page.locator('data').evaluateAll((all) => all.map((one) => [one.dataset.at, one.getAttribute('value'), one.textContent]));
    assert.ok(figures.length > 100, `${figures.length} figures`);
    for (const [at, value, text] of figures) {
      const meant = pointed(whole, at);
      assert.equal(typeof meant, 'number', `${at} is a number`);
      assert.equal(Number(value), meant, at);
      const decimals = text.split('.')[1]?.length ?? 0;
      assert.ok(Math.abs(Number(text) - meant) <= 0.5 * 10 ** -decimals * (1 + 1e-9), `${at}: ${text} for ${meant}`);
    }
    await close();
  });

  test(`no digit ${name} stands in a column of figures but as a figure`, async () => {
    const { page, close } = await opened(file);
    const bare = await page.locator('#panels td.number').evaluateAll((cells) => cells.map((cell) => {
      const copy = cell.cloneNode(true);
      for (const figure of copy.querySelectorAll('data')) figure.remove();
      return copy.textContent;
    }).filter((text) => /\d/.test(text)));
    assert.deepEqual(bare, []);
    await close();
  });
}

/** What a JSON pointer (RFC 6901) points at. */
function pointed(document, pointer) {
  const steps = pointer.split('/').slice(1).map((step) => step.replaceAll('~1', '/').replaceAll('~0', '~'));
  return steps.reduce((value, step) => value?.[step], document);
}

test('the figures of every piece, ply and corner of the plan stand on the page', async () => {
  const plan = json('demo', 'plan.json');
  const { page, close } = await opened(DEMO);
  const at = new Set(await page.locator('#panels data').evaluateAll((all) => all.map((one) => one.dataset.at)));
  const wanted = [];
  plan.parts.forEach((part, p) => part.builds.forEach((build, b) => build.pieces.forEach((piece, i) => {
    const of = `/parts/${p}/builds/${b}/pieces/${i}`;
    wanted.push(...['area_m2', 'mass_kg', 'glass_kg', 'resin_kg', 'thickness_mm', 'catalyst_g', 'catalyst_ml'].map((key) => `${of}/${key}`));
    piece.plies.forEach((_, n) => wanted.push(...['net_m2', 'on_part_m2', 'laid_m2', 'glass_kg', 'resin_kg', 'thickness_mm', 'roll_m'].map((key) => `${of}/plies/${n}/${key}`)));
    piece.corners.forEach((_, n) => wanted.push(...['radius_mm', 'turn_deg', 'length_mm', 'needed_radius_mm'].map((key) => `${of}/corners/${n}/${key}`)));
    piece.splits.forEach((_, n) => wanted.push(`${of}/splits/${n}/length_mm`));
    piece.edges.forEach((_, n) => wanted.push(`${of}/edges/${n}/length_mm`));
  })));
  assert.deepEqual(wanted.filter((pointer) => !at.has(pointer)), []);
  const sentences = new Set(await page.locator('#panels .remedies li bdi').allTextContents());
  const remedies = plan.parts.flatMap((part) => part.builds.flatMap((build) => build.pieces.flatMap((piece) => piece.corners.flatMap((corner) => corner.remedies.map((remedy) => remedy.text)))));
  assert.ok(remedies.length > 0);
  assert.deepEqual(remedies.filter((text) => !sentences.has(text)), []);
  await close();
});
