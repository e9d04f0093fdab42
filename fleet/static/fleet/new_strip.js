// What came in and nobody has seen, in one line that stays in view; on a page with the list it follows the list.
(() => {
  const EVERY = 3000; // ms, as the list
  const strip = document.getElementById("new-strip");
  if (!strip) return;
  const link = strip.querySelector("a");
  const list = document.getElementById("crews-list");
  const at = strip.dataset.at;
  const kept = () => JSON.parse(sessionStorage.getItem(at) || '{"have":"","says":""}');
  let asking = false;

  const show = (says) => {
    if (link.textContent === says && strip.hidden === !says) return;
    const now = document.activeElement;
    // Only beside the list does the browser not keep in its place what is being read.
    const held = list && (now?.closest("main") || (scrollY > 0 && document.getElementById("main")));
    const top = held && held.getBoundingClientRect().top;
    link.textContent = says;
    strip.hidden = !says;
    if (held) scrollBy(0, held.getBoundingClientRect().top - top);
  };
  const read = (page) => {
    const first = page.querySelector("#crews-first");
    if (first) show(first.dataset.says);
    return { have: page.querySelector("#crews-have")?.value ?? "", says: first?.dataset.says ?? "" };
  };
  const ask = async () => {
    if (document.visibilityState !== "visible" || asking) return;
    asking = true;
    try {
      const known = kept();
      const answer = await fetch(`${at}?have=${encodeURIComponent(known.have)}`);
      if (answer.headers.get("X-Of") !== "crews") return show("");
      if (answer.status === 204) return show(known.says);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      sessionStorage.setItem(at, JSON.stringify(read(page)));
    } catch {
      // No word from the base's machine: what is shown stays, and it is asked again.
    } finally {
      asking = false;
    }
  };

  if (list) {
    read(list);
    document.addEventListener("htmx:after:swap", () => read(list));
  } else {
    ask();
    setInterval(ask, EVERY);
    document.addEventListener("visibilitychange", ask);
  }
})();
