// The queue of the bench: entries are kept on this device first, and sent in order until the site has them.
// Each has an id of its own and a place of its own in the store, so that two tabs can't write over one another
// and whatever is sent twice counts once.
(() => {
  "use strict";
  const WAIT = "onceapart-wait:", KEPT = "onceapart-kept:", BAD = "onceapart-refused:";
  const LAST = "onceapart-last", LOCK = "onceapart-sending";
  const BATCH = 50, PATIENCE = 20000, MOST_KEPT = 1000, KEEP_DAYS = 14;
  const box = window.localStorage;
  const listeners = [];
  let busy = false, fails = 0, timer = 0, size = BATCH, trouble = "";

  const hex = (count) => Array.from(crypto.getRandomValues(new Uint8Array(count)), (one) => one.toString(16).padStart(2, "0")).join("");
  const me = hex(8);

  function all(prefix) {
    const keys = [];
    for (let at = 0; at < box.length; at += 1) if (box.key(at).startsWith(prefix)) keys.push(box.key(at));
    return keys.sort().map((key) => ({ key, ...JSON.parse(box.getItem(key)) }));
  }

  function nextPlace() {
    const place = Math.max(Date.now(), Number(box.getItem(LAST) || 0) + 1);
    box.setItem(LAST, String(place));
    return String(place).padStart(16, "0");
  }

  // Put entries at the end of the queue; false where the store is full or shut, and then none is in it.
  function put(entries) {
    const keys = [];
    try {
      for (const entry of entries) {
        const key = `${WAIT}${nextPlace()}:${entry.id}`;
        keys.push(key);
        box.setItem(key, JSON.stringify({ entry }));
      }
    } catch {
      for (const key of keys) box.removeItem(key);
      return false;
    }
    tell();
    send();
    return true;
  }

  function move(one, prefix, more) {
    const text = JSON.stringify({ entry: one.entry, ...more });
    if (prefix === KEPT) box.removeItem(one.key); // the site has it: that it is shown as done is only nice
    try { box.setItem(prefix + one.key.slice(WAIT.length), text); } catch (error) { if (prefix !== KEPT) throw error; }
    if (prefix !== KEPT) box.removeItem(one.key);
  }

  function tell(answer) {
    for (const listener of listeners) listener(answer);
  }

  function token() {
    const cookie = /(?:^|;\s*)onceapart_csrf=([^;]+)/.exec(document.cookie);
    if (cookie) return decodeURIComponent(cookie[1]);
    try { return JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"]; } catch { return ""; }
  }

  async function post(url, entries) {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), PATIENCE);
    try {
      return await fetch(url, {
        method: "POST", credentials: "same-origin", redirect: "error", signal: stop.signal,
        headers: { "Content-Type": "application/json", "X-CSRFToken": token() }, body: JSON.stringify({ entries }),
      });
    } finally { clearTimeout(late); }
  }

  // One batch; true if there may be more to send.
  async function sendBatch(url) {
    const batch = all(WAIT).slice(0, size);
    if (!batch.length) return false;
    const response = await post(url, batch.map((one) => one.entry));
    if (response.status === 400 || response.status === 413) {
      if (batch.length > 1) { size = 1; return true; }
      move(batch[0], BAD, { why: "the site could not read it" });
      tell();
      return true;
    }
    if (!response.ok) throw new Error(response.status === 403 ? "closed" : "broken");
    const answer = await response.json();
    const by = new Map(answer.answers.map((one) => [one.id, one]));
    let waits = false;
    for (const one of batch) {
      const got = by.get(one.entry.id);
      if (!got || got.state === "later") { waits = true; continue; }
      if (got.state === "kept") move(one, KEPT, { number: got.number, why: got.why || "" });
      else move(one, BAD, { why: got.why });
    }
    size = BATCH;
    tell(answer);
    if (waits) throw new Error("busy");
    return true;
  }

  // One tab sends at a time. That only spares work: in two tabs at once each entry would still count once.
  async function alone(work) {
    if (navigator.locks) return navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => (lock ? work().then(() => true) : false));
    const held = JSON.parse(box.getItem(LOCK) || "null");
    if (held && held.by !== me && held.until > Date.now()) return false;
    box.setItem(LOCK, JSON.stringify({ by: me, until: Date.now() + PATIENCE + 5000 }));
    await new Promise((go) => setTimeout(go, 40));
    if (JSON.parse(box.getItem(LOCK) || "{}").by !== me) return false;
    try { await work(); return true; } finally { box.removeItem(LOCK); }
  }

  async function send() {
    if (busy) return;
    const place = document.getElementById("bench");
    if (!place || !all(WAIT).length) return;
    busy = true;
    clearTimeout(timer);
    let wait = 0;
    try {
      const mine = await alone(async () => { while (await sendBatch(place.dataset.send)) fails = 0; });
      fails = 0;
      trouble = "";
      if (!mine || all(WAIT).length) wait = mine ? 1 : 1500;
    } catch (error) {
      fails += 1;
      trouble = error.message === "closed" ? "closed" : error.message === "broken" ? "broken" : "line";
      wait = Math.min(60000, 1000 * 2 ** Math.min(fails - 1, 6)) * (0.75 + Math.random() / 2);
    }
    busy = false;
    tell();
    if (wait) timer = setTimeout(send, wait);
  }

  function tidy() {
    const kept = all(KEPT), old = Date.now() - KEEP_DAYS * 86400000;
    kept.forEach((one, at) => {
      if (Number(one.key.slice(KEPT.length).split(":")[0]) < old || at < kept.length - MOST_KEPT) box.removeItem(one.key);
    });
  }

  function drop(one) { box.removeItem(one.key); tell(); }

  // Whether this browser keeps anything at all for a page.
  function works() {
    try { box.setItem(`${LAST}-try`, "1"); box.removeItem(`${LAST}-try`); return true; } catch { return false; }
  }

  if (works()) {
    tidy();
    window.addEventListener("online", () => { fails = 0; send(); });
    window.addEventListener("storage", () => tell());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) { fails = 0; send(); } });
    window.benchQueue = {
      put, drop, send: () => { fails = 0; return send(); }, newId: () => hex(8),
      waiting: () => all(WAIT), refused: () => all(BAD),
      // What the site has taken since a page was made, and what it still has to take, in order.
      since: (number) => [...all(KEPT).filter((one) => one.number > number), ...all(WAIT)].sort((a, b) => place(a) - place(b)),
      trouble: () => trouble, listen: (listener) => listeners.push(listener),
    };
    send();
  }
  function place(one) { return Number(one.key.split(":")[1]); }
})();
