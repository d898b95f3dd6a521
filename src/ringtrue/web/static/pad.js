// First, final, strokes, and the pad under them: large enough for gloves.

import * as drafts from "./draft.js";
import { html, names, useLayoutEffect, useRef } from "./ui.js";

const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "rub"];
const WORDS = { first: "first", final: "final", strokes: "strokes", oil: "oil" };

export function Fields({ draft, unit, change, act, focus }) {
  const active = useRef(null);
  useLayoutEffect(() => {
    // The field in hand has the keyboard, unless a panel is open over it or somebody walks through the page with Tab.
    if (focus && !document.querySelector("dialog[open]")) active.current?.focus({ preventScroll: true });
  }, [draft.active, focus]);
  const wrong = drafts.wrong(draft);
  const only = wrong === "strokes" ? "Only one or two digits are taken" : "Only digits and one point are taken";
  const fault = wrong === null ? draft.fault : `${only}: “${draft[wrong]}” is no figure (${WORDS[wrong]}). Rub out what is too much.`;
  return html`
    ${fault && html`<p class="fault" id="typed-fault" role="alert">${fault}</p>`}
    <div class="fields">
      ${drafts.fieldsOf(draft).map((field) => {
        const here = field === draft.active;
        const seen = field === "first" && draft.unseen;
        return html`
          <div key=${field} class=${names("figure-field", `figure-${field}`, here && "figure-active")}>
            <label for=${`typed-${field}`}>
              ${WORDS[field]} ${field !== "strokes" && html`<span class="quiet">${field === "oil" ? "cc" : unit}</span>`}
            </label>
            <input
              ref=${here ? active : null}
              id=${`typed-${field}`}
              data-field=${field}
              type="text"
              inputmode="none"
              autocomplete="off"
              enterkeyhint=${field === "first" ? "next" : "done"}
              value=${draft[field]}
              placeholder=${seen ? "not seen" : ""}
              aria-invalid=${fault && field === (wrong ?? "first") ? "true" : undefined}
              aria-describedby=${fault ? "typed-fault" : undefined}
              onFocus=${() => !here && change(drafts.to(draft, field))}
              onInput=${(event) => change(drafts.written(draft, field, event.target.value))}
              onKeyDown=${(event) => {
                if (event.key === "Enter") {
                  event.preventDefault();
                  act();
                }
              }}
            />
            ${field === "first" && draft.spoiled
              ? html`<span class="flag">spoiled start</span>`
              : here && draft.fresh && draft[field] !== "" && html`<span class="flag over">type over it</span>`}
          </div>
        `;
      })}
    </div>
  `;
}

export function Pad({ draft, change, act, save }) {
  const next = drafts.goesOn(draft);
  // A touch leaves the focus where it was, so that Enter still means what it meant.
  const stay = (event) => event.preventDefault();
  return html`
    <div class="pad" role="group" aria-label="Number pad" onPointerDown=${stay} onMouseDown=${stay}>
      ${KEYS.map((key) =>
        key === "rub"
          ? html`<button key=${key} type="button" class="key" data-key="rub" aria-label="Rub out" onClick=${() => change(drafts.rubbed(draft))}>⌫</button>`
          : html`<button key=${key} type="button" class="key" data-key=${key} aria-label=${key === "." ? "Point" : key} onClick=${() => change(drafts.typed(draft, key))}>${key}</button>`,
      )}
      <button type="button" class="key word unseen-key" data-act="not-seen" aria-pressed=${String(draft.unseen)} onClick=${() => change(drafts.unseen(draft))}>
        not seen
      </button>
      <button type="button" class="key word spoiled-key" data-act="spoiled" aria-pressed=${String(draft.spoiled)} onClick=${() => change(drafts.spoiled(draft))}>
        spoiled start
      </button>
      <button type="button" class="key word main act-key" data-act=${next ? "next" : "save"} aria-disabled=${String(!drafts.canGoOn(draft))} onClick=${act}>
        ${next ? "next" : save}
      </button>
    </div>
  `;
}
