(() => {
  const score = JSON.parse(document.getElementById("score").textContent);
  const $ = (id) => document.getElementById(id);
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const svg = $("view");
  const tools = {};
  for (const name of Object.keys(score.tracks)) tools[name] = svg.querySelector("#tool-" + name);
  const inks = score.inks.map((ink, i) => [svg.querySelector("#ink-" + i), ink]);
  const marks = score.marks.map((mark, i) => [svg.querySelector("#mark-" + i), mark]);
  const shading = svg.querySelector("#shading");
  const items = [...document.querySelectorAll("#acts li")];
  let now = 0, playing = false, last = 0, speed = 1, said = -1;

  const done = (t, a, b) => b <= a ? (t >= b ? 1 : 0) : Math.min(Math.max((t - a) / (b - a), 0), 1);
  const eased = (s) => s * s * (3 - 2 * s);

  // A key is [t, even, ...values]; the last value is how much is seen.
  function state(keys, t) {
    if (t <= keys[0][0]) { const v = keys[0].slice(2); v[v.length - 1] = 0; return v; }
    for (let i = 1; i < keys.length; i++) {
      const a = keys[i - 1], b = keys[i];
      if (t <= b[0]) {
        const s = b[1] ? done(t, a[0], b[0]) : eased(done(t, a[0], b[0]));
        return a.slice(2).map((v, k) => v + (b[k + 2] - v) * s);
      }
    }
    return keys[keys.length - 1].slice(2);
  }

  function standing(tool, [x, y, r, a]) {
    const px = x + r * Math.cos(a), py = y + r * Math.sin(a);
    const high = Math.sqrt(Math.max(score.leg ** 2 - r * r / 4, 0)) * score.lean;
    const hx = (x + px) / 2, hy = (y + py) / 2 - high;
    const up = (fx, fy, share) => [fx + (hx - fx) * share, fy + (hy - fy) * share];
    const [ax, ay] = up(x, y, 0.16), [bx, by] = up(px, py, 0.16);
    const [cx, cy] = up(px, py, 0.06), [dx, dy] = up(px, py, 0.42);
    const set = (part, values) => {
      const e = tool.querySelector("." + part);
      for (const [k, v] of Object.entries(values)) e.setAttribute(k, v);
    };
    set("legs", { d: `M${ax} ${ay}L${hx} ${hy}L${bx} ${by}` });
    set("points", { d: `M${x} ${y}L${ax} ${ay}M${px} ${py}L${bx} ${by}` });
    set("lead", { d: `M${cx} ${cy}L${dx} ${dy}` });
    set("hinge", { cx: hx, cy: hy });
    set("grip", { d: `M${hx} ${hy - 4}V${hy - 13}` });
    set("needle", { cx: x, cy: y });
  }

  function draw() {
    for (const [name, tool] of Object.entries(tools)) {
      const v = state(score.tracks[name], now), seen = v[v.length - 1];
      tool.setAttribute("opacity", seen.toFixed(3));
      if (name === "compasses") standing(tool, v);
      else {
        const turn = v.length === 4 ? ` rotate(${v[2] * 180 / Math.PI})` : "";
        tool.setAttribute("transform", `translate(${v[0]} ${v[1]})${turn}`);
      }
    }
    for (const [path, ink] of inks) {
      const share = done(now, ink.start, ink.end);
      path.style.visibility = now > ink.start ? "visible" : "hidden";
      if (share >= 1) {
        path.removeAttribute("stroke-dasharray");
        path.removeAttribute("stroke-dashoffset");
      } else {
        path.setAttribute("stroke-dasharray", "1");
        path.setAttribute("stroke-dashoffset", 1 - share);
      }
    }
    for (const [g, mark] of marks) g.style.visibility = now >= mark.start ? "visible" : "hidden";
    if (shading) shading.setAttribute("opacity", done(now, ...score.shading).toFixed(3));
    const cue = cueAt(now);
    if (cue !== said) tell(cue);
    $("time").value = now;
    $("time").setAttribute("aria-valuetext", `act ${cue + 1} of ${score.cues.length}`);
    document.body.dataset.at = now.toFixed(2);
    document.body.dataset.ended = String(now >= score.length);
  }

  function cueAt(t) {
    let found = 0;
    score.cues.forEach((cue, i) => { if (cue.start < t - 1e-6) found = i; });
    return found;
  }

  function tell(cue) {
    said = cue;
    $("said").textContent = `${cue + 1}. ${score.cues[cue].text}`;
    items.forEach((li, i) => i === cue ? li.setAttribute("aria-current", "step")
                                       : li.removeAttribute("aria-current"));
  }

  const calm = () => still.matches || $("calm").checked;
  // Without movement the play goes from the end of one act to the end of the next.
  function tick(stamp) {
    if (!playing) return;
    const gone = (stamp - last) / 1000 * speed;
    if (calm()) {
      if (gone >= 2.2) { last = stamp; step(1); }
    } else { last = stamp; go(now + gone); }
    if (now >= score.length) return pause();
    requestAnimationFrame(tick);
  }

  function go(t) { now = Math.min(Math.max(t, 0), score.length); draw(); }
  function step(way) {
    if (way > 0) {
      const next = score.cues.find((cue) => cue.end > now + 1e-6);
      go(next ? next.end : score.length);
      if (!score.cues.some((cue) => cue.end > now + 1e-6)) go(score.length);
    } else {
      const before = score.cues.filter((cue) => cue.start < now - 1e-6);
      go(before.length ? before[before.length - 1].start : 0);
    }
  }
  function play() {
    if (now >= score.length) go(0);
    playing = true; last = performance.now();
    $("play").textContent = "Pause"; requestAnimationFrame(tick);
  }
  function pause() { playing = false; $("play").textContent = "Play"; }
  const toggle = () => playing ? pause() : play();
  function pace(factor) {
    const all = [...$("speed").options], at = $("speed").selectedIndex + factor;
    if (at < 0 || at >= all.length) return;
    $("speed").selectedIndex = at;
    speed = Number($("speed").value);
  }

  // For the wall: the whole screen where the browser allows it, else the whole window.
  function large() {
    const on = document.body.classList.toggle("large");
    $("large").setAttribute("aria-pressed", String(on));
    if (on) document.documentElement.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen();
    fit();
  }
  document.addEventListener("fullscreenchange", () => {
    if (!document.fullscreenElement && document.body.classList.contains("large")) large();
  });

  $("large").onclick = large;
  $("play").onclick = toggle;
  $("next").onclick = () => { pause(); step(1); };
  $("back").onclick = () => { pause(); step(-1); };
  $("first").onclick = () => { pause(); go(0); };
  $("speed").onchange = () => { speed = Number($("speed").value); };
  $("time").oninput = () => { pause(); go(Number($("time").value)); };
  items.forEach((li, i) => {
    li.querySelector("button").onclick = () => { pause(); go(score.cues[i].end); };
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (!$("keys").checked) return;
    const keys = {
      " ": toggle, k: toggle, "+": () => pace(1), "-": () => pace(-1),
      f: large, ArrowRight: $("next").onclick, ArrowLeft: $("back").onclick,
      Home: $("first").onclick, End: () => { pause(); go(score.length); },
    };
    // What has the focus keeps the keys that it understands itself.
    const own = event.target.closest?.("button, select, input");
    const keeps = own && (own.matches("select, [type=range]") || event.key === " ");
    if (!(event.key in keys) || (keeps && !"kf".includes(event.key))) return;
    event.preventDefault(); keys[event.key]();
  });
  const head = document.querySelector("header");
  const strip = document.querySelector(".now");
  function fit() {
    document.body.style.setProperty("--head", head.offsetHeight + "px");
    document.body.style.setProperty("--foot", strip.offsetHeight + "px");
  }
  new ResizeObserver(fit).observe(strip);
  addEventListener("resize", fit); fit();
  document.body.dataset.ready = "true";
  draw();
})();
