/* The report and the return as they are filled in: every letter and photo kept at once, checked, and put out to be sent. */
'use strict';
(() => {
  const { keep, send, photo, word, say, make, page } = self.fettle;
  const form = document.getElementById('said');
  if (!form || 'posted' in form.dataset) return; // it came back from the base as a plain form: it goes on as one
  const SOON = 300; // ms
  const NOT_TYPED = ['csrfmiddlewaretoken', 'client_id', 'boat'];
  const { sort, photos: most } = form.dataset; // reports or returns; how many photos at most
  const place = `${page.link}${sort}/${form.elements.boat.value}`;
  const newDraft = () => ({ id: keep.newId(), place, fields: [], order: Date.now() });
  let draft = newDraft();
  let photos = [];
  let touched = false;
  let gone = false;
  let toCome = 0; // photos chosen and not yet made small
  let soon;
  let line = Promise.resolve(); // photos, one after the other

  const all = (selector) => [...form.querySelectorAll(selector)];
  const first = (node) => (node ? node.firstChild.textContent.trim() : '');
  const labelOf = (field) => first(field.labels[0]);
  const plain = (text) => text.replaceAll('\r\n', '\n').replaceAll('\0', '').trim();
  const value = (name) => plain((form.elements[name] || {}).value || '');
  const fields = () => [...new FormData(form)].filter(([name, text]) => typeof text === 'string' && text && !NOT_TYPED.includes(name));

  /* kept as it is typed */

  async function save() {
    clearTimeout(soon);
    if (gone || !touched) return;
    draft.fields = fields();
    try {
      await (draft.fields.length || photos.length ? keep.saveDraft(draft) : keep.dropDraft(draft.id));
      form.elements.client_id.value = draft.id;
      warn('');
    } catch (error) {
      warn(word(keep.isFull(error) ? 'full_words' : 'not_kept'));
    }
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

  async function restore() {
    const found = await keep.draftOf(place, location.hash.slice(1));
    if (found && !touched) {
      draft = found;
      draft.fields.forEach(fill);
      photos = await keep.photosOf(draft.id);
      touched = true;
      showPhotos();
      say(word('again'));
    }
    form.elements.client_id.value = draft.id;
  }

  /* photos */

  const warning = make('p', { className: 'wrong', role: 'alert', hidden: true });
  function warn(text) {
    warning.hidden = !text;
    if (warning.textContent !== text) warning.textContent = text;
  }

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
    warn(refused.filter(Boolean).join('\n'));
  }

  /* checked on the phone */

  function faultOf(field) {
    const text = plain(field.value);
    const label = labelOf(field);
    const found = [...text].length; // as the base counts
    if ('wanted' in field.dataset && !text) return word('wanted', { label });
    if (found > field.dataset.most) return word('letters', { label, most: field.dataset.most, n: found });
    return '';
  }

  function isRight() {
    all('.wrong').forEach((old) => old !== warning && old.remove());
    const wrong = all('[data-most]').filter(faultOf);
    for (const field of wrong) {
      const said = make('p', { className: 'wrong', id: `${field.id}-wrong`, textContent: faultOf(field) });
      field.after(said);
      field.setAttribute('aria-describedby', said.id);
    }
    all('[data-most]').forEach((field) => field.setAttribute('aria-invalid', wrong.includes(field)));
    if (wrong[0]) wrong[0].focus();
    const nothing = !wrong[0] && !photos.length && !fields().some(([name]) => name !== 'reporter' && name !== 'about');
    const which = all('[name=about][type=radio]');
    const noBoat = which.length && !which.some((one) => one.checked);
    if (noBoat) which[0].focus();
    warn(nothing ? word('nothing') : noBoat ? word('which') : '');
    return !wrong[0] && !nothing && !noBoat;
  }

  const hours = (text) => Number(text.replace(/[\s hH]/g, '').replace(',', '.'));

  /** Dials that cannot be right: less than the last, or more than 24 h a day since. */
  function doubtful(dial) {
    const { last, day } = dial.dataset;
    if (!last || !plain(dial.value)) return false;
    const ran = hours(dial.value) - Number(last);
    const days = Math.max(0, Math.round((Date.now() - Date.parse(day)) / 864e5)) + 1;
    return ran < 0 || ran > 24 * days;
  }

  /** Asks once about what cannot be right; it is never refused. True where it may go on. */
  function asDialsShow(now) {
    const dials = now ? [] : all('[data-dial]').filter(doubtful);
    all('.asked').forEach((old) => old.remove());
    if (!dials.length) return true;
    const texts = dials.map((dial) => make('p', { textContent: word('dial', { label: labelOf(dial), hours: plain(dial.value), last: dial.labels[0].querySelector('.help').textContent }) }));
    const yes = make('button', { type: 'button', className: 'yes', textContent: word('dial_yes'), onclick: () => go(true) });
    const no = make('button', { type: 'button', className: 'quiet', textContent: word('dial_no'), onclick: () => { asDialsShow(true); dials[0].focus(); } });
    const asked = make('div', { className: 'caution asked', role: 'alert' }, make('b', { textContent: word('dial_asks') }), ...texts, make('div', { className: 'choice-row' }, yes, no));
    form.querySelector('button.main').before(asked);
    yes.focus();
    return false;
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
      ({ meter: Number(dial.dataset.dial), name: dial.dataset.name, hours: plain(dial.value), photo: photoOf(dial) }));
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
    const dials = (body.dials || []).map((dial) => `${dial.name}: ${dial.hours} h`);
    const given = sort === 'returns' && word('given_back', { boat: body.boat_name });
    const yes = all('.yes-no:has([value=yes]:checked)').map((one) => `${first(one.querySelector('.asks'))} ${first(one.querySelector('[value=yes] + span'))}`);
    return [given, body.where_said, body.words, ...dials, ...yes, body.lost, body.defects].filter(Boolean).join('\n');
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
    if (gone || !isRight() || !asDialsShow(asked)) return;
    try {
      await keep.putOut(entry());
    } catch (error) {
      warn(word(keep.isFull(error) ? 'full_words' : 'not_kept'));
      if (navigator.onLine) await goPlain();
      return;
    }
    gone = true;
    askToStay().catch(() => { /* only ever asked for */ });
    await goOn();
  }

  function submitted(event) {
    event.preventDefault();
    ready.then((works) => (works ? go(false) : form.submit()));
  }

  function listen() {
    addEventListener('pagehide', save);
    addEventListener('visibilitychange', save);
    addEventListener('pageshow', (event) => event.persisted && gone && location.reload());
    form.querySelector('button.main').before(warning);
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
