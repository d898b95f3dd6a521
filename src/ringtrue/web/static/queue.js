// Readings on their way to the record book.
//
// Each is written to this phone's store with a key of its own before the page says "on this phone", is sent in the order in which
// it was typed, for ever, and leaves the store only once the server says that it is in the book. The server writes a key once,
// however often it comes: whatever is cut, doubled or sent by two windows at once ends as one entry. Windows of one browser take
// turns where it has locks (https, localhost); over plain http it has none, and doubles are absorbed by their keys.

import { openStore } from "./store.js";

const PATIENCE = 10_000; // so long an answer may take [ms]
const FIRST_WAIT = 500; // before it is tried again, doubled each time [ms]
const LONGEST_WAIT = 15_000; // [ms]

// Random, made where the reading is taken: 192 bits.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(24));
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_");
}

export function pathOf(item) {
  const test = `/api/tests/${encodeURIComponent(item.test)}`;
  switch (item.what) {
    case "pull":
      return `${test}/readings`;
    case "correct":
      return `${test}/readings/${item.entry}/correct`;
    case "take-back":
      return `${test}/readings/${item.entry}/take-back`;
    default:
      return `${test}/${item.what}`;
  }
}

// What an answer means: "kept", "refused" (the reading stays here to be put right), "shut" (this device is not let in),
// "full" (the book cannot be written now), or "away" (nobody answered, or not our server).
export function meaning(item, status, said) {
  const names = item.what === "pull" || item.what === "correct";
  if (status === 201 && names) return said?.key === item.body.key ? "kept" : "away";
  if (status === 200 && !names) return said?.test ? "kept" : "away";
  if (typeof said?.says !== "string") return "away";
  if (status === 401 || status === 403) return "shut";
  if (status === 503 || status === 507) return "full";
  return status >= 400 && status < 500 && ![408, 421, 425, 429].includes(status) ? "refused" : "away";
}

// The first item that can be sent: what is about a reading that is not in the book yet waits for it.
export function nextToSend(items) {
  return items.find((item) => item.state === "waiting" && (item.about === null || item.entry !== null)) ?? null;
}

export class Queue {
  items = []; // what is on this phone
  writing = []; // what is on its way there: shown, but not said to be kept
  thrown = new Set(); // keys of what was thrown away in this page
  trouble = null; // {kind: "away" | "shut" | "full", since, says}
  #listeners = new Set();
  #kept = new Set();
  #running = false;
  #again = false;
  #wait = FIRST_WAIT;
  #timer = 0;

  static async open() {
    const queue = new Queue();
    queue.store = await openStore();
    queue.items = await queue.store.all();
    // Other windows of this browser hear of every change.
    if ("BroadcastChannel" in window) {
      queue.channel = new BroadcastChannel("ringtrue-queue");
      queue.channel.onmessage = () => queue.#read();
    }
    window.addEventListener("online", () => queue.hurry());
    window.addEventListener("pageshow", () => queue.hurry());
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) queue.hurry();
    });
    queue.hurry();
    return queue;
  }

  get keeps() {
    return this.store.keeps;
  }

  of(test) {
    return this.items.filter((item) => item.test === test && item.origin === location.origin);
  }

  listen(listener) {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  // Calls with each item that has come into the book, and what the server said of it.
  whenKept(listener) {
    this.#kept.add(listener);
    return () => this.#kept.delete(listener);
  }

  // Puts something into the store; it is on this phone when this returns, and not before.
  async put(test, what, body, { entry = null, about = null, shown = {} } = {}) {
    const item = {
      origin: location.origin,
      test,
      what,
      entry,
      about,
      body: { key: newKey(), ...body },
      shown,
      state: "waiting",
      says: "",
      doubtful: false,
      made: Date.now(),
    };
    this.writing = [...this.writing, item];
    this.#say();
    try {
      await this.store.add(item);
      await this.#changed();
    } finally {
      this.writing = this.writing.filter((each) => each !== item);
      this.#say();
    }
    this.hurry();
    return item;
  }

  // Sends a refused item again, with what was put right. It was never written, so its key is still free.
  async mend(item, body, shown) {
    const change = { body: { ...item.body, ...body }, state: "waiting", says: "", doubtful: false };
    await this.store.change(item.n, shown ? { ...change, shown } : change);
    await this.#changed();
    this.hurry();
  }

  async throwAway(item) {
    this.thrown.add(item.body.key);
    await this.store.drop(item.n, item.body.key);
    await this.#changed();
  }

  // Tries at once, whatever the wait was.
  hurry() {
    this.#wait = FIRST_WAIT;
    clearTimeout(this.#timer);
    this.#run();
  }

  async #read() {
    this.items = await this.store.all();
    this.#say();
  }

  #say() {
    for (const listener of this.#listeners) listener();
  }

  async #changed() {
    await this.#read();
    this.channel?.postMessage("changed");
  }

  #tell(trouble) {
    const since = trouble && this.trouble?.kind === trouble.kind ? this.trouble.since : Date.now();
    this.trouble = trouble && { ...trouble, since };
    this.#say();
  }

  async #run() {
    if (this.#running) {
      this.#again = true;
      return;
    }
    this.#running = true;
    let later = false;
    try {
      do {
        this.#again = false;
        later = await this.#inTurn(() => this.#sendAll());
      } while (this.#again && !later);
    } catch {
      later = true;
    } finally {
      this.#running = false;
    }
    if (later) {
      this.#timer = setTimeout(() => this.#run(), this.#wait);
      this.#wait = Math.min(LONGEST_WAIT, 2 * this.#wait);
    }
  }

  // True when something is left that is to be tried again.
  #inTurn(work) {
    if (!navigator.locks) return work();
    return navigator.locks.request("ringtrue-send", { ifAvailable: true }, (lock) => (lock ? work() : true));
  }

  async #sendAll() {
    for (;;) {
      this.items = await this.store.all();
      const item = nextToSend(this.items.filter((each) => each.origin === location.origin));
      if (item === null) {
        if (this.trouble) this.#tell(null);
        return false;
      }
      const { status, said } = await answerTo(item);
      const outcome = meaning(item, status, said);
      if (outcome === "kept") {
        for (const listener of this.#kept) listener(item, said);
        await this.store.settle(item.n, item.body.key, said.entry ?? null);
        this.#wait = FIRST_WAIT;
        await this.#changed();
      } else if (outcome === "refused") {
        await this.store.change(item.n, { state: "refused", says: said.says, doubtful: said.doubtful === true });
        await this.#changed();
      } else {
        this.#tell({ kind: outcome, says: outcome === "away" ? "" : said.says });
        return true;
      }
    }
  }
}

const answerTo = (item) => asked(pathOf(item), item.body);

// Sends something once; status 0 where nobody answers.
export async function asked(path, body) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json", "ringtrue-page": "1" },
      body: JSON.stringify(body),
      credentials: "same-origin",
      cache: "no-store",
      redirect: "error",
      signal: stop.signal,
    });
    return { status: answer.status, said: await answer.json().catch(() => null) };
  } catch {
    return { status: 0, said: null };
  } finally {
    clearTimeout(timer);
  }
}
