// The owner's page of devices: who knocks, who came in and how long a code still lasts are seen without a reload.

const EVERY = 1000; // [ms]
const part = (id) => document.getElementById(id);

// What the server tells and what the page shows, part by part, in the one form in which they are compared. Only a part that differs
// is drawn anew, so that a choice half made stays; seconds are counted by themselves.
function told(heard) {
  const names = (list) => list.map((each) => each.name).join(" ");
  return {
    knocks: names(heard.waiting),
    invitation: heard.invited ? (heard.code_is_void ? "void" : "open") : "none",
    list: names(heard.devices),
  };
}

function shown() {
  const names = (query) => [...document.querySelectorAll(query)].map((each) => each.dataset.name).join(" ");
  return { knocks: names(".knock"), invitation: part("invitation").dataset.state, list: names("#list li") };
}

async function look() {
  const answer = await fetch("/api/devices");
  if (answer.status === 401 || answer.status === 403) return location.reload();
  if (!answer.ok) return undefined;
  const heard = await answer.json();
  const seconds = part("seconds");
  if (seconds) seconds.textContent = heard.seconds;
  const [now, before] = [told(heard), shown()];
  const changed = Object.keys(now).filter((id) => now[id] !== before[id]);
  if (changed.length) await redraw(changed);
  return undefined;
}

async function redraw(changed) {
  const answer = await fetch(location.pathname + location.search, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const id of changed) {
    const fresh = made.getElementById(id);
    if (fresh) part(id).replaceWith(document.adoptNode(fresh));
  }
  const knock = document.querySelector(".knock");
  if (knock && changed.includes("knocks")) knock.scrollIntoView({ block: "nearest" });
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
