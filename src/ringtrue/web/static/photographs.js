// Sends photographs as they are. Each is kept in the phone's own store first, under a key of its own, so that a lost line, a
// reload or a closed page loses none and none is kept twice.

const box = document.getElementById("waiting");
const test = box.dataset.test;
const largest = Number(box.dataset.largest);
const kinds = box.dataset.kinds.split(",");
const STORE = "photographs";
const LONG_EDGE = 1600;
const AGAIN = 4000;

function asked(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

let opening;
function database() {
  opening ??= new Promise((done, failed) => {
    const request = indexedDB.open("ringtrue-photographs", 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "key" });
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  return opening;
}

async function change(work) {
  const written = (await database()).transaction(STORE, "readwrite", { durability: "strict" });
  work(written.objectStore(STORE));
  await new Promise((done, failed) => {
    written.oncomplete = done;
    written.onabort = written.onerror = () => failed(written.error);
  });
}

async function waiting() {
  const looked = (await database()).transaction(STORE).objectStore(STORE);
  return (await asked(looked.getAll())).filter((each) => each.test === test);
}

function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(18));
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_");
}

async function smallerCopy(file) {
  const picture = await createImageBitmap(file);
  const share = Math.min(1, LONG_EDGE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * share));
  canvas.height = Math.max(1, Math.round(picture.height * share));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done, failed) => {
    canvas.toBlob((made) => (made ? done(made) : failed(new Error("no picture"))), "image/jpeg", 0.88);
  });
}

// A phone may store pictures in a way of its own that the book does not keep; where the browser can read it, it is sent as JPEG.
async function asSent(file) {
  const wanted = document.getElementById("smaller").checked;
  if (!wanted && kinds.includes(file.type) && file.size <= largest) return file;
  try {
    return await smallerCopy(file);
  } catch {
    return file;
  }
}

function line(item, says, buttons) {
  const p = document.createElement("p");
  const of = item.cylinder ? `cylinder ${item.cylinder}` : "whole engine";
  p.append(`Photograph, ${of}: ${says} `);
  for (const [text, does] of buttons) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.addEventListener("click", does);
    p.append(button, " ");
  }
  return p;
}

const said = new Map();

async function show() {
  const items = await waiting();
  box.replaceChildren(
    ...items.map((item) => {
      const refused = said.get(item.key);
      if (!refused) return line(item, "on this phone, not saved yet.", []);
      const away = ["Leave it out", () => change((store) => store.delete(item.key)).then(show)];
      return line(item, refused, [["Send it again", () => (said.delete(item.key), go())], away]);
    }),
  );
  return items;
}

async function send(item) {
  const says = new URLSearchParams({ key: item.key, cylinder: item.cylinder, shows: item.shows });
  const answer = await fetch(`/api/tests/${encodeURIComponent(test)}/photographs?${says}`, {
    method: "POST",
    body: item.bytes,
    headers: { "content-type": "application/octet-stream" },
  });
  if (answer.ok) {
    await change((store) => store.delete(item.key));
    return true;
  }
  const read = await answer.json().catch(() => ({}));
  // A server that is busy or full is asked again; what it refuses for good is told.
  const why = (read.says ?? `it was refused (${answer.status}).`).replace(/^photograph: /, "");
  if (answer.status < 500 || answer.status === 507) said.set(item.key, why);
  return false;
}

let busy = false;
let later = 0;
async function go() {
  if (busy) return;
  busy = true;
  clearTimeout(later);
  let saved = 0;
  let left = 0;
  try {
    for (const item of await show()) {
      if (said.has(item.key)) continue;
      left += 1;
      try {
        if (await send(item)) {
          saved += 1;
          left -= 1;
        }
      } catch {
        break; // no line: it stays on this phone and is sent later
      }
    }
  } finally {
    busy = false;
  }
  await show();
  if (saved && !left) location.reload();
  else if (left) later = setTimeout(go, AGAIN);
}

async function taken(event) {
  const input = event.target;
  const files = [...input.files];
  for (const file of files) {
    const sent = await asSent(file);
    const item = { key: newKey(), test, cylinder: input.dataset.cylinder, shows: input.dataset.shows };
    // Its bytes, not the file: a camera's file may be gone when it is sent.
    item.bytes = await sent.arrayBuffer();
    if (item.bytes.byteLength > largest) {
      box.append(line(item, `it is larger than ${Math.floor(largest / 1e6)} MB. Tick “Send a smaller copy” and take it again.`, []));
      continue;
    }
    await change((store) => store.put(item));
  }
  input.value = "";
  await go();
}

for (const input of document.querySelectorAll('.camera input[type="file"]')) {
  input.addEventListener("change", (event) => {
    taken(event).catch((error) => {
      box.textContent = `This phone could not keep the photograph (${error.message}). Take it again.`;
    });
  });
}
document.getElementById("taken").addEventListener("change", (event) => {
  for (const input of document.querySelectorAll('.camera input[type="file"]')) {
    input.toggleAttribute("capture", !event.target.checked);
    if (!event.target.checked) input.setAttribute("capture", "environment");
    input.multiple = event.target.checked;
  }
});
for (const each of document.querySelectorAll("[data-cameras]")) each.hidden = false;
addEventListener("online", go);
go();
