// Figures of the view, as its own sources make them; needs no browser.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { mm, mmUp } from '../../src/report/page/view/src/html.js';

test('a stray is never told smaller than it was measured', () => {
  const told = [[0, '0'], [0.1231, '0.124'], [0.123, '0.123'], [0.1239, '0.124'], [0.99901, '1'], [0.9996, '1'], [9.991, '10'], [12.34, '12.4'], [1234, '1240'], [2.0001, '2.01']];
  for (const [value, words] of told) assert.equal(mmUp(value), words);
  for (let k = 1; k < 2000; k++) {
    const value = 1e-4 * k ** 1.7;
    const up = Number(mmUp(value));
    assert.ok(up >= value && up - value <= 0.0101 * value, `${value}: ${up}`);
  }
  assert.equal(mm(0.1231), '0.123');
});
