/* Has the worker keep the pages of this link on the phone; says where this page is a copy, since when, and until the base answers. */
'use strict';
(() => {
  const fettle = (self.fettle = self.fettle || {});
  const { lang, dataset } = document.documentElement;
  const ASK_EVERY = 20000; // ms
  const PATIENCE = 5000;
  const how = { dateStyle: 'medium', timeStyle: 'short', hourCycle: 'h23' }; // as on every paper of the charter
  fettle.when = (moment) => new Date(moment).toLocaleString(lang === 'en' ? 'en-GB' : lang, how);
  const since = document.querySelector('.of-copy time');
  if (since && dataset.kept) {
    since.dateTime = dataset.kept;
    since.textContent = fettle.when(dataset.kept);
  }
  const link = (location.pathname.match(/^\/s\/[^/]+\//) || [])[0];
  const isOpen = document.querySelector('link[rel=manifest]'); // a way in that is closed keeps nothing
  if (!link || !isOpen || !navigator.serviceWorker) return;

  const ask = () => fetch(`${link}stands/`, { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) });

  /** Once the base answers again this page is no copy for want of it; one that is only read is shown anew, once. */
  async function askAgain() {
    if (!dataset.kept || document.hidden) return;
    const { stands } = await (await ask()).json();
    if (!stands) return;
    delete dataset.kept;
    const [came] = performance.getEntriesByType('navigation');
    if (!document.querySelector('#said, #entries') && came && came.type !== 'reload') location.reload();
  }
  const askQuietly = () => askAgain().catch(() => { /* not yet */ });

  /** Another language is no copy's to give: a tap on one is answered even where there is no net. */
  async function speak(event) {
    const other = event.target.closest('.tongues a');
    if (!other || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (await ask().then(() => true, () => false)) location.assign(other.href);
    else sayNoSignal(other.closest('.tongues'));
  }

  function sayNoSignal(tongues) {
    const here = document.getElementById('no-tongue');
    if (here) here.remove();
    const text = fettle.word('no_tongue');
    const said = Object.assign(document.createElement('p'), { id: 'no-tongue', className: 'notice', role: 'alert', textContent: text });
    tongues.open = false;
    document.querySelector('.phone').prepend(said);
    scrollTo(0, 0);
  }

  document.addEventListener('click', speak);
  if (dataset.kept) {
    addEventListener('online', askQuietly);
    document.addEventListener('visibilitychange', askQuietly);
    setInterval(askQuietly, ASK_EVERY);
  }

  async function begin() {
    const { controller } = navigator.serviceWorker;
    const registered = await navigator.serviceWorker.register('/s/worker.js', { scope: '/s/' });
    if (controller) await registered.update().catch(() => { /* no net: the release that is here goes on */ });
    const { active } = await navigator.serviceWorker.ready;
    active.postMessage({ keep: link, language: lang });
  }

  addEventListener('load', () => begin().catch(() => { /* no net, or none of it wanted: the page works without */ }));
})();
