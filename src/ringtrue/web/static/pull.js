// The pull page: one cylinder a screen, from fitting the gauge to venting it.

import * as drafts from "./draft.js";
import { DotCell, Engine, TouchCell } from "./engine.js";
import { keepDraft, Running, start, Stop, Troubles, Unsent, UnsentItem, UnsentPanel, useLive } from "./live.js";
import { doubt, neighbour } from "./merged.js";
import { Fields, Pad } from "./pad.js";
import { newKey } from "./queue.js";
import { JumpPanel, LeavePanel, MeantPanel, MorePanel, OilPanel, WhyPanel } from "./pull_panels.js";
import { Conflict, End, Readings } from "./pull_readings.js";
import { html, names, useEffect, useLayoutEffect, useMemo, useRef, useState } from "./ui.js";

const END = "@end";
const SWIPE = 60; // so far a finger goes across before it is a swipe [px]
const NOT_KEPT = "This phone could not keep it: its store may be full. Nothing is saved yet; the figures stand here as they were typed.";
const BUSY = { again: "once again", drift: "once more, for the day's drift", wet: "with oil", correct: "put right", mend: "put right" };

function Pull({ live, engine }) {
  useLive(live);
  const before = live.draft; // what was being typed when the page went away is there when it comes back
  const [at, setAt] = useState(before.at ?? null); // null: the next one in order
  const [job, setJob] = useState(before.job ?? null);
  const [draft, setDraft] = useState({ ...drafts.blank(), ...before.draft });
  const [unit, setUnit] = useState(before.unit ?? "");
  const [panel, setPanel] = useState(null);
  const [last, setLast] = useState(null);
  const leaving = useRef(false);
  // A second touch in the same instant, before the screen was drawn anew, keeps nothing twice.
  const keeping = useRef(false);
  useLayoutEffect(() => {
    keeping.current = false;
  });
  const model = live.merged;
  const wide = useWide();

  useLayoutEffect(() => keepDraft(live, { at, job, draft, unit }), [at, job, draft, unit]);
  useLayoutEffect(
    () =>
      live.queue.whenKept((item) => {
        if (leaving.current && item.what === "finish" && item.test === live.test) location.assign(`/tests/${live.test}`);
      }),
    [],
  );

  if (model === null) return html`<${NothingYet} live=${live} engine=${engine} />`;

  const where = at ?? model.next ?? END;
  const cylinder = model.cylinders.find((each) => each.name === (job?.cylinder ?? where)) ?? null;
  const rows = cylinder ? cylinder.readings.filter((row) => !row.goes) : [];
  const unread = cylinder !== null && !rows.some((row) => row.kind === "dry");
  const doing = job ?? (unread ? { what: "pull", cylinder: cylinder.name } : null);
  const inUnit = unit || model.unit;

  const go = (name) => {
    setAt(name);
    setJob(null);
    setDraft(drafts.blank());
    setPanel(null);
  };
  // Whoever stands on a cylinder stays on it, also when one before it is to be read again.
  const stay = () => {
    if (at === null && cylinder !== null) setAt(cylinder.name);
  };
  const begin = (next, first = drafts.blank()) => {
    setAt(next.cylinder);
    setJob(next);
    setDraft(first);
    setPanel(null);
  };
  const change = (next) => {
    // From the first digit on this pull stays on the screen, whatever comes in from elsewhere.
    if (job === null && doing !== null && !drafts.isBlank(next)) {
      setJob(doing);
      setAt(doing.cylinder);
    }
    setDraft(next);
  };

  // The screen goes on at once; should the phone fail to keep it, everything is back as it was typed.
  const keep = async (what, body, more, name, told, to = null) => {
    if (keeping.current) return;
    keeping.current = true;
    const key = newKey();
    const before = { at, job, draft };
    setLast({ key, name, said: told });
    const kept = live.queue.put(live.test, what, { key, ...body }, more);
    go(to);
    try {
      await kept;
    } catch {
      setAt(before.at);
      setJob(before.job);
      setDraft({ ...before.draft, fault: NOT_KEPT });
      setLast(null);
    }
  };
  const save = async (meant = false) => {
    const said = drafts.saidBy(draft);
    const name = doing.cylinder;
    const first = draft.spoiled ? `${said.first} spoiled`.trim() : said.first || "not seen";
    const told = `${first} / ${said.final} ${doing.row?.unit || inUnit}`;
    if (doing.what === "mend") {
      setLast({ key: doing.item.body.key, name, said: told });
      go(null);
      const { item } = doing;
      const oil = said.oil === undefined ? {} : { oil_meant: item.body.oil_meant === true && said.oil === item.body.oil };
      await live.queue.mend(item, { ...said, ...oil, confirmed: meant });
      return;
    }
    if (doing.what === "correct") {
      setPanel({ kind: "why", said, told, meant });
      return;
    }
    const body = {
      ...said,
      cylinder: name,
      unit: inUnit,
      kind: doing.what === "wet" ? "wet" : "dry",
      oil: doing.oil ?? "",
      oil_meant: doing.oilMeant === true,
      drift: doing.what === "drift",
      repeat: doing.what === "again" || (doing.what === "wet" && rows.some((row) => row.kind === "wet")),
      note: "",
      confirmed: meant,
      at: new Date().toISOString(),
    };
    const asks = meant ? "" : doubt(model, body);
    if (asks) setPanel({ kind: "meant", asks, told });
    else await keep("pull", body, {}, name, told, doing.what === "again" || doing.what === "wet" ? name : null);
  };
  const act = () => {
    if (!drafts.canGoOn(draft)) return;
    if (drafts.goesOn(draft)) setDraft(drafts.to(draft, "final"));
    else if (drafts.isAbove(draft)) {
      setDraft({ ...draft, active: "first", fresh: true, fault: model.sentences.first_above_final });
    } else save();
  };
  const correct = (why, other) => {
    const { row } = doing;
    const body = { ...panel.said, unit: row.unit || inUnit, why, cylinder: other ?? "", confirmed: panel.meant };
    const shown = { cylinder: other ?? row.cylinder };
    return keep("correct", body, { ...target(row), shown }, shown.cylinder, panel.told);
  };
  const takeBack = (row, why) => {
    const shown = { cylinder: row.cylinder, first: row.first, final: row.final, unit: row.unit };
    return keep("take-back", { why }, { ...target(row), shown }, row.cylinder, "taken back", row.cylinder);
  };
  const leaveOut = (name, why, drift = false) => {
    const body = { cylinder: name, unit: inUnit, note: why, drift, at: new Date().toISOString() };
    return keep("pull", body, {}, name, drift ? "drift left out" : "left out");
  };
  const choose = (name, kind, one) =>
    keep("choose", { cylinder: name, kind, keep: one }, { shown: { cylinder: name } }, name, one === null ? "both stand" : "one is kept", name);
  const finish = async () => {
    if (leaving.current) return;
    leaving.current = true;
    setPanel(null);
    await live.queue.put(live.test, "finish", {});
  };
  const mend = (item) =>
    begin(
      { what: "mend", cylinder: item.body.cylinder || item.shown.cylinder, item, row: { unit: item.body.unit } },
      drafts.from({ ...item.body, strokes: item.body.strokes || null, mended: item.what === "pull" }),
    );
  const putRight = (row) => begin({ what: "correct", cylinder: row.cylinder, row }, drafts.from(row));
  const step = (by) => {
    const to = neighbour(model.order, cylinder?.name ?? model.order.at(-1), by);
    if (cylinder === null && by < 0) go(model.order.at(-1));
    else if (to !== null) go(to);
    else if (by > 0 && model.next === null) go(END);
  };
  const acts = { begin, takeBack, leaveOut, choose, finish, putRight, go, setPanel, mend, correct, save, setUnit };

  const refused = live.queue.of(live.test).filter((item) => item.state === "refused");
  const open = model.cylinders.filter((each) => each.conflict && !each.chosen && each.name !== cylinder?.name);
  return html`
    <${Keys} draft=${draft} change=${change} act=${act} active=${doing !== null && panel === null} />
    <header class="top">
      <a class="back" href=${`/tests/${live.test}`}><span aria-hidden="true">‹</span> <span class="unseen">To the judgement of </span><bdi>${model.engine_name || engine}</bdi></a>
      <${Unsent} live=${live} typing=${doing !== null && !drafts.isBlank(draft)} open=${() => setPanel({ kind: "unsent" })} />
      <button type="button" class="more" aria-label="More" data-act="more" onClick=${() => setPanel({ kind: "more" })}><span aria-hidden="true">≡</span></button>
    </header>
    <main id="main" class=${names("pull", doing !== null && "pull-typing")}>
      <div class="pull-notes">
        <${Stop} state=${model} folded />
        <${Troubles} live=${live} />
        ${open.map(
          (each) => html`<p key=${each.name} class="trouble" data-trouble="conflict">
            Cylinder <bdi>${each.name}</bdi> has two readings.
            <button type="button" onClick=${() => go(each.name)}>Look</button>
          </p>`,
        )}
        ${
          refused.length > 0 &&
          html`<div class="asked" role="alert">
            <ul class="plain-list"><${UnsentItem} key=${refused[0].n} item=${refused[0]} live=${live} mend=${mend} stay=${stay} /></ul>
            ${refused.length > 1 && html`<button type="button" onClick=${() => setPanel({ kind: "unsent" })}>And ${refused.length - 1} more</button>`}
          </div>`
        }
      </div>
      <${Who} model=${model} cylinder=${cylinder} doing=${doing} step=${step} jump=${() => setPanel({ kind: "jump" })} />
      <${Last} live=${live} last=${last} model=${model} putRight=${putRight} />
      <div class="pull-work">
        ${
          doing !== null
            ? html`
                <${Fields} draft=${draft} unit=${doing.row?.unit || inUnit} change=${change} act=${act} focus=${panel === null ? `${doing.what} ${doing.cylinder}` : ""} />
                <${Meanwhile} doing=${doing} rows=${rows} />
                <${Pad} draft=${draft} change=${change} act=${act} save="save" />
                ${job && job.what !== "pull" && html`<button type="button" class="plain leave-job" data-act="leave" onClick=${() => go(at)}>Leave it as it is</button>`}
              `
            : cylinder !== null
              ? html`
                  ${cylinder.conflict && !cylinder.chosen && html`<${Conflict} cylinder=${cylinder} acts=${acts} />`}
                  <${Readings} model=${model} cylinder=${cylinder} acts=${acts} />
                `
              : html`<${End} model=${model} live=${live} acts=${acts} leaving=${leaving.current} />`
        }
      </div>
      ${
        wide &&
        html`<section class="pull-engine" aria-label="The engine from above">
          <${Engine} state=${model} kind="beside" row=${72} cell=${(each, style) => html`<${TouchCell} key=${each.name} cylinder=${each} style=${style} here=${each.name === cylinder?.name} pick=${go} />`} />
        </section>`
      }
      <${Running} state=${model} />
    </main>
    ${panel?.kind === "jump" && html`<${JumpPanel} model=${model} here=${cylinder?.name} pick=${go} close=${() => setPanel(null)} />`}
    ${panel?.kind === "more" && html`<${MorePanel} model=${model} live=${live} cylinder=${cylinder} unit=${inUnit} acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "why" && html`<${WhyPanel} model=${model} row=${doing.row} acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "back" && html`<${WhyPanel} model=${model} row=${panel.row} back acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "leave" && html`<${LeavePanel} name=${panel.name} acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "oil" && html`<${OilPanel} model=${model} name=${panel.name} acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "meant" && html`<${MeantPanel} asks=${panel.asks} told=${panel.told} name=${doing.cylinder} acts=${acts} close=${() => setPanel(null)} />`}
    ${panel?.kind === "unsent" && html`<${UnsentPanel} live=${live} mend=${mend} stay=${stay} close=${() => setPanel(null)} />`}
  `;
}

// On the screen of a PC there is room for the whole engine beside the pad.
function useWide() {
  const query = useMemo(() => matchMedia("(min-width: 64rem) and (min-height: 36rem)"), []);
  const [wide, setWide] = useState(query.matches);
  useEffect(() => {
    const heard = () => setWide(query.matches);
    query.addEventListener("change", heard);
    return () => query.removeEventListener("change", heard);
  }, []);
  return wide;
}

// A change is about an entry of the book, or about what is still on its way there.
const target = (row) => (row.key !== null && row.where !== "saved" ? { about: row.key } : { entry: row.entry });

function NothingYet({ live, engine }) {
  return html`
    <header class="top"><a class="back" href="/"><span aria-hidden="true">‹</span> <bdi>${engine}</bdi></a></header>
    <main id="main" class="pull"><${Troubles} live=${live} /><p class="quiet">Waiting for the shop PC.</p></main>
  `;
}

// Digits of a keyboard reach the field in hand wherever the focus is, as long as no panel is open.
function Keys({ draft, change, act, active }) {
  useLayoutEffect(() => {
    if (!active) return undefined;
    const heard = (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, textarea, dialog")) return;
      if (event.key === "." || event.key === ",") change(drafts.typed(draft, "."));
      else if (/^\S$/.test(event.key)) change(drafts.typed(draft, event.key));
      else if (event.key === "Backspace") change(drafts.rubbed(draft));
      else if (event.key === "Enter" && event.target === document.body) act();
      else return;
      event.preventDefault();
    };
    document.addEventListener("keydown", heard);
    return () => document.removeEventListener("keydown", heard);
  });
  return null;
}

function Who({ model, cylinder, doing, step, jump }) {
  const from = useRef(null);
  const place = cylinder ? model.order.indexOf(cylinder.name) + 1 : 0;
  const name = cylinder?.name ?? "";
  const size = name.length > 8 ? "name-long" : name.length > 3 ? "name-middling" : "name-short";
  const up = (event) => {
    const start = from.current;
    from.current = null;
    if (!start) return;
    const [across, down] = [event.clientX - start[0], event.clientY - start[1]];
    if (Math.abs(across) > SWIPE && Math.abs(across) > 2 * Math.abs(down)) step(across < 0 ? 1 : -1);
  };
  return html`
    <section
      class="who"
      aria-label="Cylinder"
      onPointerDown=${(event) => {
        from.current = [event.clientX, event.clientY];
      }}
      onPointerUp=${up}
      onPointerCancel=${() => {
        from.current = null;
      }}
    >
      <button type="button" class="step" data-act="previous" aria-label="Previous cylinder" onClick=${() => step(-1)}><span aria-hidden="true">‹</span></button>
      <h1 class="who-name" data-at=${name}>
        ${
          cylinder
            ? html`<span class="who-word">Cylinder</span> <bdi class=${size}>${name}</bdi>
                <span class="who-what">${BUSY[doing?.what] ?? `${place} of ${model.order.length}`}</span>`
            : html`<span class="who-word">All cylinders</span> <bdi class="name-middling">pulled</bdi>`
        }
      </h1>
      <button type="button" class="map" data-act="jump" aria-label="The engine from above: go to another cylinder" onClick=${jump}>
        <${Engine}
          state=${{ ...model, side: "" }}
          kind="map"
          cell=${(each, style) => html`<${DotCell} key=${each.name} cylinder=${each} stop=${model.stopped?.includes(each.name)} style=${style} here=${each.name === name} />`}
        />
      </button>
      <button type="button" class="step" data-act="next-cylinder" aria-label="Next cylinder" onClick=${() => step(1)}><span aria-hidden="true">›</span></button>
    </section>
  `;
}

// What was typed last, and whether it is on this phone or in the book.
function Last({ live, last, model, putRight }) {
  const item = last && live.queue.items.find((each) => each.body.key === last.key);
  const thrown = last && live.queue.thrown.has(last.key);
  const writing = last && live.queue.writing.some((each) => each.body.key === last.key);
  const state = thrown ? "thrown away" : item ? (item.state === "refused" ? "not taken" : live.queue.keeps ? "on this phone" : "on its way") : writing ? "being kept" : "saved";
  const every = model.cylinders.flatMap((each) => each.readings).concat(model.drifts);
  const mine = last && every.filter((row) => row.cylinder === last.name && !row.goes && row.final !== "").at(-1);
  return html`
    <div class="last">
      <p role="status" aria-live="polite" data-last=${last ? state : ""}>
        ${last && html`Cylinder <bdi>${last.name}</bdi>: ${last.said} <strong class=${names("state", `state-${state.replaceAll(" ", "-")}`)}>${state}</strong>`}
      </p>
      ${mine && !["not taken", "thrown away"].includes(state) && html`<button type="button" class="plain" data-act="put-right" onClick=${() => putRight(mine)}>Put it right</button>`}
    </div>
  `;
}

// While this one is being typed, somebody else has read the same cylinder.
function Meanwhile({ doing, rows }) {
  const other = doing.what === "pull" && rows.find((row) => row.kind === "dry" && row.final !== "");
  if (!other) return null;
  return html`<p class="trouble" data-trouble="meanwhile" role="status">
    Read meanwhile by <bdi>${other.who}</bdi> on <bdi>${other.device}</bdi>: ${other.final} ${other.unit}. Saved as well, both are shown.
  </p>`;
}

start(Pull);
