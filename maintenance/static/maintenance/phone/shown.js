/* What every page of the link says of what the phone keeps: how much, how it stands, and whom to ring; and it has it sent. */
'use strict';
(() => {
  const fettle = (self.fettle = self.fettle || {});
  const { keep, send } = fettle;
  const words = JSON.parse(document.getElementById('phone-words').textContent);
  const kept = document.getElementById('kept');
  const page = kept.dataset; // link: this link's address
  const ofSent = document.getElementById('entries'); // only the page of what was sent has it
  const ASK_EVERY = 20000; // ms
  let stands = {};
  let shown = '';
  let told = new Map();
  const lately = new Set(); // was seen here as waiting and is sent now: said for a moment
  const A_MOMENT = 12000; // ms

  const word = (key, values = {}) => words[key].replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

  /** Says something to whoever does not see the page. */
  function say(text) { document.getElementById('hear').textContent = text; }

  function make(tag, more = {}, ...inside) {
    const made = Object.assign(document.createElement(tag), more);
    made.append(...inside.filter(Boolean));
    return made;
  }

  const button = (text, onclick) => make('button', { type: 'button', className: 'quiet', textContent: text, onclick });

  function stateOf(one, photos) {
    if (one.stand === 'refused' || one.stand === 'closed') return word(one.stand);
    if (stands[one.id]) return stands[one.id].said || word('sent');
    if (one.stand === 'sent') return word('sent');
    const there = photos.filter((photo) => photo.whole).length;
    return one.taken ? word('going', { n: there, all: photos.length }) : word('kept');
  }

  async function drop(one) {
    if (confirm(word('off_sure'))) await keep.forget(one.id);
  }

  async function edit(one) {
    await keep.takeBack(one.id);
    const there = `${one.page}#${one.id}`;
    location.href = there;
    if (location.pathname + location.search === one.page) location.reload();
  }

  function closedParts(one) {
    const box = make('textarea', { readOnly: true, rows: 6, dir: 'auto', value: one.text });
    box.setAttribute('aria-label', word('copy'));
    const ring = one.phone && make('a', { className: 'button ring', href: one.phone[0], textContent: one.phone[1] });
    return [ring, make('p', { className: 'help', textContent: word('copy') }), box, button(word('off'), () => drop(one))];
  }

  /** Sent, but for a photo that was refused: that stays here until it is read. */
  const isUnread = (one, photos) => one.stand === 'sent' && photos.some((photo) => photo.refused);

  function article(one, photos) {
    const why = (text) => text && make('p', { className: 'why', textContent: text });
    const bad = photos.map((photo, n) => photo.refused && why(`${word('photo', { n: n + 1 })}: ${photo.refused}`));
    const box = make('article', { className: 'sheet' },
      make('p', { className: 'state', textContent: stateOf(one, photos) }),
      one.detail && make('p', { className: 'wrong', textContent: one.detail }),
      one.stand !== 'closed' && make('p', { className: 'words', dir: 'auto', textContent: one.text }),
      one.body.made_at && why(fettle.when(one.body.made_at)),
      photos.length > 0 && why(word('photos', { n: photos.length })), ...bad);
    if (one.stand === 'refused') box.append(button(word('change'), () => edit(one)));
    if (isUnread(one, photos)) box.append(button(word('noted'), () => keep.forget(one.id)));
    if (one.stand === 'closed') box.append(...closedParts(one).filter(Boolean));
    return box;
  }

  /** The alarm is never behind the sending: it stands on top while the base's page has not got it yet. */
  function showDanger(all) {
    const wanted = all.some((one) => one.body.danger === 'yes');
    const gas = !wanted && all.some((one) => send.isUrgent(one.body));
    putOnTop('danger-kept', wanted, dangerBox);
    putOnTop('gas-kept', gas, () => document.getElementById('gas-now').content.cloneNode(true));
    for (const own of document.querySelectorAll('.phone > [aria-labelledby=danger]')) own.hidden = wanted;
  }

  function putOnTop(id, wanted, inside) {
    const here = document.getElementById(id);
    if (!wanted && here) here.remove();
    if (wanted && !here) document.querySelector('.phone').prepend(make('div', { id }, inside()));
  }

  function dangerBox() {
    const inside = document.getElementById('danger-now').content.cloneNode(true);
    const box = inside.querySelector('[aria-labelledby]');
    box.firstElementChild.id = 'danger-first';
    box.setAttribute('aria-labelledby', 'danger-first');
    return inside;
  }

  function announce(all, states) {
    all.forEach((one, n) => {
      if (told.has(one.id) && told.get(one.id) !== states[n]) say(states[n]);
    });
    told = new Map(all.map((one, n) => [one.id, states[n]]));
  }

  async function show() {
    const own = (await keep.entries()).filter((one) => one.address === page.link).reverse();
    const waiting = own.filter((one) => one.stand !== 'sent');
    for (const one of own) if (one.stand === 'sent' && told.has(one.id)) saySentFor(one.id);
    const all = ofSent ? own : own.filter((one) => one.stand !== 'sent' || lately.has(one.id));
    const photos = await Promise.all(all.map((one) => keep.photosOf(one.id)));
    const states = all.map((one, n) => stateOf(one, photos[n]));
    const now = JSON.stringify([states, all.map((one) => [one.id, one.detail]), photos.map((many) => many.map((p) => p.refused))]);
    for (const one of document.querySelectorAll('#entries [data-id]')) one.hidden = all.some(({ id }) => id === one.dataset.id);
    if (now === shown) return;
    shown = now;
    announce(all, states);
    kept.hidden = !all.length;
    kept.firstElementChild.hidden = ofSent && !waiting.length;
    kept.firstElementChild.textContent = waiting.length ? word('line', { n: waiting.length }) : word('sent');
    kept.lastElementChild.replaceChildren(...all.map((one, n) => article(one, photos[n])));
    showDanger(ofSent ? all : waiting);
  }

  /** On pages that have no list of what was sent, it is told there for a moment that it went. */
  function saySentFor(id) {
    if (ofSent || lately.has(id)) return;
    lately.add(id);
    setTimeout(() => { lately.delete(id); told.delete(id); quietly(show)(); }, A_MOMENT);
  }

  /** Puts the base's own words in, where the page has room for them and nobody is in the middle of it. */
  async function refresh() {
    const answer = await fetch(`${page.link}sent/`, { cache: 'no-store', redirect: 'error' });
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html');
    if (!answer.ok || !fresh.getElementById('entries')) return false;
    for (const id of ['now', 'entries']) {
      const old = document.getElementById(id);
      if (old.contains(document.activeElement)) return false;
      old.replaceWith(fresh.getElementById(id));
    }
    return true;
  }

  /** How the base's answers stand; what its own page shows needs not be kept here any more. */
  async function askStands() {
    if (document.hidden || !ofSent) return;
    const answer = await fetch(`${page.link}stands/`, { cache: 'no-store', redirect: 'error' });
    const found = (await answer.json()).stands;
    if (!answer.ok || !found) return;
    if (JSON.stringify(found) !== JSON.stringify(stands) && !(await refresh())) return;
    stands = found;
    for (const one of await keep.entries()) {
      if (one.stand === 'sent' && stands[one.id] && !isUnread(one, await keep.photosOf(one.id))) await keep.forget(one.id);
    }
    await show();
  }

  /** A draft that went the plain way, for want of room here, is on the base's page. */
  async function dropSent() {
    const there = Array.from(document.querySelectorAll('#entries [data-id]'), (one) => one.dataset.id);
    for (const id of await keep.draftIds()) if (there.includes(id)) await keep.forget(id);
  }

  const quietly = (work) => (...given) => work(...given).catch(() => { /* the net, or the store: the next turn tries again */ });
  const flush = quietly(send.flush);
  const ask = quietly(askStands);

  async function begin() {
    if (!(await keep.works())) return;
    await quietly(show)();
    quietly(dropSent)();
    self.addEventListener('fettle', quietly(show));
    self.addEventListener('fettle-sent', ask);
    self.addEventListener('online', () => flush(true).then(ask));
    document.addEventListener('visibilitychange', () => document.hidden || flush(true).then(ask));
    setInterval(() => flush(false), send.SOONEST);
    setInterval(ask, ASK_EVERY);
    await flush(true);
    await ask();
  }

  Object.assign(fettle, { word, say, make, page });
  begin();
})();
