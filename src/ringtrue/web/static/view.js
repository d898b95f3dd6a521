// The engine view: every cylinder with its figures as they come in; with "?far" for a screen across the shop.

import { Charts } from "./chart.js";
import { Engine, FullCell } from "./engine.js";
import { Running, start, Stop, Troubles, Unsent, UnsentPanel, useLive } from "./live.js";
import { clock, html, names, useEffect, useState } from "./ui.js";

const FAR = new URLSearchParams(location.search).has("far");

function View({ live, engine }) {
  useLive(live);
  const [panel, setPanel] = useState(false);
  const model = live.merged;
  const awake = useAwake(FAR);
  useEffect(() => {
    document.documentElement.classList.toggle("far", FAR);
  }, []);
  const unsent = live.queue.of(live.test).length;
  const test = `/tests/${live.test}`;
  return html`
    <header class="top">
      <a class="back" href=${test}><span aria-hidden="true">‹</span> <span class="unseen">To the judgement of </span><bdi>${model?.engine_name ?? engine}</bdi></a>
      <${Touch} live=${live} />
      ${unsent > 0 && html`<${Unsent} live=${live} open=${() => setPanel(true)} />`}
      ${!FAR && html`<a class="button to-far" href=${`${test}/view?far`}>Far view</a><a class="button" href=${`${test}/pull`}>Pull</a>`}
    </header>
    <main id="main" class=${names("view", FAR && "view-far", model?.cylinders.length > 8 && "view-many")}>
      <h1 class="unseen">Engine view</h1>
      <div class="pull-notes">${model && html`<${Stop} state=${model} />`}<${Troubles} live=${live} /></div>
      ${
        model === null
          ? html`<p class="quiet">Waiting for the shop PC.</p>`
          : html`
              <section class="view-engine" aria-label="The engine from above">
                <${Engine}
                  state=${model}
                  kind=${FAR ? "far" : "view"}
                  least=${FAR ? 0 : model.round ? 60 : 84}
                  row=${FAR ? 0 : rowOf(model.cylinders)}
                  cell=${(each, style) => html`<${FullCell}
                    key=${each.name}
                    cylinder=${each}
                    style=${style}
                    next=${!model.finished && model.next === each.name}
                    waiting=${each.readings.filter((row) => row.where === "on this phone" && row.kind === "dry" && row.final && !row.goes)}
                  />`}
                />
              </section>
              <section class="view-said" aria-label="So far">
                <${Running} state=${model} />
                ${model.cylinders.filter((each) => each.conflict).map((each) => html`<${TwoReadings} key=${each.name} cylinder=${each} test=${test} chosen=${each.chosen} />`)}
                <${Charts} state=${model} />
                <div class="said">${(FAR ? model.says.slice(0, 2) : model.says).map((sentence, at) => html`<p key=${at}>${sentence}</p>`)}</div>
                ${!FAR && model.sentences.drift && html`<p class="quiet drift">${model.sentences.drift}</p>`}
                ${!FAR && model.rules.length > 0 && html`<details><summary>Rules, with their sources</summary><ul>${model.rules.map((rule, at) => html`<li key=${at}>${rule}</li>`)}</ul></details>`}
                ${FAR && awake === "no" && html`<p class="quiet small">This screen may go dark by itself: over plain http a browser does not keep it on.</p>`}
              </section>
            `
      }
    </main>
    ${panel && html`<${UnsentPanel} live=${live} close=${() => setPanel(false)} />`}
  `;
}

// So high is a cylinder along its bank: what the screen has room for, within what is legible and what is calm [px].
function rowOf(cylinders) {
  const along = cylinders.map((each) => each.along);
  const rows = Math.max(...along) - Math.min(...along) + 1;
  const least = new Set(cylinders.map((each) => each.bank)).size > 1 ? 104 : rows > 8 ? 58 : 74;
  return Math.max(least, Math.min(160, (window.innerHeight - 190) / rows));
}

function Touch({ live }) {
  const { since } = live.follower;
  return html`<span class=${names("touch", since !== null && "touch-lost")} data-touch=${since === null ? "yes" : "no"} role="status">
    <span aria-hidden="true">${since === null ? "●" : "○"}</span> ${since === null ? "live" : html`out of touch<span class="touch-since"> since ${clock(since)}</span>`}
  </span>`;
}

function TwoReadings({ cylinder, test, chosen }) {
  return html`
    <div class="conflict" data-conflict=${cylinder.name}>
      <p><strong>Cylinder <bdi>${cylinder.name}</bdi> has two readings</strong>${chosen ? ": the choice is on this phone." : ", and is not judged until one is chosen."}</p>
      <ul>
        ${cylinder.readings
          .filter((row) => row.final !== "")
          .map((row) => html`<li key=${row.entry}>${row.final} ${row.unit} <span class="quiet">by <bdi>${row.who}</bdi> on <bdi>${row.device}</bdi></span></li>`)}
      </ul>
      ${!FAR && html`<a class="button" href=${`${test}/pull`}>Choose on the pull page</a>`}
    </div>
  `;
}

// A far screen stays lit where the browser allows that, which takes https or the PC itself.
function useAwake(wanted) {
  const [awake, setAwake] = useState("");
  useEffect(() => {
    if (!wanted) return undefined;
    if (!navigator.wakeLock) {
      setAwake("no");
      return undefined;
    }
    const ask = () => {
      if (document.hidden) return;
      navigator.wakeLock.request("screen").then(
        () => setAwake("yes"),
        () => setAwake("no"),
      );
    };
    ask();
    document.addEventListener("visibilitychange", ask);
    return () => document.removeEventListener("visibilitychange", ask);
  }, []);
  return awake;
}

start(View);
