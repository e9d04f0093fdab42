/* Keeps the pages of a skipper's links on the phone, so that they open with no signal.
   The base puts one line before this: SHELL, its version, what belongs to it, and what is imported. */
'use strict';
importScripts(...SHELL.imports);

const PATIENCE = 1500; // ms a page is waited for where there is a copy of it
const LONGEST = 10000; // ms where there is none
const STALE = 5 * 60e3; // ms after which the other pages of a link are fetched again
const FORGOTTEN = 90 * 864e5; // ms after which the copies of a link nobody opens any more are dropped
const PAGES = ['', 'return/', 'sent/', 'told/'];
const MOST_PHOTOS = 40; // of known damage, for each link
const MOST_BYTES = 16e6;
const OURS = 'fettle shell ';
const LINKS = 'fettle link ';
const OF_A_LINK = /^(\/s\/[^/]+\/)(?:(return\/|sent\/|told\/)?|(papers\/[^/]+\/))$/;
const ANY_LINK = /^\/s\/(?:[^/]+\/)?/;
const shellPaths = new Set(Object.keys(SHELL.assets).map((address) => address.split('?')[0]));
const anyway = { ignoreVary: true }; // a copy stands for what this phone was shown, whatever it depended on

const shell = () => caches.open(OURS + SHELL.version);
const copiesOf = (link) => caches.open(LINKS + link);
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
const quietly = (work) => work.catch(() => { /* no net, or no room: the next visit tries again */ });
const afresh = (address) => fetch(address, { cache: 'no-store', redirect: 'manual' });

/* The shell: all of it or nothing of it. A file that is not the one this version names is refused. */

async function takeShell() {
  const cache = await shell();
  await Promise.all(Object.entries(SHELL.assets).map(async ([address, integrity]) => {
    const answer = await fetch(address, { integrity });
    if (!answer.ok) throw new Error(address);
    await cache.put(address, answer);
  }));
  await takeNoSignal();
  await self.skipWaiting(); // a page of the version before has loaded all it needs
}

async function takeNoSignal() {
  const answer = await afresh(SHELL.no_signal);
  if (!answer.ok) throw new Error(SHELL.no_signal);
  await (await shell()).put(SHELL.no_signal, answer);
}

async function takeOver() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(OURS) && name !== OURS + SHELL.version);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

/** A page of another version names its files by another content: it gets those, else ours. */
async function fromShell(request) {
  const cache = await shell();
  const exact = await cache.match(request, anyway);
  if (exact) return exact;
  const network = fetch(request);
  const found = await Promise.race([network.catch(() => null), wait(PATIENCE)]);
  return found || (await cache.match(request, { ...anyway, ignoreSearch: true })) || network;
}

/* Copies. `Way-In` is the base's own word: without it an answer is a harbour's sign-in or a proxy's. */

/** An address without what only passes; a form opened for the boat before is another page. */
function keptUnder(address) {
  const { pathname, searchParams } = new URL(address, self.location);
  const about = searchParams.get('about');
  return about ? `${pathname}?about=${encodeURIComponent(about)}` : pathname;
}

/** Takes note of an answer, and gives it back whole: a body that stops halfway is no answer. */
async function noted(answer, address, link) {
  if (answer.type === 'opaqueredirect' || answer.redirected) return answer; // a browser takes no such copy
  const stands = answer.headers.get('Way-In') || '';
  if (stands === 'closed') await caches.delete(LINKS + link);
  const headers = new Headers(answer.headers);
  ['Content-Encoding', 'Content-Length'].forEach((name) => headers.delete(name)); // it is unpacked by now
  const { status, statusText } = answer;
  const text = await answer.text();
  if (stands === 'open' && status === 200) await quietly(put(text, headers, address, link));
  return new Response(text, { status, statusText, headers });
}

/** `no-store` is for caches nobody asked; this copy is the point, and a word of the base drops it. */
async function put(text, headers, address, link) {
  const kept = new Headers(headers);
  kept.set('Kept-At', String(Date.now()));
  kept.set('Kept-By', SHELL.version);
  await (await copiesOf(link)).put(keptUnder(address), new Response(text, { headers: kept }));
}

async function copyOf(address, link) {
  const cache = await copiesOf(link);
  const under = keptUnder(address);
  return (await cache.match(under, anyway)) || cache.match(under, { ...anyway, ignoreSearch: true });
}

const take = async (address, link) => noted(await afresh(address), address, link);

/** A copy says that it is one, and since when. Its form begins a report of its own each time. */
async function asCopy(kept) {
  const since = new Date(Number(kept.headers.get('Kept-At'))).toISOString();
  const id = crypto.randomUUID().replaceAll('-', '');
  const text = (await kept.text())
    .replace('<html ', `<html data-kept="${since}" `)
    .replace(/(name="client_id" value=")[^"]*/, `$1${id}`);
  return new Response(text, { headers: kept.headers });
}

async function noSignal(link) {
  const page = await (await shell()).match(SHELL.no_signal, anyway);
  if (!page) return Response.error();
  const ring = await telephone(link);
  const text = (await page.text()).replaceAll('"/s/"', `"${link}"`);
  const rung = ring ? text.replace(/<p class="ring-said">.*?<\/p>/s, () => ring) : text;
  return new Response(rung, { status: 503, headers: page.headers });
}

/** The button that rings the base, from whichever page of the link has it. */
async function telephone(link) {
  const cache = await copiesOf(link);
  for (const page of PAGES) {
    const kept = await cache.match(link + page, anyway);
    const found = kept && (await kept.text()).match(/<a class="button ring".*?<\/a>/s);
    if (found) return found[0];
  }
  return '';
}

/* Answers */

async function openPage(event, link) {
  const { url } = event.request;
  const network = fetch(event.request).then((answer) => noted(answer, url, link));
  // Goes on behind a copy that is shown already. What passes, “Sent. Thank you”, is in no copy.
  event.waitUntil(quietly(network.then((answer) => answer.headers.get('Way-In') === 'passing' && take(url, link))));
  const kept = await copyOf(url, link);
  const patient = !kept || new URL(url).searchParams.has('speak'); // another language is no copy's to give
  const answer = await Promise.race([network.catch(() => null), wait(patient ? LONGEST : PATIENCE)]);
  if (answer && (answer.type === 'opaqueredirect' || answer.ok || answer.headers.has('Way-In') || !kept)) return answer;
  return kept ? asCopy(kept) : noSignal(link);
}

/** A photo never changes under its name. */
async function openPhoto(request, link) {
  const kept = await (await copiesOf(link)).match(request.url, anyway);
  return kept || openOther(request, link);
}

/** What there is never a copy of is waited for, but not for ever. */
async function openOther(request, link) {
  const network = fetch(request).catch(() => null);
  if (request.mode !== 'navigate') return (await network) || Response.error();
  return (await Promise.race([network, wait(LONGEST)])) || noSignal(link);
}

function answerTo(event) {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== self.location.origin) return; // what is sent goes past here
  if (shellPaths.has(pathname)) return event.respondWith(fromShell(request));
  const [, link, , photo] = pathname.match(OF_A_LINK) || [];
  if (photo) event.respondWith(openPhoto(request, link));
  else if (link && request.mode === 'navigate') event.respondWith(openPage(event, link));
  else if (link) event.respondWith(fetch(request).then((answer) => noted(answer, request.url, link))); // a script wants it as it is now
  else if (request.mode === 'navigate') event.respondWith(openOther(request, pathname.match(ANY_LINK)[0]));
}

/* The pages of a link are kept together, in one language, by one version. */

function isStale(kept, language) {
  if (!kept || kept.headers.get('Content-Language') !== language || kept.headers.get('Kept-By') !== SHELL.version) return true;
  return Math.abs(Date.now() - Number(kept.headers.get('Kept-At'))) > STALE; // also after a clock was set
}

async function keepLink(link, language) {
  const cache = await copiesOf(link);
  await Promise.all(PAGES.map(async (page) => {
    if (!isStale(await cache.match(link + page, anyway), language)) return;
    await take(link + page, link);
  }));
  const told = await cache.match(`${link}told/`, anyway);
  if (told) await keepPhotos(cache, await told.text());
}

/** Photos of known damage, one after the other and behind all else; those no longer told of go. */
async function keepPhotos(cache, told) {
  const wanted = [...new Set(Array.from(told.matchAll(/="(\/s\/[^"]*\/papers\/[^"]+)"/g), (found) => found[1]))].slice(0, MOST_PHOTOS);
  const here = (await cache.keys()).map((request) => new URL(request.url).pathname).filter((path) => path.includes('/papers/'));
  await Promise.all(here.filter((path) => !wanted.includes(path)).map((path) => cache.delete(path)));
  let room = MOST_BYTES;
  for (const address of wanted) {
    const kept = await cache.match(address, anyway);
    if (!kept && self.navigator.connection && self.navigator.connection.saveData) continue;
    const answer = kept || (await fetch(address));
    const blob = await answer.clone().blob();
    if (!answer.ok || !blob.type.startsWith('image/') || blob.size > room) continue;
    room -= blob.size;
    if (!kept) await cache.put(address, answer);
  }
}

async function speak(language) {
  const kept = await (await shell()).match(SHELL.no_signal, anyway);
  if (!kept || kept.headers.get('Content-Language') !== language) await takeNoSignal();
}

async function forgetOld() {
  for (const name of await caches.keys()) {
    if (!name.startsWith(LINKS)) continue;
    const cache = await caches.open(name);
    const kept = await Promise.all((await cache.keys()).map((request) => cache.match(request, anyway)));
    const latest = Math.max(0, ...kept.map((one) => Number(one.headers.get('Kept-At'))));
    if (latest && Date.now() - latest > FORGOTTEN) await caches.delete(name); // one without any is just being filled
  }
}

/** What waits is sent when the net is back, though every page was closed; where a browser can do that. */
async function sendWaiting() {
  if (await self.fettle.send.flush(true)) throw new Error('some of it still waits');
}

self.addEventListener('install', (event) => event.waitUntil(takeShell()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('fetch', answerTo);
self.addEventListener('sync', (event) => event.waitUntil(sendWaiting()));
self.addEventListener('message', (event) => {
  const { keep, language } = event.data;
  event.waitUntil(quietly(Promise.all([keepLink(keep, language), speak(language), forgetOld()])));
});
