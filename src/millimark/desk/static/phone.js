// The phone's page: sends what the camera gives, one photograph at a time, and follows it.
(() => {
  "use strict";
  const form = document.getElementById("photographs");
  const told = document.getElementById("told");
  const list = document.getElementById("sent");
  const left = document.getElementById("left");
  const waiting = [];
  let sending = false;
  form.classList.add("scripted");
  for (const field of form.querySelectorAll("input[type=file]")) {
    field.addEventListener("change", () => {
      for (const file of field.files) waiting.push({ file, line: newLine() });
      field.value = "";
      next();
    });
  }
  form.addEventListener("submit", (event) => event.preventDefault());

  function newLine() {
    const line = document.createElement("li");
    const bar = document.createElement("progress");
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute("aria-label", "Sending");
    const words = document.createElement("span");
    words.textContent = "waits to be sent";
    line.append(words, bar);
    list.prepend(line);
    return line;
  }

  async function next() {
    if (sending || !waiting.length) return;
    sending = true;
    const { file, line } = waiting.shift();
    const words = line.querySelector("span");
    words.textContent = "sending";
    try {
      const answer = await send(await readable(file), line.querySelector("progress"));
      if (answer.status === 429) {
        waiting.unshift({ file, line });
        told.textContent = answer.told;
        setTimeout(() => { sending = false; next(); }, 5000);
        return;
      }
      if (answer.status !== 200) throw new Error(answer.told);
      line.remove();
      follow();
    } catch (error) {
      line.className = "unread";
      words.textContent = `not sent: ${error.message}`;
      line.querySelector("progress").remove();
      const again = document.createElement("button");
      again.type = "button";
      again.textContent = "Send it again";
      again.addEventListener("click", () => { line.remove(); waiting.push({ file, line: newLine() }); next(); });
      line.append(again);
    }
    const failed = list.querySelectorAll("button").length;
    told.textContent = waiting.length ? `${waiting.length} left to send` : failed ? `${failed} not sent` : "All sent.";
    sending = false;
    next();
  }

  // What is neither JPEG nor PNG (some cameras' own format) is sent as a JPEG.
  async function readable(file) {
    if (file.type === "image/jpeg" || file.type === "image/png") return file;
    let picture;
    try { picture = await createImageBitmap(file); } catch { throw new Error("this phone cannot open it as a picture"); }
    const canvas = document.createElement("canvas");
    canvas.width = picture.width;
    canvas.height = picture.height;
    canvas.getContext("2d").drawImage(picture, 0, 0);
    return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92));
  }

  function send(file, bar) {
    return new Promise((done, failed) => {
      const body = new FormData();
      body.append("photographs", file, "photograph");
      const request = new XMLHttpRequest();
      request.open("POST", "/phone/photographs");
      request.setRequestHeader("accept", "application/json");
      request.upload.addEventListener("progress", (event) => { if (event.lengthComputable) bar.value = event.loaded / event.total; });
      request.addEventListener("load", () => {
        let said = request.responseText;
        try { said = JSON.parse(said).told; } catch { /* plain words */ }
        done({ status: request.status, told: said });
      });
      request.addEventListener("error", () => failed(new Error("the desk does not answer")));
      request.send(body);
    });
  }

  async function follow() {
    let found;
    try { found = await (await fetch("/phone/sent")).json(); } catch { return; }
    left.textContent = found.told;
    for (const old of list.querySelectorAll("[data-number]")) old.remove();
    for (const each of found.photographs) {
      const line = document.createElement("li");
      line.dataset.number = each.number;
      line.className = each.state;
      line.textContent = `Photograph ${each.number}: ${each.said}`;
      const first = list.querySelector("[data-number]");
      list.insertBefore(line, first);
    }
  }
  follow();
  setInterval(() => { if (!document.hidden) follow(); }, 2000);
})();
