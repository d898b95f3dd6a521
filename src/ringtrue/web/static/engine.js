// The engine seen from above (a radial one from its front), drawn from where the server says each cylinder stands.

import { markOf, parted } from "./marks.js";
import { html, names, useEffect, useRef } from "./ui.js";

const FILLED = 0.92; // of the distance to the neighbour
const TALL = 0.86; // of the distance along a bank
const HUB = 0.62; // radius of the crankcase of a radial engine

// Fields of all cylinders in shares of the drawing, and what the drawing is wide and high, in cylinder spacings.
export function placed(cylinders, round) {
  const near = (a, b) => Math.abs(a.along - b.along) < TALL + 0.06;
  const pairs = cylinders.flatMap((a, at) => cylinders.slice(at + 1).map((b) => [a, b]));
  let wide;
  let tall = TALL;
  if (round) {
    const apart = pairs.map(([a, b]) => Math.max(Math.abs(a.across - b.across), Math.abs(a.along - b.along)));
    wide = tall = Math.min(1.6, FILLED * Math.min(1.6, ...apart));
  } else {
    const apart = pairs.filter(([a, b]) => near(a, b) && a.across !== b.across).map(([a, b]) => Math.abs(a.across - b.across));
    wide = FILLED * Math.min(1.7, ...apart);
  }
  const left = Math.min(...cylinders.map((each) => each.across));
  const top = Math.min(...cylinders.map((each) => each.along));
  const width = Math.max(...cylinders.map((each) => each.across)) - left + wide;
  const height = Math.max(...cylinders.map((each) => each.along)) - top + tall;
  return {
    width,
    height,
    hub: { left: (wide / 2 - left) / width, top: (tall / 2 - top) / height, radius: HUB / width },
    boxes: cylinders.map((cylinder) => ({
      cylinder,
      left: (cylinder.across - left) / width,
      top: (cylinder.along - top) / height,
      width: wide / width,
      height: tall / height,
    })),
  };
}

const percent = (share) => `${(100 * share).toFixed(3)}%`;

// `cell` draws one cylinder; `least` is how wide a field is at least, in pixels, before the drawing scrolls.
export function Engine({ state, kind, cell, least, row }) {
  const drawing = placed(state.cylinders, state.round);
  const style = state.round ? { aspectRatio: `${drawing.width} / ${drawing.height}` } : {};
  if (least) style.minWidth = `${Math.ceil((least * drawing.width) / (drawing.boxes[0].width * drawing.width))}px`;
  if (row && !state.round) style.height = `${Math.ceil(row * (drawing.height + 1 - TALL))}px`;
  const block = useRef(null);
  useEffect(() => {
    // A drawing that is wider than the screen begins with its middle.
    const { current } = block;
    current.scrollLeft = (current.scrollWidth - current.clientWidth) / 2;
  }, []);
  return html`
    <div class=${names("engine", `engine-${kind}`, state.round && "round")}>
      ${state.side && html`<p class="side" aria-hidden="true">▲ ${state.side}</p>`}
      <div class="engine-block" ref=${block}>
        <div class="engine-plan" style=${style} role=${kind === "view" || kind === "far" ? "list" : undefined}>
          ${
            state.round &&
            html`<svg class="spokes" viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true">
              ${drawing.boxes.map(
                (box) =>
                  html`<line
                    key=${box.cylinder.name}
                    x1=${100 * drawing.hub.left}
                    y1=${100 * drawing.hub.top}
                    x2=${100 * (box.left + box.width / 2)}
                    y2=${100 * (box.top + box.height / 2)}
                  />`,
              )}
              <ellipse
                cx=${100 * drawing.hub.left}
                cy=${100 * drawing.hub.top}
                rx=${100 * drawing.hub.radius}
                ry=${(100 * HUB) / drawing.height}
              />
            </svg>`
          }
          ${drawing.boxes.map((box) =>
            cell(box.cylinder, {
              left: percent(box.left),
              top: percent(box.top),
              width: percent(box.width),
              height: percent(box.height),
            }),
          )}
        </div>
      </div>
    </div>
  `;
}

// A cylinder with its final, its place in word and shape, and how far off it is.
export function FullCell({ cylinder, style, waiting, next }) {
  const mark = markOf(cylinder);
  const own = waiting?.[0];
  const text = cylinder.final || (own ? `${own.final} ${own.unit}` : "");
  // Of two readings both stand there, and their unit once.
  const [figure, unit] = cylinder.conflict ? bothOf(text) : parted(text);
  const comes = next && !text && !cylinder.left_out;
  const place = comes ? "next" : cylinder.conflict ? "two readings" : own && !cylinder.final ? own.where : cylinder.left_out ? "left out" : cylinder.place;
  return html`
    <div
      class=${names("cell", `cell-${own && !cylinder.final ? "waiting" : mark.style}`, cylinder.conflict && "cell-open", comes && "cell-next")}
      style=${style}
      data-cylinder=${cylinder.name}
      data-place=${cylinder.place}
      role="listitem"
    >
      <div class="cell-inside">
        <span class="cell-name"><span class="unseen">Cylinder </span><bdi>${cylinder.name}</bdi></span>
        <span class="cell-final">${text ? html`${figure}<small>${" "}${unit}</small>` : html`<small class="unread">–</small>`}</span>
        <span class="cell-place"><span aria-hidden="true">${comes ? "▸" : mark.shape}</span> ${place}</span>
        <span class="cell-off">${cylinder.off}</span>
      </div>
    </div>
  `;
}

function bothOf(text) {
  const [, unit] = parted(text);
  return [text.split(` ${unit}`).join(""), unit];
}

// A cylinder to be touched: its name, its shape, and which one is in hand.
export function TouchCell({ cylinder, style, here, pick }) {
  const mark = markOf(cylinder);
  const said = cylinder.final || (cylinder.readings.some((row) => !row.goes) ? "on this phone" : cylinder.place);
  return html`
    <button
      type="button"
      class=${names("cell", `cell-${mark.style}`, here && "cell-here")}
      style=${style}
      data-cylinder=${cylinder.name}
      aria-current=${here ? "true" : undefined}
      onClick=${() => pick(cylinder.name)}
    >
      <span class="cell-name"><span class="unseen">Cylinder </span><bdi>${cylinder.name}</bdi></span>
      <span class="cell-said"><span aria-hidden="true">${mark.shape}</span> ${said}</span>
    </button>
  `;
}

// A mark on the small drawing.
export function DotCell({ cylinder, style, here, stop }) {
  const mark = markOf(cylinder);
  const has = cylinder.readings.some((row) => !row.goes);
  return html`<span
    class=${names("dot", here && "dot-here", has && "dot-read", `dot-${mark.style}`, stop && "dot-stop")}
    style=${style}
    >${stop && "✕"}</span
  >`;
}
