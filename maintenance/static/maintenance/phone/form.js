/* The report and the return as they are filled in: every letter and photo kept at once, checked, and put out to be sent. */
'use strict';
(() => {
  const { keep, send, photo, check, word, say, make, page } = self.fettle;
  const form = document.getElementById('said');
  if (!form || 'posted' in form.dataset) return; // it came back from the base as a plain form: it goes on as one
  const { all, labelOf, plain } = check;
  const SOON = 300; // ms
  const SENT = 'fettle sent ';
  const NOT_TYPED = ['csrfmiddlewaretoken', 'client_id', 'boat'];
  const { sort, photos: most } = form.dataset; // reports or returns; how many photos at most
  const place = `${page.link}${sort}/${form.elements.boat.value}`;
  const newDraft = () => ({ id: keep.newId(), place, fields: [], order: Date.now() });
  let draft = newDraft();
  let photos = [];
  let touched = false;
  let gone = false;
  let toCome = 0; // photos chosen and not yet made small
  let unkept = ''; // what was said when the words could not be kept
  let soon;
  let line = Promise.resolve(); // photos, one after the other

  const first = (node) => (node ? node.firstChild.textContent.trim() : '');
  const value = (name) => plain((form.elements[name] || {}).value || '');
  const fields = () => [...new FormData(form)].filter(([name, text]) => typeof text === 'string' && text && !NOT_TYPED.includes(name));

  /* kept as it is typed */

  async function save() {
    clearTimeout(soon);
    if (gone || !touched) return;
    draft.fields = fields();
    const began = draft.id;
    try {
      await (draft.fields.length || photos.length ? keep.saveDraft(draft) : keep.dropDraft(draft.id));
      keep.crossOut(began);
      form.elements.client_id.value = draft.id;
      if (warning.textContent === unkept) warn('');
    } catch (error) {
      unkept = word(keep.isFull(error) ? 'full_words' : 'not_kept');
      warn(unkept);
    }
  }

  function leave() {
    if (gone || !touched) return;
    if (fields().length) keep.writeDown({ ...draft, fields: fields() });
    save();
  }

  function typed() {
    touched = true;
    clearTimeout(soon);
    soon = setTimeout(save, SOON);
  }

  function fill([name, text]) {
    const field = form.elements[name];
    if (!field || field.type === 'hidden' || field.type === 'file') return;
    field.value = text; // of a row of choices too
    const around = !(field instanceof RadioNodeList) && field.closest('details');
    if (around) around.open = true;
  }

  /** What a browser put back into the fields of a form that was sent from this tab: it is no new one. */
  function clearSent() {
    try {
      if (!touched && sessionStorage.getItem(SENT + place) === JSON.stringify(fields())) form.reset();
    } catch { /* forbidden: the fields stay as the browser has them */ }
  }

  function noteSent() {
    try { sessionStorage.setItem(SENT + place, JSON.stringify(fields())); } catch { /* forbidden, or full */ }
  }

  async function restore() {
    clearSent();
    await keep.takeIn().catch(() => { /* it stays written down */ });
    const found = await keep.draftOf(place, location.hash.slice(1));
    if (found && !touched) {
      draft = found;
      draft.fields.forEach(fill);
      photos = await keep.photosOf(draft.id);
      touched = true;
      showPhotos();
      sayAgain();
    }
    form.elements.client_id.value = draft.id;
  }

  function sayAgain() {
    const text = [word('again'), photos.length && word('photos', { n: photos.length })].filter(Boolean).join(' ');
    form.prepend(make('p', { className: 'notice begun', textContent: text }));
    say(text);
  }

  /* photos */

  const warning = make('p', { className: 'wrong', role: 'alert', hidden: true });
  function warn(text, where = warning) {
    where.hidden = !text;
    if (where.textContent !== text) where.textContent = text;
  }

  const listOf = (meter = '') => all('.taken').find((list) => (list.dataset.meter || '') === meter);

  function shownPhoto(one, n) {
    const name = one.meter ? word('photo_of_dial') : word('photo', { n: n + 1 });
    const picture = one.thumb && make('img', { src: URL.createObjectURL(one.thumb), alt: name });
    const remove = make('button', { type: 'button', className: 'quiet', textContent: word('remove'), onclick: () => removePhoto(one) });
    remove.setAttribute('aria-label', `${word('remove')}: ${name}`);
    return make('li', {}, picture, make('span', { textContent: picture ? name : `${name} (${one.name})` }), remove);
  }

  function showPhotos() {
    for (const list of all('.taken')) {
      list.querySelectorAll('img').forEach((image) => URL.revokeObjectURL(image.src));
      const own = photos.filter((one) => (one.meter || '') === (list.dataset.meter || ''));
      list.replaceChildren(...own.map(shownPhoto));
      if (toCome && !list.dataset.meter) list.append(make('li', { className: 'help', textContent: word('taking', { n: toCome }) }));
    }
  }

  async function removePhoto(one) {
    await keep.dropPhoto(one.id);
    photos = photos.filter((other) => other !== one);
    showPhotos();
    say(word('photos_now', { n: photos.length }));
    await save();
  }

  async function takePhoto(file, meter) {
    const name = file.name || word('photo', { n: photos.length + 1 });
    if (photos.length >= most && !meter) return word('most', { name, most });
    const made = await photo.made(file);
    if (!made) return word('too_big', { name });
    const one = { id: keep.newId(), of: draft.id, order: Date.now(), name, meter, size: made.size, sha256: made.sha256, thumb: made.thumb };
    try {
      await keep.addPhoto(one, made.blob);
    } catch (error) {
      return word(keep.isFull(error) ? 'full_photo' : 'photo_not_kept', { name, n: photos.length });
    }
    const before = meter && photos.find((other) => other.meter === meter);
    if (before) await removePhoto(before);
    photos.push(one);
    say(word('photos_now', { n: photos.length }));
    return '';
  }

  function takePhotos(input) {
    const files = [...input.files];
    input.value = ''; // they are ours now
    touched = true;
    toCome += files.length;
    showPhotos();
    line = line.then(save).then(() => takeEach(files, input.dataset.meter));
  }

  async function takeEach(files, meter) {
    const refused = [];
    for (const file of files) {
      refused.push(await takePhoto(file, meter));
      toCome -= 1;
      showPhotos();
    }
    await save();
    warn(refused.filter(Boolean).join('\n'), listOf(meter).previousElementSibling);
  }

  /* put out */

  const used = () => all('[name^=kit-]').filter((field) => plain(field.value))
    .map((field) => ({ kit: field.name, name: labelOf(field), quantity: plain(field.value) }));

  function report() {
    const where = form.querySelector('[name=where]:checked + span');
    return { where: value('where'), where_said: first(where), words: value('words'), works: value('works'), danger: value('danger') };
  }

  const photoOf = (dial) => (photos.find((one) => one.meter === dial.dataset.dial) || {}).id || '';

  function givenBack() {
    const dials = all('[data-dial]').map((dial) =>
      ({ meter: Number(dial.dataset.dial), name: dial.dataset.name, said: labelOf(dial), hours: plain(dial.value), photo: photoOf(dial) }));
    const answers = all('[name^=ask-]:checked').map((one) => [one.name.slice(4), one.value]);
    return {
      dials: dials.filter((dial) => dial.hours || dial.photo), answers: Object.fromEntries(answers),
      lost: value('lost'), defects: value('defects'),
    };
  }

  function bodyNow() {
    const about = form.querySelector('[name=about]:checked + span');
    return {
      id: draft.id, made_at: new Date().toISOString(), language: document.documentElement.lang,
      boat: Number(value('about') || value('boat')), boat_name: first(about) || form.dataset.boat,
      ...(sort === 'reports' ? report() : givenBack()),
      used: used(), used_words: value('used_words'), reporter: value('reporter'),
      photos: photos.map(({ id, size, sha256 }) => ({ id, size, sha256 })),
    };
  }

  /** What a person reads of it until the base's own page shows it. */
  function textOf(body) {
    const dials = (body.dials || []).filter((dial) => dial.hours).map((dial) => `${dial.said}: ${dial.hours} h`);
    const given = sort === 'returns' && word('given_back', { boat: body.boat_name });
    const chosen = all('[name=works]:checked, [name=danger]:checked, [name^=ask-]:checked')
      .map((one) => `${first(one.closest('fieldset, .yes-no').querySelector('legend, .asks'))} ${first(one.nextElementSibling)}`);
    const spares = body.used.map(({ name, quantity }) => `${name}: ${quantity}`);
    return [given, body.where_said, body.words, ...dials, ...chosen, body.lost, body.defects, ...spares, body.used_words, body.reporter]
      .filter(Boolean).join('\n');
  }

  function entry() {
    const body = bodyNow();
    const ring = document.querySelector('a.ring');
    return {
      id: draft.id, sort, body, place, address: page.link, page: location.pathname + location.search,
      fields: fields(), text: textOf(body), phone: ring && [ring.getAttribute('href'), ring.textContent.trim()],
      stand: 'kept', detail: '', taken: false, order: Date.now(),
    };
  }

  /** The phone has no room for it: it goes the plain way, at once, with its photos. */
  async function goPlain() {
    const input = form.elements.photos;
    const blobs = await Promise.all(photos.map((one) => keep.blobOf(one.id)));
    const files = new DataTransfer();
    blobs.forEach((blob, n) => files.items.add(new File([blob], `${n + 1}.jpg`, { type: blob.type })));
    if (input) input.files = files.files;
    form.submit();
  }

  /** A form for the next one, where the page of what was sent cannot be had now; what is kept stands above it. */
  function startAgain() {
    form.reset();
    all('.begun').forEach((one) => one.remove());
    [photos, touched, gone, draft] = [[], false, false, newDraft()];
    form.elements.client_id.value = draft.id;
    showPhotos();
    const kept = document.getElementById('kept');
    kept.open = true;
    scrollTo(0, 0);
    kept.firstElementChild.focus();
    say(word('kept'));
  }

  const canBeHad = (address) => fetch(address, { signal: AbortSignal.timeout(5000) }).then((answer) => answer.headers.has('Way-In'), () => false);

  /** On to what was sent: a worker has it without a net too. */
  async function goOn() {
    const worker = navigator.serviceWorker && navigator.serviceWorker.controller;
    const sent = `${page.link}sent/`;
    if (worker || (await canBeHad(sent))) location.assign(sent);
    else startAgain();
  }

  async function askToStay() {
    if (navigator.storage && navigator.storage.persist) await navigator.storage.persist();
    const worker = navigator.serviceWorker && navigator.serviceWorker.controller && (await navigator.serviceWorker.ready);
    if (worker && worker.sync) await worker.sync.register(send.LOCK);
  }

  async function go(asked) {
    await line;
    await save();
    const something = photos.length || fields().some(([name]) => name !== 'reporter' && name !== 'about');
    if (gone || !check.isRight(something, warn) || !check.asDialsShow(asked, () => go(true))) return;
    try {
      await keep.putOut(entry());
    } catch (error) {
      warn(word(keep.isFull(error) ? 'full_words' : 'not_kept'));
      if (navigator.onLine) await goPlain();
      return;
    }
    gone = true;
    noteSent();
    askToStay().catch(() => { /* only ever asked for */ });
    await goOn();
  }

  function submitted(event) {
    event.preventDefault();
    ready.then((works) => (works ? go(false) : form.submit()));
  }

  function listen() {
    addEventListener('pagehide', leave);
    addEventListener('visibilitychange', leave);
    addEventListener('pageshow', (event) => (event.persisted && gone ? location.reload() : clearSent()));
    form.querySelector('button.main').before(warning);
    all('.taken').forEach((list) => list.before(make('p', { className: 'wrong', role: 'alert', hidden: true })));
    all('[hidden].with-script').forEach((one) => { one.hidden = false; });
    for (const input of all('input[type=file]')) {
      input.classList.add('ours');
      input.addEventListener('change', () => takePhotos(input));
    }
  }

  async function begin() {
    if (!(await keep.works())) return false;
    listen();
    await restore();
    form.dataset.keeps = 'yes';
    return true;
  }

  form.addEventListener('input', typed);
  form.addEventListener('submit', submitted);
  const ready = begin().catch(() => false);
})();
