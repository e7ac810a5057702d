// The desk's own few lines. Everything else is the server's.
(() => {
  "use strict";
  // A sentence that works takes the place of the one that does not.
  document.addEventListener("click", (event) => {
    const fix = event.target.closest("button.fix");
    if (!fix) return;
    for (const area of document.querySelectorAll("#given, #ask")) {
      const lines = area.value.split("\n");
      const at = lines.findIndex((line) => line.trim().split(/\s+/).join(" ").includes(fix.dataset.sentence));
      if (at < 0) continue;
      lines[at] = lines[at].trim().split(/\s+/).join(" ").replace(fix.dataset.sentence, () => fix.dataset.fix);
      area.value = lines.join("\n");
      area.dispatchEvent(new Event("input", { bubbles: true }));
      area.focus();
      return;
    }
  });
  // A form that takes a while says so, and is sent once.
  document.addEventListener("submit", (event) => {
    const button = event.target.querySelector("button[data-busy]");
    if (!button) return;
    button.setAttribute("aria-disabled", "true");
    button.textContent = button.dataset.busy;
  });
  // Files can be dropped on the field's frame.
  for (const place of document.querySelectorAll(".drop")) {
    const field = place.querySelector("input[type=file]");
    place.addEventListener("dragover", (event) => { event.preventDefault(); place.classList.add("over"); });
    place.addEventListener("dragleave", () => place.classList.remove("over"));
    place.addEventListener("drop", (event) => {
      event.preventDefault();
      place.classList.remove("over");
      field.files = event.dataTransfer.files;
    });
  }
  // Review by keyboard, where the teacher left the keys switched on.
  const keys = document.getElementById("keys");
  if (keys) {
    keys.checked = localStorage.getItem("millimark-keys") !== "off";
    keys.addEventListener("change", () => localStorage.setItem("millimark-keys", keys.checked ? "on" : "off"));
    document.addEventListener("keydown", (event) => {
      if (!keys.checked || event.ctrlKey || event.altKey || event.metaKey) return;
      const typing = event.target.matches("textarea, select, input:not([type=checkbox])");
      if (event.key === "Escape" && typing) event.target.blur();
      if (typing) return;
      const target = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
      if (!target) return;
      event.preventDefault();
      if (target.matches("textarea, input:not([type=checkbox])")) target.focus(); else target.click();
    });
  }
  for (const box of document.querySelectorAll("input[data-shows]")) {
    const show = () => { for (const e of document.querySelectorAll(box.dataset.shows)) e.classList.toggle("off", !box.checked); };
    box.addEventListener("change", show);
    show();
  }
})();
