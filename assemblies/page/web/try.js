'use strict';
// A state of the order: its text, what was changed in it since, and the answers to it. The text is the page's own; the server keeps none.
(async () => {
  const find = (id) => document.getElementById(id), { make } = fields;
  const here = location.pathname, page = [...crypto.getRandomValues(new Uint32Array(3))].map((n) => n.toString(36)).join('');
  const now = { doc: 0, text: '', name: null, digest: null, file: '', saved: '' }; // the order as it stands; which opened one it is
  let number = 0, sent = [], waiting = [], timer = 0, stop = null, flying = false, docs = 0; // changes on the way, changes to go
  let past = [], ahead = [], gesture = null, last = null, lone = 0; // states to go back to; one drag is one state
  let data = {}, shared = null, units = 'mm', kind = '', stage = 'none', rows = new Map(), order = [], before = null, settled = null, kept = null;
  let whose = '', out = '', asleep = false;
  let packed = null, typed = false, judged = null; // of which text the packet below is; whether a field holds what is not taken yet

  const post = (what, body, signal) => fetch(`${here}${what}`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body), signal });
  const copy = (s) => ({ doc: s.doc, text: s.text, name: s.name, digest: s.digest, file: s.file, saved: s.saved });

  async function* lines(response) {
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    for (let rest = ''; ;) {
      const { done, value } = await reader.read();
      if (done) return;
      const parts = (rest + value).split('\n');
      rest = parts.pop();
      for (const part of parts) yield JSON.parse(part);
    }
  }

  // One change by hand; null ends a drag. Changes of one drag are one step of undo.
  function change(edit, drag) {
    if (!edit) { lone += 1; return; }
    if (edit.do === 'typing') { typed = edit.on; if (judged) judge(judged); return; }
    typed = false;
    gesture = drag ? `${drag} ${lone}` : `one ${lone += 1}`;
    const old = waiting[waiting.length - 1];
    if (old && old.do === 'set' && edit.do === 'set' && JSON.stringify(old.key) === JSON.stringify(edit.key)) waiting.pop();
    waiting.push(edit);
    stale();
    if (!flying) timer = timer || setTimeout(ask, 12);
  }

  // From now on nothing that is shown is known of the order as it stands.
  function stale() {
    stage = 'asked';
    for (const row of rows.values()) row.fresh = false;
    for (const list of ['stops', 'findings']) find(list).classList.add('old');
    judge({ tone: 'working', word: 'Working', text: 'Nothing is known yet of this state.' });
    figures();
    aged();
  }

  async function ask() {
    timer = 0;
    flying = true;
    sent = [...sent, ...waiting];
    waiting = [];
    number += 1;
    const mine = number, doing = gesture;
    if (stop) stop.abort();
    stop = new AbortController();
    try {
      const response = await post('answer', { page, number: mine, text: now.text, edits: sent, name: now.name }, stop.signal);
      if (!response.ok) { gone(response.status === 409 ? (await response.json()).why : ''); return; }
      for await (const message of lines(response)) {
        if (mine !== number) return; // a later change is on its way
        told(message, doing);
        flying = false;
        if (waiting.length) { stale(); ask(); return; }
      }
    } catch (error) {
      if (error.name !== 'AbortError') gone('');
    } finally {
      if (mine === number) flying = false;
    }
  }

  function told(message, doing) {
    if (message.stage === 'superseded') return;
    if ('text' in message) {
      if (message.text !== now.text) {
        if (doing !== last) { past.push(copy(now)); past = past.slice(-200); ahead = []; }
        last = doing;
        now.text = message.text;
      }
      sent = [];
      if (asleep) { asleep = false; notice(); }
    }
    if (message.stage === 'unchanged') { notice(message.why, true); ask(); return; }
    if (message.stage === 'fault') { stage = 'fault'; judge({ tone: 'not-proven', word: 'No answer', text: message.why }); buttons(); return; }
    if (message.data) ({ data } = message);
    if (message.tables) shared = message.tables;
    if (message.units) ({ units } = message);
    stage = message.stage;
    if (message.data) {
      kind = typeof data.kind === 'string' ? data.kind : '';
      fields.show(data, kind, shared, units, new Set(waiting.map((one) => JSON.stringify(one.key))));
      find('title').textContent = typeof data.title === 'string' && data.title ? data.title : 'An order without a title';
    }
    const found = fields.faults(message.problems || []);
    find('problems').replaceChildren(...(found.length ? [make('ul', {}, ...found.map((p) => make('li', {}, p.where ? (p.go ? make('button', { type: 'button', on: { click: p.go } }, p.where) : p.where) : '', p.where ? ': ' : '', p.words)))] : []));
    for (const row of message.rows || []) {
      if (!rows.has(row.id)) order = placed(row.id);
      rows.set(row.id, { ...row, fresh: true });
    }
    if (message.view) view.show(message.view, kind);
    if (message.findings || message.stage === 'refused') findings(message.findings || []);
    if (message.verdict) judge(message.verdict);
    if (message.stage === 'whole') settle(message.verdict);
    figures();
    aged();
    buttons();
    remember();
  }

  // Where a new figure stands: strength and price above the parts.
  const FIRST = ['use', 'sheet', 'mass', 'full', 'fill', 'freeboard', 'price', 'gap', 'fence', 'stock', 'pours', 'tips'];
  const rank = (id) => (FIRST.indexOf(id) + 1 || 99);
  const placed = (id) => [...order, id].map((one, n) => [rank(one), n, one]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).map(([, , one]) => one);

  // Everything is known: what is no longer there goes, and the state before is kept to be compared with.
  function settle(verdict) {
    for (const [id, row] of rows) if (!row.fresh) { rows.delete(id); order = order.filter((one) => one !== id); }
    const state = { text: now.text, verdict: verdict.word, rows: new Map([...rows].map(([id, r]) => [id, r.value])), labels: new Map([...rows].map(([id, r]) => [id, r.label])) };
    if (settled && settled.text !== state.text) before = settled;
    settled = state;
  }

  // What is typed and not taken yet is in no answer: as long as it stands there, no verdict does.
  function judge(verdict) {
    judged = verdict;
    const { tone, word, text } = typed ? { tone: 'working', word: 'Not taken yet', text: 'Enter or Tab takes what is typed, Escape puts back what was there.' } : verdict;
    const box = find('verdict');
    box.dataset.tone = tone;
    if (find('word').textContent !== word) find('word').textContent = word;
    find('why').textContent = text;
    const stops = find('stops').childElementCount > 0;
    find('reasons').hidden = !['stop', 'not-proven'].includes(tone) || !(stops || find('findings').childElementCount);
    find('reasons').href = stops ? '#stops' : '#findings';
    document.title = `${word}: ${find('title').textContent}`;
  }

  function figures() {
    const head = ['Figure', 'Now', ...(kept ? ['Kept'] : [])];
    find('figures').tHead.replaceChildren(make('tr', {}, ...head.map((h) => make('th', { scope: 'col' }, h))));
    const known = stage === 'whole', compared = known ? before : settled; // what was known last of another state
    const ids = [...new Set([...order, ...(kept ? kept.rows.keys() : [])])];
    const line = (label, value, was, fresh, other) => make('tr', {}, make('th', { scope: 'row' }, label),
      make('td', { class: fresh ? null : 'stale' }, value, fresh ? null : ' …', was !== undefined && was !== value ? make('span', { class: 'was' }, `was ${was}`) : null),
      ...(kept ? [make('td', { class: other !== value ? 'other' : null }, other === undefined ? 'none' : other)] : []));
    const body = ids.map((id) => {
      const row = rows.get(id);
      return line(row ? row.label : kept.labels.get(id), row ? row.value : 'none', row && row.fresh && compared ? compared.rows.get(id) : undefined, !row || row.fresh, kept && kept.rows.get(id));
    });
    body.unshift(line('Verdict', find('word').textContent, known && before ? before.verdict : undefined, true, kept && kept.verdict));
    if (before && known) for (const [id, value] of before.rows) if (!rows.has(id)) body.push(line(before.labels.get(id), 'none', value, true, kept && kept.rows.get(id)));
    find('figures').tBodies[0].replaceChildren(...body);
  }

  function findings(every) {
    const word = { stop: 'Stop', care: 'Care', note: 'Note' };
    const told = (f) => make('li', { class: f.level }, make('strong', {}, `${word[f.level]}: `), f.where && f.where !== 'whole' ? make('b', {}, `${f.where}: `) : null,
      `${f.why}. `, f.do ? `${f.do[0].toUpperCase()}${f.do.slice(1)}.` : null, make('small', {}, f.source));
    for (const list of ['stops', 'findings']) find(list).classList.remove('old');
    find('stops').replaceChildren(...every.filter((f) => f.level === 'stop').map(told)); // beside the verdict
    find('findings').replaceChildren(...every.filter((f) => f.level !== 'stop').map(told));
  }

  function buttons() {
    const dirty = now.text !== now.saved;
    find('undo').disabled = !past.length;
    find('redo').disabled = !ahead.length;
    find('file').textContent = now.file;
    find('dirty').textContent = now.digest === null ? '(not saved yet)' : dirty ? '(changed, not saved)' : '(saved)';
    find('dirty').classList.toggle('dirty', now.digest === null || dirty);
    find('keep').disabled = stage !== 'whole';
    find('back').hidden = find('forget').hidden = !kept;
  }

  function notice(words, bad, ...more) {
    find('notice').classList.toggle('bad', Boolean(bad));
    find('notice').replaceChildren(...(words ? [make('p', {}, words), ...more, make('button', { type: 'button', on: { click: () => notice() } }, 'Close')] : []));
  }
  const act = (words, click) => make('button', { type: 'button', on: { click } }, words);

  function gone(why) {
    asleep = true;
    flying = false;
    stage = 'fault';
    judge({ tone: 'not-proven', word: 'No answer', text: why || 'The program does not answer.' });
    notice(why || 'The program does not answer. Nothing is lost: this page holds the order with all changes. Start the program again and open its new address; it offers them there.', true,
      act('Ask again', () => { notice(); stale(); ask(); }), act('Copy the order\'s text', () => navigator.clipboard.writeText(now.text)));
    remember();
  }

  // In this browser, so that neither a reload nor a restart loses a change.
  const DRAFT = 'seamwright draft ', shelf = `${DRAFT}${page}`;
  function remember() {
    try {
      const state = JSON.stringify({ ...copy(now), whose, time: new Date().toISOString() });
      if (now.text !== now.saved) localStorage.setItem(shelf, state);
      else localStorage.removeItem(shelf);
      sessionStorage.setItem('seamwright page', JSON.stringify({ ...JSON.parse(state), shelf, past: past.slice(-20) }));
    } catch { /* full or switched off: then only this page holds it */ }
  }

  function remembered() {
    let mine = null;
    const others = [];
    try {
      const session = JSON.parse(sessionStorage.getItem('seamwright page') || 'null');
      if (session && session.whose === whose && session.text !== session.saved) { mine = session; localStorage.removeItem(session.shelf); }
      for (const key of Object.keys(localStorage).filter((k) => k.startsWith(DRAFT))) {
        const one = JSON.parse(localStorage.getItem(key));
        if (one.whose === whose && (!mine || one.text !== mine.text)) others.push([key, one]);
      }
    } catch { /* none */ }
    return { mine, others };
  }

  function go(state) {
    Object.assign(now, copy(state));
    sent = [];
    waiting = [];
    last = null;
    typed = false;
    stale();
    ask();
    buttons();
  }
  function undo() { if (past.length) { ahead.push(copy(now)); go(past.pop()); } }
  function redo() { if (ahead.length) { past.push(copy(now)); go(ahead.pop()); } }

  async function idle() { while (timer || flying || sent.length || waiting.length) await new Promise((done) => { setTimeout(done, 20); }); }

  async function save() {
    if (asleep) { gone(''); return; }
    if (document.activeElement && document.activeElement.blur) { const focus = document.activeElement; focus.blur(); focus.focus(); } // what is typed counts
    await idle();
    try {
      const { text, doc } = now, response = await post('save', { text, name: now.name, digest: now.digest }), answer = await response.json();
      if (!response.ok) {
        notice(answer.why, true, ...(answer.changed ? [act('Open the file as it is now; undo brings this back', reopen)] : []));
        return;
      }
      for (const state of [now, ...past, ...ahead, ...(kept ? [kept.state] : [])]) if (state.doc === doc) Object.assign(state, { name: answer.name, digest: answer.digest, file: answer.file || now.file, saved: text });
      notice(`Saved${find('problems').childElementCount ? ', with what is still wrong in it' : ''}: ${answer.file || now.file}`);
      buttons();
      remember();
    } catch { gone(''); }
  }

  async function reopen() {
    const answer = await (await fetch(`${here}begin`)).json();
    past.push(copy(now));
    notice();
    opened(answer.order);
  }

  function forgotten() { rows.clear(); order = []; before = null; settled = null; kept = null; }
  function opened(one) { forgotten(); go({ ...one, doc: (docs += 1), saved: one.digest === null ? '' : one.text }); }

  // A packet, or why there is none, is of the state that it was asked of.
  function aged() {
    const old = packed !== null && (packed.doc !== now.doc || packed.text !== now.text || sent.length + waiting.length > 0);
    find('made').classList.toggle('old', old);
    find('made-of').textContent = old ? 'Of another state of the order than the one above.' : '';
  }

  async function packet(replace) {
    await idle();
    packed = { doc: now.doc, text: now.text };
    aged();
    const list = find('steps');
    find('made').hidden = false;
    find('make').disabled = true;
    list.replaceChildren(make('li', {}, 'Reading the order'));
    list.scrollIntoView({ block: 'nearest' });
    try {
      const response = await post('make', { page, text: packed.text, name: now.name, replace: replace === true });
      if (!response.ok) { list.append(make('li', {}, (await response.json()).why)); return; }
      for await (const m of lines(response)) {
        if (m.stage === 'making') list.append(make('li', {}, m.say));
        else if (m.stage === 'made') {
          const link = (file, words) => make('a', { href: `${here}packet/${m.name}/${file}`, target: '_blank', rel: 'noopener' }, words);
          list.append(make('li', {}, `${m.verdict.word}. In ${m.folder}: `, link('packet.html', 'page'), ', ', link('packet.pdf', 'print')),
            ...m.aside.map((f) => make('li', {}, `Your own file was kept: ${f}`)), ...m.changed.map((c) => make('li', {}, `Changed since the packet before: ${c}`)));
        } else list.append(make('li', {}, m.why, m.other ? act('Put this one in its place', () => packet(true)) : null));
      }
    } catch { list.append(make('li', {}, 'The program does not answer.')); } finally { find('make').disabled = false; }
  }

  find('undo').addEventListener('click', undo);
  find('redo').addEventListener('click', redo);
  find('save').addEventListener('click', save);
  find('make').addEventListener('click', () => packet(false));
  find('keep').addEventListener('click', () => { kept = { ...settled, state: copy(now) }; figures(); buttons(); });
  find('forget').addEventListener('click', () => { kept = null; figures(); buttons(); find('keep').focus(); });
  find('back').addEventListener('click', () => { past.push(copy(now)); ahead = []; go(kept.state); });
  find('kind').addEventListener('change', async (event) => {
    const wanted = event.target.value;
    event.target.value = '';
    if (!wanted) return;
    past.push(copy(now));
    ahead = [];
    opened(await (await fetch(`${here}starter/${wanted}`)).json());
  });
  document.addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const typing = event.target.matches('input[type=text]') && event.target.value !== event.target.dataset.shown;
    const does = { z: event.shiftKey ? redo : undo, y: redo, s: save }[event.key.toLowerCase()];
    if (!does || (typing && does !== save)) return;
    event.preventDefault();
    does();
  });

  const begun = await (await fetch(`${here}begin`)).json().catch(() => ({ why: 'The program does not answer.' }));
  if (begun.why) { notice(begun.why, true); judge({ tone: 'refused', word: 'Not read', text: begun.why }); return; }
  ({ whose, out } = begun);
  fields.begin(begun.form, change);
  find('kind').append(...begun.kinds.map((k) => make('option', { value: k }, k)));
  find('make').title = `Writes into ${out}`;
  const { mine, others } = remembered();
  if (mine) { past = mine.past || []; docs = Math.max(mine.doc, ...past.map((p) => p.doc)); go(mine); notice('Your changes that were not saved are here again.'); } else opened(begun.order);
  if (others.length) {
    notice('Changes that were not saved are left from another page or an earlier start.', false, ...others.flatMap(([key, one]) => [
      act(`Open those of ${new Date(one.time).toLocaleString()}`, () => { past.push(copy(now)); localStorage.removeItem(key); go({ ...one, doc: (docs += 1) }); notice(); }),
      act('Forget them', () => { localStorage.removeItem(key); notice(); })]));
  }
  window.trial = { state: () => ({ number, stage, text: now.text, name: now.name, digest: now.digest, tone: find('verdict').dataset.tone, rows: Object.fromEntries([...rows].map(([id, r]) => [id, r])), view: view.state() }), change };
})();
