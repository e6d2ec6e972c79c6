// The bench page: forms go to the outbox, the changing parts are put in as the laptop sends them,
// the clock ticks, and the weigh card shows one amount at a time. Without this script every form posts by itself.
"use strict";

(() => {
  const bench = document.getElementById("bench");
  const box = document.getElementById("outbox");
  const LOOK_EVERY_MS = 15000;
  const UNDER_ALARM_PX = 90; // the alarm bar lies over what is above this
  const BRIEF_MS = 500; // an answer within this time needs no word
  const ASIDE = ["instrument", "shows"]; // goes along with what was typed, is nothing typed
  const shown = new Map();
  let left_g = "";
  let told = "";
  let step = 0;
  let step_again = false;
  let ahead_ms = 0;

  const part = (name) => bench.querySelector(`[data-live="${name}"]`);
  const grams = (text) => Number(String(text).trim().replace(",", "."));
  const plain = (number) => number.toFixed(1);
  const make = (tag, text, className) => {
    const element = document.createElement(tag);
    if (text) element.textContent = text;
    if (className) element.className = className;
    return element;
  };
  const mine = () => Outbox.waiting().filter((entry) => entry.url === bench.dataset.entries);

  // ---- a form becomes an entry
  function label_of(field) {
    const group = field.type === "checkbox" || field.type === "radio" ? field.closest("fieldset") : null;
    const label = (group && group.querySelector("legend")) || (field.labels && field.labels[0]);
    return label ? label.textContent.trim() : field.name;
  }

  function read(form) {
    const typed = {};
    const rows = new Map();
    const labels = {};
    for (const field of form.elements) {
      if (!field.name || ["csrfmiddlewaretoken", "entry", "kind", "revision"].includes(field.name)) continue;
      if ((field.type === "checkbox" || field.type === "radio") && !field.checked) continue;
      const row = /^row(\d+)-(.+)$/.exec(field.name);
      if (row) {
        if (!rows.has(row[1])) rows.set(row[1], {});
        rows.get(row[1])[row[2]] = field.value;
      } else {
        typed[field.name] = field.name in typed ? `${typed[field.name]}, ${field.value}` : field.value;
      }
      if (field.type !== "hidden" && !ASIDE.includes(field.name)) labels[field.name] = label_of(field);
    }
    const filled = [...rows.values()].filter((row) => Object.values(row).some((text) => text.trim()));
    return { typed, rows: filled, labels };
  }

  function is_blank(form, entry) {
    const asked = [...form.elements].some((field) => field.name && field.type !== "hidden" && field.name !== "late");
    if (!asked) return false;
    const said = Object.keys(entry.labels).some((name) => name !== "late" && name !== "why" && (entry.typed[name] || "").trim());
    return !said && !entry.rows.length;
  }

  function words_of(form, entry) {
    const visible = Object.keys(entry.labels).filter((name) => name in entry.typed && name !== "late" && entry.typed[name].trim());
    const said = visible.map((name) => entry.typed[name]).join(", ");
    const rows = entry.rows.map((row) => Object.values(row).join(" → ")).join("; ");
    return [form.dataset.words, said, rows].filter(Boolean).join(" ");
  }

  function on_submit(event) {
    const form = event.target;
    if (form.hasAttribute("data-left")) {
      event.preventDefault();
      left_g = form.elements.left_g.value;
      look();
      return;
    }
    if (!form.dataset.kind) return;
    event.preventDefault();
    const entry = read(form);
    const button = form.querySelector("button[type=submit]");
    if (button.disabled) return;
    if (form.dataset.kind === "undo" && undo_here(form)) return;
    if (is_blank(form, entry)) {
      const first = [...form.elements].find((field) => field.name && field.type !== "hidden");
      first.placeholder = "type it here";
      first.focus();
      return;
    }
    button.disabled = true;
    setTimeout(() => { button.disabled = false; }, 700);
    if (form.dataset.kind === "reading") left_g = "";
    Outbox.add({ url: bench.dataset.entries, batch: bench.dataset.batch, kind: form.dataset.kind, words: words_of(form, entry), ...entry });
    after_keeping(form, entry);
  }

  // A pour that still waits here is undone by not sending it. True where nothing is left to send.
  function undo_here(form) {
    const pour = mine().filter((entry) => entry.kind === "weigh").pop();
    if (pour) {
      step = Number(pour.typed.order);
      Outbox.drop(pour.id);
      show_step();
      step_into_view();
    }
    return Boolean(pour) || !form.elements.row;
  }

  function after_keeping(form, entry) {
    if (["rescale", "accept", "undo"].includes(form.dataset.kind)) step_again = true;
    for (const name of ASIDE) if (name in entry.typed) choose_again(form, name, entry.typed[name]);
    form.reset();
    for (const field of form.querySelectorAll("input[type=text]")) field.value = "";
    if (form.dataset.kind === "weigh") walk_on(Number(entry.typed.order));
    if (form.dataset.kind === "knead") document.getElementById("read").scrollIntoView({ block: "start" });
    const late = form.querySelector("details.was");
    if (late) late.open = false;
    const around = form.closest("details:not(.pad)");
    if (around && ["bowl", "take", "step"].includes(form.dataset.kind)) around.open = false;
    const pad = form.closest("details.pad");
    if (pad) {
      pad.open = false;
      document.getElementById("read").scrollIntoView({ block: "start" });
    }
  }

  // What was chosen once stays chosen: the instrument in its form, how the scale is read in all of them.
  function choose_again(form, name, value) {
    const forms = name === "shows" ? bench.querySelectorAll("form[data-kind=weigh]") : [form];
    for (const one of forms) {
      for (const field of one.querySelectorAll(`input[name=${name}]`)) field.defaultChecked = field.checked = field.value === value;
    }
  }

  // ---- the outbox as people see it
  function show_outbox() {
    const waiting = Outbox.waiting();
    const refused = Outbox.refused();
    const brief = waiting.every((entry) => Date.now() - entry.at < BRIEF_MS) && !refused.length && !told;
    if (waiting.length && brief) setTimeout(show_outbox, BRIEF_MS);
    box.hidden = brief;
    box.classList.toggle("bad", refused.length > 0 || Boolean(told));
    box.querySelector(".kept").textContent = [kept_words(waiting, refused), told].filter(Boolean).join(" ");
    const list = box.querySelector(".waiting");
    list.replaceChildren(...waiting.map((entry) => make("li", entry_words(entry))));
    const place = box.querySelector(".refused");
    const there = new Map([...place.children].map((form) => [form.dataset.id, form]));
    const kept = refused.map((entry, n) => {
      const fold = there.get(entry.id);
      return fold && fold.dataset.sentence === entry.refused ? fold : mending(entry, n);
    });
    if (kept.length !== place.children.length || kept.some((form, i) => form !== place.children[i])) place.replaceChildren(...kept);
    show_pours();
    tick();
  }

  function kept_words(waiting, refused) {
    const where = Outbox.is_durable() ? "Kept on this tablet" : "Kept only while this page stays open";
    const parts = [];
    if (waiting.length) parts.push(`${waiting.length} waiting`);
    if (refused.length) parts.push(`${refused.length} to mend`);
    return parts.length ? `${where}, ${parts.join(", ")}.` : "";
  }

  function entry_words(entry) {
    const other = entry.url === bench.dataset.entries ? "" : ` (batch ${entry.batch})`;
    const at = new Date(entry.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
    return `${at} ${entry.words}${other}`;
  }

  // One entry to mend, folded but for the first; each field is of the kind it is on the page.
  function mending(entry, n) {
    const fold = make("details");
    fold.open = n === 0;
    fold.dataset.id = entry.id;
    fold.dataset.sentence = entry.refused;
    const form = make("form");
    fold.append(make("summary", `To mend: ${entry_words(entry)}`), make("p", sentence(entry.refused), "mend"), form);
    const like = source_of(entry);
    const fields = [];
    for (const [name, text] of Object.entries(entry.typed)) {
      if (name in entry.labels) fields.push(field(form, entry.labels[name], text, { name, like: like && like.elements[name] }));
    }
    entry.rows.forEach((row, i) => {
      for (const [name, text] of Object.entries(row)) fields.push(field(form, `${name.replaceAll("_", " ")}, row ${i + 1}`, text, { name, row: i, like: like && like.elements[`row1-${name}`] }));
    });
    const go = make("div", "", "go");
    const drop = make("button", "Drop it", "second");
    drop.type = "button";
    drop.addEventListener("click", () => Outbox.drop(entry.id));
    go.append(make("button", "Send again"), drop);
    form.append(go);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const typed = { ...entry.typed };
      const rows = entry.rows.map((row) => ({ ...row }));
      for (const { now, place } of fields) {
        if (place.row === undefined) typed[place.name] = now(); else rows[place.row][place.name] = now();
      }
      Outbox.again(entry.id, typed, rows);
    });
    return fold;
  }

  // The form of this page an entry came from: same kind, same test and amount.
  function source_of(entry) {
    const same = (form) => ["test", "order"].every((name) => {
      const input = form.elements[name];
      return !input || input.type !== "hidden" || input.value === entry.typed[name];
    });
    return [...bench.querySelectorAll(`form[data-kind="${entry.kind}"]`)].find(same);
  }

  function field(form, label, text, place) {
    if (place.like instanceof RadioNodeList || (place.like && place.like.type === "checkbox")) return choices(form, label, text, place);
    const around = make("label", label);
    const input = place.like && place.like.tagName === "SELECT" ? place.like.cloneNode(true) : make("input");
    if (input.tagName !== "SELECT") {
      input.type = "text";
      input.autocomplete = "off";
      if (place.like && place.like.inputMode) input.inputMode = place.like.inputMode;
    }
    input.removeAttribute("id");
    input.value = text;
    around.append(input);
    form.append(around);
    return { now: () => input.value, place };
  }

  function choices(form, label, text, place) {
    const around = make("fieldset", "", "choices");
    around.append(make("legend", label));
    const said = text.split(", ");
    const options = place.like instanceof RadioNodeList ? [...place.like] : [place.like];
    const inputs = options.map((option) => {
      const one = make("label", "", "choice");
      const input = make("input");
      input.type = option.type;
      input.name = `mend-${form.parentElement.dataset.id}-${place.name}`;
      input.value = option.value;
      input.checked = said.includes(option.value);
      one.append(input, ` ${option.labels[0] ? option.labels[0].textContent.trim() : option.value}`);
      around.append(one);
      return input;
    });
    form.append(around);
    return { now: () => inputs.filter((input) => input.checked).map((input) => input.value).join(", "), place };
  }

  const sentence = (text) => (text ? `${text[0].toUpperCase()}${text.slice(1)}.` : "");

  // ---- the changing parts
  function put_in({ parts, now_s }) {
    for (const [name, html] of Object.entries(parts)) {
      const place = part(name);
      if (!place || shown.get(name) === html) continue;
      shown.set(name, html);
      const kept = [...place.querySelectorAll("input[id]")].filter((input) => input.type === "text" && input.value && input.value !== input.defaultValue).map((input) => [input.id, input.value]);
      const open = [...place.querySelectorAll("details[open]")].map((details) => details.querySelector("input[id]")).filter(Boolean).map((input) => input.id);
      const focus = place.contains(document.activeElement) ? document.activeElement.id : "";
      const was_empty = !place.firstElementChild;
      place.innerHTML = html;
      if (name === "over" && was_empty && place.firstElementChild) place.scrollIntoView({ block: "start" });
      for (const id of open) { const input = document.getElementById(id); if (input && input.closest("details")) input.closest("details").open = true; }
      for (const [id, value] of kept) { const input = document.getElementById(id); if (input) input.value = value; }
      if (focus && document.getElementById(focus)) document.getElementById(focus).focus({ preventScroll: true });
    }
    const again = step_again;
    if (again) { step_again = false; step = 0; }
    show_step();
    show_pours();
    if (again) step_into_view();
    set_clock(now_s);
  }

  async function look() {
    if (Outbox.waiting().length) { Outbox.send(); return; }
    const answer = await Outbox.ask(`${bench.dataset.now}?left_g=${encodeURIComponent(left_g)}`, {});
    if (answer && answer.status === 200 && answer.body) put_in(answer.body);
  }

  // ---- the clock
  // How far this device's clock is ahead of the laptop's.
  function set_clock(now_s) {
    ahead_ms = Date.now() - Number(now_s) * 1000;
    bench.dataset.aheadMs = String(ahead_ms);
    tick();
  }

  function tick() {
    const clock = bench.querySelector(".clock");
    if (!clock) return;
    const age = clock.querySelector(".age");
    const started = clock.dataset.water ? Number(clock.dataset.water) * 1000 + ahead_ms : waiting_water();
    if (!started || !age) return;
    const minutes = Math.max(0, Math.floor((Date.now() - started) / 60000));
    age.hidden = false;
    age.textContent = minutes < 180 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
    const form = clock.querySelector("form");
    if (form) form.hidden = true;
  }

  function waiting_water() {
    const started = mine().find((entry) => entry.kind === "clock");
    const late = started ? grams(started.typed.late || "0") || 0 : 0;
    if (!started) { const form = bench.querySelector(".clock form"); if (form) form.hidden = false; }
    return started ? started.at - late * 60000 : 0;
  }

  // ---- one amount at a time
  const steps = () => [...bench.querySelectorAll(".step")];

  function show_step() {
    const list = steps();
    if (!list.length) return;
    const next = Number(bench.querySelector(".card-steps").dataset.next);
    if (!step) step = next || list.length;
    for (const one of list) one.classList.toggle("shown", Number(one.dataset.order) === step);
    for (const link of bench.querySelectorAll(".track a")) {
      if (Number(link.dataset.step) === step) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
    }
    bench.querySelector(".walk").hidden = list.length < 2;
  }

  // After an undo or a choice the card is another one: where the amount to weigh now is out of sight, go to it.
  function step_into_view() {
    const now = bench.querySelector(".step.shown form");
    if (!now || !now.checkVisibility()) return;
    const { top, bottom } = now.getBoundingClientRect();
    if (top < UNDER_ALARM_PX || bottom > window.innerHeight) bench.querySelector(".track").scrollIntoView({ block: "start" });
  }

  function walk(by) {
    const orders = steps().map((one) => Number(one.dataset.order));
    const at = Math.min(Math.max(orders.indexOf(step) + by, 0), orders.length - 1);
    step = orders[at];
    show_step();
  }

  function on_click(event) {
    const by = event.target.closest("[data-walk]");
    const to = event.target.closest("[data-step]");
    if (by) walk(Number(by.dataset.walk));
    if (!to) return;
    event.preventDefault();
    step = Number(to.dataset.step);
    show_step();
  }

  // Grams of each amount that wait here. A total with bowl counts from what the scale showed before it.
  function kept_pours() {
    const kept = new Map();
    let under = Number(bench.querySelector(".bowls").dataset.under || 0);
    for (const entry of mine()) {
      if (entry.kind !== "weigh") continue;
      const typed = Math.max(0, grams(entry.typed.grams) || 0);
      const poured = entry.typed.shows === "total" ? Math.max(0, typed - under) : typed;
      const order = Number(entry.typed.order);
      under += poured;
      kept.set(order, (kept.get(order) || 0) + poured);
    }
    return kept;
  }
  const kept_grams = (order) => kept_pours().get(order) || 0;

  const off_by = (one, kept) => Number(one.dataset.inbowl) + kept - Number(one.dataset.target);

  // The next amount that still wants something: after a rescale or an undo it need not be the one that follows.
  function walk_to_open(order) {
    const pours = kept_pours();
    const order_of = (one) => Number(one.dataset.order);
    const open = steps().filter((one) => off_by(one, pours.get(order_of(one)) || 0) < -Number(one.dataset.within));
    const next = open.find((one) => order_of(one) > order) || open[0];
    if (next) { step = order_of(next); show_step(); } else walk(1);
  }

  function walk_on(order) {
    const one = steps().find((element) => Number(element.dataset.order) === order);
    const off = off_by(one, kept_grams(order));
    if (Math.abs(off) <= Number(one.dataset.within)) walk_to_open(order);
    else if (off > 0 && off <= Number(one.dataset.within) + Number(one.dataset.spare)) walk_to_open(order);
    if (off > Number(one.dataset.within) + Number(one.dataset.spare)) one.querySelector(".poured").scrollIntoView({ block: "center" });
  }

  function show_pours() {
    let all = 0;
    const pours = kept_pours();
    for (const one of steps()) {
      const kept = pours.get(Number(one.dataset.order)) || 0;
      all += kept;
      const place = one.querySelector(".poured");
      if (place.dataset.plain === undefined) place.dataset.plain = place.textContent.trim();
      const off = off_by(one, kept);
      const over = kept && off > Number(one.dataset.within) + Number(one.dataset.spare) ? ` ${plain(off)} g too much: stop here, the new grams come when the laptop answers.` : "";
      place.textContent = kept ? `${place.dataset.plain} Kept here: ${plain(kept)} g.${over}` : place.dataset.plain;
    }
    const also = bench.querySelector(".alsokept");
    const undo = bench.querySelector(".undoing form[data-only-kept]");
    if (undo) undo.hidden = !all;
    if (also) also.textContent = all ? `and ${plain(all)} g kept here` : "";
  }

  // ---- go
  Outbox.listeners.changed = show_outbox;
  Outbox.listeners.told = (text) => { if (told !== text) { told = text; show_outbox(); } };
  Outbox.listeners.answered = (state, url) => { if (url === bench.dataset.entries) put_in(state); };
  bench.addEventListener("submit", on_submit);
  bench.addEventListener("click", on_click);
  window.addEventListener("online", look);
  setInterval(tick, 5000);
  setInterval(() => { if (!document.hidden) look(); }, LOOK_EVERY_MS);
  set_clock(bench.dataset.nowS);
  show_step();
  show_outbox();
  Outbox.send();
})();
