// New from the crews: asks for the list again while somebody looks at the page, and lets nothing jump.
(() => {
  const EVERY = 3000; // ms: what came in stands on top within five seconds
  const HELD = 600; // ms after a finger lifts in which its tap still belongs to what was under it
  const list = document.getElementById("crews-list");
  if (!list || !window.htmx) return;
  const off = document.getElementById("crews-off");
  const heading = document.getElementById("crews-heading");
  const title = document.title;
  let asking = false;
  let held = 0;
  let anchor = null;

  const NO_SIGNAL = "No word from the base’s machine: not kept. Touch it again.";
  const ours = (event) => list.contains(event.target);
  const isPoll = (event) => event.target === list;
  const look = () => {
    if (document.visibilityState === "visible" && !asking) htmx.trigger(list, "look");
  };
  // What must stay where it is: what is being typed in or held, else what is at the top of a page scrolled on.
  const still = () => {
    const now = document.activeElement;
    if (now && now !== document.body && now.closest("main")) return now;
    if (list.getBoundingClientRect().top >= 0) return null;
    const strip = document.getElementById("new-strip")?.getBoundingClientRect().bottom ?? 0;
    return document.elementFromPoint(innerWidth / 2, Math.max(0, strip) + 8)?.closest("article, section, form, li, p, h2");
  };

  document.addEventListener("pointerdown", () => { held = Infinity; });
  for (const end of ["pointerup", "pointercancel"]) {
    document.addEventListener(end, () => { held = performance.now() + HELD; });
  }
  document.addEventListener("htmx:before:request", (event) => { if (isPoll(event)) asking = true; });
  document.addEventListener("htmx:finally:request", (event) => {
    if (!isPoll(event)) return;
    asking = false;
    const answer = event.detail.ctx.response;
    off.hidden = answer?.headers.get("X-Of") === "crews";
  });
  // A touch: its buttons are grey while it is under way, and where it failed that is said beside them.
  const under = new Map();
  document.addEventListener("htmx:before:request", (event) => {
    const form = event.target;
    if (!ours(event) || isPoll(event) || !form.matches("form")) return;
    form.querySelector(".crews-failed")?.remove();
    const buttons = [...form.querySelectorAll("button:not(:disabled)")];
    under.set(event.detail.ctx, { form, buttons, touched: document.activeElement });
    for (const button of buttons) button.disabled = true;
  });
  const over = (event, failed) => {
    const touch = under.get(event.detail?.ctx);
    if (!touch) return;
    under.delete(event.detail.ctx);
    for (const button of touch.buttons) button.disabled = false;
    if (!failed || !touch.form.isConnected) return;
    const said = document.createElement("p");
    said.className = "crews-failed short";
    said.setAttribute("role", "alert");
    said.textContent = NO_SIGNAL;
    touch.form.append(said);
    if (touch.form.contains(touch.touched)) touch.touched.focus({ preventScroll: true });
  };
  document.addEventListener("htmx:error", (event) => over(event, true));
  document.addEventListener("htmx:finally:request", (event) => over(event, false));
  // A sign-in page, a fault or a proxy's word is no list. What a form sent then goes the way without a script.
  document.addEventListener("htmx:before:response", (event) => {
    if (!ours(event) || event.detail.ctx.response.headers.get("X-Of") === "crews") return;
    event.preventDefault();
    if (!isPoll(event)) location.reload();
  });
  document.addEventListener("htmx:before:swap", (event) => {
    if (!ours(event)) return;
    if (isPoll(event) && performance.now() < held) return event.preventDefault();
    const element = isPoll(event) ? still() : null;
    anchor = element && { element, top: element.getBoundingClientRect().top };
  });
  document.addEventListener("htmx:after:swap", (event) => {
    if (!ours(event)) return;
    if (anchor?.element.isConnected) scrollBy(0, anchor.element.getBoundingClientRect().top - anchor.top);
    anchor = null;
    // What was touched is gone from the list: whoever goes by keyboard or by ear goes on from its head.
    if (!isPoll(event) && document.activeElement === document.body) heading.focus({ preventScroll: true });
    count();
  });
  const count = () => {
    const many = list.querySelectorAll("[data-new]").length;
    document.title = many ? `(${many}) ${title}` : title;
  };
  document.addEventListener("visibilitychange", look);
  setInterval(look, EVERY);
  count();
})();
