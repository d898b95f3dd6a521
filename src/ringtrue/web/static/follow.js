// Follows a test as it changes: a stream of its states, taken up again whenever it breaks.

const SILENCE = 15_000; // the server says that it is still there every 10 s [ms]
const FIRST_WAIT = 500; // [ms]
const LONGEST_WAIT = 5_000; // [ms]
const HIDDEN = 20_000; // a page that nobody sees lets its stream go after this [ms]

// Takes the events out of what has come so far; returns them, and what is left of the text.
export function events(text) {
  const parts = text.split("\n\n");
  const rest = parts.pop();
  const found = [];
  for (const part of parts) {
    let name = "message";
    const data = [];
    for (const line of part.split("\n")) {
      if (line.startsWith("event: ")) name = line.slice(7);
      if (line.startsWith("data: ")) data.push(line.slice(6));
    }
    if (data.length) found.push({ name, data: data.join("\n") });
  }
  return [found, rest];
}

export class Follower {
  since = null; // out of touch since; null while in touch
  shut = ""; // why this device is not let in; empty while it is
  #stop = null;
  #wait = FIRST_WAIT;
  #timer = 0;
  #hiding = 0;
  #over = false;

  constructor(test, { state, touch }) {
    this.path = `/api/tests/${encodeURIComponent(test)}/events`;
    this.state = state;
    this.touch = touch;
    document.addEventListener("visibilitychange", () => {
      clearTimeout(this.#hiding);
      if (document.hidden) this.#hiding = setTimeout(() => this.#stop?.abort("hidden"), HIDDEN);
      else this.again();
    });
    window.addEventListener("online", () => this.again());
    window.addEventListener("pagehide", () => this.#stop?.abort("hidden"));
    window.addEventListener("pageshow", () => this.again());
    this.#open();
  }

  // Takes the stream up at once where it is broken.
  again() {
    if (this.#stop === null) {
      clearTimeout(this.#timer);
      this.#wait = FIRST_WAIT;
      this.#open();
    }
  }

  #lost(shut = "") {
    this.since ??= Date.now();
    this.shut = shut;
    this.touch();
  }

  async #open() {
    if (this.#stop !== null) return;
    const stop = new AbortController();
    this.#stop = stop;
    let watch = 0;
    const alive = () => {
      clearTimeout(watch);
      watch = setTimeout(() => stop.abort("silent"), SILENCE);
    };
    try {
      alive();
      const answer = await fetch(this.path, {
        headers: { "ringtrue-page": "1" },
        credentials: "same-origin",
        cache: "no-store",
        signal: stop.signal,
      });
      if (answer.status !== 200) {
        const said = await answer.json().catch(() => null);
        this.#lost([401, 403, 404].includes(answer.status) ? (said?.says ?? "") : "");
      } else {
        await this.#read(answer.body.pipeThrough(new TextDecoderStream()).getReader(), alive);
        this.#lost(this.shut);
      }
    } catch {
      if (stop.signal.reason !== "hidden") this.#lost(this.shut);
    } finally {
      clearTimeout(watch);
      this.#stop = null;
    }
    if (document.hidden) return;
    this.#timer = setTimeout(() => this.#open(), this.#wait);
    this.#wait = Math.min(LONGEST_WAIT, 2 * this.#wait);
  }

  async #read(reader, alive) {
    let text = "";
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      alive();
      const [found, rest] = events(text + value);
      text = rest;
      for (const { name, data } of found) {
        if (name === "state") {
          this.#wait = FIRST_WAIT;
          this.since = null;
          this.shut = "";
          this.state(JSON.parse(data));
        } else if (name === "gone") {
          this.shut = "This device is not let in any more. Pair it again from the shop PC.";
          return;
        }
      }
    }
  }
}
