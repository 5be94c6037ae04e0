// Makes the pictures of README out of the four files of a job's report:
//
//   node pictures.mjs JOB FOLDER
//
// report.html as a browser shows it, two pages of report.pdf, and the beginning of
// report.json and series.csv. Small enough to be kept beside the text.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const [job, folder] = process.argv.slice(2);
if (!folder) {
  console.error('usage: node pictures.mjs JOB FOLDER');
  process.exit(3);
}
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox'] });
const page = await browser.newPage({ viewport: { width: 800, height: 860 } });
await page.goto(pathToFileURL(path.resolve(job, 'report.html')).href);
await page.screenshot({ path: path.join(folder, 'report-html.png') });

// beginning shows the first lines of a text file, as an editor would.
async function beginning(name, lines, into) {
  const escaped = readFileSync(path.join(job, name), 'utf8').split(/\r?\n/).slice(0, lines)
    .map((l) => (l.length > 108 ? `${l.slice(0, 107)}\u2026` : l)).join('\n').replace(/&/g, '&amp;').replace(/</g, '&lt;');
  await page.setViewportSize({ width: 800, height: 20 + 18 * lines });
  await page.setContent(`<pre style="margin:10px;font:12px/18px 'Liberation Mono',monospace">${escaped}</pre>`);
  await page.screenshot({ path: path.join(folder, into) });
}
await beginning('report.json', 16, 'report-json.png');
await beginning('series.csv', 6, 'series-csv.png');
await browser.close();
for (const [number, into] of [[1, 'report-pdf-1'], [Number(process.env.CURVES ?? 3), 'report-pdf-2']]) {
  execFileSync('pdftoppm', ['-r', '54', '-gray', '-f', String(number), '-l', String(number), '-singlefile', '-png', path.join(job, 'report.pdf'), path.join(folder, into)]);
}
