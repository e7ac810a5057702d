// Writing: nothing typed is lost, and the working is stepped through.
(() => {
  "use strict";
  const words = document.getElementById("words");
  if (!words) return;
  const keeper = document.getElementById("keeper");
  const name = "millimark-draft " + location.pathname;
  const seen = () => words.elements.namedItem("seen").value;
  const typed = () => {
    const all = Object.fromEntries(new FormData(words));
    delete all.seen;
    delete all.view;
    return all;
  };
  const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);
  let draft = null, sent = null;

  // What is typed stands in the browser until the desk has said that it is kept.
  const remember = () => {
    draft = { seen: seen(), typed: typed() };
    try { localStorage.setItem(name, JSON.stringify(draft)); } catch { /* a full or closed store */ }
  };
  const forget = () => { draft = null; localStorage.removeItem(name); };
  const tell = () => words.dispatchEvent(new Event("input", { bubbles: true }));
  const put = (values) => {
    for (const [key, value] of Object.entries(values)) {
      const field = words.elements.namedItem(key);
      if (field) field.value = value;
    }
    tell();
  };
  let start = typed();
  words.addEventListener("input", () => { if (!same(typed(), start)) remember(); });
  keeper.addEventListener("htmx:config:request", () => { sent = typed(); });
  keeper.addEventListener("htmx:after:swap", (event) => {
    const told = document.querySelector("#kept .fault");
    if (event.detail.ctx.response.status !== 200 || told) return;
    start = sent;
    if (same(typed(), sent)) forget(); else remember();
  });

  // Leaving the page: keep first, then go.
  const kept = () => fetch(words.dataset.keep, { method: "POST", body: new URLSearchParams(new FormData(words)) });
  const first = (go) => kept().then((answer) => { if (answer.ok) forget(); }, () => {}).then(go);
  document.addEventListener("submit", (event) => {
    if (!draft || event.target === words) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const form = event.target, button = event.submitter;
    first(() => { draft = null; form.requestSubmit(button); });
  }, true);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href]");
    if (!link || !draft || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    first(() => { draft = null; location.href = link.href; });
  });
  addEventListener("pagehide", () => {
    if (draft) navigator.sendBeacon(words.dataset.keep, new URLSearchParams(new FormData(words)));
  });

  // Coming back: what was typed and not kept is there again.
  const before = JSON.parse(localStorage.getItem(name) || "null");
  if (before) {
    if (same(before.typed, typed())) forget();
    else if (before.seen === seen()) {
      put(before.typed);
      document.addEventListener("htmx:after:process", tell, { once: true });  // where htmx starts later than this
    }
    else {
      const note = document.getElementById("draft");
      note.hidden = false;
      document.getElementById("draft-back").onclick = () => { note.hidden = true; put(before.typed); };
      document.getElementById("draft-drop").onclick = () => { note.hidden = true; forget(); };
    }
  }

  // What is shown beside the sentences.
  for (const button of document.querySelectorAll("[data-view]")) {
    button.addEventListener("click", () => {
      const view = words.elements.namedItem("view");
      view.value = button.dataset.view;
      for (const each of document.querySelectorAll("[data-view]")) each.setAttribute("aria-pressed", String(each === button));
      view.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }

  // The working, act by act: what comes later is hidden, what is new is bold.
  let step = null;
  const show = () => {
    const figure = document.querySelector(".stepped");
    if (!figure) return;
    const most = Number(figure.dataset.acts);
    step = Math.min(Math.max(step ?? 1, 0), most);
    for (const part of figure.querySelectorAll("[data-act]")) {
      const act = Number(part.dataset.act);
      part.classList.toggle("later", act > step);
      part.classList.toggle("now", act === step);
    }
    for (const told of document.querySelectorAll("[data-told]")) {
      const now = Number(told.dataset.told) === step;
      if (now) told.setAttribute("aria-current", "step"); else told.removeAttribute("aria-current");
      if (now) {
        const list = told.closest(".acts");
        list.scrollTop = told.offsetTop - list.offsetTop - list.clientHeight / 3;
      }
    }
    document.getElementById("step-at").textContent = step ? `Act ${step} of ${most}` : "Before the first act";
  };
  const go = (to) => { step = to; show(); };
  words.addEventListener("click", (event) => {
    const button = event.target.closest("[data-step], [data-goto]");
    if (!button) return;
    go(button.dataset.goto ? Number(button.dataset.goto) : (step ?? 0) + Number(button.dataset.step));
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || !document.querySelector(".stepped")) return;
    if (event.target.matches("input, textarea, select")) return;
    const to = { ArrowRight: (step ?? 0) + 1, ArrowLeft: (step ?? 0) - 1, Home: 0, End: Infinity }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    go(to);
  });
  words.addEventListener("htmx:after:swap", show);
  show();
})();
