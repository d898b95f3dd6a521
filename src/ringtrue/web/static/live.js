// What both live pages share: the test as it stands, followed from the server and laid under what this phone still holds.

import { Follower } from "./follow.js";
import { merged } from "./merged.js";
import { Queue } from "./queue.js";
import { clock, html, names, render, useEffect, useLayoutEffect, useReducer, useRef, useState } from "./ui.js";

export class Live {
  state = null; // the newest from the server
  seenAt = 0; // when an old one was seen, if the server has not answered yet
  settled = []; // in the book, but not in that state yet
  #listeners = new Set();

  static async open(test) {
    const live = new Live();
    live.test = test;
    live.queue = await Queue.open();
    live.queue.listen(() => live.#tell());
    live.queue.whenKept((item, said) => {
      live.follower?.again(); // the server answers: the stream need not wait
      if (item.test !== test) return;
      if (said.order) live.take(said);
      else live.settled.push({ item, entry: said.entry });
    });
    const seen = await live.queue.store.seen(test);
    live.draft = await lastDraft(live.queue.store, test);
    live.follower = new Follower(test, {
      state: (state) => live.take(state),
      touch: () => live.#touch(),
    });
    if (live.state === null && seen) {
      live.state = seen.state;
      live.seenAt = seen.at;
      live.#tell();
    }
    return live;
  }

  take(state) {
    // The order of states is the server's; an older one that comes late changes nothing.
    if (this.state !== null && !this.seenAt && state.version < this.state.version) return;
    this.state = state;
    this.seenAt = 0;
    this.settled = this.settled.filter(({ entry }) => entry > state.version);
    this.queue.store.remember(this.test, state).catch(() => {});
    if (this.queue.trouble) this.queue.hurry();
    this.#tell();
  }

  get merged() {
    if (this.state === null) return null;
    const stored = this.queue.of(this.test);
    const keys = new Set(stored.map((item) => item.body.key));
    const writing = this.queue.writing.filter((item) => item.test === this.test && !keys.has(item.body.key));
    return merged(this.state, [...stored, ...writing], this.settled);
  }

  #touch() {
    // A device that is let in no more keeps nothing of the shop but what it has not handed over.
    if (this.follower.shut) this.queue.store.forget(this.test).catch(() => {});
    this.#tell();
  }

  listen(listener) {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  #tell() {
    for (const listener of this.#listeners) listener();
  }
}

// What is being typed is put into both stores that a browser has: one is there after a page that goes at once, the other after
// a browser that is killed. The later one is what was typed last.
const draftKey = (test) => `ringtrue-draft-${test}`;

async function lastDraft(store, test) {
  const found = [await store.draft(test).catch(() => ({}))];
  try {
    found.push(JSON.parse(localStorage.getItem(draftKey(test))) ?? {});
  } catch {
    // A browser that keeps nothing says so elsewhere on the page.
  }
  return found.reduce((one, other) => ((other.at_time ?? 0) > (one.at_time ?? 0) ? other : one));
}

export function keepDraft(live, draft) {
  const whole = { ...draft, at_time: Date.now() };
  try {
    localStorage.setItem(draftKey(live.test), JSON.stringify(whole));
  } catch {
    // As above.
  }
  live.queue.store.keepDraft(live.test, whole).catch(() => {});
}

export function useLive(live) {
  const [, again] = useReducer((count) => count + 1, 0);
  // Listened to in the same breath as it is drawn: a state that comes between the two would be missed.
  useLayoutEffect(() => live.listen(again), [live]);
}

export async function start(Page) {
  const root = document.getElementById("page");
  const live = await Live.open(root.dataset.test);
  root.textContent = "";
  render(html`<${Page} live=${live} engine=${root.dataset.engine} />`, root);
  const shown = () => {
    if (live.state !== null) root.dataset.ready = "yes";
  };
  live.listen(shown);
  shown();
}

const STATES = { waiting: "on this phone", refused: "not taken" };

// How many readings the shop PC does not have yet: always in sight.
export function Unsent({ live, open, typing }) {
  const items = live.queue.of(live.test);
  const refused = items.filter((item) => item.state === "refused").length;
  const words = !items.length ? (typing ? "typing" : "all saved") : live.queue.keeps ? `${items.length} on this phone` : `${items.length} unsent`;
  return html`
    <button
      type="button"
      class=${names("unsent", items.length > 0 && "unsent-some", refused > 0 && "unsent-refused")}
      data-unsent=${items.length}
      onClick=${open}
    >
      <span aria-hidden="true">${items.length ? "◌" : typing ? "…" : "✓"}</span> ${words}
    </button>
  `;
}

// What stands between this phone and the shop PC, if anything does.
export function Troubles({ live }) {
  const { follower, queue } = live;
  const lines = [];
  const shut = follower.shut || (queue.trouble?.kind === "shut" && queue.trouble.says);
  const unsent = queue.of(live.test).length;
  if (!queue.keeps) {
    lines.push([
      "store",
      "This browser keeps nothing (a private window?). Readings go straight to the shop PC: leave the page open until each one is saved.",
    ]);
  }
  if (shut) {
    lines.push(["shut", `${shut} ${unsent && queue.keeps ? "What is on this phone stays there until then." : ""}`]);
  } else if (queue.trouble?.kind === "full") {
    lines.push(["full", `${queue.trouble.says} What is on this phone stays there, and is sent again and again.`]);
  } else if (follower.since !== null || queue.trouble?.kind === "away") {
    // A reading that does not get through tells sooner than a stream that has fallen silent.
    const since = clock(follower.since ?? queue.trouble.since);
    const kept = queue.keeps ? " What is typed is kept on this phone." : "";
    const old = live.seenAt ? ` Shown is what was seen at ${clock(live.seenAt)}.` : "";
    lines.push(["away", `Out of touch with the shop PC since ${since}.${kept}${old}`]);
  }
  return html`<div class="troubles" role="status">
    <${PlainHttp} />
    ${lines.map(
      ([kind, says]) =>
        html`<p key=${kind} class="trouble" data-trouble=${kind}>
          ${says}${" "}${kind === "shut" && html`<a href="/pair">Pair this device</a>`}
        </p>`,
    )}
  </div>`;
}

// Before anybody cranks again: a cylinder that reads next to nothing.
export function Stop({ state, folded }) {
  if (!state.stop?.length) return null;
  const [first, ...rest] = state.stop;
  // Beside the pad there is room for a line; what to look at unfolds under it.
  if (folded)
    return html`<div class="caution stop" role="alert" data-stop=${state.stopped.join(" ")}>
      <details>
        <summary>Do not crank: cylinder ${state.stopped.join(", ")} at or near zero</summary>
        ${state.stop.filter(Boolean).map((each, at) => html`<p key=${at}>${each}</p>`)}
      </details>
    </div>`;
  return html`<div class="caution stop" role="alert" data-stop=${(state.stopped ?? []).join(" ")}>
    <p><strong>Do not crank. ${first}</strong></p>
    ${rest.filter(Boolean).map((each, at) => html`<p key=${at}>${each}</p>`)}
  </div>`;
}

// What plain http keeps a browser from; its words stand in the page, where the server put them.
function PlainHttp() {
  const place = useRef(null);
  const words = document.getElementById("plain-http");
  useEffect(() => {
    if (place.current) place.current.replaceChildren(words.content.cloneNode(true));
  }, []);
  if (words === null || window.isSecureContext) return null;
  return html`<details class="trouble" data-trouble="plain"><summary>Plain http: keep this page open</summary><div ref=${place}></div></details>`;
}

// A panel over the page, of the page's own: the rest waits behind it, Escape leaves it.
export function Panel({ title, close, children, kind }) {
  const element = useRef(null);
  useLayoutEffect(() => {
    const dialog = element.current;
    if (!dialog.open) dialog.showModal();
    return () => dialog.close();
  }, []);
  return html`
    <dialog
      ref=${element}
      class=${names("panel", kind && `panel-${kind}`)}
      aria-labelledby="panel-title"
      onCancel=${(event) => {
        event.preventDefault();
        close();
      }}
    >
      <header class="panel-head">
        <h2 id="panel-title">${title}</h2>
        <button type="button" class="plain" onClick=${close}>Close</button>
      </header>
      <div class="panel-body">${children}</div>
    </dialog>
  `;
}

export function figures(row) {
  const first = row.spoiled ? `${row.first || "not seen"} (spoiled start)` : row.first || "not seen";
  return row.final === "" ? "" : `first ${first}, final ${row.final} ${row.unit}`;
}

const DONE = {
  pull: "a pull",
  correct: "a correction",
  "take-back": "a reading taken back",
  choose: "a choice between readings",
  finish: "the test is finished",
};

// Every reading that the shop PC does not have, with what can be done about it.
export function UnsentPanel({ live, close, mend, stay }) {
  const items = live.queue.of(live.test);
  return html`
    <${Panel} title="Not in the book yet" close=${close}>
      ${
        items.length === 0
          ? html`<p>Everything typed on this phone is saved.</p>`
          : html`<ul class="plain-list">
              ${items.map((item) => html`<${UnsentItem} key=${item.n} item=${item} live=${live} mend=${mend} stay=${stay} />`)}
            </ul>`
      }
      ${
        items.length > 0 &&
        html`<p><button type="button" onClick=${() => live.queue.hurry()}>Send now</button></p>`
      }
    <//>
  `;
}

export function UnsentItem({ item, live, mend, stay }) {
  const throwAway = () => {
    stay?.(); // a cylinder that is open again calls nobody away from the one in hand
    live.queue.throwAway(item);
  };
  const [sure, setSure] = useState(false);
  const row = { ...item.body, ...item.shown };
  const about = row.cylinder ? `Cylinder ${row.cylinder}` : "";
  const what = item.what === "pull" ? (row.drift ? "once more" : row.kind === "wet" ? "with oil" : "") : DONE[item.what];
  const said = item.what === "pull" || item.what === "correct" ? figures({ ...row, first: row.first ?? "", final: row.final ?? "" }) || row.note : row.why;
  const name = [about, what].filter(Boolean).join(", ");
  // Too much oil can lock an engine: what is large there is to put it right.
  const wet = item.what === "pull" && row.kind === "wet";
  return html`
    <li class="item" data-item=${item.state} data-key=${item.body.key}>
      <p><strong><bdi>${name}</bdi></strong>${said && html`: <bdi>${said}${wet && row.oil ? `, ${row.oil} of oil` : ""}</bdi>`} <span class="quiet">(${STATES[item.state]})</span></p>
      ${
        item.state === "refused" &&
        html`
          <p class=${item.doubtful ? "" : "fault"}>${item.says}</p>
          ${
            sure
              ? html`<p>It stands nowhere but here. Throw it away?</p>
                  <div class="buttons">
                    <button type="button" class="away" onClick=${throwAway}>Throw it away</button>
                    <button type="button" onClick=${() => setSure(false)}>Keep it</button>
                  </div>`
              : html`<div class="buttons">
                  ${
                    item.doubtful &&
                    html`<button type="button" class=${wet ? "" : "main"} data-act="item-meant" onClick=${() => live.queue.mend(item, { confirmed: true })}>
                      It is meant
                    </button>`
                  }
                  ${
                    mend &&
                    (item.what === "pull" || item.what === "correct") &&
                    html`<button type="button" class=${wet && item.doubtful ? "main" : ""} data-act="mend" onClick=${() => mend(item)}>Put it right</button>`
                  }
                  <button type="button" class="away" onClick=${() => setSure(true)}>Throw it away</button>
                </div>`
          }
        `
      }
    </li>
  `;
}

// The figures so far, and whether some of the readings are not in them yet.
export function Running({ state }) {
  const { mean, mean_deviation: deviation, percent, corrected } = state.figures;
  return html`
    <dl class="running" aria-label="So far">
      <div><dt>mean</dt><dd data-figure="mean">${mean || "–"}</dd></div>
      <div><dt>mean deviation</dt><dd data-figure="deviation">${deviation || "–"}</dd></div>
      <div><dt>of the mean</dt><dd data-figure="percent">${percent || "–"}</dd></div>
      ${corrected && html`<div class="running-line"><dt class="running-small">corrected</dt><dd class="running-small" data-figure="corrected">${corrected}</dd></div>`}
      ${state.here > 0 && html`<div class="running-note"><dt>not in it yet</dt><dd>${state.here} pull${state.here > 1 && "s"}</dd></div>`}
    </dl>
  `;
}

// Over https and on the PC itself the pages open without the shop PC; elsewhere a browser forbids it.
if ("serviceWorker" in navigator) {
  // The page is kept here, for at first it was not asked for through the service worker; and who pulls may want the view as well.
  navigator.serviceWorker
    .register("/sw.js")
    .then(() => navigator.serviceWorker.ready)
    .then(() => caches.open("ringtrue-pages"))
    .then((cache) => {
      const paths = [...new Set([location.pathname, location.pathname.replace(/[^/]+$/, "view")])];
      return Promise.allSettled(paths.map((path) => cache.add(new Request(path, { redirect: "error" }))));
    })
    .catch(() => {});
}
