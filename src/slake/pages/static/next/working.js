/* Sends the one form of the page at once and shows that something happens. Without it the button does the same. */
const form = document.querySelector("form[data-go-at-once]");
const busy = document.getElementById("busy");
if (form && busy) {
  form.addEventListener("submit", () => {
    busy.hidden = false;
    form.hidden = true;
    const since = Date.now();
    setInterval(() => {
      document.getElementById("seconds").textContent = String(Math.round((Date.now() - since) / 1000));
    }, 500);
  });
  form.requestSubmit();
}
