// Looks at HTML reports in headless Chromium, at three widths, light and dark,
// and on paper:
//
//   node check.mjs FOLDER PAGE...
//
// Screenshots and the printed PDF go to FOLDER. It fails on anything that a page
// loads, logs or runs, on a line wider than the window, on a picture that cannot
// be seen, on any violation that axe-core knows, and if the print lacks the
// verdict.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const [folder, ...pages] = process.argv.slice(2);
if (!folder || pages.length === 0) {
  console.error('usage: node check.mjs FOLDER PAGE...');
  process.exit(3);
}
const problems = [];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox'] });

// open shows a page and notes whatever it should not do.
async function open(file, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const url = pathToFileURL(path.resolve(file)).href;
  const note = (what) => problems.push(`${file}: ${what}`);
  page.on('request', (r) => r.url() === url || note(`asks for ${r.url().slice(0, 120)}`));
  page.on('console', (m) => note(`says ${m.text().slice(0, 200)}`));
  page.on('pageerror', (e) => note(`fails: ${e.message}`));
  page.on('dialog', (d) => { note(`opens a dialog: ${d.message()}`); d.dismiss(); });
  await page.goto(url);
  return { context, page, note };
}

for (const file of pages) {
  const name = path.basename(file, '.html');
  for (const colorScheme of ['light', 'dark']) {
    for (const width of [390, 768, 1280]) {
      const { context, page, note } = await open(file, { viewport: { width, height: 900 }, colorScheme, bypassCSP: true });
      const seen = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
        figures: document.querySelectorAll('figure').length,
        pictures: [...document.querySelectorAll('svg')].filter((s) => s.getBoundingClientRect().height > 150).length,
        lines: document.querySelectorAll('svg path').length,
        small: [...document.querySelectorAll('svg text')].filter((t) => t.getBoundingClientRect().height > 0)
          .map((t) => parseFloat(getComputedStyle(t).fontSize) * Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b)).filter((px) => px < 7.5).length,
        scripts: document.scripts.length,
      }));
      if (seen.wide > 0) note(`is ${seen.wide} px too wide at ${width} px`);
      if (seen.pictures !== seen.figures) note(`shows ${seen.pictures} of ${seen.figures} curves at ${width} px`);
      if (seen.figures > 0 && seen.lines < 20) note(`its curves have ${seen.lines} lines only`);
      if (seen.small > 0) note(`has ${seen.small} texts too small to read in its curves at ${width} px`);
      if (seen.scripts > 0) note(`holds ${seen.scripts} scripts`);
      // A page that holds a novel is looked at from its top: a busy machine draws no more in time.
      const height = Math.min(8000, await page.evaluate(() => document.documentElement.scrollHeight));
      await page.screenshot({ path: path.join(folder, `${name}-${colorScheme}-${width}.png`), fullPage: true, clip: { x: 0, y: 0, width, height }, timeout: 120000 });
      await page.evaluate(axe);
      const found = await page.evaluate(() => axe.run(document, { resultTypes: ['violations'] }));
      for (const v of found.violations) {
        note(`${colorScheme}, ${width} px: ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' | ')}`);
      }
      console.log(`${name}, ${colorScheme}, ${width} px: ${seen.pictures} curves, ${found.violations.length} violations of ${found.passes.length} rules passed`);
      await context.close();
    }
  }
  const { context, page, note } = await open(file, {});
  // A comparison and an annex have no verdict; how their title begins must be in the print
  // then, since a long one breaks.
  const verdict = (await page.locator('.verdict .word, h1').last().innerText()).slice(0, 24);
  const print = path.join(folder, `${name}-print.pdf`);
  await page.pdf({ path: print, preferCSSPageSize: true });
  const text = execFileSync('pdftotext', [print, '-'], { encoding: 'utf8', maxBuffer: 1 << 28 });
  if (!verdict || !text.includes(verdict)) note(`its print lacks the verdict ${JSON.stringify(verdict)}`);
  console.log(`${name}, printed: ${verdict}, ${text.split('\f').length - 1} pages`);
  await context.close();
}
await browser.close();
for (const p of problems) console.error(p);
console.log(problems.length === 0 ? 'nothing to mend' : `${problems.length} problems`);
process.exit(problems.length === 0 ? 0 : 1);
