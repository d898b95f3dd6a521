// Panels of the pull page: where to go, why, with how much oil, and what else there is.

import { Engine, TouchCell } from "./engine.js";
import { Panel } from "./live.js";
import { asked as ask } from "./queue.js";
import { html, useEffect, useRef, useState } from "./ui.js";

const UNITS = ["psi", "bar", "kPa", "kg/cm2"];
const WHY_RIGHT = ["typed wrongly", "gauge misread", "first and final swapped", "start was spoiled"];
const WHY_BACK = ["gauge not tight", "throttle was not open", "too few strokes", "another cylinder was pulled"];
const WHY_AFTER_ALL = ["pulled after all"];
const WHY_LEFT = ["cannot be reached", "thread damaged", "plug does not come out", "not wanted"];

export function JumpPanel({ model, here, pick, close }) {
  return html`
    <${Panel} title="Which cylinder?" close=${close} kind="jump">
      <${Engine}
        state=${model}
        kind="jump"
        least=${76}
        row=${68}
        cell=${(each, style) => html`<${TouchCell} key=${each.name} cylinder=${each} style=${style} here=${each.name === here} pick=${pick} />`}
      />
    <//>
  `;
}

function Reasons({ reasons, act, also }) {
  const [text, setText] = useState("");
  return html`
    <div class="reasons">
      ${reasons.map((why) => html`<button key=${why} type="button" data-why=${why} onClick=${() => act(why)}>${why}</button>`)}
      ${also}
    </div>
    <form
      class="reason-typed"
      onSubmit=${(event) => {
        event.preventDefault();
        if (text.trim()) act(text.trim());
      }}
    >
      <label for="why-typed">In other words</label>
      <input id="why-typed" type="text" maxlength="500" autocomplete="off" value=${text} onInput=${(event) => setText(event.target.value)} />
      <button type="submit" data-act="why-typed">Save</button>
    </form>
  `;
}

export function WhyPanel({ model, row, back, acts, close }) {
  const [other, setOther] = useState(false);
  if (other) return html`<${JumpPanel} model=${model} here=${row.cylinder} pick=${(name) => acts.correct("it was another cylinder", name)} close=${close} />`;
  const after = row.final === "" && !back;
  const title = back ? "Why is it taken back?" : after ? "Pulled after all" : "What was wrong?";
  return html`
    <${Panel} title=${title} close=${close}>
      <p class="quiet">What was written stays in the record beside it.</p>
      <${Reasons}
        reasons=${back ? WHY_BACK : after ? WHY_AFTER_ALL : WHY_RIGHT}
        act=${(why) => (back ? acts.takeBack(row, why) : acts.correct(why))}
        also=${!back && !after && !row.drift && html`<button type="button" data-act="other-cylinder" onClick=${() => setOther(true)}>it was another cylinder…</button>`}
      />
    <//>
  `;
}

export function LeavePanel({ name, acts, close }) {
  return html`
    <${Panel} title=${`Why is cylinder ${name} left out?`} close=${close}>
      <${Reasons} reasons=${WHY_LEFT} act=${(why) => acts.leaveOut(name, why)} />
    <//>
  `;
}

export function MeantPanel({ asks, told, name, acts, close }) {
  return html`
    <${Panel} title="Is it meant?" close=${close} kind="meant">
      <p class="lead">Cylinder <bdi>${name}</bdi>: ${told}</p>
      <p>${asks}</p>
      <div class="buttons">
        <button
          type="button"
          data-act="meant"
          onClick=${() => {
            close();
            acts.save(true);
          }}
        >
          It is meant
        </button>
        <button type="button" class="main" data-act="not-meant" autofocus onClick=${close}>Put it right</button>
      </div>
    <//>
  `;
}

export function OilPanel({ model, name, acts, close }) {
  const [oil, setOil] = useState("");
  const [fault, setFault] = useState("");
  const [asks, setAsks] = useState(null); // {says, away}: what is to be settled before anybody cranks
  const [waiting, setWaiting] = useState(false);
  const gone = useRef(false); // closed while it was asked: what is answered then begins nothing
  useEffect(
    () => () => {
      gone.current = true;
    },
    [],
  );
  if (model.wet_is_wrong) {
    return html`<${Panel} title="No oil in this engine" close=${close}>
      <p class="caution">${model.sentences.oil_is_wrong}</p>
      <div class="buttons"><a class="button main" href=${`/tests/${model.test}/leakdown`}>To the leak-down test</a></div>
    <//>`;
  }
  const cylinder = model.cylinders.find((each) => each.name === name);
  const dry = cylinder?.readings.filter((row) => row.kind === "dry" && !row.goes) ?? [];
  if (dry.length === 0) {
    return html`<${Panel} title="Dry first" close=${close}><p>${model.sentences.dry_first}</p><//>`;
  }
  const dose = `${oil.trim().replace(",", ".")} cc`;
  const begin = (meant) => acts.begin({ what: "wet", cylinder: name, oil: dose, oilMeant: meant });
  // Asked before anybody cranks: afterwards it is too late for too much oil.
  const check = async (event) => {
    event.preventDefault();
    if (waiting) return;
    if (!/^\d+([.,]\d+)?$/.test(oil.trim())) {
      setFault("A number of cc is needed, for example 5.");
      return;
    }
    setFault("");
    setWaiting(true);
    const { status, said } = await ask(`/api/tests/${encodeURIComponent(model.test)}/oil`, { cylinder: name, oil: dose });
    if (gone.current) return;
    setWaiting(false);
    // The shop PC cannot know of a dry reading that is still on this phone.
    const unknown = said?.faults?.some((each) => each.where === "kind") && dry.every((row) => row.where !== "saved");
    if (status === 200 && said?.oil === dose) begin(false);
    else if (status !== 422 || !said?.says || unknown) setAsks({ away: true, says: "" });
    else if (said.doubtful) setAsks({ away: false, says: said.faults.map((each) => `${each.why}.`).join(" ") });
    else setFault(said.says);
  };
  if (asks !== null) {
    return html`
      <${Panel} title="Do not crank yet" close=${close} kind="oil">
        <div class="caution" role="alert" data-oil=${asks.away ? "unchecked" : "doubtful"}>
          <p><strong>Cylinder <bdi>${name}</bdi>, ${dose} of oil.</strong></p>
          <p>${asks.away ? "The shop PC cannot be asked now, so this dose could not be checked. Too much oil locks the engine." : asks.says}</p>
        </div>
        ${model.dose && html`<p><strong>${model.dose}</strong></p>`}
        <p>If it is in already and too much, draw it out of the cylinder before anybody cranks.</p>
        <div class="buttons">
          <button type="button" class="main" data-act="other-dose" autofocus onClick=${() => setAsks(null)}>Another dose</button>
          <button type="button" data-act="dose-meant" onClick=${() => begin(!asks.away)}>${asks.away ? `It is ${dose}: go on unchecked` : "It is meant: go on"}</button>
        </div>
      <//>
    `;
  }
  return html`
    <${Panel} title=${`Cylinder ${name} with oil`} close=${close}>
      <ul>${model.sentences.with_oil.map((item, at) => html`<li key=${at}>${item}</li>`)}</ul>
      ${model.dose && html`<p><strong>${model.dose}</strong></p>`}
      <form class="field" onSubmit=${check}>
        <label for="oil-typed">Oil put in, in cc</label>
        <input id="oil-typed" type="text" inputmode="decimal" autocomplete="off" value=${oil} aria-invalid=${fault ? "true" : undefined} aria-describedby=${fault ? "oil-fault" : undefined} onInput=${(event) => setOil(event.target.value)} />
        ${fault && html`<p class="fault" id="oil-fault" role="alert">${fault}</p>`}
        <div class="buttons"><button type="submit" class="main" data-act="oil-in" aria-disabled=${String(waiting)}>${waiting ? "The dose is being checked" : "The oil is in"}</button></div>
      </form>
    <//>
  `;
}

export function MorePanel({ model, live, cylinder, unit, acts, close }) {
  const rows = cylinder ? cylinder.readings.filter((row) => !row.goes) : [];
  const read = rows.some((row) => row.kind === "dry");
  const test = `/tests/${live.test}`;
  return html`
    <${Panel} title="More" close=${close}>
      ${
        cylinder &&
        html`<h3>Cylinder <bdi>${cylinder.name}</bdi></h3>
          <div class="reasons">
            ${
              read
                ? html`<button type="button" data-act="again" onClick=${() => acts.begin({ what: "again", cylinder: cylinder.name })}>Pull it again</button>`
                : html`<button type="button" data-act="leave-out" onClick=${() => acts.setPanel({ kind: "leave", name: cylinder.name })}>Leave it out</button>`
            }
            <button type="button" data-act="oil" onClick=${() => acts.setPanel({ kind: "oil", name: cylinder.name })}>Pull it with oil</button>
          </div>`
      }
      <h3>The gauge reads in</h3>
      <div class="reasons units" role="group" aria-label="Unit of the gauge">
        ${UNITS.map(
          (each) => html`<button key=${each} type="button" data-unit=${each} aria-pressed=${String(each === unit)} onClick=${() => acts.setUnit(each)}>${each}</button>`,
        )}
      </div>
      <h3>The test</h3>
      <ul class="links">
        <li><a href=${`${test}/view`}>Engine view</a></li>
        <li><a href=${`${test}/view?far`}>Far view, for a screen across the shop</a></li>
        <li><a href=${test}>Judgement</a></li>
        <li><a href=${`${test}/photos`}>Photographs</a></li>
        <li><a href=${`${test}/leakdown`}>Leak-down</a></li>
        <li><a href=${`${test}/corrections`}>What was put right</a></li>
        <li><a href="/">First page</a></li>
      </ul>
      ${
        model.unread.length > 0 &&
        html`<p class="quiet">Not pulled yet: <bdi>${model.unread.join(", ")}</bdi></p>
          <div class="buttons"><button type="button" data-act="finish" onClick=${acts.finish}>Finish all the same</button></div>`
      }
    <//>
  `;
}
