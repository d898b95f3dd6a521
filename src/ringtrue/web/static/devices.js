// The owner's page of devices: who knocks, who came in and how long a code still lasts are seen without a reload.

const EVERY = 1000; // [ms]
const PARTS = ["knocks", "invitation", "list"];

const part = (id) => document.getElementById(id);

// What the page shows; seconds are counted by themselves.
function shape(heard) {
  const used = heard.devices.map((each) => each.name);
  return JSON.stringify([heard.waiting, used, heard.invited, heard.code_is_void]);
}

let before = "";

async function look() {
  const answer = await fetch("/api/devices");
  if (answer.status === 401 || answer.status === 403) return location.reload();
  if (!answer.ok) return undefined;
  const heard = await answer.json();
  const seconds = part("seconds");
  if (seconds) seconds.textContent = heard.seconds;
  const now = shape(heard);
  if (before && now !== before) await redraw();
  before = now;
  return undefined;
}

async function redraw() {
  const answer = await fetch(location.pathname + location.search, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const id of PARTS) {
    const fresh = made.getElementById(id);
    if (fresh) part(id).replaceWith(document.adoptNode(fresh));
  }
  const knock = document.querySelector(".knock");
  if (knock) knock.scrollIntoView({ block: "nearest" });
}

async function follow() {
  for (;;) {
    try {
      if (!document.hidden) await look();
    } catch {
      // The server is gone for a moment.
    }
    await new Promise((go) => setTimeout(go, EVERY));
  }
}

follow();
