// Bundles the view into one script, view.min.js, which the report carries. Run: npm ci && npm run build
import { build } from 'esbuild';
import { readFile } from 'node:fs/promises';

const out = 'view.min.js';
await build({
  entryPoints: ['src/main.js'],
  outfile: out,
  bundle: true,
  minify: true,
  format: 'iife',
  target: 'es2022',
  legalComments: 'none',
  banner: { js: '"use strict";/* Holds three.js 0.187.0, (c) 2010-2026 three.js authors, MIT licence: see LICENSE-three.txt beside the sources. */' },
});

// Inside a page, these would end the script, or hide its end, whatever they mean in it; the others would break the promise
// that nothing is fetched and no text is run.
const text = await readFile(out, 'utf8');
for (const bad of [/<\/script/i, /<!--/, /\beval\(/, /new Function\(/]) {
  if (bad.test(text)) throw new Error(`${out} holds ${bad}`);
}
console.log(`${out}: ${text.length} bytes`);
