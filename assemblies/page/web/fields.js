'use strict';
// The fields of an order, made from its keys: each with what it means and takes, a slider where it has a size, its fault below it.
const fields = (() => {
  const home = document.getElementById('fields');
  const make = (tag, more = {}, ...inside) => {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(more)) {
      if (name === 'on') for (const [event, act] of Object.entries(value)) node.addEventListener(event, act);
      else if (value !== null && value !== undefined && value !== false) node.setAttribute(name, value === true ? '' : value);
    }
    node.append(...inside.filter((one) => one !== null));
    return node;
  };
  const FIRST = ['sheet', 'liquid', 'support'];
  const NUMBER = /^\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*([A-Za-z%][A-Za-z0-9/ ]*)?\s*$/;
  let form = [], tell = () => {}, built = '', open = new Set(), sliders = new Map();

  const id = (path) => `f-${path.join('.')}`;
  const at = (data, path) => path.reduce((here, part) => (here === undefined || here === null ? undefined : here[part]), data);
  const plain = (value) => (typeof value === 'string' ? value : written(value));
  // A value as a person would type it.
  function written(value) {
    if (Array.isArray(value)) return `[${value.map(written).join(', ')}]`;
    if (value && typeof value === 'object') return `{${Object.entries(value).map(([k, v]) => `${k} = ${written(v)}`).join(', ')}}`;
    return typeof value === 'string' ? JSON.stringify(value) : String(value);
  }

  // The tables of a kind: its own first, then what most orders say, then the rest.
  function tables(kind, shared) {
    const reads = (one, path) => !one.shared || !shared || shared.includes(path.split('.')[0]); // this kind does
    const mine = form.filter((t) => (t.kind === '' || t.kind === kind) && reads(t, t.path))
      .map((t) => ({ ...t, keys: t.path ? t.keys : t.keys.filter((k) => reads(k, k.name)) }));
    const rank = (t) => (t.kind ? 0 : FIRST.includes(t.path) ? 1 : t.path === '' ? 2 : 3);
    return mine.map((t, n) => [rank(t), n, t]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).map(([, , t]) => t);
  }

  function show(data, kind, shared, units, pending) {
    const every = tables(kind, shared), shape = JSON.stringify([kind, every.map((t) => shaped(t, data))]);
    if (shape !== built) {
      const focus = document.activeElement && document.activeElement.id;
      const first = built === '' || JSON.parse(built)[0] !== kind;
      if (first) { open = new Set(every.filter((t) => t.kind || FIRST.includes(t.path)).map((t) => t.path)); sliders = new Map(); }
      home.replaceChildren(make('h2', {}, 'The order'), ...every.map((t) => tableNode(t, data, kind)));
      built = shape;
      if (focus && document.getElementById(focus)) document.getElementById(focus).focus();
    }
    for (const node of home.querySelectorAll('[data-key]')) if (!pending.has(node.dataset.key)) fill(node, at(data, JSON.parse(node.dataset.key)), units);
    for (const t of every) {
      const count = home.querySelector(`[data-count="${t.path}"]`);
      if (count) count.textContent = counted(t, data);
    }
  }

  // What decides which fields there are.
  function shaped(t, data) {
    const here = t.path ? at(data, t.path.split('.')) : data;
    const one = (d) => t.keys.map((k) => {
      const value = d ? d[k.name] : undefined;
      if (k.sort === 'map') return value ? Object.keys(value) : [];
      return Array.isArray(value) && parted(k, value) ? value.length : 0;
    });
    return t.many ? [t.path, ...(Array.isArray(here) ? here : []).map(one)] : [t.path, here !== undefined, one(here)];
  }

  // A list of named parts gets a field for each.
  const parted = (k, value) => k.items.length && value.length === k.items.length && value.every((v) => typeof v === 'number' || (typeof v === 'string' && NUMBER.test(v)));

  function counted(t, data) {
    const here = t.path ? at(data, t.path.split('.')) : data;
    if (t.many) return Array.isArray(here) && here.length ? `${here.length} given` : 'none';
    if (here === undefined) return 'not given';
    return `${t.keys.filter((k) => here[k.name] !== undefined).length} of ${t.keys.length} keys given`;
  }

  function tableNode(t, data, kind) {
    const path = t.path ? t.path.split('.') : [], here = path.length ? at(data, path) : data;
    const name = t.path ? t.path.replace('.', ': ') : 'name and number';
    const head = make('summary', { id: `t-${t.path}` }, `${name} `, make('span', { 'data-count': t.path }, counted(t, data)));
    const inside = make('div', { class: 'inside' }, make('p', {}, t.about.startsWith('The `[') ? '' : t.about.replaceAll('`', '')));
    if (t.many) {
      (Array.isArray(here) ? here : []).forEach((one, n) => inside.append(make('fieldset', {}, make('legend', {}, `${name} ${n + 1}`),
        ...t.keys.map((k) => fieldNode(k, [...path, n, k.name], one[k.name])),
        button(`Remove ${name} ${n + 1}`, { do: 'remove', key: [...path, n] }))));
      inside.append(button(`Add ${name}`, { do: 'add', key: path }));
    } else if (here === undefined && t.keys.some((k) => k.needed)) {
      inside.append(button(`Add ${name}`, { do: 'add', key: path }));
    } else {
      inside.append(...t.keys.map((k) => fieldNode(k, [...path, k.name], here && here[k.name])));
      if (path.length && here !== undefined && t.path !== 'sheet' && t.path !== kind) inside.append(button(`Remove ${name}`, { do: 'remove', key: path }));
    }
    const node = make('details', { open: open.has(t.path) }, head, inside);
    node.addEventListener('toggle', () => { if (node.open) open.add(t.path); else open.delete(t.path); });
    return node;
  }

  const button = (words, edit) => make('button', { type: 'button', on: { click: () => tell(edit, null) } }, words);

  // One key: its name, its control, what it means, its fault.
  function fieldNode(k, path, value) {
    const own = id(path), help = `${own}-help`, error = `${own}-error`;
    const about = { 'aria-describedby': `${help} ${error}` };
    const label = make('label', { for: own }, k.name, k.needed ? make('span', { class: 'needed' }, ' (needed)') : null);
    let control;
    if (k.sort === 'choice' || k.sort === 'flag') control = choice(k, path, about);
    else if (k.sort === 'map') control = entries(k, path, value, about);
    else if (Array.isArray(value) && parted(k, value)) control = make('div', {}, ...k.items.map((item, n) => line(k, [...path, n], about, item)));
    else control = line(k, path, about, '');
    const group = control.tagName === 'DIV' && !control.classList.contains('line');
    const head = group ? make('span', { class: 'name', id: `${own}-name` }, k.name, k.needed ? make('span', { class: 'needed' }, ' (needed)') : null) : label;
    if (group) { control.setAttribute('role', 'group'); control.setAttribute('aria-labelledby', `${own}-name`); control.id = own; }
    return make('div', { class: 'field', 'data-field': JSON.stringify(path) }, head, control,
      make('p', { class: 'help', id: help }, helped(k)), make('p', { class: 'error', id: error }));
  }

  function helped(k) {
    const unit = k.units.startsWith('mm') ? `; bare numbers in units, or with ${k.units}` : k.units ? `; in ${k.units}` : '';
    const seen = k.sort === 'choice' || k.sort === 'flag'; // the list itself says what is allowed
    const words = seen ? k.means : `${k.means} Allowed: ${k.allowed}${unit}. ${k.needed ? '' : `Left out: ${k.default}. `}Example: ${k.example}`;
    return words.replaceAll('`', '');
  }

  const send = (path, typed, gesture) => tell(typed.trim() === '' ? { do: 'unset', key: path } : { do: 'set', key: path, typed }, gesture);

  function choice(k, path, about) {
    const words = k.sort === 'flag' ? ['true', 'false'] : k.choices;
    return make('select', { id: id(path), 'data-key': JSON.stringify(path), autocomplete: 'off', ...about, on: { change: (e) => send(path, e.target.value, null) } },
      k.needed ? null : make('option', { value: '' }, `left out: ${k.default.replaceAll('"', '')}`), ...words.map((w) => make('option', { value: w }, w)));
  }

  // What is typed counts once it is taken; until then the page is told that something is typed.
  const typing = {
    input: (e) => tell({ do: 'typing', on: e.target.value !== e.target.dataset.shown }, null),
    keydown: (e) => {
      if (e.key !== 'Escape' || e.target.value === e.target.dataset.shown) return;
      e.target.value = e.target.dataset.shown;
      tell({ do: 'typing', on: false }, null);
    },
  };

  // A text and, where what stands in it is a size, a slider.
  function line(k, path, about, item) {
    const own = id(path), key = JSON.stringify(path);
    const text = make('input', { type: 'text', id: own, 'data-key': key, autocomplete: 'off', spellcheck: 'false', placeholder: item ? null : k.needed ? null : `left out: ${k.default}`, ...about,
      on: { ...typing, change: (e) => { if (e.target.value !== e.target.dataset.shown) send(path, e.target.value, null); } } });
    const slider = make('input', { type: 'range', id: `${own}-slider`, 'data-slider': key, hidden: true, autocomplete: 'off', 'aria-label': `${k.name}${item ? ` ${item}` : ''}, slider`, ...about,
      on: { input: () => { text.value = slid(slider); send(path, text.value, own); }, change: () => tell(null, null) } });
    slider.dataset.low = /negative|right, up|x, y, z|-\d+ to/.test(`${k.allowed} ${k.items}`) ? 'below' : '';
    slider.dataset.bounds = (/^a number (?:from|over) ([-\d.]+)(?: to|, up to) ([-\d.]+)$/.exec(k.allowed) || []).slice(1).join(' ');
    slider.dataset.whole = k.allowed.startsWith('a whole number') ? 'yes' : '';
    return make('div', { class: item || (k.sort === 'any' && !k.allowed.includes('list')) ? 'line short' : 'line' }, item ? make('label', { for: own }, item) : null, text, slider);
  }

  // A table by names: a line for each, and one for the next.
  function entries(k, path, value, about) {
    const name = make('input', { type: 'text', 'aria-label': `${k.name}: name of a new entry`, autocomplete: 'off' });
    const worth = make('input', { type: 'text', 'aria-label': `${k.name}: value of a new entry`, autocomplete: 'off' });
    const add = make('button', { type: 'button', on: { click: () => { if (name.value.trim() && worth.value.trim()) send([...path, name.value.trim()], worth.value, null); } } }, `Add to ${k.name}`);
    return make('div', {}, ...Object.keys(value || {}).map((one) => make('div', { class: 'line' }, make('label', { for: id([...path, one]) }, one),
      make('input', { type: 'text', id: id([...path, one]), 'data-key': JSON.stringify([...path, one]), autocomplete: 'off', ...about,
        on: { ...typing, change: (e) => { if (e.target.value !== e.target.dataset.shown) send([...path, one], e.target.value, null); } } }))),
    make('div', { class: 'line' }, name, worth, add));
  }

  function fill(node, value, units) {
    const text = value === undefined || value === null ? '' : plain(value);
    const busy = document.activeElement === node && node.tagName === 'INPUT' && node.value !== node.dataset.shown;
    if (node.tagName === 'SELECT' && ![...node.options].some((o) => o.value === text)) {
      node.append(make('option', { value: text }, `${text} (not allowed)`));
    }
    if (!busy || node.tagName === 'SELECT') node.value = text;
    node.dataset.shown = text;
    const slider = document.getElementById(`${node.id}-slider`);
    if (slider) range(slider, text, units);
  }

  // A slider's ends: what is allowed, else about the first value that it showed; wider once a value lies beyond them.
  function range(slider, text, units) {
    const found = NUMBER.exec(text), value = found ? Number(found[1]) : NaN;
    slider.hidden = !found;
    if (!found) return;
    const unit = (found[2] || '').trim(), key = `${slider.id} ${unit}`;
    let ends = sliders.get(key);
    if (!ends || value < ends[0] || value > ends[1]) {
      const most = nice(2.5 * Math.abs(value) || (units === 'in' ? 4 : 100));
      const [low, high] = slider.dataset.bounds ? slider.dataset.bounds.split(' ').map(Number) : [NaN, NaN];
      ends = high - low <= 1000 ? [low, high] : [slider.dataset.low || value < 0 ? -most : 0, most];
      sliders.set(key, ends);
    }
    const wide = ends[1] - ends[0], inch = unit === 'in' || (unit === '' && units === 'in');
    const step = slider.dataset.whole ? 1 : inch ? (wide > 8 ? 1 / 16 : 1 / 64) : wide > 90 ? 1 : wide > 9 ? 0.1 : 0.01;
    for (const [name, v] of [['min', ends[0]], ['max', ends[1]], ['step', step]]) if (slider.getAttribute(name) !== String(v)) slider.setAttribute(name, v);
    slider.dataset.unit = unit;
    if (Math.abs(Number(slider.value) - value) > step / 2) slider.value = value;
    slider.setAttribute('aria-valuetext', text);
  }

  const nice = (v) => { const tens = 10 ** Math.floor(Math.log10(v)); return [1, 2, 5, 10].map((m) => m * tens).find((m) => m >= v * 0.999); };
  const slid = (slider) => `${Number(Number(slider.value).toFixed(6))}${slider.dataset.unit ? ` ${slider.dataset.unit}` : ''}`;

  // Each fault at its field, or at the nearest that there is; told back with where that is.
  function faults(problems) {
    for (const node of home.querySelectorAll('[aria-invalid]')) node.removeAttribute('aria-invalid');
    for (const node of home.querySelectorAll('.error')) node.textContent = '';
    return problems.map((p) => {
      const words = `${p.what}${p.allowed ? `; allowed: ${p.allowed}` : ''}`;
      for (let length = p.key.length; length > 0; length -= 1) {
        const path = p.key.slice(0, length), node = document.getElementById(id(path)), table = document.getElementById(`t-${path.filter((q) => typeof q === 'string').join('.')}`);
        if (node) {
          node.setAttribute('aria-invalid', 'true');
          const error = node.closest('.field').querySelector('.error');
          error.textContent = [error.textContent, words].filter(Boolean).join(' · ');
          return { words, where: path.map((q) => (typeof q === 'number' ? q + 1 : q)).join(' '), go: () => reach(node) };
        }
        if (table) return { words, where: p.key.map((q) => (typeof q === 'number' ? q + 1 : q)).join(' '), go: () => reach(table) };
      }
      return { words, where: p.line ? `line ${p.line}` : '', go: null };
    });
  }

  function reach(node) {
    for (let up = node.closest('details'); up; up = up.parentElement.closest('details')) up.open = true;
    const target = node.matches('input, select, summary') ? node : node.querySelector('input, select') || node;
    target.scrollIntoView({ block: 'center' });
    target.focus({ preventScroll: true });
  }

  return { begin: (every, act) => { form = every; tell = act; }, show, faults, make };
})();
