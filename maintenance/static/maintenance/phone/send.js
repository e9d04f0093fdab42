/* Sends what the phone keeps, the words of all of it first (danger before all), then photo by photo, and believes nothing but the base's own answer. In a page and in a worker. */
'use strict';
(() => {
  const fettle = (self.fettle = self.fettle || {});
  const { keep } = fettle;
  const LOCK = 'fettle-send';
  const PATIENCE = 20000; // ms without an answer
  const SOONEST = 15000;
  const LATEST = 300000; // ms between two tries
  const MISSES = 4; // ticks another tab may hold the lock and get nowhere
  const LEAST_PIECE = 8192;
  let piece = 131072; // bytes; less where the net is too slow for it
  let missed = 0;

  /** The net is gone: no use in trying anything else now. */
  class Cut extends Error {}
  /** The base, or something that is not the base, wants this one later; `ms` where it said when. */
  class Later extends Error {
    constructor(ms) { super('later'); this.ms = ms; }
  }

  /** Words came while a photo was on its way: they go before the rest of it. */
  class WordsFirst extends Error {}

  async function ask(address, how) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), PATIENCE);
    try {
      const answer = await fetch(address, { cache: 'no-store', redirect: 'error', signal: stop.signal, ...how });
      const type = answer.headers.get('Content-Type') || '';
      const told = type.includes('json') ? await answer.json().catch(() => null) : null;
      return { status: answer.status, told, isProblem: type.includes('problem+json') && told, head: answer.headers };
    } catch {
      throw new Cut();
    } finally {
      clearTimeout(timer);
    }
  }

  function later(answer) {
    const seconds = Number(answer.head.get('Retry-After'));
    return new Later(answer.isProblem && seconds > 0 ? seconds * 1000 : 0);
  }

  /** The report itself. A page of somebody else's (a harbour's sign-in) has not its id in it. */
  async function sendWords(one) {
    const body = JSON.stringify({ ...one.body, clock: new Date().toISOString() });
    const answer = await ask(`${one.address}${one.sort}/`, {
      method: 'POST', body, headers: { 'Content-Type': 'application/json' },
    });
    if ([200, 201].includes(answer.status) && answer.told && answer.told.id === one.id) {
      await keep.change('outbox', one.id, { taken: true, stand: 'kept', detail: '' });
      return answer.told.photos || {};
    }
    const stand = { 422: 'refused', 404: 'closed', 410: 'closed' }[answer.status];
    if (!stand || !answer.isProblem) throw later(answer);
    await keep.change('outbox', one.id, { stand, detail: String(answer.told.detail || answer.told.title) });
    return null;
  }

  /** How far the base has a photo: bytes, or null where it has not heard of the report. */
  async function heard(address) {
    const { status, head } = await ask(address, { method: 'HEAD' });
    if (status === 404) return null;
    if (!head.has('Upload-Offset')) throw new Later(0);
    return { offset: Number(head.get('Upload-Offset')), whole: head.get('Upload-Complete') === '?1' };
  }

  async function sendPiece(address, blob, offset) {
    const headers = { 'Content-Type': 'application/partial-upload', 'Upload-Offset': String(offset) };
    const size = piece;
    try {
      return await ask(address, { method: 'PATCH', headers, body: blob.slice(offset, offset + size) });
    } catch (cut) {
      piece = Math.max(LEAST_PIECE, size / 2);
      throw cut;
    }
  }

  /** One photo, in pieces, from where the base has it. */
  async function sendPhoto(address, photo, from, wordsCame) {
    const blob = await keep.blobOf(photo.id);
    if (!blob) return; // another tab has just ended it
    let at = from;
    for (let goes = 0, most = 0; !at.whole && !at.refused;) {
      if (await wordsCame()) throw new WordsFirst();
      const answer = await sendPiece(address, blob, at.offset);
      const offset = answer.head.get('Upload-Offset');
      const whole = answer.head.get('Upload-Complete') === '?1';
      if ([413, 422].includes(answer.status) && answer.isProblem) {
        at = { refused: String(answer.told.detail || answer.told.title) };
      } else if ([204, 409].includes(answer.status) && (whole || offset !== null)) {
        at = { offset: Number(offset), whole: whole && answer.status === 204 };
      } else throw later(answer);
      if (at.offset > most) goes = 0;
      else if ((goes += 1) > 3) throw new Later(0); // back at the start again and again
      most = Math.max(most, at.offset || 0);
      await keep.change('photos', photo.id, { sent: at.offset || 0 });
    }
    await keep.photoEnded(photo.id, { whole: !at.refused, refused: at.refused || '' });
  }

  /** The photos of one the base has the words of; `known` is how far, where it has just said so. */
  async function sendPhotos(one, known, wordsCame) {
    for (const photo of await keep.photosOf(one.id)) {
      if (photo.whole || photo.refused) continue;
      const address = `${one.address}photos/${photo.id}/`;
      let at = known ? known[photo.id] : await heard(address);
      if (!at && !known) {
        known = await sendWords(one); // the base lost it, or was set back to yesterday
        if (!known) return;
        at = known[photo.id];
      }
      await sendPhoto(address, photo, at || { offset: 0 }, wordsCame);
    }
    await keep.change('outbox', one.id, { stand: 'sent', wait: null });
  }

  /** By how long ago it was, not by the hour: a clock that is set back never stops it. */
  function isDue(one, eager) {
    if (one.stand === 'sent' || one.stand === 'refused') return false;
    if (one.stand === 'closed') return eager;
    if (!one.wait || (eager && !one.wait.said)) return true;
    const gone = Date.now() - one.wait.since;
    return gone < 0 || gone >= one.wait.ms;
  }

  async function putOff(one, said) {
    const tries = (one.tries || 0) + 1;
    const ms = said || Math.min(LATEST, SOONEST * 2 ** (tries - 1));
    await keep.change('outbox', one.id, { tries, wait: { since: Date.now(), ms, said: Boolean(said) } });
  }

  const isUrgent = (body) => body.danger === 'yes' || (body.answers || {}).gas_or_fumes_smelled === 'yes';

  /** What is due and was not tried yet in this turn: words before photos, danger before the rest, else the first first. */
  async function due(eager, tried) {
    const all = (await keep.entries()).filter((one) => isDue(one, eager) && !tried.has(one.id));
    const rank = (one) => 2 * Boolean(one.taken) - isUrgent(one.body);
    return all.sort((a, b) => rank(a) - rank(b));
  }

  async function sendNext(one, known, tried, wordsCame) {
    if (one.taken) {
      await sendPhotos(one, known.get(one.id), wordsCame);
      tried.add(one.id);
    } else {
      const told = await sendWords(one);
      if (told) known.set(one.id, told);
      else tried.add(one.id);
    }
  }

  async function sendAll(eager) {
    missed = 0;
    const tried = new Set();
    const known = new Map(); // how far the base has the photos of what it has just taken
    const wordsCame = async () => (await due(eager, tried)).some((one) => !one.taken);
    for (let one; ([one] = await due(eager, tried)) && one;) {
      try {
        await sendNext(one, known, tried, wordsCame);
      } catch (error) {
        known.delete(one.id); // how far it is now is asked anew
        if (error instanceof WordsFirst) continue;
        tried.add(one.id);
        await putOff(one, error.ms);
        if (error instanceof Cut) break;
        if (!(error instanceof Later)) throw error;
      }
    }
  }

  const waiting = async () => (await keep.entries()).filter((one) => one.stand !== 'sent').length;

  /** Sends what is due; `eager` does not wait for the next turn, but does where the base named one.
      Returns how many are still kept here. */
  async function flush(eager) {
    if (!navigator.locks) await sendAll(eager);
    else if (missed >= MISSES) await navigator.locks.request(LOCK, { steal: true }, () => sendAll(eager));
    else await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => (lock ? sendAll(eager) : (missed += 1)));
    return waiting();
  }
  self.addEventListener('fettle', () => { missed = 0; });

  fettle.send = { flush, waiting, isUrgent, LOCK, SOONEST };
})();
