// What this phone keeps: readings that the shop PC does not have yet, and each test as it was last seen.
//
// A reading counts as kept once its transaction is complete with durability "strict": the browser has then asked the system to
// put it onto the disk. It is taken out only once the shop PC has said that it is in the book.

const NAME = "ringtrue";
const UNSENT = "unsent";
const SETTLED = "settled"; // in which entry of the book each key has come to stand
const TESTS = "tests";
const DRAFTS = "drafts"; // what was being typed
const STRICT = [UNSENT, SETTLED];
const LONG_AGO = 30 * 24 * 3600 * 1000; // nothing is about a reading any more that was settled so long ago [ms]

export const GONE = "What this is about was thrown away.";

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(UNSENT, { keyPath: "n", autoIncrement: true });
      asked.result.createObjectStore(SETTLED, { keyPath: "key" });
      asked.result.createObjectStore(TESTS, { keyPath: "test" });
      asked.result.createObjectStore(DRAFTS, { keyPath: "test" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });
}

// Does some work in one transaction; what it returns is there when the transaction is complete, and not before.
function done(db, stores, mode, work) {
  return new Promise((resolve, reject) => {
    const deal = db.transaction(stores, mode, { durability: STRICT.includes([stores].flat()[0]) ? "strict" : "default" });
    let found;
    deal.oncomplete = () => resolve(found);
    deal.onabort = () => reject(deal.error ?? new Error("aborted"));
    deal.onerror = () => {};
    const give = (value) => {
      found = value;
    };
    work(deal.objectStore(Array.isArray(stores) ? stores[0] : stores), give, deal);
  });
}

class OnThisPhone {
  keeps = true;

  constructor(db) {
    this.db = db;
  }

  all() {
    return done(this.db, UNSENT, "readonly", (store, give) => {
      store.getAll().onsuccess = (event) => give(event.target.result);
    });
  }

  // What an item is about may have come into the book since its reader looked: then it is told in which entry.
  add(item) {
    return done(this.db, [UNSENT, SETTLED], "readwrite", (store, give, deal) => {
      const put = (whole) => {
        store.add(whole).onsuccess = (event) => give({ ...whole, n: event.target.result });
      };
      if (item.about === null) {
        put(item);
        return;
      }
      store.getAll().onsuccess = (event) => {
        if (event.target.result.some((each) => each.body.key === item.about)) {
          put(item);
          return;
        }
        deal.objectStore(SETTLED).get(item.about).onsuccess = (found) => {
          const settled = found.target.result;
          put(settled ? { ...item, about: null, entry: settled.entry } : { ...item, state: "refused", says: GONE });
        };
      };
    });
  }

  // Changes an item that is still there; one that another window has sent meanwhile stays away.
  change(n, change) {
    return done(this.db, UNSENT, "readwrite", (store) => {
      store.get(n).onsuccess = (event) => {
        const item = event.target.result;
        if (item) store.put({ ...item, ...change });
      };
    });
  }

  // Takes an item out that is in the book, and tells those that are about it in which entry: both or neither.
  settle(n, key, entry) {
    return done(this.db, [UNSENT, SETTLED], "readwrite", (store, _, deal) => {
      store.delete(n);
      deal.objectStore(SETTLED).put({ key, entry, at: Date.now() });
      store.openCursor().onsuccess = (event) => {
        const at = event.target.result;
        if (!at) return;
        if (at.value.about === key) at.update({ ...at.value, entry, about: null });
        at.continue();
      };
    });
  }

  // Throws an item away, and with it what was about it.
  drop(n, key) {
    return done(this.db, UNSENT, "readwrite", (store) => {
      store.delete(n);
      store.openCursor().onsuccess = (event) => {
        const at = event.target.result;
        if (!at) return;
        if (key && at.value.about === key) at.delete();
        at.continue();
      };
    });
  }

  // Lets go of what nothing can be about any more.
  tidy() {
    return done(this.db, SETTLED, "readwrite", (store) => {
      store.openCursor().onsuccess = (event) => {
        const at = event.target.result;
        if (!at) return;
        if (Date.now() - at.value.at > LONG_AGO) at.delete();
        at.continue();
      };
    });
  }

  seen(test) {
    return done(this.db, TESTS, "readonly", (store, give) => {
      store.get(test).onsuccess = (event) => give(event.target.result ?? null);
    });
  }

  remember(test, state) {
    return done(this.db, TESTS, "readwrite", (store) => store.put({ test, state, at: Date.now() }));
  }

  forget(test) {
    return done(this.db, TESTS, "readwrite", (store) => store.delete(test));
  }

  draft(test) {
    return done(this.db, DRAFTS, "readonly", (store, give) => {
      store.get(test).onsuccess = (event) => give(event.target.result?.what ?? {});
    });
  }

  keepDraft(test, what) {
    return done(this.db, DRAFTS, "readwrite", (store) => store.put({ test, what }));
  }
}

// Where the browser refuses its store (a private window): readings live in the open page alone, and the page says so.
class InThisPage {
  keeps = false;
  items = [];
  entries = new Map();
  last = 0;

  async all() {
    return this.items.map((item) => ({ ...item }));
  }

  async add(item) {
    this.last += 1;
    const settled = this.entries.get(item.about);
    const whole = settled === undefined ? { ...item, n: this.last } : { ...item, n: this.last, about: null, entry: settled };
    this.items.push(whole);
    return whole;
  }

  async change(n, change) {
    this.items = this.items.map((item) => (item.n === n ? { ...item, ...change } : item));
  }

  async settle(n, key, entry) {
    this.entries.set(key, entry);
    this.items = this.items
      .filter((item) => item.n !== n)
      .map((item) => (item.about === key ? { ...item, entry, about: null } : item));
  }

  async drop(n, key) {
    this.items = this.items.filter((item) => item.n !== n && !(key && item.about === key));
  }

  async seen() {
    return null;
  }

  async remember() {}

  async forget() {}

  async draft() {
    return {};
  }

  async keepDraft() {}
}

export async function openStore() {
  try {
    const store = new OnThisPhone(await opened());
    await store.all();
    store.tidy().catch(() => {});
    navigator.storage?.persist?.().catch(() => {});
    return store;
  } catch {
    return new InThisPage();
  }
}
