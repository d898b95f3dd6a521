// Finals and mean deviation as they come in, in the order of pulling.

import { html, useEffect, useRef } from "./ui.js";
import uPlot from "./vendor/uplot.js";

const NARROW = 260; // below it axes have no room [px]

function inks() {
  const style = getComputedStyle(document.documentElement);
  const of = (name) => style.getPropertyValue(`--${name}`).trim();
  return { ink: of("ink"), quiet: of("quiet"), hair: of("hair"), accent: of("accent"), paper: of("paper"), unsure: of("unsure") };
}

function axes(names, ink, font, unit) {
  const common = { stroke: ink.quiet, grid: { stroke: ink.hair, width: 1 }, ticks: { stroke: ink.hair, width: 1 }, font };
  return [
    {
      ...common,
      grid: { show: false },
      splits: () => names.map((_, at) => at),
      values: (_, splits) => splits.map((at) => (names.length > 14 && at % 2 ? "" : (names[at] ?? "").slice(0, 4))),
    },
    { ...common, size: 3.6 * parseFloat(font), space: 34, values: (_, splits) => splits.map((value) => `${+value.toPrecision(6)}`), label: unit, labelSize: 1.5 * parseFloat(font), labelFont: font, labelGap: 0 },
  ];
}

function drawn(element, data, series, names, unit, range) {
  const ink = inks();
  const size = parseFloat(getComputedStyle(element).fontSize);
  const font = `${Math.round(0.82 * size)}px system-ui, sans-serif`;
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
  useEffect(() => {
    let plot = drawn(element.current, data, series, names, unit, range);
    const again = () => {
      plot.destroy();
      plot = drawn(element.current, data, series, names, unit, range);
    };
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", again);
    let width = element.current.clientWidth;
    const sized = new ResizeObserver(() => {
      if (element.current && Math.abs(element.current.clientWidth - width) > 2) {
        width = element.current.clientWidth;
        again();
      }
    });
    sized.observe(element.current);
    return () => {
      dark.removeEventListener("change", again);
      sized.disconnect();
      plot.destroy();
    };
  }, [JSON.stringify(data), unit]);
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
