/* Has the worker keep the pages of this link on the phone, and says since when where this page is a copy. */
'use strict';
(() => {
  const { lang, dataset } = document.documentElement;
  const since = document.querySelector('.of-copy time');
  if (since && dataset.kept) {
    since.dateTime = dataset.kept;
    const how = { dateStyle: 'medium', timeStyle: 'short', hourCycle: 'h23' }; // as on every paper of the charter
    since.textContent = new Date(dataset.kept).toLocaleString(lang === 'en' ? 'en-GB' : lang, how);
  }
  const link = (location.pathname.match(/^\/s\/[^/]+\//) || [])[0];
  const isOpen = document.querySelector('link[rel=manifest]'); // a way in that is closed keeps nothing
  if (!link || !isOpen || !navigator.serviceWorker) return;

  async function begin() {
    const { controller } = navigator.serviceWorker;
    const registered = await navigator.serviceWorker.register('/s/worker.js', { scope: '/s/' });
    if (controller) await registered.update().catch(() => { /* no net: the release that is here goes on */ });
    const { active } = await navigator.serviceWorker.ready;
    active.postMessage({ keep: link, language: lang });
  }

  addEventListener('load', () => begin().catch(() => { /* no net, or none of it wanted: the page works without */ }));
})();
