'use strict';
// Opens pages from the disk in headless Chromium with the network off and prints what it saw as JSON.
//   node look.cjs JOB PAGE.html      JOB: view | access | without | paper | crowd | moves
// The tests beside it say what must hold; this only looks.
const { chromium } = require('playwright-core');
const { readFileSync } = require('node:fs');

const ARGUMENTS = [
  '--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync',
];
const [job, file] = process.argv.slice(2);
const url = `file://${file}`;

async function open(browser, options = {}, before = null) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, offline: true, ...options });
  const page = await context.newPage();
  const seen = { messages: [], requests: [] };
  page.on('console', (m) => seen.messages.push(`${m.type()}: ${m.text()}`));
  page.on('pageerror', (e) => seen.messages.push(`page error: ${e.message}`));
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) seen.requests.push(r.url()); });
  if (before) await page.addInitScript(before);
  await page.goto(url);
  return { page, seen };
}
const ready = (page) => page.waitForFunction(() => window.packet && window.packet.ready, null, { timeout: 30000 });
const positions = (page) => page.evaluate(() => window.packet.positions());

// Everything that shows which piece is picked.
const shown = (page) => page.evaluate(() => ({
  picked: window.packet.picked(),
  pressed: [...document.querySelectorAll('.chips [aria-pressed=true]')].map((n) => n.dataset.name),
  rows: [...document.querySelectorAll('tr.picked')].map((n) => n.dataset.about),
  tables: [...new Set([...document.querySelectorAll('tr.picked')].map((n) => n.closest('.scroll').dataset.label))],
  figures: [...document.querySelectorAll('figure.picked')].map((n) => n.querySelector('svg title').textContent),
  lines: [...document.querySelectorAll('svg path.picked')].map((n) => n.dataset.name),
  said: document.getElementById('said').textContent,
}));

// A point of the screen at which each piece can be picked, for those that are not behind others.
const places = (page) => page.evaluate(() => {
  const box = document.querySelector('#stage canvas').getBoundingClientRect(), found = {};
  for (let i = 1; i < 60; i += 1) {
    for (let k = 1; k < 60; k += 1) {
      const x = box.left + (box.width * i) / 60, y = box.top + (box.height * k) / 60;
      const name = window.packet.pickAt(x, y);
      if (name && y > 0 && y < innerHeight && !found[name]) found[name] = [x, y];
    }
  }
  return found;
});

async function view(browser) {
  const { page, seen } = await open(browser);
  await ready(page);
  const slider = page.locator('#apart'), canvas = page.locator('#stage canvas');
  const out = { seen, at: {}, picked: {} };
  await slider.focus();
  await page.keyboard.press('Home');
  out.at[0] = await positions(page);
  const together = await canvas.screenshot();
  for (let k = 0; k < 25; k += 1) await page.keyboard.press('ArrowRight');
  out.at[25] = await positions(page);
  out.spoken = await slider.getAttribute('aria-valuetext');
  for (let k = 0; k < 25; k += 1) await page.keyboard.press('ArrowRight');
  out.at[50] = await positions(page);
  await page.keyboard.press('End');
  out.at[100] = await positions(page);
  out.moved = !together.equals(await canvas.screenshot());
  await page.evaluate(() => document.getElementById('stage').scrollIntoView({ block: 'start', behavior: 'instant' }));
  const spots = await places(page);
  for (const [name, [x, y]] of Object.entries(spots)) {
    await page.mouse.click(x, y);
    out.picked[name] = await shown(page);
    await page.keyboard.press('Escape');
  }
  out.after = await shown(page);
  const middle = () => page.evaluate(() => window.packet.screenAt(window.packet.middle()));
  const [x, y] = Object.values(spots)[0], from = await middle();
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 90, y + 20, { steps: 4 });
  await page.mouse.up();
  out.dragged = { picked: (await shown(page)).picked, from, to: await middle() };
  out.flags = await page.evaluate(() => [...document.querySelectorAll('.flag')].map((n) => {
    const a = n.getBoundingClientRect(), b = n.parentElement.getBoundingClientRect();
    return { text: n.textContent, level: n.className, inside: a.left >= b.left - 1 && a.right <= b.right + 1 && a.top >= b.top - 1 };
  }));
  out.marks = await page.locator('#view .remarks li').allTextContents();
  out.ids = await page.evaluate(() => [...document.querySelectorAll('[id]')].map((n) => n.id));
  out.links = await page.evaluate(() => [...document.querySelectorAll('nav a')].map((n) => n.hash.slice(1)));
  out.title = await page.title();
  return out;
}

// Pairs of flags that lie on each other.
const overlaps = (page) => page.evaluate(() => {
  const flags = [...document.querySelectorAll('.flag:not([hidden])')].map((n) => [n.textContent, n.getBoundingClientRect()]);
  return flags.flatMap(([a, p], k) => flags.slice(k + 1)
    .filter(([, q]) => p.left < q.right && q.left < p.right && p.top < q.bottom && q.top < p.bottom).map(([b]) => `${a} / ${b}`));
});
const slide = (page, share) => page.evaluate((v) => {
  const slider = document.getElementById('apart');
  slider.value = v;
  slider.dispatchEvent(new Event('input'));
}, share);
const tooWide = (page) => page.evaluate(() => ({
  page: document.documentElement.scrollWidth,
  over: [...document.querySelectorAll('body *')].filter((n) => !n.parentElement.closest('.scroll') && !n.closest('.skip')
    && (n.getBoundingClientRect().right > innerWidth + 0.5 || n.getBoundingClientRect().left < -0.5)).map((n) => n.outerHTML.slice(0, 120)),
}));

// Many pieces, many faults, words that want to be more than words.
async function crowd(browser) {
  const out = {};
  for (const width of [360, 768, 1280]) {
    const { page, seen } = await open(browser, { viewport: { width, height: 900 }, reducedMotion: 'reduce' });
    await ready(page);
    const at = out[width] = { seen, overlaps: {}, wide: await tooWide(page), moved: Object.keys(await positions(page)) };
    for (const share of [0, 25, 50, 75, 100]) {
      await slide(page, share);
      at.overlaps[share] = await overlaps(page);
    }
    await page.locator('.chips button').last().click();
    at.chosen = await shown(page);
    at.flags = await page.locator('.flag').count();
    at.heading = await page.locator('h1').textContent();
    at.fooled = await page.evaluate(() => Boolean(window.fooled));
    await page.context().close();
  }
  return out;
}

async function faults(page) {
  await page.evaluate(readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'));
  return page.evaluate(async () => {
    const result = await window.axe.run(document);
    return { ran: result.passes.length, found: result.violations.map((v) => `${v.impact} ${v.id}: ${v.nodes.length}: ${v.nodes[0].html.slice(0, 150)}`) };
  });
}

async function keys(browser) {
  const { page } = await open(browser);
  await ready(page);
  const focus = () => page.evaluate(() => {
    const n = document.activeElement, style = getComputedStyle(n);
    return { what: n.id || n.dataset.name || n.className || n.textContent.slice(0, 30), tag: n.tagName, ring: `${style.outlineStyle} ${style.outlineWidth}` };
  });
  const out = { stops: [] };
  await page.keyboard.press('Tab');
  out.first = await focus();
  out.skipInView = await page.evaluate(() => document.activeElement.getBoundingClientRect().left >= 0);
  await page.keyboard.press('Enter');
  out.skipped = await page.evaluate(() => document.activeElement.id);
  for (let k = 0; k < 60; k += 1) {
    await page.keyboard.press('Tab');
    const stop = await focus();
    out.stops.push(stop);
    if (stop.tag === 'CANVAS') {
      const before = await page.evaluate(() => window.packet.screenAt(window.packet.middle()));
      await page.keyboard.press('ArrowLeft');
      await page.keyboard.press('+');
      out.turned = JSON.stringify(before) !== JSON.stringify(await page.evaluate(() => window.packet.screenAt(window.packet.middle())));
    }
    if (stop.tag === 'BUTTON' && (await page.evaluate(() => document.activeElement.dataset.name))) {
      await page.keyboard.press('Enter');
      out.chosen = await shown(page);
      break;
    }
  }
  await page.keyboard.press('Escape');
  out.freed = (await shown(page)).picked;
  return out;
}

async function access(browser) {
  const out = { keys: await keys(browser), axe: {}, wide: {}, screens: {}, tops: {} };
  for (const [width, height, colorScheme] of [[1280, 900, 'light'], [1280, 900, 'dark'], [360, 740, 'light'], [360, 740, 'dark'], [768, 1024, 'light']]) {
    const { page, seen } = await open(browser, { viewport: { width, height }, colorScheme, reducedMotion: 'reduce' });
    await ready(page);
    const name = `${width} ${colorScheme}`;
    out.tops[name] = await page.evaluate(() => Object.fromEntries(
      [['verdict', '.verdict'], ['stage', '#stage'], ['findings', '#verdict']].map(([key, what]) => {
        const box = document.querySelector(what).getBoundingClientRect();
        return [key, { top: box.top, bottom: box.bottom, left: box.left, right: box.right }];
      })));
    if (width !== 768) {
      await page.evaluate(() => { for (const d of document.querySelectorAll('details')) d.open = true; });
      out.axe[name] = await faults(page);
    }
    out.wide[name] = await tooWide(page);
    out.screens[name] = { messages: seen.messages, motion: await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior) };
  }
  return out;
}

async function without(browser) {
  const look = (page) => page.evaluate(() => ({
    view: document.getElementById('view').checkVisibility(),
    picture: document.querySelector('figure.exploded svg').checkVisibility(),
    steps: document.querySelectorAll('ol.steps li').length,
    text: document.body.innerText,
  }));
  const scriptless = await open(browser, { javaScriptEnabled: false });
  const glless = await open(browser, {}, () => { HTMLCanvasElement.prototype.getContext = () => null; });
  await glless.page.waitForTimeout(300);
  return {
    scripts: { ...(await look(scriptless.page)), messages: scriptless.seen.messages },
    webgl: { ...(await look(glless.page)), messages: glless.seen.messages, requests: glless.seen.requests },
  };
}

async function paper(browser) {
  const { page } = await open(browser, { colorScheme: 'dark' });
  await ready(page);
  const target = `${file}.pdf`;
  await page.pdf({ path: target, format: 'A4', margin: { top: '12mm', bottom: '12mm', left: '12mm', right: '12mm' } });
  return { file: target, whys: await page.evaluate(() => [...document.querySelectorAll('main details p')].map((n) => n.textContent)) };
}

// By the button, on a clock of the test's own: this machine may be slow.
async function played(page, state) {
  await page.clock.install();
  await page.clock.pauseAt(Date.now() + 1000);
  const press = () => page.evaluate(() => document.getElementById('run').click());
  await press();
  await page.clock.runFor(50);
  const from = (await state()).time;
  await page.clock.runFor(300);
  const out = { moved: (await state()).time - from, label: await page.locator('#run').textContent(), running: (await state()).running };
  await press();
  await page.clock.runFor(100);
  out.paused = await state();
  await page.clock.resume();
  return out;
}

// What is played: every choice at five times, by button, by key, and where less motion is asked for.
async function moves(browser) {
  const { page, seen } = await open(browser);
  await ready(page);
  const state = () => page.evaluate(() => window.packet.state());
  const out = { seen, start: await state(), at: {}, axe: {}, wide: {} };
  out.options = await page.locator('#what option').evaluateAll((all) => all.map((n) => [n.value, n.textContent]));
  for (const [value] of out.options.filter(([v]) => v !== '')) {
    await page.locator('#what').selectOption(value);
    out.at[value] = [];
    for (const share of [0, 0.25, 0.5, 0.75, 1]) {
      await page.evaluate((s) => window.packet.seek(s * Number(document.getElementById('when').max)), share);
      out.at[value].push({ ...(await state()), clock: await page.locator('#clock').textContent() });
    }
  }
  await page.locator('#what').selectOption(out.options.find(([v]) => v !== '')[0]);
  out.shown = (await page.locator('#stage canvas').screenshot()).length;
  if (out.options[0][0] === '') out.played = await played(page, state);
  await page.locator('#when').focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('ArrowRight');
  out.key = { time: (await state()).time, max: Number(await page.locator('#when').getAttribute('max')), said: await page.locator('#when').getAttribute('aria-valuetext') };
  await slide(page, 100);
  out.apart = await state();
  await page.context().close();
  for (const [width, height, colorScheme] of [[1280, 900, 'light'], [360, 740, 'dark']]) {
    const calm = await open(browser, { viewport: { width, height }, colorScheme, reducedMotion: 'reduce' });
    await ready(calm.page);
    await calm.page.locator('#what').selectOption(out.options[out.options.length - 1][0]);
    out.calm = { button: await calm.page.locator('#run').isVisible(), ...(await calm.page.evaluate(() => window.packet.state())) };
    out.axe[width] = await faults(calm.page);
    out.wide[width] = await tooWide(calm.page);
    await calm.page.context().close();
  }
  return out;
}

(async () => {
  const browser = await chromium.launch({ executablePath: process.env.SEAMWRIGHT_CHROMIUM, args: ARGUMENTS });
  try {
    console.log(JSON.stringify(await { view, access, without, paper, crowd, moves }[job](browser)));
  } finally {
    await browser.close();
  }
})();
