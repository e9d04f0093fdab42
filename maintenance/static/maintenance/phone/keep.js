/* What the phone keeps until the base has it: what is typed, what waits to be sent, photos. In a page and in a worker. */
'use strict';
(() => {
  const fettle = (self.fettle = self.fettle || {});
  const FOR_SURE = { durability: 'strict' }; // on the disk before it counts as kept: batteries die
  const PATIENCE = 3000; // ms until a store that does not open is taken for none
  const ROOM_FOR_WORDS = 1e6; // bytes that lie ready: what a browser says of its free room is made up
  const READY = 'ready';
  const LAST = 'fettle last ';
  const channel = self.BroadcastChannel && new BroadcastChannel('fettle');
  let opened;

  function makeStores(db) {
    db.createObjectStore('drafts', { keyPath: 'id' }).createIndex('place', 'place');
    db.createObjectStore('outbox', { keyPath: 'id' });
    db.createObjectStore('photos', { keyPath: 'id' }).createIndex('of', 'of');
    db.createObjectStore('blobs'); // apart, so that "how far" is written without the photo
  }

  function open() {
    opened = opened || new Promise((found, failed) => {
      setTimeout(() => failed(new Error('no answer')), PATIENCE);
      idb.openDB('fettle', 1, {
        upgrade: makeStores,
        blocking: (_, __, event) => { event.target.close(); opened = undefined; },
        terminated: () => { opened = undefined; },
      }).then(found, failed);
    });
    return opened;
  }

  /** Whether this browser keeps anything at all; false where it is forbidden or broken. */
  const works = () => open().then(() => true, () => false);

  const isFull = (error) => error && error.name === 'QuotaExceededError';

  async function write(stores, work) {
    const tx = (await open()).transaction(stores, 'readwrite', FOR_SURE);
    try {
      return (await Promise.all([work(tx), tx.done]))[0];
    } catch (error) {
      try { tx.abort(); } catch { /* is ended already */ }
      throw tx.error || error;
    }
  }

  /** Words come first: where there is no room for them, what lies ready gives way. */
  async function writeWords(stores, work) {
    try {
      return await write(stores, work);
    } catch (error) {
      if (!isFull(error)) throw error;
      await write(['blobs'], (tx) => tx.objectStore('blobs').delete(READY));
      return write(stores, work);
    }
  }

  /** Tells every page and tab of this phone that something kept has changed. */
  function changed() {
    if (channel) channel.postMessage('changed');
    self.dispatchEvent(new Event('fettle'));
  }
  if (channel) channel.onmessage = () => self.dispatchEvent(new Event('fettle'));

  /** 32 hex at random; randomUUID is not there on a plain http address. */
  const newId = () =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');

  /** The draft with this id, else the latest begun at a place (link, form, boat). */
  async function draftOf(place, id) {
    const found = await (await open()).getAllFromIndex('drafts', 'place', place);
    return found.find((one) => one.id === id) || found.sort((a, b) => b.order - a.order)[0];
  }

  /** Keeps a draft. Where another tab has sent it meanwhile, other words go on under an id of their own. */
  const saveDraft = (draft) => writeWords(['drafts', 'outbox'], async (tx) => {
    const sent = await tx.objectStore('outbox').get(draft.id);
    if (sent && String(sent.fields) === String(draft.fields)) return;
    if (sent) draft.id = newId();
    await tx.objectStore('drafts').put(draft);
  });

  /** Writes a draft down at once: of a page that is being closed, the store may not hear any more. */
  function writeDown(draft) {
    try { localStorage.setItem(LAST + draft.id, JSON.stringify(draft)); } catch { /* full, or forbidden */ }
  }

  function crossOut(id) {
    try { localStorage.removeItem(LAST + id); } catch { /* forbidden: there is nothing */ }
  }

  /** What pages wrote down in their last moment becomes drafts like any other. */
  async function takeIn() {
    for (const key of Object.keys(localStorage).filter((one) => one.startsWith(LAST))) {
      await saveDraft(JSON.parse(localStorage[key]));
      localStorage.removeItem(key);
    }
  }

  const dropDraft = (id) => write(['drafts'], (tx) => tx.objectStore('drafts').delete(id));

  /** From draft to outbox in one go. Sent by another tab already, it is not sent again; other words that
      were begun from the same draft are a report of their own. */
  const putOut = (entry) => write(['drafts', 'outbox'], async (tx) => {
    const there = await tx.objectStore('outbox').get(entry.id);
    const apart = there && there.text !== entry.text && { id: newId() };
    if (!there) await tx.objectStore('outbox').add(entry);
    else if (apart) await tx.objectStore('outbox').add({ ...entry, ...apart, body: { ...entry.body, ...apart, photos: [] } });
    await tx.objectStore('drafts').delete(entry.id);
  }).then(changed);

  /** Back from the outbox to a draft, to be changed and sent under the same id. */
  const takeBack = (id) => writeWords(['drafts', 'outbox'], async (tx) => {
    const { place, fields, order } = await tx.objectStore('outbox').get(id);
    await tx.objectStore('drafts').put({ id, place, fields, order });
    await tx.objectStore('outbox').delete(id);
  }).then(changed);

  /** Everything put out and not yet seen on the base's own page, the first first. */
  const entries = async () => (await (await open()).getAll('outbox')).sort((a, b) => a.order - b.order);

  const draftIds = async () => (await open()).getAllKeys('drafts');

  /** Changes a row where it still is; another tab may have taken it away. */
  const change = (store, id, what) => write([store], async (tx) => {
    const row = await tx.store.get(id);
    if (row) await tx.store.put(Object.assign(row, what));
  }).then(changed);

  /** Takes a report and its photos off the phone. */
  const forget = (id) => write(['drafts', 'outbox', 'photos', 'blobs'], async (tx) => {
    for (const photo of await tx.objectStore('photos').index('of').getAllKeys(id)) {
      await tx.objectStore('blobs').delete(photo);
      await tx.objectStore('photos').delete(photo);
    }
    await tx.objectStore('drafts').delete(id);
    await tx.objectStore('outbox').delete(id);
  }).then(changed);

  /** Keeps a photo, unless the words would have no room beside it (QuotaExceededError). */
  const addPhoto = (photo, blob) => write(['photos', 'blobs'], async (tx) => {
    const blobs = tx.objectStore('blobs');
    if (!(await blobs.getKey(READY))) await blobs.put(new Blob([new ArrayBuffer(ROOM_FOR_WORDS)]), READY);
    await blobs.put(blob, photo.id);
    await tx.objectStore('photos').put(photo);
  });

  const dropPhoto = (id) => write(['photos', 'blobs'], async (tx) => {
    await tx.objectStore('blobs').delete(id);
    await tx.objectStore('photos').delete(id);
  });

  const photosOf = async (id) =>
    (await (await open()).getAllFromIndex('photos', 'of', id)).sort((a, b) => a.order - b.order);

  const blobOf = async (id) => (await open()).get('blobs', id);

  /** The base has said its last word about a photo: whole, or why not. */
  const photoEnded = (id, what) => write(['photos', 'blobs'], async (tx) => {
    const row = await tx.objectStore('photos').get(id);
    if (row) await tx.objectStore('photos').put(Object.assign(row, what));
    await tx.objectStore('blobs').delete(id);
  }).then(changed);

  fettle.keep = {
    works, newId, draftOf, saveDraft, writeDown, crossOut, takeIn, dropDraft, putOut, takeBack, entries, draftIds, change, forget,
    addPhoto, dropPhoto, photosOf, blobOf, photoEnded, isFull, changed,
  };
})();
