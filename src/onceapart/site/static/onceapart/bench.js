// The bench page with a script: steps are moved through without loading, and what is done is shown at once
// and kept in the queue of this device. Without it every form still works.
(() => {
  "use strict";
  const root = document.getElementById("bench"), queue = window.benchQueue;
  if (!root) return;
  const $ = (id) => document.getElementById(id);
  const stint = root.dataset.stint, number = Number(root.dataset.number);
  const sections = [...root.querySelectorAll(".bench-step")];
  const byNumber = new Map(sections.map((one) => [Number(one.dataset.n), one]));
  const was = new Map(sections.filter((one) => one.dataset.step).map((one) => [one.dataset.step, one.dataset.done === "yes"]));
  const rows = new Map([...root.querySelectorAll("[data-row]")].map((one) => [Number(one.dataset.row), one]));
  const clock = $("clock"), START = /^\s*[+\-−]?\s*(?:[.,]?\d|[½⅓⅔¼¾⅛⅜⅝⅞])/;
  const TWICE = 400; // two presses closer than this are one, with a glove on [ms]
  let pressed = -TWICE, now = new Map(was), shown = Number(root.dataset.shown);

  // Moving through the steps
  function show(n, { focus = true, push = true } = {}) {
    const target = byNumber.get(n);
    if (!target) return;
    shown = n;
    for (const one of sections) one.hidden = one !== target;
    for (const link of root.querySelectorAll(".bench-list [data-go]")) {
      if (Number(link.dataset.go) === n) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
    }
    const list = root.querySelector(".bench-list"), here = list.querySelector("[aria-current]");
    if (here && getComputedStyle(list).overflowY === "auto") list.scrollTop += here.getBoundingClientRect().top - list.getBoundingClientRect().top - 120;
    if (push) history.pushState({ n }, "", `${location.pathname}?step=${n}`);
    if (focus) {
      const head = target.querySelector("h2");
      head.tabIndex = -1;
      head.focus({ preventScroll: true });
      $("step").scrollIntoView({ block: "start" });
    }
  }
  root.addEventListener("click", (event) => {
    const link = event.target.closest("[data-go]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
    event.preventDefault();
    show(Number(link.dataset.go));
  });
  window.addEventListener("popstate", (event) => { if (event.state) show(event.state.n, { push: false }); });
  function named(id) {
    const found = sections.find((one) => one.dataset.step === id);
    return found ? Number(found.dataset.n) : null;
  }
  function firstOpen() {
    const open = sections.find((one) => one.dataset.step && !now.get(one.dataset.step));
    return open ? Number(open.dataset.n) : sections.length - 1;
  }
  window.addEventListener("hashchange", () => {
    const n = named(decodeURIComponent(location.hash.slice(1)));
    if (n) show(n, { push: false });
  });

  // What was laid out is remembered on this device
  for (const tick of root.querySelectorAll("[data-lay]")) {
    const key = `onceapart-laid:${root.dataset.run}:${tick.dataset.lay}`;
    try { tick.checked = localStorage.getItem(key) === "1"; } catch { /* then it is not */ }
    tick.addEventListener("change", () => { try { localStorage.setItem(key, tick.checked ? "1" : "0"); } catch { /* nor here */ } });
  }

  // The clock
  let since = clock.dataset.since, worked = Number(clock.dataset.worked);
  function showClock() {
    const running = since ? Math.max(0, Math.floor((Date.now() - Date.parse(since)) / 60000)) : 0;
    const total = worked + (running < 1440 ? running : 0);
    $("worked").textContent = total < 60 ? `${total} min` : `${Math.floor(total / 60)} h ${String(total % 60).padStart(2, "0")}`;
    const button = clock.querySelector("button");
    button.value = since ? "stopped" : "started";
    button.textContent = since ? "Stop the clock" : "Start the clock";
  }

  if (!queue) return;

  // A time with the zone of this device
  function time() {
    const at = new Date(), off = -at.getTimezoneOffset(), two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
    const local = new Date(at.getTime() + off * 60000).toISOString().slice(0, 19);
    return `${local}${off < 0 ? "-" : "+"}${two(off / 60)}:${two(off % 60)}`;
  }
  const made = (kind, more) => ({ kind, id: queue.newId(), time: time(), ...more });

  function withUnit(input) {
    const text = input.value.trim();
    return /[^\W\d_]|[%°'"′″’”]/u.test(text) ? text : `${text} ${input.dataset.kept}`;
  }

  function entriesOf(section, go) {
    const base = { stint, car: section.dataset.car, step: section.dataset.step }, found = [];
    const words = section.querySelector("[name=words]");
    if (go === "yes" || go === "no") {
      const said = go === "no" && words && words.value.trim() ? { words: words.value.trim() } : {};
      return [made("check answered", { car: base.car, check: base.step.replace(/^check:/, ""), answer: go, ...said })];
    }
    if (go === "ticked") {
      for (const input of section.querySelectorAll("[data-kept]")) {
        if (!input.value.trim()) continue;
        if (input.name === "value") found.push(made("measured", { ...base, value: withUnit(input) }));
        else found.push(made("tightened", { ...base, torque: withUnit(input), fastener: input.dataset.fastener }));
      }
    }
    return [...found, made(go, base)];
  }

  function badBlanks(section) {
    let first = null;
    for (const input of section.querySelectorAll("[data-kept]")) {
      const blank = input.closest(".bench-blank"), bad = input.value.trim() !== "" && !START.test(input.value);
      blank.querySelector(".error")?.remove();
      blank.classList.toggle("has-error", bad);
      input.toggleAttribute("aria-invalid", bad);
      if (!bad) continue;
      const error = document.createElement("p");
      error.className = "error";
      error.setAttribute("role", "alert");
      error.textContent = `“${input.value}”: a value begins with a number; write it as in 9.8 ${input.dataset.unit.replace(" (manual)", "")}`;
      blank.append(error);
      first = first || input;
    }
    if (first) first.focus();
    return first !== null;
  }

  root.addEventListener("submit", (event) => {
    const form = event.target, section = form.closest(".bench-step");
    if (performance.now() - pressed < TWICE) { event.preventDefault(); return; } // the next step came up under the glove
    pressed = performance.now();
    const go = event.submitter ? event.submitter.value : "ticked";
    if (form === clock) {
      if (queue.put([made(go, { stint })])) event.preventDefault();
      return;
    }
    if (!section) return;
    if (go === "ticked" && badBlanks(section)) { event.preventDefault(); return; }
    if (!queue.put(entriesOf(section, go))) return; // no room here: the form goes by itself
    event.preventDefault();
    for (const input of section.querySelectorAll("[data-kept], [name=words]")) input.value = "";
    if (go === "ticked" || go === "yes") show(Math.min(Number(section.dataset.n) + 1, sections.length - 1));
  });

  // What was done here since the page was made goes over what the page says
  function render() {
    now = new Map(was);
    since = clock.dataset.since;
    worked = Number(clock.dataset.worked);
    const values = new Map();
    for (const one of queue.since(number)) {
      const entry = one.entry;
      if (entry.kind === "ticked" || entry.kind === "unticked") {
        if (entry.stint === stint || /^(?:do|measure):/.test(entry.step)) now.set(entry.step, entry.kind === "ticked");
      } else if (entry.kind === "check answered") now.set(`check:${entry.check}`, entry.answer === "yes");
      else if (entry.kind === "measured") values.set(`${entry.step} `, [...(values.get(`${entry.step} `) || []), entry.value]);
      else if (entry.kind === "tightened") values.set(`${entry.step} ${entry.fastener}`, [...(values.get(`${entry.step} ${entry.fastener}`) || []), entry.torque]);
      else if (entry.kind === "started" && entry.stint === stint) since = since || entry.time;
      else if (entry.kind === "stopped" && entry.stint === stint && since) {
        worked += Math.max(0, Math.round((Date.parse(entry.time) - Date.parse(since)) / 60000));
        since = "";
      }
    }
    for (const section of sections) {
      if (!section.dataset.step) continue;
      const done = now.get(section.dataset.step) === true, row = rows.get(Number(section.dataset.n));
      section.querySelector("[data-is-done]").hidden = !done;
      const tick = section.querySelector("button[value=ticked]"), back = section.querySelector("button[value=unticked]");
      if (tick) {
        tick.hidden = done && !section.querySelector("[data-kept]");
        tick.textContent = done ? "Note it" : "Done";
        back.hidden = !done;
      }
      const next = section.querySelector("[data-next]");
      if (next) next.hidden = !done;
      const skip = section.querySelector("[data-skip]");
      if (skip && tick) skip.hidden = done;
      row.classList.toggle("is-done", done);
      row.querySelector("em").textContent = done ? "done" : "";
      const first = section.querySelector("[data-first]");
      if (first) first.hidden = done || first.dataset.first.trim().split(" ").every((n) => now.get(byNumber.get(Number(n))?.dataset.step));
      for (const input of section.querySelectorAll("[data-kept]")) {
        const here = values.get(`${section.dataset.step} ${input.dataset.fastener}`), place = input.closest(".bench-blank").querySelector("[data-values]");
        place.dataset.before = place.dataset.before ?? place.textContent;
        place.textContent = here ? `${place.dataset.before || "Noted:"} ${here.join(", ")}` : place.dataset.before;
      }
    }
    $("done-count").textContent = String([...now].filter(([step, done]) => done && was.has(step)).length);
    showClock();
    showQueue();
    showRefused();
  }

  function showQueue() {
    const waiting = queue.waiting(), trouble = queue.trouble();
    $("queue").hidden = !waiting.length;
    $("queue-count").textContent = String(waiting.length);
    $("queue-why").textContent = trouble === "closed"
      ? "The site wants you to come in again, or the page is too old: open it anew. Nothing is lost."
      : trouble === "broken" ? "The site had trouble with it and is asked again. Nothing is lost."
      : "Kept on this device, and sent as soon as the line is there.";
    const cars = new Set(waiting.map((one) => one.entry.car).filter(Boolean));
    for (const place of root.querySelectorAll("[data-standing]")) {
      if (!cars.has(place.dataset.standing)) continue;
      place.textContent = "release not known until all is sent";
    }
  }

  // Entries that the site would not take: to be mended, or dropped with a word
  function words(entry) {
    const what = entry.step || entry.check || entry.stint || "";
    return [entry.kind, what, entry.value || entry.torque || entry.answer || "", entry.words || ""].filter(Boolean).join(" ");
  }
  function showRefused() {
    const place = $("refused"), refused = queue.refused();
    place.hidden = !refused.length;
    if (place.dataset.of === refused.map((one) => one.key).join()) return;
    place.dataset.of = refused.map((one) => one.key).join();
    place.replaceChildren(...refused.map((one, at) => {
      const box = document.createElement("section"), key = one.entry.value ? "value" : one.entry.torque ? "torque" : "";
      box.className = "problems";
      box.setAttribute("role", "alert");
      const head = document.createElement("h2"), what = document.createElement("p"), why = document.createElement("p");
      head.textContent = "Not taken";
      what.textContent = words(one.entry);
      why.className = "strong";
      why.textContent = one.why;
      const field = (id, label, value) => {
        const line = document.createElement("div"), name = document.createElement("label"), input = document.createElement("input");
        line.className = "field";
        name.htmlFor = input.id = id;
        name.textContent = label;
        input.value = value;
        input.autocomplete = "off";
        line.append(name, input);
        return [line, input];
      };
      const button = (text, plain, press) => {
        const made = document.createElement("button");
        made.type = "button";
        made.className = plain ? "button is-plain" : "button";
        made.textContent = text;
        made.addEventListener("click", press);
        return made;
      };
      const bar = document.createElement("div");
      bar.className = "toolbar";
      const parts = [head, what, why];
      if (key) {
        const [line, input] = field(`mend-${at}`, "Mended", one.entry[key]);
        parts.push(line);
        bar.append(button("Send it mended", false, () => {
          if (!START.test(input.value)) { input.focus(); return; }
          if (queue.put([{ ...one.entry, id: queue.newId(), [key]: input.value.trim() }])) queue.drop(one);
        }));
      } else bar.append(button("Try once more", false, () => { if (queue.put([{ ...one.entry, id: queue.newId() }])) queue.drop(one); }));
      const [line, input] = field(`drop-${at}`, "Or drop it: why?", "");
      parts.push(line);
      bar.append(button("Drop it", true, () => {
        if (!input.value.trim()) { input.focus(); return; }
        const car = one.entry.car ? { car: one.entry.car } : {};
        if (queue.put([made("noted", { ...car, words: `Dropped: ${words(one.entry)}. ${input.value.trim()}`.slice(0, 2000) })])) queue.drop(one);
      }));
      box.append(...parts, bar);
      return box;
    }));
  }

  // Something is wrong, and there is no line: a snag goes into the queue too
  const snagForm = $("snag-offline");
  root.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-snag]");
    if (!link || navigator.onLine || !snagForm) return;
    event.preventDefault();
    const section = link.closest(".bench-step");
    const form = snagForm.content.firstElementChild.cloneNode(true);
    section.querySelector(".snag-offline")?.remove();
    section.append(form);
    form.querySelector("input, textarea").focus();
    form.addEventListener("submit", (sent) => {
      sent.preventDefault();
      sent.stopPropagation();
      const kind = form.querySelector("[name=snag]:checked");
      if (!kind) { form.querySelector("[name=snag]").focus(); return; }
      const told = form.querySelector("[name=words]").value.trim();
      const entry = made("snag opened", { car: section.dataset.car, step: section.dataset.step, snag: kind.value, ...(told ? { words: told } : {}) });
      if (!queue.put([entry])) return;
      form.remove();
      say("Noted on this device. The ways on come up as soon as the line is there.");
    });
  });

  function say(text, url) {
    const place = $("said");
    place.hidden = false;
    place.textContent = text;
    if (url) {
      const link = document.createElement("a");
      link.href = url;
      link.textContent = "Ways on";
      place.append(" ", link);
    }
  }

  queue.listen((answer) => {
    if (answer) {
      for (const [car, html] of Object.entries(answer.standing)) {
        for (const place of root.querySelectorAll("[data-standing]")) if (place.dataset.standing === car) place.innerHTML = html;
      }
      for (const url of Object.values(answer.snags)) say("The snag is noted.", url);
      const doubts = answer.answers.filter((one) => one.state === "kept" && one.why);
      if (doubts.length) say(doubts.map((one) => `Entry ${one.number}: ${one.why}.`).join(" "));
    }
    render();
  });
  $("queue-send").addEventListener("click", () => queue.send());
  render();
  setInterval(showClock, 15000);
  const asked = new URLSearchParams(location.search).get("step");
  const start = named(decodeURIComponent(location.hash.slice(1))) ?? (asked !== null && byNumber.has(Number(asked)) ? Number(asked)
    : [...now.values()].some(Boolean) ? firstOpen() : shown);
  history.replaceState({ n: start }, "", location.href);
  if (start !== shown) show(start, { focus: false, push: false });

  // The page opens without a line too, where the browser lets it
  const worker = document.querySelector("meta[name=bench-worker]");
  if (worker && window.isSecureContext && "serviceWorker" in navigator) {
    navigator.serviceWorker.register(worker.content, { scope: "/bench/" }).then(() => navigator.serviceWorker.ready).then((ready) => {
      const files = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]")].map((one) => one.href || one.src);
      ready.active.postMessage({ keep: ["/bench/", location.pathname, ...files] });
    }).catch(() => { /* then it opens only with a line */ });
  }
})();
