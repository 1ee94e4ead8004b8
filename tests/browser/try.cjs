'use strict';
// Uses the page of `seamwright try` in headless Chromium as a person would, and prints what it saw as JSON.
//   node try.cjs ADDRESS     The test beside it says what must hold; this only acts and looks.
const { chromium } = require('playwright-core');
const { readFileSync } = require('node:fs');

const ARGUMENTS = [
  '--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync',
];
const [address] = process.argv.slice(2);
const out = { requests: [], messages: [] };

async function open(context) {
  const page = await context.newPage();
  page.on('console', (m) => { if (m.type() === 'error') out.messages.push(m.text()); });
  page.on('pageerror', (e) => out.messages.push(`page error: ${e.message}`));
  page.on('request', (r) => out.requests.push(r.url()));
  // every verdict that was ever shown, with the text and the stage that it was shown of
  await page.addInitScript(() => {
    window.shown = [];
    document.addEventListener('DOMContentLoaded', () => new MutationObserver(() => window.shown.push([
      document.getElementById('verdict').dataset.tone, document.getElementById('word').textContent, window.trial ? window.trial.state().stage : 'none',
    ])).observe(document.getElementById('verdict'), { attributes: true, subtree: true, characterData: true, childList: true }));
  });
  await page.goto(address);
  await page.waitForFunction(() => window.trial && window.trial.state().stage !== 'none');
  return page;
}
const state = (page) => page.evaluate(() => window.trial.state());
const reached = (page, ...stages) => page.waitForFunction((all) => all.includes(window.trial.state().stage), stages, { timeout: 90000 });
const sizes = (text) => /^size +=.*/m.exec(text)[0];
const field = (page, key) => page.locator(`[id="f-${key}"]`);

async function drag(page) {
  const slider = field(page, 'tank.size.0-slider');
  await slider.scrollIntoViewIfNeeded();
  const box = await slider.boundingBox(), y = box.y + box.height / 2, at = (share) => box.x + 8 + (box.width - 16) * share;
  await page.evaluate(() => { window.shown = []; });
  await page.mouse.move(at(0.3), y);
  await page.mouse.down();
  const seen = [];
  for (let k = 1; k <= 12; k += 1) {
    await page.mouse.move(at(0.3 + 0.01 * k), y);
    await page.waitForTimeout(60);
    const { stage, tone, view, text } = await state(page);
    seen.push({ stage, tone, length: Number(await field(page, 'tank.size.0').inputValue()), volume: view.water && view.water.volume, text: sizes(text) });
  }
  await page.mouse.up();
  await reached(page, 'sizes', 'held', 'whole');
  return { seen, end: sizes((await state(page)).text), tones: await page.evaluate(() => window.shown) };
}

async function faults(page) {
  await page.evaluate(() => { for (const d of document.querySelectorAll('details')) d.open = true; });
  await page.evaluate(readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'));
  return page.evaluate(async () => {
    const result = await window.axe.run(document);
    return { ran: result.passes.length, found: result.violations.map((v) => `${v.impact} ${v.id}: ${v.nodes.length}: ${v.nodes[0].html.slice(0, 150)}`) };
  });
}
const tooWide = (page) => page.evaluate(() => ({
  page: document.documentElement.scrollWidth,
  over: [...document.querySelectorAll('body *')].filter((n) => !n.closest('.scroll') && !n.closest('.skip') && n.checkVisibility()
    && n.getBoundingClientRect().right > innerWidth + 0.5).map((n) => n.outerHTML.slice(0, 120)),
}));

(async () => {
  const browser = await chromium.launch({ executablePath: process.env.SEAMWRIGHT_CHROMIUM, args: ARGUMENTS });
  try {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    const page = await open(context);
    await page.keyboard.press('Tab');
    out.first = await page.evaluate(() => document.activeElement.textContent);
    await reached(page, 'whole');
    out.begun = await state(page);
    out.rows = await page.locator('#figures tbody tr').allInnerTexts();
    const canvas = page.locator('#stage canvas'), before = await canvas.screenshot();
    await canvas.focus();
    await page.keyboard.press('ArrowLeft');
    await page.waitForTimeout(150);
    out.turned = !before.equals(await canvas.screenshot());
    await page.locator('#apart').focus();
    await page.keyboard.press('End');
    out.apart = (await state(page)).view.places;
    out.spoken = await page.locator('#apart').getAttribute('aria-valuetext');
    await page.keyboard.press('Home');
    await page.locator('#keep').click();

    out.drag = await drag(page);
    await reached(page, 'whole');
    out.dragged = { ...(await state(page)), columns: await page.locator('#figures th[scope=col]').allInnerTexts(), lines: await page.locator('#figures tbody tr').allInnerTexts() };
    await page.evaluate(() => { document.activeElement.blur(); });
    await page.keyboard.press('Control+z');
    await page.waitForFunction((text) => window.trial.state().text === text, out.begun.text);
    out.redo = await page.locator('#redo').isEnabled();
    await reached(page, 'whole');
    out.again = (await state(page)).tone;
    await field(page, 'liquid.fill').fill('4000 mm'); // typed, and not taken
    out.typed = await page.locator('#verdict').innerText();
    await page.keyboard.press('Escape');
    out.escaped = [await field(page, 'liquid.fill').inputValue(), (await state(page)).tone];

    // two changes in 20 ms
    await page.evaluate(async () => {
      window.shown = [];
      const change = (typed) => { // and what is shown at once, before anything is answered
        window.trial.change({ do: 'set', key: ['tank', 'size', 0], typed }, null);
        window.shown.push([document.getElementById('verdict').dataset.tone, document.getElementById('word').textContent, window.trial.state().stage]);
      };
      change('310');
      await new Promise((done) => { setTimeout(done, 20); });
      change('320');
    });
    await page.waitForFunction(() => window.trial.state().text.includes('[320, 200, 150]') && window.trial.state().stage !== 'asked');
    out.two = { text: sizes((await state(page)).text), row: (await state(page)).rows['part bottom'].value, tones: await page.evaluate(() => window.shown) };

    const other = await open(context); // before it is saved
    await reached(other, 'sizes', 'held', 'whole');
    await page.keyboard.press('Control+s');
    await page.waitForFunction(() => document.getElementById('notice').textContent.startsWith('Saved'));
    out.saved = await page.locator('#dirty').innerText();

    await field(page, 'liquid.fill').fill('400 mm');
    await page.keyboard.press('Enter');
    await reached(page, 'refused');
    out.refused = { tone: (await state(page)).tone, said: await page.locator('[id="f-liquid.fill-error"]').innerText(), invalid: await field(page, 'liquid.fill').getAttribute('aria-invalid') };
    await page.locator('#problems button').click();
    out.refused.focus = await page.evaluate(() => document.activeElement.id);
    await page.locator('#undo').click();
    await page.waitForFunction(() => document.getElementById('problems').textContent === '');
    out.still = sizes((await state(page)).text);

    // the other tab stands on the order as it was, and is not mixed with this one
    out.other = { text: sizes((await state(other)).text) };
    await field(other, 'tank.size.1').fill('210');
    await other.keyboard.press('Tab');
    await other.waitForFunction(() => window.trial.state().text.includes('[300, 210, 150]'));
    await other.keyboard.press('Control+s');
    await other.waitForFunction(() => document.getElementById('notice').classList.contains('bad'));
    out.other.said = await other.locator('#notice p').innerText();
    await other.reload();
    await other.waitForFunction(() => window.trial && window.trial.state().text.includes('[300, 210, 150]'), null, { timeout: 20000 });
    out.other.after = await other.locator('#dirty').innerText();
    await other.close();

    // a table more, and gone
    await page.locator('#t-plate').click();
    await page.getByRole('button', { name: 'Add plate' }).click();
    await page.waitForFunction(() => window.trial.state().text.split('\n[[plate]]').length === 3);
    await page.getByRole('button', { name: 'Remove plate 2' }).click();
    await page.waitForFunction(() => window.trial.state().text.split('\n[[plate]]').length === 2);
    out.plates = sizes((await state(page)).text);

    out.axe = { '1280 light': await faults(page) };
    out.wide = { '1280 light': await tooWide(page) };
    await page.close();
    const small = await browser.newContext({ viewport: { width: 360, height: 740 }, colorScheme: 'dark', hasTouch: true });
    const narrow = await open(small);
    await reached(narrow, 'sizes', 'held', 'whole');
    out.axe['360 dark'] = await faults(narrow);
    out.wide['360 dark'] = await tooWide(narrow);
    out.touched = await narrow.evaluate(() => [...document.querySelectorAll('#fields button, header button, header select, #fields select, #fields input')]
      .filter((n) => n.checkVisibility() && n.getBoundingClientRect().height < 24).map((n) => n.outerHTML.slice(0, 100)));
    console.log(JSON.stringify(out));
  } finally {
    await browser.close();
  }
})();
