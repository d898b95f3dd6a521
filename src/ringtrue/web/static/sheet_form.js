// Shows what follows from a build sheet while it is filled in. Without it the button "Show what follows" does the same.

const form = document.querySelector("form[data-preview]");
const shown = document.getElementById("follows");
const PAUSE = 450;
let waiting = 0;
let asked = 0;

async function follow() {
  const mine = ++asked;
  const said = new URLSearchParams(new FormData(form));
  try {
    const answer = await fetch(form.dataset.preview, { method: "POST", body: said });
    if (!answer.ok || mine !== asked) return;
    // The server writes this part with every text escaped, as it does when the button is pressed.
    shown.innerHTML = await answer.text();
  } catch {
    // No server for the moment: what was typed stays, and the next letter asks again.
  }
}

form.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(follow, PAUSE);
});

const file = document.getElementById("sheet_file");
file.closest("[data-file]").hidden = false;
file.addEventListener("change", async () => {
  if (file.files[0]) document.getElementById("sheet_text").value = await file.files[0].text();
});
