/* Shows that a file is being sent and read, and for how long already. Without it the page only takes its time. */
const busy = document.getElementById("busy");
for (const form of document.querySelectorAll("form[data-takes-time]")) {
  form.addEventListener("submit", () => {
    busy.hidden = false;
    const since = Date.now();
    setInterval(() => {
      document.getElementById("seconds").textContent = String(Math.round((Date.now() - since) / 1000));
    }, 500);
  });
}
window.addEventListener("pageshow", () => { busy.hidden = true; });
