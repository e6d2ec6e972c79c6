/* Keeps the lines of the notebook in this browser while they are typed, so that a closed tab or a lost connection
   loses nothing. They are let go once they were taken in. */
const kept = `slake-lines ${location.pathname.replace(/(map|notebook)\/$/, "")}`;
const box = document.getElementById("id_lines");
const again = document.getElementById("kept-lines");

function quietly(act) {
  try {
    return act();
  } catch {
    return null; /* no storage here: the page works without */
  }
}

if (box) {
  const before = quietly(() => localStorage.getItem(kept));
  if (!box.value.trim() && before && again) {
    box.value = before;
    again.hidden = false;
    again.querySelector("button").addEventListener("click", () => {
      box.value = "";
      again.hidden = true;
      quietly(() => localStorage.removeItem(kept));
      box.focus();
    });
  }
  const keep = () => quietly(() => localStorage.setItem(kept, box.value));
  box.addEventListener("input", keep);
  if (box.value.trim()) keep();
} else if (document.querySelector("[data-taken-in]")) {
  quietly(() => localStorage.removeItem(kept));
}
