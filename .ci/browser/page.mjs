// Looks at the live page in a real browser while a coil is turned:
//
//   node page.mjs HISSPOINT FOLDER
//
// Sound goes into the program as raw samples, at the pace of life. Pictures go into
// FOLDER. Two viewers at 390 and 820 px, light and dark, see readings in their order,
// their buttons work, axe finds nothing, the key is asked for, a thousand bad requests
// and viewers that never read change nothing, and twenty viewers cost little.
import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import net from 'node:net';
import { createRequire } from 'node:module';
import path from 'node:path';
import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const [tool, folder] = process.argv.slice(2);
if (!folder) {
  console.error('usage: node page.mjs HISSPOINT FOLDER');
  process.exit(3);
}
const problems = [];
let ending = false; // from when on a browser may complain that nobody answers
const check = (ok, ...what) => { if (!ok) problems.push(what.join(' ')); };
const sleep = (ms) => new Promise((r) => setTimeout(r, ms));

const rate = 8000;
const watch = spawn(path.resolve(tool), ['watch', '--device', '-', '--rate', String(rate), '--aim', 'sinad', '--json', '--page'], { cwd: folder });
let said = '';
watch.stderr.on('data', (d) => { said += d; });
watch.stdout.resume();
const ended = new Promise((r) => watch.on('exit', r));

// A single tuned circuit turned to its peak and past it, in 20 s and over again.
let at = 0, seed = 1, silent = false;
const noise = () => { let sum = 0; for (let i = 0; i < 6; i++) { seed = (seed * 48271) % 2147483647; sum += seed / 2147483647 - 0.5; } return sum / Math.SQRT1_2; };
const began = performance.now();
const feed = setInterval(() => {
  const until = Math.floor((performance.now() - began) * rate / 1000), data = Buffer.alloc(2 * (until - at));
  for (let i = 0; at < until; i++, at++) {
    const x = ((at / rate) % 24) / 4 - 3, a = silent ? 0 : 0.1 / Math.sqrt(1 + x * x);
    data.writeInt16LE(Math.round(32767 * (a * Math.sin(2 * Math.PI * 1000 * at / rate) + (silent ? 0 : 0.006 * noise()))), 2 * i);
  }
  watch.stdin.write(data);
}, 40);

while (!said.includes('key=')) await sleep(20);
const address = /http:\S+/.exec(said)[0], url = new URL(address), key = url.searchParams.get('key');
check(key.length >= 20, 'the key is short:', key);
check(url.hostname === '127.0.0.1', 'without a port it is served at', url.hostname);
for (let i = 0; i < 100 && !said.includes('█'); i++) await sleep(20); // it comes below the address
await sleep(100);
check(decoded(said) === address, 'the QR code says', decoded(said));

// decoded is what a reader of codes makes of that on a dark terminal: two modules to a
// cell upright, each eight pixels wide.
function decoded(text) {
  const lines = text.split('\n').filter((l) => /[█▀▄]/.test(l)).map((l) => [...l]);
  const width = Math.max(...lines.map((l) => l.length)), rows = [];
  for (const l of lines) for (const light of ['█▀', '█▄']) rows.push(Array.from({ length: width }, (_, i) => (light.includes(l[i] ?? ' ') ? 255 : 0)));
  const pixels = rows.flatMap((r) => Array(8).fill(r.flatMap((v) => Array(8).fill(v))).flat());
  const file = path.join(folder, 'code.pgm');
  writeFileSync(file, Buffer.concat([Buffer.from(`P5\n${8 * width} ${8 * rows.length}\n255\n`), Buffer.from(pixels)]));
  return spawnSync('zbarimg', ['--quiet', '--raw', file]).stdout?.toString().trim();
}

// request gives status, headers and body of a request.
const request = (target, options = {}) => new Promise((resolve, reject) => {
  const r = http.request(new URL(target, url.origin), options, (a) => {
    let body = '';
    a.on('data', (d) => { body += d; }).on('end', () => resolve({ status: a.statusCode, headers: a.headers, body })).on('error', reject);
  });
  r.on('error', reject);
  r.end(options.body);
});
for (const target of ['/', '/?key=', '/?key=wrong', '/events', '/events?key=x', `/${key}`, '/etc/passwd', '/../page.html']) {
  const a = await request(target);
  check(a.status === 403 && a.body === '', target, 'gets', a.status, a.body);
}
check((await request('/do', { method: 'POST', body: 'do=best&step=watch' })).status === 403, 'a button without the key is taken');
check((await request(`/do?key=${key}`, { method: 'POST', body: 'do=best&step=other' })).status === 409, 'a button of another step is taken');
check((await request(`/page.html?key=${key}`)).status === 404, 'a file is served');
const policy = (await request(`/?key=${key}`)).headers['content-security-policy'] ?? '';
check(policy.includes("default-src 'none'") && policy.includes("frame-ancestors 'none'") && !policy.includes('unsafe'), 'policy:', policy);

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox'] });
async function view(width, colorScheme) {
  // axe is put in as a script, which the page's own policy would forbid.
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, deviceScaleFactor: 1 });
  const page = await context.newPage();
  page.on('request', (r) => check(r.url().startsWith(url.origin), 'asks for', r.url()));
  page.on('console', (m) => check(ending, width, 'px says', m.text().slice(0, 200)));
  page.on('pageerror', (e) => check(false, width, 'px fails:', e.message));
  await page.goto(address);
  await page.waitForFunction(() => window.arrived.length > 5);
  return page;
}
const pages = [];
for (const width of [390, 820]) for (const scheme of ['light', 'dark']) pages.push([width, scheme, await view(width, scheme)]);

// From a new start until the core has been turned up to its peak and past it.
check((await request(`/do?key=${key}`, { method: 'POST', body: 'do=best&step=watch', headers: { 'content-type': 'application/x-www-form-urlencoded' } })).status === 204, 'a button is not taken');
const states = new Set();
for (let i = 0; i < 450 && !(states.has('better: go on') && states.has('past: turn back')); i++) {
  states.add(await pages[0][2].locator('#said').innerText());
  await sleep(100);
}
check(states.has('better: go on') && states.has('past: turn back'), 'it was told:', [...states].join(', '));
await pages[0][2].screenshot({ path: path.join(folder, 'live-page.png'), clip: { x: 0, y: 0, width: 390, height: 660 } }); // the one of README
const before = await pages[0][2].evaluate(() => [performance.now(), window.arrived.length]);
await sleep(5000);
const after = await pages[0][2].evaluate(() => [performance.now(), window.arrived.length]);
const pace = (after[1] - before[1]) / (after[0] - before[0]) * 1000;
check(pace > 8.5 && pace < 11.5, pace.toFixed(1), 'readings a second arrive');
for (const [width, scheme, page] of pages) {
  const order = await page.evaluate(() => window.arrived);
  check(order.every((n, i) => i === 0 || n === order[i - 1] + 1), width, scheme, 'readings came out of order or were left out');
  const seen = await page.evaluate(() => ({
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    small: [...document.querySelectorAll('button')].filter((b) => b.getBoundingClientRect().height < 64 || b.getBoundingClientRect().width < 64).length,
    buttons: document.querySelectorAll('button').length,
    figure: document.querySelector('.value').getBoundingClientRect().height,
    said: parseFloat(getComputedStyle(document.querySelector('#said')).fontSize),
  }));
  check(seen.wide <= 0, width, 'px is', seen.wide, 'px too wide');
  check(seen.buttons === 3 && seen.small === 0, width, 'px has', seen.buttons, 'buttons,', seen.small, 'of them small');
  check(seen.figure > 90 && seen.said >= 30, width, 'px shows the figure', seen.figure, 'and the words', seen.said, 'px high');
  await page.evaluate(axe).catch(() => page.addScriptTag({ content: axe }).catch(() => {}));
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
  for (const v of found.violations) check(false, `${scheme}, ${width} px: ${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' | ')}`);
  await page.screenshot({ path: path.join(folder, `live-${scheme}-${width}.png`) });
  console.log(`live page, ${scheme}, ${width} px: ${found.violations.length} violations of ${found.passes.length} rules passed`);
}

// Buttons: one viewer presses, the others see it.
const [a, b] = [pages[0][2], pages[3][2]];
await a.getByRole('button', { name: 'Hold' }).click();
await b.getByText('HELD').waitFor({ timeout: 3000 }).catch(() => check(false, 'Hold is not seen by the other viewer'));
const held = await b.locator('.value').first().innerText();
await sleep(700);
check(held === await b.locator('.value').first().innerText(), 'the figure moves while it is held');
await a.getByRole('button', { name: 'Hold' }).click();
await b.getByRole('button', { name: 'New best' }).click();
await a.getByText('a new best begins').waitFor({ timeout: 3000 }).catch(() => check(false, 'New best is not seen'));
await b.getByRole('button', { name: 'Mark' }).click();
await a.getByText('marked in marks.txt').waitFor({ timeout: 3000 }).catch(() => check(false, 'Mark is not seen'));
check(readFileSync(path.join(folder, 'marks.txt'), 'utf8').includes('note: from the page'), 'the mark is not in its file');

// A thousand bad requests, and viewers that never read; the page goes on.
for (let i = 0; i < 1000; i += 20) {
  const all = await Promise.all(Array.from({ length: 20 }, (_, k) => request([`/?key=${i + k}`, `/events?key=${key}x`, '/%2e%2e/%2e%2e', `/do?key=${k}`][k % 4], { method: ['GET', 'POST', 'PUT', 'DELETE'][(i + k) % 4], headers: { connection: 'close' } }).catch(() => ({ status: 0 }))));
  check(all.every((x) => x.status === 403), 'bad requests get', [...new Set(all.map((x) => x.status))].join(', '));
}
const deaf = Array.from({ length: 10 }, () => { const s = net.connect(url.port, '127.0.0.1', () => s.write(`GET /events?key=${key} HTTP/1.1\r\nHost: x\r\n\r\n`)); s.pause(); s.on('error', () => {}); return s; });
const came = await a.evaluate(() => window.arrived.length);
await sleep(2000);
check(await a.evaluate(() => window.arrived.length) > came + 15, 'the page stands still while others do not read');
for (const s of deaf) s.destroy();

// Twenty viewers against none.
for (const [, , page] of pages) await page.context().close();
const used = () => { const f = readFileSync(`/proc/${watch.pid}/stat`, 'utf8').split(') ')[1].split(' '); return (Number(f[11]) + Number(f[12])) / 100; };
const cost = async () => { const t = used(); await sleep(8000); return (used() - t) / 8; };
const alone = await cost();
const viewers = Array.from({ length: 20 }, () => http.get(`${url.origin}/events?key=${key}`, (r) => r.resume()).on('error', () => {}));
await sleep(300);
const with20 = await cost();
console.log(`20 viewers take ${(100 * (with20 - alone)).toFixed(1)} % of a core; watching alone takes ${(100 * alone).toFixed(1)} %`);
check(with20 - alone < 0.05, 'twenty viewers take', with20 - alone, 'of a core');
for (const v of viewers) v.destroy();

// The sound ends, and with it the program; a viewer says so within two seconds.
const last = await view(390, 'light');
clearInterval(feed);
ending = true;
watch.stdin.end();
check(await ended === 0, 'watch ended with', watch.exitCode, said);
await last.waitForFunction(() => document.querySelector('#said').textContent === 'no connection', null, { timeout: 3000 }).catch(() => check(false, 'a viewer does not say that the connection is gone'));
await browser.close();
for (const p of problems) console.error(p);
console.log(problems.length === 0 ? 'the live page: nothing to mend' : `${problems.length} problems`);
process.exit(problems.length === 0 ? 0 : 1);
