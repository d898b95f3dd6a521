// Where the shop PC is out of reach: what opens without it, and how much waits on this phone.

import { openStore } from "./store.js";

const list = document.getElementById("kept");
const cache = await caches.open("ringtrue-pages");
const store = await openStore();
for (const request of await cache.keys()) {
  const { pathname } = new URL(request.url);
  const [, , test, page] = pathname.split("/");
  const seen = await store.seen(decodeURIComponent(test));
  const link = document.createElement("a");
  link.href = pathname;
  link.className = "card";
  const about = [seen?.state.engine_name ?? test, seen?.state.date].filter(Boolean).join(", ");
  link.textContent = `${about}: ${page === "pull" ? "pull" : "engine view"}`;
  list.append(document.createElement("li"));
  list.lastChild.append(link);
  document.getElementById("kept-title").hidden = false;
}
const unsent = (await store.all()).length;
if (unsent) {
  document.getElementById("unsent").textContent = `On this phone and not in the book yet: ${unsent}. Nothing is lost; it is sent once the shop PC answers.`;
}
