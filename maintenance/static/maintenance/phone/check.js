/* Looks over the report or the return on the phone before it is put out: what is wanted is said at once, a doubtful dial asked about once. */
'use strict';
(() => {
  const { word, make } = self.fettle;
  const form = document.getElementById('said');
  if (!form) return;

  const all = (selector) => [...form.querySelectorAll(selector)];
  const labelOf = (field) => field.labels[0].firstChild.textContent.trim();
  const plain = (text) => text.replaceAll('\r\n', '\n').replaceAll('\0', '').trim();

  const LIKE_HOURS = /^[-+]?[.,]*\p{Nd}[\p{Nd}.,]*$/u;
  const bare = (text) => text.replace(/[\s hH]/g, '');

  function faultOf(field) {
    const text = plain(field.value);
    const label = labelOf(field);
    const found = [...text].length; // as the base counts
    if ('dial' in field.dataset && text && !LIKE_HOURS.test(bare(text))) return word('number', { label, text });
    if ('wanted' in field.dataset && !text) return word('wanted', { label });
    if (found > field.dataset.most) return word('letters', { label, most: field.dataset.most, n: found });
    return '';
  }

  /** Whether it can be sent; what is wanted stands beside each field, the first has the focus. */
  function isRight(saysSomething, warn) {
    all('.wrong[id]').forEach((old) => old.remove());
    const checked = all('[data-most], [data-dial]');
    const wrong = checked.filter(faultOf);
    for (const field of wrong) {
      const said = make('p', { className: 'wrong', id: `${field.id}-wrong`, textContent: faultOf(field) });
      (field.closest('.dial') || field).after(said);
      const help = document.getElementById(`${field.id}_helptext`);
      field.setAttribute('aria-describedby', [said, help].filter(Boolean).map((one) => one.id).join(' '));
    }
    checked.forEach((field) => field.setAttribute('aria-invalid', wrong.includes(field)));
    if (wrong[0]) wrong[0].focus();
    const nothing = !wrong[0] && !saysSomething;
    const which = all('[name=about][type=radio]');
    const noBoat = which.length && !which.some((one) => one.checked);
    if (noBoat) which[0].focus();
    warn(nothing ? word('nothing') : noBoat ? word('which') : '');
    return !wrong[0] && !nothing && !noBoat;
  }

  const hours = (text) => Number(bare(text).replace(',', '.'));

  /** Dials that cannot be right: less than the last, or more than 24 h a day since. */
  function doubtful(dial) {
    const { last, day } = dial.dataset;
    if (!last || !plain(dial.value)) return false;
    const ran = hours(dial.value) - Number(last);
    const days = Math.max(0, Math.round((Date.now() - Date.parse(day)) / 864e5)) + 1;
    return ran < 0 || ran > 24 * days;
  }

  /** Asks once about what cannot be right; it is never refused. True where it may go on. */
  function asDialsShow(already, send) {
    const dials = already ? [] : all('[data-dial]').filter(doubtful);
    all('.asked').forEach((old) => old.remove());
    if (!dials.length) return true;
    const texts = dials.map((dial) => make('p', { textContent: word('dial', { label: labelOf(dial), hours: plain(dial.value), last: dial.labels[0].querySelector('.help').textContent }) }));
    const yes = make('button', { type: 'button', className: 'yes', textContent: word('dial_yes'), onclick: send });
    const no = make('button', { type: 'button', className: 'quiet', textContent: word('dial_no'), onclick: () => { asDialsShow(true); dials[0].focus(); } });
    const asked = make('div', { className: 'caution asked', role: 'alert' }, make('b', { textContent: word('dial_asks') }), ...texts, make('div', { className: 'choice-row' }, yes, no));
    form.querySelector('button.main').before(asked);
    yes.focus();
    return false;
  }

  self.fettle.check = { isRight, asDialsShow, all, labelOf, plain };
})();
