// The service worker: keeps the live pages and what they are made of, so that they open without the shop PC. Browsers run it over
// https and on the PC itself only. It never keeps anything of /api: what stands in the book comes from the server, and what is
// typed here stays in the pages' own store. VERSION and SHELL are put before this text by the server.
/* global VERSION, SHELL */

const FILES = `ringtrue-files-${VERSION}`;
const PAGES = "ringtrue-pages";
const LIVE = /^\/tests\/[^/]+\/(pull|view)$/;
const PATIENCE = 3_000; // a network that says nothing for so long is taken as gone [ms]
const SULK = 10_000; // and is not waited for again within this time [ms]

let missed = 0;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(FILES)
      .then((cache) => cache.addAll(SHELL.map((path) => new Request(path, { cache: "no-cache" }))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("ringtrue-files-") && name !== FILES).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

async function fromNetwork(request) {
  if (Date.now() - missed < SULK && !navigator.onLine) throw new Error("away");
  const patience = Date.now() - missed < SULK ? PATIENCE / 10 : PATIENCE;
  let timer;
  try {
    const late = new Promise((_, reject) => {
      timer = setTimeout(() => reject(new Error("late")), patience);
    });
    const answer = await Promise.race([fetch(request), late]);
    missed = 0;
    return answer;
  } catch (error) {
    missed = Date.now();
    throw error;
  } finally {
    clearTimeout(timer);
  }
}

async function file(request) {
  const cache = await caches.open(FILES);
  const kept = await cache.match(request, { ignoreSearch: true });
  // What is not kept is waited for, however long it takes.
  if (!kept) return fetch(request);
  try {
    const answer = await fromNetwork(request);
    return answer.ok ? answer : kept;
  } catch {
    return kept;
  }
}

async function page(request) {
  const cache = await caches.open(PAGES);
  const { pathname } = new URL(request.url);
  try {
    // A page that is not kept is waited for: some of them take the server a while to work out.
    const kept = LIVE.test(pathname) && (await cache.match(pathname));
    const answer = await (kept ? fromNetwork(request) : fetch(request));
    if (LIVE.test(pathname)) {
      if (answer.status === 200 && !answer.redirected) await cache.put(pathname, answer.clone());
      else if ([401, 403, 404].includes(answer.status)) await cache.delete(pathname);
    }
    return answer;
  } catch {
    return (await cache.match(pathname)) ?? (await caches.match("/static/away.html")) ?? Response.error();
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate" && !url.pathname.startsWith("/api")) event.respondWith(page(request));
  else if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
});
