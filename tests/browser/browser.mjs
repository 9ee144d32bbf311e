// Opens a report in headless Chromium, and remembers everything it says or asks for.
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

/** A folder with node_modules in it, and one with the reports to look at: see the README beside this file. */
export const packages = process.env.MATLOFT_TEST_NODE_MODULES ?? import.meta.dirname;
export const reports = process.env.MATLOFT_TEST_REPORTS;
export const require = createRequire(join(packages, 'package.json'));
const { chromium } = require('playwright-core');

const CHROMIUM = process.env.MATLOFT_TEST_CHROMIUM ?? '/usr/bin/chromium';
// Drawing in software, and nothing of the browser's own that would ask the network.
const FLAGS = [
  '--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run',
];

export const DEMO = join(reports, 'demo', 'report.html');
export const MEASURED = join(reports, 'measured.html');
export const HOSTILE = join(reports, 'hostile', 'out', 'report.html');
export const HOSTILE_MEASURED = join(reports, 'hostile', 'measured.html');
export const LOCKED = join(reports, 'locked', 'out', 'report.html');
export const LOCKED_MEASURED = join(reports, 'locked', 'measured.html');

export function json(...path) {
  return JSON.parse(readFileSync(join(reports, ...path), 'utf8'));
}

let browser;

/** The browser, once for a file of tests. */
export async function launched() {
  browser ??= await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
  return browser;
}

export async function closed() {
  await browser?.close();
  browser = undefined;
}

/** A report as a reader has it before them. Motion is reduced, so that a picked corner is there at once. `first` runs before the
    page's own program; `edit` changes the page's text. */
export async function opened(file, { width = 1280, height = 800, scheme = 'light', script = true, touch = false, first, edit } = {}) {
  const context = await (await launched()).newContext({
    viewport: { width, height }, colorScheme: scheme, reducedMotion: 'reduce', javaScriptEnabled: script, hasTouch: touch,
  });
  const page = await context.newPage();
  const told = { requests: [], console: [], errors: [], dialogs: [] };
  const own = pathToFileURL(file).href;
  await context.route('**/*', (route) => {
    const url = route.request().url();
    if (url === own) return edit ? route.fulfill({ contentType: 'text/html', body: edit(readFileSync(file, 'utf8')) }) : route.continue();
    told.requests.push(url);
    return route.abort();
  });
  page.on('request', (request) => {
    const url = request.url();
    if (url !== own && !url.startsWith('data:') && !told.requests.includes(url)) told.requests.push(url);
  });
  page.on('console', (message) => told.console.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => told.errors.push(String(error)));
  page.on('dialog', (dialog) => {
    told.dialogs.push(dialog.message());
    dialog.dismiss();
  });
  // A machine with two cores that builds beside it takes its time over a page of ten megabytes.
  page.setDefaultTimeout(180_000);
  page.setDefaultNavigationTimeout(180_000);
  if (first) await page.addInitScript(first);
  await page.goto(own);
  if (script) await page.waitForFunction(() => document.getElementById('view')?.matloftView || document.querySelector('.view-note'));
  return { page, told, close: () => context.close() };
}

/** What the view draws, without what stands over it: width, height, and red, green, blue and alpha of each pixel. */
export async function drawn(page) {
  const { width, height, bytes } = await page.evaluate(() => {
    const { matloftView: view } = document.getElementById('view');
    view.render();
    const copy = document.createElement('canvas');
    [copy.width, copy.height] = [view.canvas.width, view.canvas.height];
    const context = copy.getContext('2d');
    context.drawImage(view.canvas, 0, 0);
    const { data } = context.getImageData(0, 0, copy.width, copy.height);
    let text = '';
    for (let at = 0; at < data.length; at += 8192) text += String.fromCharCode(...data.subarray(at, at + 8192));
    return { width: copy.width, height: copy.height, bytes: btoa(text) };
  });
  return { width, height, rgba: Buffer.from(bytes, 'base64') };
}

/** The share of pixels that differ clearly. */
export function difference(before, after) {
  let n = 0;
  for (let at = 0; at < before.rgba.length; at += 4) {
    const apart = [0, 1, 2].reduce((sum, channel) => sum + Math.abs(before.rgba[at + channel] - after.rgba[at + channel]), 0);
    if (apart > 24) n += 1;
  }
  return n / (before.width * before.height);
}
