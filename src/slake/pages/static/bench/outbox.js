// The outbox: every entry is kept on this device first and sent in order when the laptop answers.
// Plain http has no service worker and no crypto; only what every page has is used here.
"use strict";

const Outbox = (() => {
  const PREFIX = "slake.entry.";
  const AT_ONCE = 20;
  const ANSWER_WITHIN_MS = 20000;
  const memory = new Map();
  let durable = true;
  let sending = false;
  let timer = 0;
  let wait_ms = 2000;
  let alone = false;
  const trouble = new Map();
  const listeners = { changed: () => {}, answered: () => {}, told: () => {} };

  function keep(entry) {
    const text = JSON.stringify(entry);
    try {
      localStorage.setItem(PREFIX + entry.id, text);
      memory.delete(entry.id);
    } catch (refused) {
      durable = false;
      memory.set(entry.id, text);
    }
  }

  function forget(id) {
    memory.delete(id);
    try { localStorage.removeItem(PREFIX + id); } catch (refused) { /* only memory is there */ }
  }

  function all() {
    const texts = [...memory.values()];
    try {
      for (let i = 0; i < localStorage.length; i += 1) {
        const key = localStorage.key(i);
        if (key.startsWith(PREFIX)) texts.push(localStorage.getItem(key));
      }
    } catch (refused) { durable = false; }
    const found = [];
    for (const text of texts) {
      try { found.push(JSON.parse(text)); } catch (broken) { /* another tab is just taking it away */ }
    }
    return found.sort((a, b) => a.at - b.at || a.turn - b.turn || (a.id < b.id ? -1 : 1));
  }

  const waiting = () => all().filter((entry) => !entry.refused);
  const refused = () => all().filter((entry) => entry.refused);

  let turn = 0;
  function add(entry) {
    turn += 1;
    forget_copies(entry);
    const chance = Math.random().toString(36).slice(2, 12);
    keep({ ...entry, id: `t${Date.now().toString(36)}.${turn}.${chance}`, at: Date.now(), turn });
    listeners.changed();
    send();
  }

  // The same thing sent again stands in for the copy of it that came back: one to mend, not a pile.
  function forget_copies(entry) {
    const content = ({ url, kind, typed, rows }) => JSON.stringify([url, kind, typed, rows]);
    for (const one of refused()) if (content(one) === content(entry)) forget(one.id);
  }

  function again(id, typed, rows) {
    const entry = all().find((one) => one.id === id);
    if (!entry) return;
    keep({ ...entry, typed, rows, refused: "" });
    listeners.changed();
    send();
  }

  function drop(id) {
    forget(id);
    listeners.changed();
  }

  function refuse(id, sentence) {
    const entry = all().find((one) => one.id === id);
    if (entry) keep({ ...entry, refused: sentence });
  }

  function token() {
    const found = document.cookie.split("; ").find((part) => part.startsWith("slake_csrf="));
    const field = document.querySelector("input[name=csrfmiddlewaretoken]");
    return found ? found.slice("slake_csrf=".length) : (field ? field.value : "");
  }

  async function ask(url, options) {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), ANSWER_WITHIN_MS);
    try {
      const answer = await fetch(url, { credentials: "same-origin", cache: "no-store", redirect: "manual", signal: stop.signal, ...options });
      const is_json = (answer.headers.get("Content-Type") || "").includes("json");
      return { status: answer.status, body: is_json ? await answer.json() : null, elsewhere: answer.type === "opaqueredirect" };
    } catch (unreachable) {
      return null;
    } finally {
      clearTimeout(late);
    }
  }

  function post(url, entries) {
    const parts = entries.map(({ id, kind, at, typed, rows }) => ({ id, kind, at, typed, rows }));
    return ask(url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
      body: JSON.stringify({ sent: Date.now(), entries: parts }),
    });
  }

  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    try {
      while (waiting().length) {
        const queue = waiting();
        const url = queue[0].url;
        const batch = queue.filter((entry) => entry.url === url).slice(0, alone ? 1 : AT_ONCE);
        if (!take(await post(url, batch), batch, url)) return later();
      }
      wait_ms = 2000;
      alone = false;
    } finally {
      sending = false;
    }
  }

  // True when the queue moved on.
  function take(answer, batch, url) {
    if (answer === null) { listeners.told(""); return false; }
    if (answer.status === 200 && answer.body && answer.body.entries) {
      for (const one of answer.body.entries) {
        if (one.ok) forget(one.id); else refuse(one.id, one.sentence);
      }
      listeners.told("");
      listeners.answered(answer.body, url);
      listeners.changed();
      return answer.body.entries.length > 0;
    }
    if (answer.elsewhere || answer.status === 401 || answer.status === 403) {
      listeners.told("The laptop does not know this tablet any more: open slake's first page on it, then come back here.");
      return false;
    }
    if (answer.status === 404) {
      for (const entry of batch) refuse(entry.id, "the laptop has no such batch now: note it elsewhere, then drop it here");
      listeners.changed();
      return true;
    }
    if (answer.status === 429) { wait_ms = 30000; return false; }
    return spoiled(answer, batch);
  }

  // The laptop answered, but not to this: find the one entry by sending them singly, and give it back.
  function spoiled(answer, batch) {
    alone = true;
    if (batch.length > 1) return true;
    const id = batch[0].id;
    const times = (trouble.get(id) || 0) + 1;
    trouble.set(id, times);
    if (answer.status !== 422 && answer.status !== 413 && times < 3) return false;
    const said = answer.body && answer.body.sentence;
    refuse(id, said || "the laptop could not take this: change it, or note it elsewhere and drop it");
    alone = false;
    listeners.changed();
    return true;
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(send, wait_ms);
    wait_ms = Math.min(wait_ms * 1.6, 20000);
  }

  window.addEventListener("online", () => { wait_ms = 2000; send(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  window.addEventListener("storage", () => listeners.changed());
  window.addEventListener("beforeunload", (event) => { if (memory.size) event.preventDefault(); });

  return { add, again, drop, send, ask, waiting, refused, listeners, is_durable: () => durable };
})();
