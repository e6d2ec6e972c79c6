// The alarm of the timed step that is next: minutes to go, a colour bar when its time has come, and a sound once
// somebody has touched the page. Without this script the times stand printed as they are.
"use strict";

(() => {
  const bench = document.getElementById("bench");
  const button = document.querySelector("[data-sound]");
  const bar = document.querySelector("[data-alarm]");
  const QUIET = "slake.quiet";
  const AGAIN_MS = 15000;
  const MOST_TIMES = 6;
  const title = document.title;
  let sound = null;
  let quiet = false;
  let rung = { key: "", times: 0, at: 0 };

  try { quiet = localStorage.getItem(QUIET) === "1"; } catch (refused) { quiet = false; }

  // A browser lets a page sound only after a touch or a key.
  function wake() {
    const Sound = window.AudioContext || window.webkitAudioContext;
    if (!sound && Sound) sound = new Sound();
    if (sound && sound.state === "suspended") sound.resume();
  }

  function ring() {
    if (!sound || quiet || sound.state !== "running") return;
    for (const [after, pitch] of [[0, 880], [0.3, 660], [0.6, 880]]) {
      const tone = sound.createOscillator();
      const loud = sound.createGain();
      tone.frequency.value = pitch;
      loud.gain.setValueAtTime(0.25, sound.currentTime + after);
      loud.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + after + 0.25);
      tone.connect(loud).connect(sound.destination);
      tone.start(sound.currentTime + after);
      tone.stop(sound.currentTime + after + 0.26);
    }
  }

  const said = (minutes) => (minutes < 180 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`);
  const kept = (step) => Outbox.waiting().some((entry) => entry.kind === "step" && entry.typed.step === step && entry.url === bench.dataset.entries);

  function look() {
    const part = bench.querySelector(".timed");
    const togo = part && part.querySelector(".togo");
    if (!togo || !part.dataset.due) { document.title = title; bar.hidden = true; return; }
    const left_ms = Number(part.dataset.due) * 1000 + Number(bench.dataset.aheadMs || 0) - Date.now();
    const waits = kept(part.dataset.key);
    const over = left_ms <= 0 && !waits;
    togo.textContent = waits ? "kept as done" : left_ms > 0 ? `in ${said(Math.ceil(left_ms / 60000))}` : `time is up since ${said(Math.floor(-left_ms / 60000))}`;
    part.classList.toggle("over", over);
    bar.hidden = !over || in_sight(part);
    bar.textContent = `${part.dataset.words}: ${togo.textContent}`;
    document.title = over ? `! ${part.dataset.words} · ${title}` : title;
    if (over) ring_for(`${part.dataset.key} ${part.dataset.due}`);
  }

  function in_sight(part) {
    const { top, bottom } = part.getBoundingClientRect();
    return bottom > 0 && top < window.innerHeight;
  }

  function ring_for(key) {
    if (rung.key !== key) rung = { key, times: 0, at: 0 };
    if (rung.times >= MOST_TIMES || Date.now() - rung.at < AGAIN_MS) return;
    rung = { key, times: rung.times + 1, at: Date.now() };
    ring();
  }

  function show_button() {
    button.hidden = false;
    button.textContent = quiet ? "Alarm sound is off" : "Alarm sound is on";
    button.setAttribute("aria-pressed", String(!quiet));
  }

  button.addEventListener("click", () => {
    quiet = !quiet;
    try { localStorage.setItem(QUIET, quiet ? "1" : ""); } catch (refused) { /* it holds while the page is open */ }
    show_button();
    ring();
  });
  document.addEventListener("pointerdown", wake);
  document.addEventListener("keydown", wake);
  show_button();
  setInterval(look, 1000);
  look();
})();
