// What was read of a cylinder, what can be done about it, and what comes when all are pulled.

import { html, names } from "./ui.js";

const KINDS = { dry: "", wet: "with oil" };

function told(row) {
  if (row.final === "") return row.note || "left out";
  const first = row.spoiled ? `${row.first || "not seen"}, spoiled start` : row.first || "not seen";
  return `first ${first}; final ${row.final} ${row.unit}`;
}

export function Reading({ row, children }) {
  const extra = [
    KINDS[row.kind],
    row.oil,
    row.drift && "once more at the end",
    row.repeat > 1 && `repeat ${row.repeat}`,
    row.strokes && `${row.strokes} strokes`,
    row.corrected && "put right",
  ].filter(Boolean);
  const by = [row.who, row.device].filter(Boolean).join(", ");
  return html`
    <li class="reading" data-entry=${row.entry} data-where=${row.where}>
      <p class="reading-said"><bdi>${told(row)}</bdi></p>
      <p class="quiet small">
        <strong class=${names("state", `state-${row.where.replaceAll(" ", "-")}`)}>${row.where}</strong>
        ${extra.length > 0 && html` · ${extra.join(" · ")}`} ${by && html`· <bdi>${by}</bdi>`}
      </p>
      ${children}
    </li>
  `;
}

// The kind of which several readings claim to be the same one.
function kindOfConflict(rows) {
  for (const kind of ["dry", "wet"]) {
    const numbers = rows.filter((row) => row.kind === kind && row.final !== "").map((row) => row.repeat ?? 1);
    if (new Set(numbers).size < numbers.length) return kind;
  }
  return "dry";
}

export function Conflict({ cylinder, acts }) {
  const kind = kindOfConflict(cylinder.readings);
  const rows = cylinder.readings.filter((row) => row.kind === kind && row.final !== "" && row.entry !== null && !row.goes);
  return html`
    <section class="conflict" aria-labelledby="conflict-title">
      <h2 id="conflict-title">Two readings of cylinder <bdi>${cylinder.name}</bdi></h2>
      <p>Each came as the only one, so nothing is judged of this cylinder until one is chosen. Neither is lost.</p>
      <ul class="plain-list">
        ${rows.map(
          (row) => html`<${Reading} key=${row.entry} row=${row}>
            <button type="button" class="main" data-act="keep" data-keep=${row.entry} onClick=${() => acts.choose(cylinder.name, kind, row.entry)}>Keep this one</button>
          <//>`,
        )}
      </ul>
      <button type="button" data-act="both" onClick=${() => acts.choose(cylinder.name, kind, null)}>Both stand, as repeats</button>
    </section>
  `;
}

export function Readings({ model, cylinder, acts }) {
  const rows = cylinder.readings.filter((row) => !row.goes);
  const hidden = cylinder.conflict && !cylinder.chosen;
  const wet = rows.some((row) => row.kind === "wet");
  return html`
    <section class="readings" aria-label="Readings">
      ${cylinder.says && html`<p>${cylinder.says}</p>`} ${cylinder.oil && html`<p>${cylinder.oil}</p>`}
      ${cylinder.chosen && html`<p class="quiet">The choice is on this phone.</p>`}
      ${
        !hidden &&
        html`<ul class="plain-list">
          ${rows.map(
            (row) => html`<${Reading} key=${row.key ?? row.entry} row=${row}>
              ${
                row.where !== "not taken" &&
                html`<div class="buttons">
                  <button type="button" data-act="correct" onClick=${() => acts.putRight(row)}>${row.final === "" ? "Pull it after all" : "Put it right"}</button>
                  <button type="button" data-act="take-back" onClick=${() => acts.setPanel({ kind: "back", row })}>Take it back</button>
                </div>`
              }
            <//>`,
          )}
        </ul>`
      }
      <div class="buttons">
        ${
          rows.some((row) => row.final !== "") &&
          html`<button type="button" data-act="again" onClick=${() => acts.begin({ what: "again", cylinder: cylinder.name })}>Pull it again</button>
            <button type="button" data-act="oil" onClick=${() => acts.setPanel({ kind: "oil", name: cylinder.name })}>Pull it with oil</button>`
        }
        ${model.next !== null && html`<button type="button" class="main" data-act="go-on" onClick=${() => acts.go(null)}>Go on with cylinder <bdi>${model.next}</bdi></button>`}
        ${model.next === null && html`<button type="button" class="main" data-act="go-on" onClick=${() => acts.go("@end")}>To the end</button>`}
      </div>
      ${wet && html`<p class="quiet small">This cylinder has oil in it: a dry reading would come out too high.</p>`}
    </section>
  `;
}

export function End({ model, live, acts, leaving }) {
  return html`
    <section class="end" aria-label="All pulled">
      ${
        model.drift !== null
          ? html`
              <p>${model.sentences.drift || ""}</p>
              <div class="buttons">
                <button type="button" class="main" data-act="drift" onClick=${() => acts.begin({ what: "drift", cylinder: model.drift })}>
                  Pull cylinder <bdi>${model.drift}</bdi> once more
                </button>
                <button type="button" data-act="no-drift" onClick=${() => acts.leaveOut(model.drift, "left out", true)}>Leave it out</button>
              </div>
            `
          : html`<p>${model.sentences.drift}</p>
              <ul class="plain-list">
                ${model.drifts.map(
                  (row) => html`<${Reading} key=${row.key ?? row.entry} row=${row}>
                    <div class="buttons"><button type="button" data-act="correct" onClick=${() => acts.putRight(row)}>${row.final === "" ? "Pull it after all" : "Put it right"}</button></div>
                  <//>`,
                )}
              </ul>`
      }
      <div class="said">${model.says.map((sentence, at) => html`<p key=${at}>${sentence}</p>`)}</div>
      <div class="buttons">
        ${
          leaving || model.finishing
            ? html`<p role="status">${live.queue.of(live.test).length ? "Finished on this phone; the judgement comes once the shop PC has everything." : "One moment."}</p>`
            : html`<button type="button" class=${model.drift === null ? "main" : ""} data-act="finish" onClick=${acts.finish}>Finish, and see the judgement</button>`
        }
      </div>
      ${model.finished && html`<p class="quiet">This test was said to be finished. A reading that comes late is still taken.</p>`}
    </section>
  `;
}
