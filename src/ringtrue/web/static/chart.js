// Finals and mean deviation as they come in, in the order of pulling.

import { html, useEffect, useRef } from "./ui.js";
import { NARROW, axis, figure, inks, keepDrawn, typeOf, uPlot } from "./plot.js";

function axes(names, ink, font, unit) {
  const size = parseFloat(font);
  return [
    axis(ink, font, {
      grid: { show: false },
      splits: () => names.map((_, at) => at),
      values: (_, splits) => splits.map((at) => (names.length > 14 && at % 2 ? "" : (names[at] ?? "").slice(0, 4))),
    }),
    axis(ink, font, { size: 3.6 * size, space: 34, values: (_, splits) => splits.map(figure), label: unit, labelSize: 1.5 * size, labelGap: 0 }),
  ];
}

function drawn(element, data, series, names, unit, range) {
  const ink = inks();
  const font = typeOf(element);
  const { clientWidth: width, clientHeight: height } = element;
  return new uPlot(
    {
      width: Math.max(width, NARROW),
      height: Math.max(height, 120),
      legend: { show: false },
      cursor: { show: false },
      padding: [8, 12, 0, 0],
      scales: { x: { time: false, range: [-0.5, names.length - 0.5] }, y: { range } },
      axes: axes(names, ink, font, unit),
      series: [{}, ...series(ink)],
    },
    data,
    element,
  );
}

function Plot({ data, series, names, unit, range, label, kind }) {
  const element = useRef(null);
  useEffect(
    () => keepDrawn(element.current, () => drawn(element.current, data, series, names, unit, range)),
    [JSON.stringify(data), unit],
  );
  return html`<div ref=${element} class="plot" role="img" aria-label=${label} data-plot=${kind}></div>`;
}

const around = (_, low, high) => {
  const room = Math.max((high - low) * 0.2, Math.abs(high) * 0.02, 0.1);
  return [Math.max(0, low - room), high + room];
};
const fromZero = (_, low, high) => [0, Math.max(high * 1.2, 1)];

export function Charts({ state }) {
  const { running } = state;
  if (running.length === 0) return html`<p class="quiet">The chart begins with the first final.</p>`;
  const names = running.map((row) => row.cylinder);
  const at = names.map((_, index) => index);
  const finals = [at, running.map((row) => row.final), running.map((row) => row.mean)];
  const spread = [at, running.map((row) => row.mean_deviation_percent)];
  return html`
    <figure class="chart">
      <figcaption>Finals <span aria-hidden="true" class="key-dot">●</span> and running mean <span aria-hidden="true" class="key-line">–</span>, ${state.unit}</figcaption>
      <${Plot}
        kind="finals"
        data=${finals}
        names=${names}
        unit=""
        range=${around}
        label=${`Finals in the order of pulling: ${state.cylinders.filter((each) => each.final).map((each) => `cylinder ${each.name} ${each.final}`).join(", ")}`}
        series=${(ink) => [
          { stroke: ink.ink, width: 0, paths: () => null, points: { show: true, size: 9, fill: ink.ink, stroke: ink.ink } },
          { stroke: ink.accent, width: 2.5, points: { show: running.length === 1, size: 5 } },
        ]}
      />
    </figure>
    <figure class="chart">
      <figcaption>Mean deviation, % of the mean</figcaption>
      <${Plot}
        kind="deviation"
        data=${spread}
        names=${names}
        unit=""
        range=${fromZero}
        label=${`Mean deviation so far: ${state.figures.percent || "none yet"}`}
        series=${(ink) => [{ stroke: ink.unsure, width: 2.5, points: { show: true, size: 7, fill: ink.paper, stroke: ink.unsure } }]}
      />
    </figure>
  `;
}
