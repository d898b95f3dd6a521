// Shows what follows from a build sheet while it is filled in. Without it the button "Show what follows" does the same.
// What is typed is kept in this browser until it is filed, so that a page that goes loses nothing.

import { draftKey, kept, keep, throwAway } from "./sheet_draft.js";

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

const text = document.getElementById("sheet_text");
const key = draftKey(location.pathname, form.dataset.revision);
const told = document.getElementById("draft");
const typed = () => [...form.elements].filter((each) => each.name && each.type !== "hidden" && each.tagName !== "BUTTON");
const said = () => ({ fields: Object.fromEntries(typed().map((each) => [each.name, each.value])), text: text.value });
const first = JSON.stringify(said());

function remember(sent = false) {
  const now = said();
  if (JSON.stringify(now) === first && !sent) throwAway(key);
  else keep(key, { ...now, sent });
}

function restore(draft) {
  for (const each of typed()) {
    const before = draft.fields?.[each.name];
    if (typeof before !== "string" || before === each.value) continue;
    each.value = before;
    each.closest("details")?.setAttribute("open", "");
  }
  if (typeof draft.text === "string" && draft.text !== text.value) {
    text.value = draft.text;
    text.closest("details").open = true;
  }
}

const draft = kept(key);
if (draft !== null) {
  restore(draft);
  // Shown back by the server after a refusal, it is on the page already.
  if (JSON.stringify(said()) !== first) {
    told.hidden = false;
    follow();
  }
  keep(key, { ...draft, sent: false });
}

document.getElementById("draft_away").addEventListener("click", () => {
  throwAway(key);
  location.replace(location.pathname);
});
for (const each of [form, text.form]) {
  each.addEventListener("input", () => remember());
  each.addEventListener("submit", (event) => remember(event.submitter?.value !== "show"));
}
file.addEventListener("change", () => setTimeout(remember, PAUSE));
